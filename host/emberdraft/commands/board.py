"""`emberdraft board check|deploy|restore|settings|console|selftest|points|...`: a real board over its USB cable."""

from __future__ import annotations

import argparse
import getpass
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from emberdraft.commands import board_adjust
from emberdraft.commands.common import add_json, print_json
from emberdraft.commands.running import running_broker
from emberdraft.config import load_config, read_password
from emberdraft.daemon.broker_keys import BrokerKeys, keys_file
from emberdraft.deploy import board_settings, fixed_points, listen, update
from emberdraft.deploy.build import CONVERTERS
from emberdraft.deploy.look import Finding, judge, look
from emberdraft.deploy.remote import Remote, get_in, restart
from emberdraft.deploy.selftest import Verdict, run_selftest
from emberdraft.errors import UserError
from emberdraft.store.place import default_path

NEED_BLOCKS = 110  # a compiled tree and room to spare: docs/reference/budgets.md
WATCH_S = 60.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb: one word says what to do, and each has its own."""
    deeds = parser.add_subparsers(dest="deed", metavar="DEED", required=True)
    check = _deed(deeds, "check", "what the board is, and whether the firmware can go onto it")
    add_json(check)
    deploy = _deed(deeds, "deploy", "put the firmware onto it; sends only what differs, keeps the one before")
    deploy.add_argument("--converter", choices=CONVERTERS, help="which chip is wired (default: as before)")
    deploy.add_argument("--watch", type=float, default=WATCH_S, metavar="S", help="listen so long after the start")
    _deed(deeds, "restore", "back to the firmware before this one")
    settings = _deed(deeds, "settings", "write Wi-Fi, broker and probes; secrets are asked for and never shown")
    settings.add_argument("change", nargs="*", metavar="NAME=VALUE", help="such as wifi_ssid=garden food_probes=2")
    settings.add_argument("--ask", action="append", default=[], metavar="NAME", help="ask for it without showing it")
    settings.add_argument("--from-host", action="store_true", help="cooker and broker as in the host's settings file")
    console = _deed(deeds, "console", "print what it says, without a word to it")
    console.add_argument("--seconds", type=float, default=None, metavar="S", help="stop after so long")
    selftest = _deed(deeds, "selftest", "look at every part that is wired: expected, saw, verdict")
    selftest.add_argument("--ask", action="store_true", help="also the lid button and a pulled pit probe")
    add_json(selftest)
    selftest.add_argument("--bite", action="store_true", help="also let the watchdog bite; the board restarts once")
    board_adjust.add_deeds(lambda name, line: _deed(deeds, name, line))
    points = deeds.add_parser("points", help="ice and boiling water as they are where you are, to check a probe with")
    where = points.add_mutually_exclusive_group(required=True)
    where.add_argument("--altitude", type=float, metavar="M", help="metres above the sea")
    where.add_argument("--pressure", type=float, metavar="HPA", help="of the air at your place, not reduced to the sea")
    points.add_argument("--shown", type=float, metavar="C", help="what the probe shows in boiling water, degC")
    add_json(points)


def _deed(deeds: Any, name: str, line: str) -> argparse.ArgumentParser:
    made: argparse.ArgumentParser = deeds.add_parser(name, help=line, description=line[0].upper() + line[1:] + ".")
    made.add_argument("--port", default="auto", metavar="DEV", help="serial port (default: the first board found)")
    if name != "console":
        made.add_argument("--settle", type=float, default=4.0, help=argparse.SUPPRESS)
    return made


def main(args: argparse.Namespace) -> int:
    """Do it."""
    deeds: dict[str, Callable[[argparse.Namespace], int]] = {
        "check": _check,
        "deploy": _deploy,
        "restore": _restore,
        "settings": _settings,
        "console": _console,
        "selftest": _selftest,
        "points": _points,
        "calibrate": lambda args: board_adjust.calibrate(args, _inside),
        "sweep": lambda args: board_adjust.sweep(args, _inside),
        "ends": lambda args: board_adjust.ends(args, _inside),
    }
    return deeds[args.deed](args)


def _check(args: argparse.Namespace) -> int:
    remote = _inside(args)
    findings = judge(look(remote), NEED_BLOCKS)
    restart(remote)
    if args.json:
        print_json({"findings": [asdict(finding) for finding in findings]})
    else:
        _print(findings)
    return 1 if any(finding.state == "bad" for finding in findings) else 0


def _print(findings: list[Finding]) -> None:
    for finding in findings:
        print(f"{finding.state:<5} {finding.what}: {finding.saw}" + (f"\n      {finding.todo}" if finding.todo else ""))


def _inside(args: argparse.Namespace) -> Remote:
    remote = Remote(args.port)
    get_in(remote, settle_s=args.settle)
    return remote


def _deploy(args: argparse.Namespace) -> int:
    remote = _inside(args)
    facts = look(remote)
    converter = args.converter or facts.converter or CONVERTERS[0]
    board_settings.refuse_unless_fitting(board_settings.read(remote), converter)
    update.deploy(remote, facts, converter, print)
    carried = board_settings.carry_over(remote)
    if carried:
        print(carried)
    if not facts.settings:
        print("It has no settings yet: `emberdraft board settings` writes them. Until then its blower stays off.")
    restart(remote)
    return _watched(args, remote) if args.watch > 0.0 else 0


def _watched(args: argparse.Namespace, remote: Remote) -> int:
    port = listen.find_port() if args.port == "auto" else args.port
    print(f"restarted; listening for {args.watch:.0f} s", flush=True)
    trouble = listen.trouble_within(port, args.watch)
    if not trouble:
        print("it ran without a traceback")
        return 0
    get_in(remote, settle_s=args.settle)
    update.restore(remote)
    restart(remote)
    raise UserError(f"the new firmware said '{trouble}'; the one before it is back in its place")


def _restore(args: argparse.Namespace) -> int:
    remote = _inside(args)
    update.restore(remote)
    restart(remote)
    print("the firmware before this one is in its place; `restore` again changes them back")
    return 0


def _settings(args: argparse.Namespace) -> int:
    changes = _from_host() if args.from_host else {}
    for word in args.change:
        name, equals, text = word.partition("=")
        if not equals:
            raise UserError(f"'{word}': NAME=VALUE would be right")
        if name in board_settings.SECRET:
            raise UserError(f"{name}: not on a command line, where others can read it; --ask {name} asks for it")
        changes[name] = board_settings.from_text(name, text)
    for name in args.ask:
        changes[name] = board_settings.from_text(name, getpass.getpass(f"{name}: "))
    remote = _inside(args)
    values = board_settings.changed(board_settings.read(remote), changes)
    board_settings.write(remote, values)
    for name in sorted(changes):
        print(f"{name}: {board_settings.shown(name, values[name])}")
    restart(remote)
    return 0


def _from_host() -> dict[str, Any]:
    """The host's cooker and broker, so that board and host know each other in one step."""
    config = load_config()
    broker = config.broker
    if not broker.host:
        return _from_embedded(config.cooker)
    return {
        "cooker": config.cooker,
        "broker_host": broker.host,
        "broker_port": broker.port,
        "broker_user": broker.user,
        "broker_password": read_password(config),
    }


