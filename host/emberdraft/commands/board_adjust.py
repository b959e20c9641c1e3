"""`emberdraft board calibrate|sweep|ends`: measure on the board, and write what was found into its settings."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import date
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_json, print_json
from emberdraft.deploy import adjust, board_settings, fixed_points
from emberdraft.deploy.remote import Remote, restart
from emberdraft.errors import UserError

Inside = Callable[[argparse.Namespace], Remote]


def add_deeds(deed: Callable[[str, str], argparse.ArgumentParser]) -> None:
    """Their arguments."""
    calibrate = deed("calibrate", "read a probe at a known temperature and keep its offset on the board, with the date")
    calibrate.add_argument("sensor", choices=adjust.SENSORS, help="pit, stone, food1 ...")
    _points(calibrate)
    calibrate.add_argument("--seconds", type=int, default=30, metavar="S", help="how long it is read")
    calibrate.add_argument("--shown", metavar="TEMP", help="what the page shows, instead of reading it: 99.2C")
    add_json(calibrate)
    sweep = deed("sweep", "find the lowest drive at which the blower turns, and keep it on the board")
    sweep.add_argument("--seen", type=int, metavar="PERCENT", help="the last step at which you saw it turn")
    add_json(sweep)
    ends = deed("ends", "find the damper's end stops with the lid button, or by its pot, and keep them on the board")
    ends.add_argument("--shut", choices=("short", "long"), default="short", help="which pulses shut it")
    add_json(ends)


def _points(calibrate: argparse.ArgumentParser) -> None:
    point = calibrate.add_mutually_exclusive_group(required=True)
    point.add_argument("--ice", action="store_true", help="it sits in melting ice")
    point.add_argument("--boiling", action="store_true", help="it sits in boiling water; say --altitude or --pressure")
    point.add_argument("--at", metavar="TEMP", help="it sits in a dry block at this temperature, such as 150C")
    point.add_argument("--clear", action="store_true", help="forget its offset")
    where = calibrate.add_mutually_exclusive_group()
    where.add_argument("--altitude", type=float, metavar="M", help="metres above the sea")
    where.add_argument("--pressure", type=float, metavar="HPA", help="of the air at your place, not reduced to the sea")


def calibrate(args: argparse.Namespace, inside: Inside) -> int:
    """One sensor at one point."""
    point_c = None if args.clear else _point_c(args)
    remote = inside(args)
    values = board_settings.read(remote)
    if point_c is None:
        return _keep(args, remote, values, {_mk(args): 0, _date(args): ""}, f"{args.sensor}: no offset any more")
    if args.shown is not None:
        mean_c = quantities.temperature_c(args.shown) - values[_mk(args)] / 1000.0
    else:
        mean_c = adjust.measure(remote, args.sensor, args.seconds).mean_c
    today = date.today().isoformat()
    changes = {_mk(args): adjust.offset_mk(args.sensor, point_c, mean_c), _date(args): today}
    return _keep(args, remote, values, changes, adjust.sentence(args.sensor, point_c, mean_c, today))


def _mk(args: argparse.Namespace) -> str:
    return f"{args.sensor}_offset_mk"


def _date(args: argparse.Namespace) -> str:
    return f"{args.sensor}_offset_date"


def _point_c(args: argparse.Namespace) -> float:
    """The true temperature of the point."""
    if args.at is not None:
        return quantities.temperature_c(args.at)
    if args.ice:
        return fixed_points.ICE_C
    if args.pressure is None and args.altitude is None:
        raise UserError("--boiling: it depends on the air; say --altitude M or --pressure HPA as well")
    hpa = args.pressure if args.pressure is not None else fixed_points.pressure_hpa(args.altitude)
    return fixed_points.boiling_c(hpa)


def sweep(args: argparse.Namespace, inside: Inside) -> int:
    """The blower from 40 % downward."""
    if args.seen is not None and not 5 <= args.seen <= 40:
        raise UserError(f"--seen {args.seen}: a percentage from 5 to 40 would be right")
    remote = inside(args)
    rows = adjust.sweep(remote)
    if not args.json:
        for row in rows:
            print(f"{row['percent']:>3} %  {'look' if row['rpm'] is None else format(row['rpm'], '.0f') + ' rpm'}")
    lowest = adjust.lowest_percent(rows, args.seen)
    said = f"blower: set to turn from {lowest} % on; below that it is given in portions"
    return _keep(args, remote, board_settings.read(remote), {"blower_lowest_pct": lowest}, said, rows)


def ends(args: argparse.Namespace, inside: Inside) -> int:
    """The damper to both of its stops."""
    remote = inside(args)
    if not args.json:
        print(
            "The damper moves twice, first with shorter pulses. Press the lid button when it touches its stop.",
            flush=True,
        )
    changes = adjust.ends(remote, args.shut)
    said = "damper: " + ", ".join(f"{name.partition('_')[2]} {value}" for name, value in sorted(changes.items()))
    return _keep(args, remote, board_settings.read(remote), changes, said)


def _keep(
    args: argparse.Namespace,
    remote: Remote,
    values: dict[str, Any],
    changes: dict[str, Any],
    said: str,
    rows: list[dict[str, Any]] | None = None,
) -> int:
    """Write, restart, tell."""
    board_settings.write(remote, board_settings.changed(values, changes))
    restart(remote)
    if args.json:
        print_json({"settings": changes, **({"steps": rows} if rows is not None else {})})
    else:
        print(said)
    return 0
