"""Arguments and small habits that several verbs share."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

import msgspec

from emberdraft.config import load_config
from emberdraft.store.place import default_path


def add_db(parser: argparse.ArgumentParser) -> None:
    """`--db PATH`: which record."""
    parser.add_argument("--db", type=Path, default=None, metavar="PATH", help="the record (default: the usual place)")


def add_json(parser: argparse.ArgumentParser) -> None:
    """`--json`: one object, units in its keys."""
    parser.add_argument("--json", action="store_true", help="one JSON object, units in its keys")


def add_units(parser: argparse.ArgumentParser) -> None:
    """`--units C|F` for what people read."""
    parser.add_argument("--units", choices=("C", "F"), default=None, help="degC or degF (default: the settings file)")


def add_cook(parser: argparse.ArgumentParser) -> None:
    """The number of a cook, or the newest one."""
    parser.add_argument("cook", metavar="COOK", help="its number in `emberdraft cooks`, or 'last'")


def db_path(args: argparse.Namespace) -> Path:
    """The record that was named, or the usual one."""
    return Path(args.db) if args.db is not None else default_path()


def unit(args: argparse.Namespace) -> str:
    """'c' or 'f': said with --units, else the settings file."""
    return str(args.units or load_config().units).lower()


def print_json(value: Any) -> None:
    """One object on standard output."""
    json.dump(value, sys.stdout, indent=1, allow_nan=False, default=msgspec.to_builtins)
    print()
