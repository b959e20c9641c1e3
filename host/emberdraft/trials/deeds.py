"""What a person does to a trial: one deed a function, checked before anything is written. The page and the commands
send the same names and values; quantities are text with their unit.
"""

from __future__ import annotations

import base64
import binascii
import secrets
from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from emberdraft import quantities
from emberdraft.errors import UserError
from emberdraft.said import Temperature, said
from emberdraft.trials.answer import whole
from emberdraft.trials.assign import assign
from emberdraft.trials.deed_parts import LONGEST_WORDS, Deed, of_trial, open_trial, plain_words
from emberdraft.trials.deeds_tasting import Answer, Close, Taste, answer, close, taste
from emberdraft.trials.measures import MEASURES, STEPS, TASTING
from emberdraft.trials.photo import Photo, cleaned

Row = dict[str, Any]
COLD_C = 4.0
MOST_PIECES = 120
MAINS = (*MEASURES, TASTING)


class New(Deed):
    """A trial: `pieces` as 'name' or 'name:block'; without blocks all pieces are one block."""

    name: str
    question: str
    treatments: list[str]
    pieces: list[str]
    main: str = "time_to_pull"
    least: float | None = None
    tolerance: str = "1C"
    off_centre: str = "4mm"
    scale: str = "1g"
    note: str = ""


class Only(Deed):
    """A deed that needs no more than its trial: assign, end, again."""

    trial: int


class Weigh(Deed):
    """A piece on the scale after a step."""

    trial: int
    piece: str
    step: str
    mass: str


class Look(Deed):
    """What is seen of a piece, or of all (piece empty); photo in base64."""

    trial: int
    words: str = ""
    piece: str = ""
    photo: str = ""


class Fridge(Deed):
    """The air round the waiting pieces."""

    trial: int
    air: str


class Cook(Deed):
    """Which pieces were cooked in a cook: piece name -> letter there."""

    trial: int
    cook: int
    pieces: dict[str, str]


def do(store: Any, deed: str, args: Mapping[str, Any], now_s: float) -> Row:
    """Carry out a deed on the store at `now_s`. Raises UserError with the field, the value and what would be right."""
    if deed not in DEEDS:
        raise UserError(f"deed {deed!r}: one of {', '.join(DEEDS)} would be right")
    shape, act = DEEDS[deed]
    try:
        body = msgspec.convert(dict(args), shape)
    except msgspec.ValidationError as error:
        raise UserError(f"{deed}: {error}; {', '.join(shape.__struct_fields__)} would be right") from None
    return act(store, body, now_s)


def _new(store: Any, body: New, now_s: float) -> Row:
    name, question = plain_words(body.name, "name"), plain_words(body.question, "question")
    if body.main not in MAINS:
        raise UserError(f"main {body.main!r}: one of {', '.join(MAINS)} would be right")
    if body.least is not None and not 0.0 < body.least < 1e4:
        raise UserError(f"least {body.least:g}: above 0 would be right, in {_unit(body.main)}")
    pieces = [_piece(text) for text in body.pieces]
    if len(pieces) > MOST_PIECES:
        raise UserError(f"pieces: {len(pieces)}; at most {MOST_PIECES} would be right")
    treatments = [plain_words(text, "treatment") for text in body.treatments]
    seed = secrets.randbits(31)
    assign(pieces, treatments, seed)  # what could never be dealt out is refused now, not days later
    values = {
        **{"name": name, "question": question, "main": body.main, "seed": seed, "start_s": now_s},
        **{"least_value": body.least, "note": body.note[:LONGEST_WORDS], **_tools(body)},
    }
    return {"trial": store.trials.add_trial(values, treatments, pieces)}


def _tools(body: New) -> Row:
    tolerance_c, off_m = quantities.difference_c(body.tolerance), quantities.length_m(body.off_centre)
    scale_kg = quantities.mass_kg(body.scale)
    if not 0.0 <= tolerance_c <= 10.0:
        raise UserError(f"tolerance {body.tolerance}: 0 to 10 °C would be right")
    if off_m > 0.05:
        raise UserError(f"off_centre {body.off_centre}: at most 50 mm would be right")
    if not 0.0 < scale_kg <= 0.1:
        raise UserError(f"scale {body.scale}: above 0 and at most 100 g would be right")
    return {"tolerance_c": tolerance_c, "off_centre_m": off_m, "scale_kg": scale_kg}


def _assign(store: Any, body: Only, now_s: float) -> Row:
    trial = whole(store, body.trial)
    ids = {t["name"]: t["id"] for t in trial["treatments"]}
    given = assign([(p["name"], p["block"]) for p in trial["pieces"]], list(ids), trial["seed"])
    store.trials.assign(body.trial, {p["id"]: ids[given[p["name"]]] for p in trial["pieces"]}, now_s)
    return {"trial": body.trial, "given": given, "seed": trial["seed"]}


