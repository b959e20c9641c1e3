"""The command line: one verb, one module in `emberdraft.commands`, imported only when it is asked for."""

from __future__ import annotations

import argparse
import importlib
import keyword
import os
import sys
from collections.abc import Sequence
from types import ModuleType

from emberdraft.errors import UserError

# Verb, one line for the overview. The order is the order of a person's day with the tool.
VERBS = (
    ("demo", "a whole simulated cook on this computer, watched on a page"),
    ("serve", "the host for real boards: broker or your own, record, page"),
    ("rehearse", "run a plan on a simulated cooker, as fast as it goes"),
    ("cooks", "list the recorded cooks"),
    ("show", "one cook: phases, pieces, figures"),
    ("report", "one cook as a page to keep: html, png or pdf"),
    ("mark", "note something in the cook that is running"),
    ("change", "the evening changed as it goes: pieces, target, longer, dinner; says first what that does"),
    ("export", "one cook as csv, json or parquet"),
    ("import", "a cook that was exported comes back: csv or json"),
    ("again", "a plan made from what was really done in a cook"),
    ("tune", "gains that suit this cooker: model, margins, your cook replayed"),
    ("vents", "how far to open the top vent, from the cooker's own cooks"),
    ("when", "from the table back: when to light and put on, for dinner at an hour"),
    ("fuel", "how much charcoal a plan needs, with a band"),
    ("brine", "how much salt for a dry brine, and how far it gets by when"),
    ("trial", "was it real? a comparison of pieces, from the question to the answer"),
    ("tasting", "what a blind tasting showed, and what it could have shown"),
    ("bench", "controllers against simulated cookers: figures of control"),
    ("board", "a real board on its cable: look, put the firmware on, settings, self-test"),
    ("settings", "the host's settings: where they are, what each means; change one"),
    ("service", "the host as a service of this machine: the unit file for systemd"),
    ("broker", "a folder for Mosquitto: TLS, passwords, rights by role"),
    ("calls", "before bed: what may wake me, is a phone reached, does the charcoal last"),
    ("people", "who may see the page from another machine"),
    ("delete-all-my-data", "the record, plans and passwords, for good; asks in words"),
    ("mend", "a damaged record is set aside, a new one takes over what still reads"),
    ("doctor", "what is healthy, what is not, and what to do"),
)

EPILOG = """\
First time here? Run `emberdraft demo`, open the address it prints, and watch.
All cookers in demo, rehearse and bench are simulated: no real fire has been burned with this code yet.
Exit code: 0 done, 1 it could not be done (one line says why), 2 the command was not understood.
"""


def build_parser() -> argparse.ArgumentParser:
    """The overview, and for each verb its own arguments (added when the verb is known)."""
    parser = argparse.ArgumentParser(
        prog="emberdraft",
        description="Hold a charcoal-fired ceramic cooker at temperature, sear on it, and learn from the record.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", required=True)
    for verb, line in VERBS:
        verbs.add_parser(verb, help=line, description=line[0].upper() + line[1:] + ".")
    return parser


def module_of(verb: str) -> ModuleType:
    """The module of a verb; one that is a word of Python itself has an underscore behind it."""
    name = verb.replace("-", "_") + ("_" if keyword.iskeyword(verb) else "")
    return importlib.import_module(f"emberdraft.commands.{name}")


def _parse(argv: Sequence[str]) -> argparse.Namespace:
    """Two passes, so that only the module of the verb in hand is imported: a quick `--help`."""
    parser = build_parser()
    known = {verb for verb, _ in VERBS}
    verb = next((word for word in argv if not word.startswith("-")), None)
    if verb in known:
        verbs = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
        module_of(verb).add_arguments(verbs.choices[verb])
    return parser.parse_args(argv)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one verb; what a user can cause ends in one line, never in a traceback."""
    args = _parse(sys.argv[1:] if argv is None else argv)
    command = module_of(args.verb)
    try:
        return int(command.main(args))
    except UserError as error:
        print(f"emberdraft: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print(file=sys.stderr)
        return 0 if args.verb in ("demo", "serve") else 1
    except BrokenPipeError:
        # The reader of a pipe has gone (`emberdraft cooks | head`): nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


if __name__ == "__main__":
    sys.exit(main())
