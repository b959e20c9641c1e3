"""`emberdraft broker`: a folder for Mosquitto, with TLS, passwords and rights."""

from __future__ import annotations

import argparse
import ipaddress
from pathlib import Path

from emberdraft.commands.common import add_json, print_json
from emberdraft.daemon.homie import prefix_trouble
from emberdraft.deploy.certificates import BROKER_NAME
from emberdraft.deploy.mosquitto import PLAIN_PORT, PORT, add_board, write_folder
from emberdraft.errors import UserError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    acts = parser.add_subparsers(dest="act", metavar="WHAT", required=True)
    write = acts.add_parser("write", help="a new folder: configuration, certificates, passwords, rights")
    write.add_argument("folder", metavar="DIR", type=Path, help="a new or empty folder")
    write.add_argument("--address", required=True, metavar="IPV4", help="where the broker shall listen")
    write.add_argument("--cooker", action="append", default=[], metavar="NAME", help="a board's; may be repeated")
    write.add_argument("--plain", action="store_true", help="also without TLS, for boards that have no room for it")
    write.add_argument("--discovery", default="", metavar="PREFIX", help="let the host tell hubs below PREFIX")
    add = acts.add_parser("add", help="one more board in a folder that was written here")
    add.add_argument("folder", metavar="DIR", type=Path)
    add.add_argument("cooker", metavar="COOKER")
    for each in (write, add):
        add_json(each)


def main(args: argparse.Namespace) -> int:
    """Say what was made and what to do with it; no password is printed."""
    return _write(args) if args.act == "write" else _add(args)


def _write(args: argparse.Namespace) -> int:
    try:
        address = str(ipaddress.IPv4Address(args.address))
    except ValueError:
        raise UserError(f"--address {args.address}: a numeric address such as 192.168.1.20 would be right") from None
    plain_port = PLAIN_PORT if args.plain else None
    if args.discovery and (trouble := prefix_trouble(args.discovery)):
        raise UserError(f"--discovery {trouble}")
    made = write_folder(args.folder, address, args.cooker, plain_port=plain_port, discovery=args.discovery)
    users = sorted(made)
    folder = args.folder.resolve()
    if args.json:
        print_json({"folder": str(folder), "address": address, "port": PORT, "plain_port": plain_port, "users": users})
        return 0
    print(f"Written: {folder}, users {', '.join(users)}; passwords in keys.json and host-password, mode 0600.")
    print(f"Start:   mosquitto -c {folder}/mosquitto.conf")
    print("The host's settings file:")
    print(f'  [broker]\n  host = "{address}"\n  port = {PORT}\n  user = "host"')
    print(f'  password_file = "{folder}/host-password"\n  ca_file = "{folder}/ca.pem"')
    print(f"A board: user = its cooker's name, broker_name={BROKER_NAME}, the file broker.der beside its settings.")
    if args.plain:
        print(f"A board without room for TLS: port {PLAIN_PORT}, no broker_name; its password travels plainly.")
    return 0


def _add(args: argparse.Namespace) -> int:
    add_board(args.folder, args.cooker)
    if args.json:
        print_json({"folder": str(args.folder.resolve()), "cooker": args.cooker})
        return 0
    print(f"Added: {args.cooker}. Its password is in keys.json. Tell the broker: kill -HUP $(pidof mosquitto)")
    return 0