def _weigh(store: Any, body: Weigh, now_s: float) -> Row:
    trial = open_trial(store, body.trial)
    mass_kg = quantities.mass_kg(body.mass)
    if body.step not in STEPS:
        raise UserError(f"step {body.step!r}: one of {', '.join(STEPS)} would be right")
    if not 0.001 <= mass_kg <= 30.0:
        raise UserError(f"mass {body.mass}: 1 g to 30 kg would be right")
    piece = of_trial(trial, body.piece)
    store.trials.add("weighing", trial_piece_id=piece["id"], at_s=now_s, step=body.step, mass_kg=mass_kg)
    return {"trial": body.trial, "piece": body.piece, "mass_kg": mass_kg}


def _look(store: Any, body: Look, now_s: float) -> Row:
    trial = open_trial(store, body.trial)
    piece_id = of_trial(trial, body.piece)["id"] if body.piece else None
    if not body.words.strip() and not body.photo:
        raise UserError("words: empty; what was seen, or a photo, would be right")
    kind, photo = _photo(body.photo) if body.photo else (None, None)
    look_id = store.trials.add(
        "look", trial_id=body.trial, trial_piece_id=piece_id, at_s=now_s, words=body.words[:LONGEST_WORDS],
        photo_type=kind, photo=photo,
    )  # fmt: skip
    return {"trial": body.trial, "look": look_id}


def _photo(text: str) -> Photo:
    try:
        return cleaned(base64.b64decode(text, validate=True))
    except (binascii.Error, ValueError):
        raise UserError("photo: not base64") from None


def _fridge(store: Any, body: Fridge, now_s: float) -> Row:
    open_trial(store, body.trial)
    air_c = quantities.temperature_c(body.air)
    if not -30.0 <= air_c <= 30.0:
        raise UserError(f"air {body.air}: -30 to 30 °C would be right")
    store.trials.add("fridge", trial_id=body.trial, at_s=now_s, air_c=air_c)
    warm = said("Meat waits at {cold} or less.", cold=Temperature(COLD_C)) if air_c > COLD_C else ""
    return {"trial": body.trial, "air_c": air_c, "caution": warm}


def _cook(store: Any, body: Cook, now_s: float) -> Row:
    trial = open_trial(store, body.trial)
    if trial["assigned_s"] is None:
        raise UserError(f"trial {body.trial}: chance has not said who gets what; assign before the cook")
    letters = {piece["letter"] for piece in store.pieces(body.cook)} if store.cook(body.cook) else None
    if letters is None:
        raise UserError(f"cook {body.cook}: there is none of that number; `emberdraft cooks` lists them")
    for name, letter in body.pieces.items():
        if letter not in letters:
            raise UserError(f"letter {letter!r} of {name}: cook {body.cook} has {', '.join(sorted(letters)) or 'none'}")
        if sum(given == letter for given in body.pieces.values()) > 1:
            raise UserError(f"letter {letter!r}: given to two pieces; each piece of a cook is one piece of the trial")
    linked = [(of_trial(trial, name)["id"], letter) for name, letter in body.pieces.items()]
    for piece_id, letter in linked:
        store.trials.change("trial_piece", piece_id, cook_id=body.cook, letter=letter)
    return {"trial": body.trial, "cook": body.cook, "linked": len(linked)}


def _end(store: Any, body: Only, now_s: float) -> Row:
    open_trial(store, body.trial)
    store.trials.change("trial", body.trial, end_s=now_s)
    return {"trial": body.trial, "end_s": now_s}


def _again(store: Any, body: Only, now_s: float) -> Row:
    """The next round: same question, treatments, pieces and blocks; a new seed, nothing measured."""
    trial = whole(store, body.trial)
    kept = ("name", "question", "main", "least_value", "tolerance_c", "off_centre_m", "scale_kg", "invented", "note")
    values = {key: trial[key] for key in kept} | {"start_s": now_s, "seed": secrets.randbits(31)}
    treatments = [t["name"] for t in trial["treatments"]]
    pieces = [(p["name"], p["block"]) for p in trial["pieces"]]
    return {"trial": store.trials.add_trial({**values, "again_of": body.trial}, treatments, pieces)}


def _piece(text: str) -> tuple[str, str]:
    name, _, block = text.partition(":")
    return plain_words(name, "piece"), block.strip() or "all"


def _unit(main: str) -> str:
    return MEASURES[main].unit if main in MEASURES else "its unit"


DEEDS: Mapping[str, tuple[type[Deed], Callable[[Any, Any, float], Row]]] = {
    "new": (New, _new),
    "assign": (Only, _assign),
    "weigh": (Weigh, _weigh),
    "look": (Look, _look),
    "fridge": (Fridge, _fridge),
    "cook": (Cook, _cook),
    "taste": (Taste, taste),
    "answer": (Answer, answer),
    "close": (Close, close),
    "end": (Only, _end),
    "again": (Only, _again),
}
