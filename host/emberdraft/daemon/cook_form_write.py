"""A form into its plan: only what differs from what the file says is written, so that its comments and all it says
besides stay. What would be no plan is refused, and the text is as it was."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_uppercase
from typing import Any

import msgspec
import tomlkit
from tomlkit.items import AoT

from emberdraft import quantities
from emberdraft.daemon.cook_form import CookForm, PieceForm, form_of
from emberdraft.daemon.evening_of import hold_of
from emberdraft.daemon.plan import parse_plan
from emberdraft.errors import UserError
from emberdraft.evening.cuts import KINDS, TENDER_C, cut_of
from emberdraft.evening.wanted import Food, Wanted
from emberdraft.food.advised import advised
from emberdraft.food.planned import pull_for
from emberdraft.phases import PHASES, held_in

SEAR_ADDS_C = 3.0  # of the core, on the stone: a guess, from no fire
STARTS = {True: "4C", False: "8C"}  # from the fridge; 45 min in a kitchen (see plans/two_chops.toml)
PLAIN_REST, TENDER = "3 min", "93C"  # common practice, no source
MOST_PIECES = 12
CHECK_EARLY = 0.8
PULLS_BY = ("animal", "kind", "cut", "mass", "thickness", "cold", "done")
Table = Any  # of tomlkit; its own types say nothing of what is inside


def written(text: str, form: CookForm) -> str:
    """The plan `text` with what the form says. Raises UserError, one line, where the two make no plan."""
    before = form_of(parse_plan(text))
    _check(form)
    document = tomlkit.parse(text)
    _top(document, before, form)
    _phases(document, before, form)
    _pieces(document, before, form)
    made = tomlkit.dumps(document)
    parse_plan(made)
    return made


def own(text: str) -> str:
    """One of our plans as the beginning of a person's own: without what only a demonstration needs."""
    document = tomlkit.parse(text)
    for key in ("invented", "stand_in", "gains", "ambient", "wind", "repeat", "note"):
        if key in document:
            document.remove(key)
    lines = tomlkit.dumps(document).splitlines(keepends=True)
    while lines and lines[0].startswith("#"):
        del lines[0]
    return "".join(lines)


def _check(form: CookForm) -> None:
    """What a plan would not miss, and the form does."""
    if not form.pit:
        raise UserError("pit: no temperature; one such as 121C or 250F would be right")
    for piece in form.pieces:
        if not 1 <= piece.count <= MOST_PIECES:
            raise UserError(f"{_name(piece)}, how many: {piece.count}; 1 to {MOST_PIECES} would be right")
        if not piece.mass and not piece.thickness:
            raise UserError(f"{_name(piece)}: no mass and no thickness; one of the two, such as 2.5 kg or 1.5 in")
    if sum(piece.count for piece in form.pieces) > len(ascii_uppercase):
        raise UserError(f"{len(ascii_uppercase)} pieces at most")
    if not 0 <= form.probes <= 8:
        raise UserError(f"food probes: {form.probes}; 0 to 8 would be right")


def _name(piece: PieceForm) -> str:
    return piece.cut if piece.animal == "other" else f"{piece.animal} {piece.cut}"


# ---- the cook


def _top(document: Table, before: CookForm, form: CookForm) -> None:
    _set(document, "name", before.name, form.name)
    _set(document, "serve", before.serve, form.serve)
    _set(document, "grate", before.grate, form.grate)
    if form.blower != before.blower:
        document["blower"] = form.blower


def _set(table: Table, key: str, was: str, text: str) -> None:
    """A key where its text has changed; '' takes it away."""
    if text == was:
        return
    if text:
        table[key] = text
    else:
        table.remove(key)


def _holds_the_pit(phase: str) -> bool:
    return held_in(phase) == "pit"


def _phases(document: Table, before: CookForm, form: CookForm) -> None:
    for name in filter(_holds_the_pit, PHASES):
        if form.pit != before.pit and "target" in document.get(name, {}):
            document[name]["target"] = form.pit
    _set(document["light"], "charcoal", before.charcoal, form.charcoal)
    if "slow" not in document:
        document["slow"] = {"target": form.pit}
    if not form.pieces:
        _set(document["slow"], "for", document["slow"].get("for", ""), form.hold)
    elif not before.pieces and "for" in document["slow"]:
        document["slow"].remove("for")
    _until_said(document, before, form)
    _sear(document, before.stone, form.stone)


def _until_said(document: Table, before: CookForm, form: CookForm) -> None:
    """A hold without a time is the person's to end."""
    if not form.pieces and not form.hold:
        document["at_end"] = "ask"
    elif not before.pieces and not before.hold and "at_end" in document:
        document.remove("at_end")


def _sear(document: Table, was: str, stone: str) -> None:
    if stone and stone != was:
        document.setdefault("climb", tomlkit.table())["stone"] = stone
        document.setdefault("sear", tomlkit.table())
    if was and not stone:
        document.remove("climb")
        document.remove("sear")


# ---- the pieces


def with_piece(text: str, piece: PieceForm, letter: str, probe: int | None) -> str:
    """One more piece in a plan that is going on: the probes of the others stay where they are."""
    form = form_of(parse_plan(text))
    _check(msgspec.structs.replace(form, pieces=[piece]))
    document = tomlkit.parse(text)
    rows: Table = document.get("piece", tomlkit.aot())
    rows.append(tomlkit.table().add("letter", letter))
    row = rows[-1]
    _piece(row, None, piece, form, form)
    row.update({"probe": probe} if probe is not None else {"check_after": _check_after(row, form)})
    _keep(document, rows)
    return tomlkit.dumps(document)


