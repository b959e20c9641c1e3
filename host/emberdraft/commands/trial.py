"""`emberdraft trial new|list|show|assign|weigh|look|fridge|cook|taste|compare|report|again|end|demo`: was it real?"""

from __future__ import annotations

import argparse
import base64
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberdraft.commands import trial_demo, trial_text
from emberdraft.commands.common import add_db, add_json, db_path, print_json
from emberdraft.commands.record import cook_number, open_record
from emberdraft.commands.running import call, running_url
from emberdraft.errors import UserError
from emberdraft.trials.deeds import MAINS

Row = dict[str, Any]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb: one word says what to do, and each has its own."""
    deeds = parser.add_subparsers(dest="deed", metavar="DEED", required=True)
    _new_arguments(_deed(deeds, "new", "ask a question: treatments, pieces, what decides; days before the cook", False))
    _deed(deeds, "list", "every trial", False)
    _deed(deeds, "show", "one trial: who gets what, weights, looks, fridge, tastings")
    _deed(deeds, "assign", "let chance say who gets what: once, from the seed drawn with the trial")
    _days_arguments(deeds)
    _taste_arguments(_deed(deeds, "taste", "a blind tasting: begin, sheet for the one who serves, answer, close"))
    _deed(deeds, "compare", "what it shows, what it cannot show, and how many repeats it would take")
    report = _deed(deeds, "report", "the report a stranger can check: html or pdf")
    report.add_argument("-o", "--output", required=True, metavar="FILE", help="its ending says what: .html, .pdf")
    _deed(deeds, "again", "the next round: same question and pieces, a new seed")
    _deed(deeds, "end", "nothing more is measured in it")
    demo = _deed(deeds, "demo", "three rehearsed cooks and an invented panel, from question to answer", False)
    demo.add_argument("--cooks", type=int, default=3, metavar="N", help="how many cooks are rehearsed (default 3)")


def _deed(deeds: Any, name: str, line: str, of_one: bool = True) -> argparse.ArgumentParser:
    made: argparse.ArgumentParser = deeds.add_parser(name, help=line, description=line[0].upper() + line[1:] + ".")
    if of_one:
        made.add_argument("trial", metavar="TRIAL", help="its number in `emberdraft trial list`, or 'last'")
    add_db(made)
    add_json(made)
    return made


def _new_arguments(new: argparse.ArgumentParser) -> None:
    new.add_argument("name", metavar="NAME", help="what the trial is called")
    new.add_argument("--question", required=True, help="what is asked, in a sentence")
    new.add_argument("--treatments", required=True, metavar="A,B", help="two to six; the first is compared with")
    pieces = new.add_mutually_exclusive_group(required=True)
    pieces.add_argument("--blocks", type=int, metavar="N", help="N blocks of alike neighbours, one piece a treatment")
    pieces.add_argument("--pieces", metavar="NAME:BLOCK,...", help="pieces with their block, where they are others")
    new.add_argument("--main", choices=MAINS, default="time_to_pull", help="the one measure that decides")
    new.add_argument("--least", type=float, metavar="X", help="the smallest difference worth knowing (min, %%, °C/min)")
    new.add_argument("--tolerance", default="1C", help="of the food probes, plus or minus (default 1C)")
    new.add_argument("--off-centre", default="4mm", help="how far a tip may be from the middle (default 4mm)")
    new.add_argument("--scale", default="1g", help="step of the scale (default 1g)")
    new.add_argument("--note", default="", help="words to keep with it")


def _days_arguments(deeds: Any) -> None:
    weigh = _deed(deeds, "weigh", "a piece on the scale after a step")
    weigh.add_argument("piece", metavar="PIECE")
    weigh.add_argument("step", metavar="STEP", help="raw, salted, fridge, on, pulled, rested, seared")
    weigh.add_argument("mass", metavar="MASS", help="with its unit: 412g")
    look = _deed(deeds, "look", "what is seen of a piece, or of all, with a photo if there is one")
    look.add_argument("words", metavar="WORDS")
    look.add_argument("--piece", default="", help="of which piece")
    look.add_argument("--photo", type=Path, default=None, metavar="FILE", help="jpeg, png or webp, at most 1.5 MB")
    fridge = _deed(deeds, "fridge", "the air round the waiting pieces")
    fridge.add_argument("air", metavar="TEMP", help="with its unit: 3.5C")
    cook = _deed(deeds, "cook", "which piece was which letter in a cook")
    cook.add_argument("cook", metavar="COOK", help="its number in `emberdraft cooks`, or 'last'")
    cook.add_argument("linked", nargs="+", metavar="PIECE=LETTER", help="such as 1a=A 1b=B")


def _taste_arguments(taste: argparse.ArgumentParser) -> None:
    taste.add_argument("--method", choices=("triangle", "duo-trio", "preference", "difference"), help="begin one")
    taste.add_argument("--answers", type=int, default=None, metavar="N", help="how many answers are hoped for")
    taste.add_argument("--treatments", default="", metavar="A,B", help="which two (default: the first two)")
    taste.add_argument("--quality", default="", help="of difference: what is asked, such as juicier")
    taste.add_argument("--cook", default=None, metavar="COOK", help="whose pieces are tasted")
    taste.add_argument("--tasting", type=int, default=None, metavar="K", help="go on with tasting K:")
    taste.add_argument("--sheet", action="store_true", help="... print what is under each code, for who serves")
    taste.add_argument("--answer", default=None, metavar="CODE", help="... the code a taster chose")
    taste.add_argument("--taster", default="", help="... who: a name or initials")
    taste.add_argument("--close", action="store_true", help="... close it: results, and codes, may then be read")


def main(args: argparse.Namespace) -> int:
    """Do it, print what came of it."""
    if getattr(args, "trial", None) is not None:
        args.trial = _number(args)
    made, lines = _DEEDS.get(args.deed, _plain)(args)
    if args.json:
        print_json(made)
    else:
        print("\n".join(lines))
    return 0


Done = tuple[Row, list[str]]


def _number(args: argparse.Namespace) -> int:
    """'last' or a number, checked against the record."""
    with open_record(db_path(args)) as reader:
        numbers = [row["id"] for row in reader.trials.all()]
    if args.trial == "last" and numbers:
        return int(max(numbers))
    if not str(args.trial).isdigit() or int(args.trial) not in numbers:
        known = f"1 to {max(numbers)} are known, or 'last'" if numbers else "`emberdraft trial new` makes one"
        raise UserError(f"trial {args.trial!r}: there is none of that number; {known}")
    return int(args.trial)


def _do(args: argparse.Namespace, deed: str, **body: Any) -> Row:
    """Through the host that has the record open, else straight into the record."""
    db = db_path(args)
    if running_url(db) is not None:
        made: Row = call(db, "/api/trials/do", {"deed": deed, "args": body})
        return made
    from emberdraft.store.store import Store
    from emberdraft.trials.deeds import do

    with Store(db) as store:
        return do(store, deed, body, time.time())


def _new(args: argparse.Namespace) -> Done:
    treatments = [text.strip() for text in args.treatments.split(",")]
    made = _do(
        args, "new", name=args.name, question=args.question, treatments=treatments, main=args.main, least=args.least,
        pieces=_pieces(args, treatments), tolerance=args.tolerance, off_centre=args.off_centre, scale=args.scale,
        note=args.note,
    )  # fmt: skip
    number = made["trial"]
    return made, [f"Trial {number} is begun; its seed is drawn.", f"Next: emberdraft trial assign {number}"]


def _pieces(args: argparse.Namespace, treatments: list[str]) -> list[str]:
    if args.pieces:
        return [text.strip() for text in args.pieces.split(",")]
    if not 1 <= args.blocks <= 60:
        raise UserError(f"--blocks {args.blocks}: 1 to 60 would be right")
    letters = "abcdef"[: len(treatments)]
    return [f"{block}{letter}:{block}" for block in range(1, args.blocks + 1) for letter in letters]


def _list(args: argparse.Namespace) -> Done:
    with open_record(db_path(args)) as reader:
        rows = reader.trials.all()
    return {"trials": rows}, trial_text.list_lines(rows)


def _show(args: argparse.Namespace) -> Done:
    from emberdraft.trials.answer import shown_trial, whole

    with open_record(db_path(args)) as reader:
        trial = shown_trial(whole(reader, args.trial))
    return trial, trial_text.trial_lines(trial)


def _assign(args: argparse.Namespace) -> Done:
    made = _do(args, "assign", trial=args.trial)
    given = [f"  {piece}: {treatment}" for piece, treatment in sorted(made["given"].items())]
    return made, [f"Chance has said, from the seed {made['seed']}:", *given]


def _weigh(args: argparse.Namespace) -> Done:
    made = _do(args, "weigh", trial=args.trial, piece=args.piece, step=args.step, mass=args.mass)
    return made, [f"{args.piece}, {args.step}: {1000 * made['mass_kg']:g} g."]


def _look(args: argparse.Namespace) -> Done:
    photo = ""
    if args.photo is not None:
        try:
            photo = base64.b64encode(args.photo.read_bytes()).decode()
        except OSError as error:
            raise UserError(f"--photo {args.photo}: {error.strerror}; a file that can be read") from None
    made = _do(args, "look", trial=args.trial, words=args.words, piece=args.piece, photo=photo)
    return made, ["Kept."]


def _fridge(args: argparse.Namespace) -> Done:
    made = _do(args, "fridge", trial=args.trial, air=args.air)
    return made, [f"Fridge: {made['air_c']:g} °C.", *([str(made["caution"])] if made["caution"] else [])]


def _cook(args: argparse.Namespace) -> Done:
    with open_record(db_path(args)) as reader:
        cook = cook_number(reader, args.cook)
    pairs = [text.partition("=") for text in args.linked]
    wrong = [text for text, (_, middle, letter) in zip(args.linked, pairs, strict=True) if not middle or not letter]
    if wrong:
        raise UserError(f"{wrong[0]!r}: PIECE=LETTER would be right, such as 1a=A")
    made = _do(args, "cook", trial=args.trial, cook=cook, pieces={name: letter for name, _, letter in pairs})
    return made, [f"{made['linked']} pieces are of cook {cook}."]


def _taste(args: argparse.Namespace) -> Done:
    if args.tasting is None and args.method is None:
        made, _ = _show(args)
        return {"tastings": made["tastings"]}, trial_text.tasting_lines(made["tastings"]) or ["No tasting yet."]
    if args.tasting is None:
        return _begin_tasting(args)
    if args.answer is not None:
        made = _do(args, "answer", tasting=args.tasting, code=args.answer, taster=args.taster)
        return made, [f"Kept: {made['answered']} of {made['total']}."]
    if args.close:
        made = _do(args, "close", tasting=args.tasting)
        return made, ["Closed.", *trial_text.tasting_lines([made])]
    return _sheet(args)


def _begin_tasting(args: argparse.Namespace) -> Done:
    if args.answers is None:
        raise UserError(
            "--answers: how many are hoped for, such as 12; `emberdraft tasting` says what a number can show"
        )
    with open_record(db_path(args)) as reader:
        cook = None if args.cook is None else cook_number(reader, args.cook)
    names = [text.strip() for text in args.treatments.split(",") if text.strip()]
    made = _do(
        args, "taste", trial=args.trial, method=args.method, answers=args.answers, treatments=names,
        quality=args.quality, cook=cook,
    )  # fmt: skip
    url = running_url(db_path(args))
    where = f"Tasters answer at {url.rstrip('/')}/tastings/{made['tasting']}" if url else "Tasters answer on the page"
    sheet = f"For who serves: emberdraft trial taste {args.trial} --tasting {made['tasting']} --sheet"
    return made, [f"Tasting {made['tasting']} is open. {where}, one at a time.", sheet]


def _sheet(args: argparse.Namespace) -> Done:
    from emberdraft.trials.answer import whole
    from emberdraft.trials.deeds_tasting import tasting_of
    from emberdraft.trials.panel import seen_by_taster, sheet

    with open_record(db_path(args)) as reader:
        row = tasting_of(reader, args.tasting)
        names = {t["id"]: t["name"] for t in whole(reader, row["trial_id"])["treatments"]}
    if not args.sheet:
        seen = seen_by_taster(row)
        return seen, [f"{seen['answered']} of {seen['total']} have answered. {seen['asked']}"]
    made = {"tasting": args.tasting, "sheet": sheet(row, names)}
    return made, trial_text.sheet_lines(made["sheet"])


def _compare(args: argparse.Namespace) -> Done:
    from emberdraft.trials.answer import answer_of

    with open_record(db_path(args)) as reader:
        made = answer_of(reader, args.trial)
    return made, trial_text.answer_lines(made)


def _report(args: argparse.Namespace) -> Done:
    from emberdraft.trials.report import write_report

    with open_record(db_path(args)) as reader:
        write_report(reader, args.trial, args.output)
    return {"written": args.output}, [f"Written: {args.output}"]


def _plain(args: argparse.Namespace) -> Done:
    """again, end."""
    made = _do(args, args.deed, trial=args.trial)
    said = f"Trial {made['trial']} is begun." if args.deed == "again" else f"Trial {made['trial']} has ended."
    return made, [said]


def _demo(args: argparse.Namespace) -> Done:
    made = trial_demo.run(args.db, args.cooks)
    return made, [*trial_text.answer_lines(made["answer"]), "", f"All of it: emberdraft trial show 1 --db {made['db']}"]


_DEEDS: dict[str, Callable[[argparse.Namespace], Done]] = {
    **{"new": _new, "list": _list, "show": _show, "assign": _assign, "weigh": _weigh, "look": _look},
    **{"fridge": _fridge, "cook": _cook, "taste": _taste, "compare": _compare, "report": _report, "demo": _demo},
}
