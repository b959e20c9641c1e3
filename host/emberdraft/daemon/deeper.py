"""What the page shows one tap deeper: why it is not hotter, charcoal, vents, the stone's face, probes."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon import as_it_goes, food_words, foretold
from emberdraft.daemon.commands import pull_bounds
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.face_book import face_lines
from emberdraft.daemon.fuel_watch import had_kg
from emberdraft.daemon.fuel_words import fuel_row
from emberdraft.daemon.plan_check import food_lines
from emberdraft.daemon.plan_form import Piece
from emberdraft.daemon.probe_watch import probe_row
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.vents_known import vent_lines
from emberdraft.phases import held_in

Row = dict[str, Any]


def deeper(service: Any) -> Row:
    """Each part is None while it has nothing to say."""
    conductor = service.cook.conductor
    if conductor is None:
        return dict.fromkeys(PARTS)
    return {name: part(service, conductor) for name, part in PARTS.items()}


def _why(service: Any, conductor: Conductor) -> Row | None:
    why = service.live.stone.why
    if why is None or conductor.step != "climb":
        return None
    return {
        "limit": why.limit,
        "sure_share": round(why.sure, 2),
        "as_it_is_c": round(why.as_it_is_c, 1),
        "with_advice_c": round(why.with_advice_c, 1),
        "air_gps": round(why.air_gps, 2),
        "oxygen_used_share": round(why.oxygen_used, 2),
        "lines": foretold.why_lines(why),
    }


def _fuel(service: Any, conductor: Conductor) -> Row | None:
    said = service.live.fuel.said
    return None if said is None else fuel_row(said, had_kg(conductor.plan, service.cook.marks))


def _face(service: Any, conductor: Conductor) -> Row | None:
    if conductor.plan.climb is None or service.live.row is None:
        return None
    bead_c, said = service.live.view.stone_c, service.live.stone.said
    estimate_c = None if said is None or said["measured"] else said["now_c"]
    if bead_c is None and estimate_c is None:
        return None
    over = service.live.face.over
    bead_c = None if bead_c is None else float(round(bead_c / 2.0) * 2.0)  # it would be new with each reading
    row = {"over_c": over.over_c, "half_c": over.half_c, "count": over.count}
    return row | {"measured": bead_c is not None, "lines": face_lines(over, bead_c, estimate_c)}


def _vents(service: Any, conductor: Conductor) -> Row | None:
    answer = service.live.vents.answer
    return None if answer is None else answer | {"lines": list(vent_lines(answer))}


def _pull(service: Any, conductor: Conductor) -> Row | None:
    """What the rest adds to each piece that is still to be pulled, the USDA's figure beside it, and what may be set."""
    stage, peaks = conductor.stage, service.live.peaks
    pieces = [stage.plan_pieces[letter] for letter in stage.letters("waiting", "in")]
    if not pieces:
        return None
    lines = [line for piece in pieces for line in food_lines(conductor.plan, piece, peaks.get(piece.letter))]
    return {"lines": lines, "pieces": [_pullable(stage, piece) for piece in pieces]}


def _pullable(stage: Stage, piece: Piece) -> Row:
    low_c, high_c = pull_bounds(stage, piece.letter)
    of = {"letter": piece.letter, "name": piece.name, "pull_c": float(piece.pull_c)}
    bounds = {"low_c": low_c, "high_c": high_c, "least_c": food_words.least_pull_c(stage.plan, piece)}
    return of | bounds | {"caution": food_words.whole(stage.plan, piece)}


def _probes(service: Any, conductor: Conductor) -> Row | None:
    live = service.live
    return None if live.row is None else probe_row(conductor, live.history, live.row, service.clock.now_s())


def _change(service: Any, conductor: Conductor) -> Row | None:
    """What of the evening can be changed now; food probes from 0."""
    stage, plan = conductor.stage, conductor.plan
    if held_in(stage.phase or "light") is None:
        return None
    letters = stage.letters("waiting", "in")
    cooks = as_it_goes.food_goes_on(stage.phase)
    return {
        "pieces": [{"letter": letter, "name": stage.plan_pieces[letter].name} for letter in letters],
        "probes": as_it_goes.free_probes(stage),
        "adds": cooks and plan.slow is not None,
        "sears": cooks and plan.climb is not None,
        "held": cooks and plan.slow is not None and plan.slow.for_s is not None,
    }


PARTS = {
    "change": _change,
    "why": _why,
    "pull": _pull,
    "fuel": _fuel,
    "vents": _vents,
    "stone_face": _face,
    "probes": _probes,
}
