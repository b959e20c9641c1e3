"""`emberdraft change dinner 19:30`: the running evening changed as it goes; first it says what that makes of it."""

from __future__ import annotations

import argparse
from typing import Any, get_args

import msgspec

from emberdraft import quantities
from emberdraft.commands.common import add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.running import call
from emberdraft.daemon.plan_form import Animal, Cut, FoodKind
from emberdraft.said import Said, render

LONGEST_WAIT_S = 20.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One word for what is changed, and what belongs to it."""
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    _one(what, "target", "another target of the pit").add_argument("value", metavar="TEMPERATURE", help="125C, 260F")
    what.choices["target"].add_argument("--this-phase", action="store_true", help="for this phase only")
    _add(_one(what, "add", "one more piece"))
    _one(what, "drop", "one piece less").add_argument("letter", metavar="LETTER")
    pull = _one(what, "pull", "another pull temperature")
    pull.add_argument("letter", metavar="LETTER")
    pull.add_argument("value", metavar="TEMPERATURE", help="57C, 135F")
    for word in ("longer", "shorter"):
        sub = _one(what, word, f"the hold, or a piece without a probe, {word}")
        sub.add_argument("by", metavar="TIME", help="30min, 1h30min")
        sub.add_argument("--piece", default="", metavar="LETTER", help="a piece that is measured by hand")
    _one(what, "no-sear", "neither climb nor sear")
    _one(what, "dinner", "dinner earlier or later").add_argument("value", metavar="HH:MM")
    _one(what, "back", "the newest change is taken back")


def _one(what: Any, word: str, help_: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = what.add_parser(word, help=help_, description=help_)
    parser.add_argument("--yes", action="store_true", help="do it; without it nothing is changed")
    parser.add_argument("--at-cooker", action="store_true", help="I am at the cooker: what raises heat needs it")
    parser.add_argument("--cooker", default=None, metavar="NAME", help="which one, where the host minds several")
    add_db(parser)
    add_units(parser)
    add_json(parser)
    return parser


def _add(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--animal", choices=get_args(Animal), default="pork")
    parser.add_argument("--cut", choices=get_args(Cut), default="chop")
    parser.add_argument("--kind", choices=get_args(FoodKind), default="whole")
    parser.add_argument("--mass", default="", help="2.5kg, 5.5lb")
    parser.add_argument("--thickness", default="", help="4cm, 1.5in")
    parser.add_argument("--done", default="", metavar="TEMPERATURE", help="the core as it is eaten")
    parser.add_argument("--warm", action="store_true", help="stood out for 45 min, not from the fridge")
    parser.add_argument("--probe", type=int, default=None, metavar="N", help="the food probe in it, from 0")


def main(args: argparse.Namespace) -> int:
    """Say what it makes of the evening; with --yes do it."""
    name, asked = asked_of(args)
    found = call(db_path(args), "/api/foresee", {"name": name, "args": asked}, args.cooker, LONGEST_WAIT_S)
    if args.yes:
        there = {"at_cooker": True} if args.at_cooker and found["raises"] else {}
        body = {"name": name, "args": {**asked, **found["more"], **there}}
        call(db_path(args), "/api/command", body, args.cooker, LONGEST_WAIT_S)
    if args.json:
        print_json({**found, "done": args.yes})
        return 0
    print("\n".join(render(msgspec.convert(line, str | Said), unit(args)) for line in found["lines"]))
    print("Done; `emberdraft change back --yes` takes it back." if args.yes else _how(found["raises"]))
    return 0


def _how(raises: bool) -> str:
    return "Nothing is changed yet: --yes does it" + (", with --at-cooker: it raises heat." if raises else ".")


def asked_of(args: argparse.Namespace) -> tuple[str, dict[str, Any]]:
    """The command of the host, with its arguments."""
    if args.what == "target":
        return "target", {"target_c": quantities.temperature_c(args.value), "from_now_on": not args.this_phase}
    if args.what == "add":
        keys = ("animal", "cut", "kind", "mass", "thickness", "done")
        piece = {key: getattr(args, key) for key in keys} | {"cold": not args.warm}
        return "add_piece", {"piece": piece, "probe": args.probe}
    if args.what == "pull":
        return "pull_at", {"letter": args.letter, "pull_c": quantities.temperature_c(args.value)}
    if args.what in ("longer", "shorter"):
        by_s = quantities.duration_s(args.by)
        return "longer", {"by_s": by_s if args.what == "longer" else -by_s, "letter": args.piece}
    if args.what == "dinner":
        return "dinner", {"serve": args.value}
    if args.what == "drop":
        return "drop_piece", {"letter": args.letter}
    return {"no-sear": "no_sear", "back": "take_back"}[args.what], {}
