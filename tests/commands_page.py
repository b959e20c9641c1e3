"""The page of all commands, made from their own help: `python -m tests.commands_page` writes it, a test compares."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from emberdraft.cli import VERBS, build_parser, module_of

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "commands.md"
WIDTH = "100"


def _subs(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The verbs below a parser, in their order; none below most."""
    found = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    return dict(found[0].choices) if found else {}


def _parser_of(verb: str) -> argparse.ArgumentParser:
    parser = _subs(build_parser())[verb]
    module_of(verb).add_arguments(parser)
    return parser


def _block(heading: str, parser: argparse.ArgumentParser) -> list[str]:
    return [heading, "", "```", parser.format_help().rstrip(), "```", ""]


def page_text() -> str:
    """Every verb and every verb below one, with its help as it prints."""
    os.environ["COLUMNS"] = WIDTH
    parts = ["# Commands", "", "Exit codes: 0 done, 1 it could not be done (one line says why), 2 not understood.", ""]
    for verb, _ in VERBS:
        parser = _parser_of(verb)
        parts += _block(f"## emberdraft {verb}", parser)
        for name, below in _subs(parser).items():
            parts += _block(f"### emberdraft {verb} {name}", below)
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
