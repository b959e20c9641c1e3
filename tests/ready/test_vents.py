"""The vent opening that is named, after two marked cooks, tried on the cooker."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest

from emberdraft.ready.coach import Move, VentCoach
from emberdraft.ready.trace import trace_of
from emberdraft.ready.vents import NAMED_C, Steady, Vents, VentSaid, steady_stretches
from tests.proof.fixture import Proof
from tests.ready.yard import coached, yard

TARGET_C, AMBIENT_C, BOTTOM = 121.0, 18.0, 0.25
CERAMIC = [("two_zone", draw) for draw in range(51, 61)]
STEEL = [("thin_steel", draw) for draw in range(51, 55)]


class _LeftAlone(VentCoach):
    """Comes up as the coach says, then sets the named opening and never touches it again."""

    def __init__(self, named: float) -> None:
        super().__init__(TARGET_C, AMBIENT_C, holds=named)
        self.named = named

    def update(self, t_s: float, pit_c: float | None, lid_open: bool = False) -> Move | None:
        if self.stage == "hold":
            if self.top_now == self.named or self._waits:
                return None
            self._waits = True
            return Move("top", self.named, "as named")
        move = super().update(t_s, pit_c, lid_open)
        return Move("top", self.named, "as named") if move is not None and self.stage == "hold" else move


def _marked(name: str, draw: int, target_c: float, wind_mps: float, ambient_c: float) -> list[Steady]:
    held = coached(yard(name, draw, wind_mps, ambient_c), VentCoach(target_c, ambient_c), 4.5)
    size = held.t_s.size
    rows = {
        "t_s": held.t_s, "pit_c": held.pit_c, "stone_c": np.full(size, np.nan), "drive": np.zeros(size),
        "opening": np.ones(size), "lid_open": np.zeros(size),
    }  # fmt: skip
    marks = [(0.0, "vent_top", 1.0), (0.0, "vent_bottom", 1.0)]
    marks += [(at_s, f"vent_{vent}", opening) for at_s, vent, opening in held.moves]
    return steady_stretches(trace_of(rows, marks, ambient_c=ambient_c, wind_mps=wind_mps))


def _named(name: str, draw: int) -> VentSaid:
    points = _marked(name, draw, 107.0, 1.0, 15.0) + _marked(name, draw, 130.0, 0.7, 22.0)
    return Vents(points, blower=False).opening_for(TARGET_C, BOTTOM, AMBIENT_C)


def _off_c(place: tuple[str, int]) -> float | None:
    """How far off the pit is in the last hour with the named opening; None: not known well enough to name one."""
    said = _named(*place)
    if said.opening is None or said.off_c is None or said.stretches < 2 or said.off_c > NAMED_C:
        return None
    held = coached(yard(place[0], place[1], 1.0, AMBIENT_C), _LeftAlone(said.opening), 5.0)
    return abs(float(np.mean(held.pit_c[-360:])) - TARGET_C)


def test_the_named_opening_holds_the_pit() -> None:
    off_c = _off_c(("small_ceramic", 1))
    assert off_c is not None
    assert off_c <= NAMED_C


@pytest.mark.prove("vents")
@pytest.mark.parametrize(("kind", "places"), [("ceramic", CERAMIC), ("thin steel", STEEL)])
def test_unseen_cookers_without_a_blower(kind: str, places: list[tuple[str, int]], proof: Proof) -> None:
    """On thin steel few openings can be named: its fire goes out or runs away between two moves of a vent."""
    with ProcessPoolExecutor(2) as pool:
        named = [off_c for off_c in pool.map(_off_c, places) if off_c is not None]
    name = f"{kind}: openings named after two marked cooks"
    if kind == "ceramic":
        proof.promise(name, len(named), at_least=6, note=f"of {len(places)}")
    else:
        proof.record(name, len(named), note=f"of {len(places)}")
    off = sum(off_c > NAMED_C for off_c in named)
    name = f"{kind}: named openings that left the pit more than {NAMED_C:g} degC off in the last hour"
    proof.promise(name, off, equals=0, note=f"of {len(named)}")


def test_more_is_known_with_every_stretch() -> None:
    one = Steady(0.12, 0.25, 0.0, 118.0, 18.0, 4.0)
    none, some = Vents([], False), Vents([one, Steady(0.2, 0.25, 0.0, 135.0, 18.0, 4.0)], False)
    wide, tight = none.opening_for(121.0, 0.25, 18.0), some.opening_for(121.0, 0.25, 18.0)
    assert tight.low is not None and tight.high is not None and tight.opening is not None
    assert 0.1 < tight.low <= tight.opening <= tight.high < 0.2
    assert wide.low is None or wide.high is None or wide.high - wide.low > tight.high - tight.low


def test_more_air_is_a_larger_fire() -> None:
    """A tenth more rise wants about a tenth more opening, not a third more: the fire takes up more of more air."""
    vents = Vents([Steady(0.19, 0.25, 0.0, 121.0, 18.0, 4.0)] * 3, False)
    more = vents.opening_for(18.0 + 1.1 * 103.0, 0.25, 18.0)
    assert more.opening is not None
    assert 0.19 * 1.05 <= more.opening <= 0.19 * 1.2


def test_stretches_that_contradict_each_other_make_a_first_step() -> None:
    """A colder pit with the vent further open: no guess does that, so what is said of it is no promise."""
    said = Vents([Steady(0.12, 0.25, 0.0, 135.0, 18.0, 6.0), Steady(0.24, 0.25, 0.0, 107.0, 18.0, 6.0)] * 2, False)
    alike = Vents([Steady(0.19, 0.25, 0.0, 121.0, 18.0, 6.0)] * 4, False)
    off_c, little_c = (vents.opening_for(121.0, 0.25, 18.0).off_c for vents in (said, alike))
    assert off_c is not None
    assert little_c is not None
    assert off_c > NAMED_C > little_c


def test_what_no_opening_holds_is_said() -> None:
    said = Vents([Steady(1.0, 1.0, 0.0, 110.0, 18.0, 4.0)], False).opening_for(240.0, 1.0, 18.0)
    assert said.opening is None
    assert said.open_is_too_cold > 0.5
