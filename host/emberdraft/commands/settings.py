"""`emberdraft settings`: where the host's settings are, what each means, and how to change one."""

from __future__ import annotations

import argparse
from typing import Any

from emberdraft.commands.common import add_json, print_json
from emberdraft.config import Config, config_path, load_config
from emberdraft.config_file import Setting, change, setting, settings_of
from emberdraft.errors import UserError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("key", nargs="?", metavar="KEY", help="one setting, such as units or broker.host")
    parser.add_argument("value", nargs="?", metavar="VALUE", help="what it is to be from the host's next start on")
    parser.add_argument("--reset", action="store_true", help="take KEY out of the file: its default holds again")
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Show all of them or one; change one."""
    if args.reset and (args.key is None or args.value is not None):
        raise UserError("--reset: name one KEY, and no value")
    wanted = [setting(args.key)] if args.key else list(settings_of())
    changed = args.value is not None or args.reset
    config = change(config_path(), args.key, args.value) if changed else load_config()
    if args.json:
        print_json(_as_json(wanted, config))
    else:
        print("\n".join(_lines(wanted, config)))
        if changed:
            print("Written. A host that runs now keeps its own until it is started again.")
    return 0


def _as_json(wanted: list[Setting], config: Config) -> dict[str, Any]:
    values = {one.key: {"value": one.value(config), "default": one.default, "meaning": one.meaning} for one in wanted}
    return {"file": str(config_path()), "settings": values}


def _lines(wanted: list[Setting], config: Config) -> list[str]:
    path = config_path()
    lines = [f"{path}{'' if path.exists() else ' (not there yet: the defaults hold)'}"]
    width = max(len(one.key) for one in wanted)
    for one in wanted:
        value = one.value(config)
        mark = "" if value != one.default else "  (default)"
        lines += [f"  {one.key:<{width}}  {_said(value)}{mark}", f"  {'':<{width}}  {one.meaning}"]
    return lines


def _said(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(value) or "none"
    return str(value) if value != "" else "none"
