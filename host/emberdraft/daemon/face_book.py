"""The stone's face and the bead under it: infrared readings by hand in this cooker's newest cooks, what they teach.

A mark *stone face* is set beside what the stone's probe read at that moment. Without a stone probe there is nothing to
learn from, and the stone is what the twin says: an estimate with a band, never a measurement.
"""

from __future__ import annotations

from typing import Any

from emberdraft.quantities import say_duration
from emberdraft.ready.face import EMISSIVITY, FaceOverBead, learn
from emberdraft.ready.stone import crust_s
from emberdraft.said import Difference, Temperature, Text, said

Row = dict[str, Any]
NEWEST = 20
WITHIN_S = 10.0
SEARS_C = 230.0  # a searing stone wants about 260 degC, common practice


def pairs_of(store: Any, cooker: str) -> list[tuple[float, float]]:
    """(face_c noted, bead_c read then) of the newest cooks of a cooker."""
    return [pair for cook in store.cooks(cooker)[:NEWEST] for pair in _pairs(store, cook["id"])]


def _pairs(store: Any, cook_id: int) -> list[tuple[float, float]]:
    found = []
    for mark in store.marks(cook_id):
        if mark["kind"] != "stone_face" or mark["value"] is None:
            continue
        at_s = mark["at_s"]
        rows = store.readings(cook_id, at_s - WITHIN_S, at_s + WITHIN_S, names=("at_s", "stone_c"))
        beads = [(abs(t - at_s), c) for t, c in zip(rows["at_s"], rows["stone_c"], strict=True) if c is not None]
        if beads:
            found.append((float(mark["value"]), float(min(beads)[1])))
    return found


class FaceBook:
    """`over` is what is known of face less bead; `read` it anew after a mark or at a start."""

    def __init__(self) -> None:
        self.over: FaceOverBead = learn(())

    def read(self, store: Any, cooker: str) -> None:
        """Learn from the record."""
        self.over = learn(pairs_of(store, cooker))

    def face_c(self, bead_c: float) -> tuple[float, float, float]:
        """Low, middle, high of the face, degC: an estimate."""
        return self.over.face_c(bead_c)


def face_words(over: FaceOverBead, bead_c: float) -> Text:
    """'Its face is about 285 °C, estimated from 2 infrared readings; 8 times in 10 ...', or that it is not known."""
    low, mid, high = (Temperature(c) for c in over.face_c(bead_c))
    between = said("probably {low} to {high}", low=low, high=high)
    if over.count == 0:
        return said("The face above the bead is not known: {between}.", between=between)
    readings = f"{over.count} infrared reading{'s' if over.count > 1 else ''}"
    template = "Its face is about {mid}, {between}, estimated from {readings}."
    return said(template, mid=mid, readings=readings, between=between)


def crust_words(face_c: float) -> str:
    """The rule of thumb for a side at this temperature."""
    side = say_duration(round(crust_s(face_c) / 5.0) * 5.0)
    return f"A brown crust takes about {side} a side there: a rule of thumb, common practice."


def face_lines(over: FaceOverBead, bead_c: float | None, estimate_c: tuple[float, float, float] | None) -> list[Text]:
    """What is known of the stone's face now, and how to know more."""
    lines: list[Text] = []
    if bead_c is not None:
        lines.append(said("The bead reads {bead}. {face}", bead=Temperature(bead_c), face=face_words(over, bead_c)))
    elif estimate_c is not None:
        low, mid, high = (Temperature(c) for c in estimate_c)
        template = "No stone probe: about {mid}, {between}, estimated by a model of this cooker."
        lines.append(said(template, mid=mid, between=said("probably {low} to {high}", low=low, high=high)))
    middle_c = over.face_c(bead_c)[1] if bead_c is not None else None if estimate_c is None else estimate_c[1]
    if middle_c is not None and middle_c >= SEARS_C:
        lines.append(crust_words(middle_c))
    if over.count:
        side, far, half = "above" if over.over_c >= 0.0 else "below", abs(over.over_c), over.half_c
        template = f"Face over bead: {{far}} {side}, give or take {{half}}."
        lines.append(said(template, far=Difference(far, 0), half=Difference(half, 0)))
    lines.append(
        f"Point an infrared thermometer at the face, its emissivity at {EMISSIVITY:g}, and mark Stone face: "
        "the difference is learnt from it."
    )
    return lines
