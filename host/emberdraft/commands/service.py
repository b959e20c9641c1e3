"""`emberdraft service`: the unit file that makes systemd run the host, for this very installation."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from emberdraft.errors import UserError

TEMPLATE = Path(__file__).parents[1] / "deploy" / "emberdraft.service"
UNIT = Path("/etc/systemd/system/emberdraft.service")
PASSWORD = Path("/etc/emberdraft/broker-password")
IN_TEMPLATE = "/opt/emberdraft/.venv/bin/emberdraft"
UNSEEN = ("/home/", "/root/", "/tmp/", "/var/tmp/")  # the unit hides these from the service


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--install", action="store_true", help=f"write it to {UNIT} (as root); else it is printed")


def main(args: argparse.Namespace) -> int:
    """Print the unit, or put it where systemd looks."""
    unit = unit_text(_here(), PASSWORD.exists())
    if not args.install:
        print(unit, end="")
        return 0
    try:
        UNIT.write_text(unit, encoding="utf-8")
    except OSError as error:
        raise UserError(f"{UNIT}: {error.strerror}; run it as root, on a machine with systemd") from None
    print(f"{UNIT} is written. Start it, now and at every boot:")
    print("  systemctl daemon-reload && systemctl enable --now emberdraft")
    return 0


def _here() -> str:
    """The command of this installation, which the service must be able to see."""
    command = str(Path(sys.executable).with_name("emberdraft"))
    if command.startswith(UNSEEN):
        raise UserError(f"{command}: the service sees no home and no temporary folder; install in /opt or /usr/local")
    return command


def unit_text(command: str, password: bool) -> str:
    """The unit for `command`. A credential that is not there would keep the service from starting."""
    lines = TEMPLATE.read_text(encoding="utf-8").replace(IN_TEMPLATE, command).splitlines(keepends=True)
    return "".join(line for line in lines if password or not line.startswith("LoadCredential="))