def _pieces(document: Table, before: CookForm, form: CookForm) -> None:
    rows: Table = document.get("piece", tomlkit.aot())
    was = {letter: piece for piece in before.pieces for letter in piece.letters}
    wanted = dict(_lettered(form.pieces, set(was)))
    for letter in was.keys() - wanted.keys():
        del rows[next(i for i, row in enumerate(rows) if row["letter"] == letter)]
    for letter, piece in wanted.items():
        if letter not in was:
            rows.append(tomlkit.table().add("letter", letter))
        row = next(row for row in rows if row["letter"] == letter)
        _piece(row, was.get(letter), piece, form, before)
    _probes(rows, form, before)
    _keep(document, rows)


def _keep(document: Table, rows: AoT) -> None:
    if "piece" in document and not len(rows):
        document.remove("piece")
    elif "piece" not in document and len(rows):
        document.append("piece", rows)


def _lettered(pieces: list[PieceForm], taken: set[str]) -> Iterator[tuple[str, PieceForm]]:
    """Each single piece with its letter: its own, or the next that is free."""
    free = (letter for letter in ascii_uppercase if letter not in taken)
    for piece in pieces:
        known = [letter for letter in piece.letters if letter in taken][: piece.count]
        yield from ((letter, piece) for letter in known)
        yield from ((next(free), piece) for _ in range(piece.count - len(known)))


def _piece(row: Table, was: PieceForm | None, piece: PieceForm, form: CookForm, before: CookForm) -> None:
    old = was or PieceForm(animal="other", kind="whole", cut="roast")
    new = was is None
    if new or (old.animal, old.cut) != (piece.animal, piece.cut):
        row["name"], row["animal"], row["cut"] = _name(piece), piece.animal, piece.cut
    if new or old.kind != piece.kind:
        row["kind"] = piece.kind
    for key in ("mass", "thickness", "wrap"):
        _set(row, key, "" if new else getattr(old, key), getattr(piece, key))
    if new or old.cold != piece.cold:
        row["start"] = STARTS[piece.cold]
    changed = any(getattr(old, key) != getattr(piece, key) for key in PULLS_BY)
    if new or changed or bool(form.stone) != bool(before.stone):
        done = piece.done or _usual_done(piece)
        row["pull"], row["final"] = _pull(piece, done, form), done
    if new or old.rest != piece.rest:
        row["rest"] = piece.rest or PLAIN_REST


def _usual_done(piece: PieceForm) -> str:
    """Where nobody says: what becomes tender when it is, else what the USDA advises."""
    return TENDER if KINDS[piece.cut].large else f"{advised(piece.animal, piece.kind).core_c:g}C"


def _pull(piece: PieceForm, done: str, form: CookForm) -> str:
    """Where to pull it, in the unit of `done`, the core as it is eaten: what is tender there, else as far below as rest
    and sear add.

    Who asks for what the USDA advises gets it on leaving the heat, which without a sear is the pull.
    """
    done_c, size = _c(done), _size(piece)
    advice, heat_c = advised(piece.animal, piece.kind), _c(form.pit)
    start_c = _c(STARTS[piece.cold])
    if done_c >= TENDER_C:
        return done
    if form.stone:
        return _in_unit(pull_for(done_c - SEAR_ADDS_C, start_c, heat_c, *size), done)
    pull_c = pull_for(done_c, start_c, heat_c, *size)
    return _in_unit(max(pull_c, advice.core_c) if advice.reached(done_c) else pull_c, done)


def _in_unit(value_c: float, like: str) -> str:
    if like.strip().lower().endswith("f"):
        return f"{quantities.c_to_f(value_c):.0f}F"
    return f"{value_c:.1f}C"


def _size(piece: PieceForm) -> tuple[float | None, float | None]:
    thickness_m = quantities.length_m(piece.thickness) if piece.thickness else None
    return thickness_m, quantities.mass_kg(piece.mass) if piece.mass else None


def _probes(rows: AoT, form: CookForm, before: CookForm) -> None:
    """The probes there are go to the first pieces; the others are measured by hand, asked for in good time."""
    for i, row in enumerate(rows):
        has = "probe" in row or "check_after" in row
        if has and form.probes == before.probes and len(rows) == sum(piece.count for piece in before.pieces):
            continue
        row.pop("probe" if i >= form.probes else "check_after", None)
        if i < form.probes:
            row["probe"] = i
        elif "check_after" not in row:
            row["check_after"] = _check_after(row, form)


def _check_after(row: Table, form: CookForm) -> str:
    """Somewhat before the middle of what the drawn evenings take for this piece alone."""
    thickness_m = quantities.length_m(str(row["thickness"])) if "thickness" in row else None
    mass_kg = quantities.mass_kg(str(row["mass"])) if "mass" in row else None
    cut = cut_of(row.get("cut"), thickness_m, mass_kg, _c(row["pull"]))
    food = Food(row["letter"], row["name"], cut, _c(row["pull"]), _c(row["start"]), mass_kg, thickness_m)
    takes_s = hold_of(Wanted(_c(form.pit), (food,)))[0]
    return f"{max(5, round(CHECK_EARLY * takes_s / 300.0) * 5)} min"


def _c(text: object) -> float:
    return quantities.temperature_c(str(text))
