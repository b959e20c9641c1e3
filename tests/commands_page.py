"""The page of all commands, made from their own help: `python -m tests.commands_page` writes it, a test compares."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from emberdraft.cli import VERBS, build_parser, module_of

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "commands.md"
WIDTH = "100"


def _help_of(verb: str) -> str:
    parser = build_parser()
    verbs = next(action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
    module_of(verb).add_arguments(verbs.choices[verb])
    return verbs.choices[verb].format_help()


def page_text() -> str:
    """Every verb with its help as it prints."""
    os.environ["COLUMNS"] = WIDTH
    parts = ["# Commands", "", "Exit codes: 0 done, 1 it could not be done (one line says why), 2 not understood.", ""]
    for verb, _ in VERBS:
        parts += [f"## emberdraft {verb}", "", "```", _help_of(verb).rstrip(), "```", ""]
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