def _from_embedded(cooker: str) -> dict[str, Any]:
    """The broker of a host that runs with --lan, and this board's own password there."""
    db = default_path()
    where = running_broker(db)
    if where is None or where[0].startswith("127."):
        raise UserError("no broker that a board can reach: name one in the settings, or run `emberdraft serve --lan`")
    password = BrokerKeys(keys_file(db)).password(cooker)
    named = {"broker_host": where[0], "broker_port": where[1], "broker_user": cooker, "broker_password": password}
    return {"cooker": cooker, **named}


def _points(args: argparse.Namespace) -> int:
    hpa = args.pressure if args.pressure is not None else fixed_points.pressure_hpa(args.altitude)
    boiling_c = fixed_points.boiling_c(hpa)
    if args.json:
        print_json({"pressure_hpa": round(hpa, 1), "ice_c": fixed_points.ICE_C, "boiling_c": round(boiling_c, 2)})
        return 0
    print(f"Air {hpa:.0f} hPa: ice {fixed_points.ICE_C:.1f} degC, boiling water {boiling_c:.1f} degC")
    if args.shown is not None:
        print(fixed_points.advice(boiling_c, args.shown))
    return 0


def _console(args: argparse.Namespace) -> int:
    port = listen.find_port() if args.port == "auto" else args.port
    line = listen.Line(port)
    try:
        for text in line.texts(args.seconds):
            print(text, flush=True)
    finally:
        line.close()
    return 0


def _selftest(args: argparse.Namespace) -> int:
    remote = _inside(args)
    if args.ask:
        print("When the light comes on, press the lid button; when it comes on again, pull the pit probe.", flush=True)
    verdicts = run_selftest(remote, ask=args.ask, bite=args.bite, settle_s=args.settle)
    restart(remote)
    if args.json:
        print_json({"verdicts": [asdict(verdict) for verdict in verdicts]})
    else:
        _tell(verdicts)
    return 0 if all(verdict.good for verdict in verdicts) else 1


def _tell(verdicts: list[Verdict]) -> None:
    for verdict in verdicts:
        print(f"{'good' if verdict.good else 'BAD':<5} {verdict.what}: expected {verdict.expected}, saw {verdict.saw}")
    bad = sum(not verdict.good for verdict in verdicts)
    print("All of it is as expected." if not bad else f"{bad} not as expected.")
