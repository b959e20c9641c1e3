"""What is found on a board by measuring and then written into its settings: offsets, lowest drive, end stops."""

from __future__ import annotations

import json
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from emberdraft.deploy.fixed_points import CLASSES, tolerance_c
from emberdraft.deploy.remote import Remote
from emberdraft.errors import UserError

SENSORS = ("pit", "stone", "food1", "food2", "food3")
MOST_K = 10.0  # firmware/emberboard/settings.py
STILL_K = 0.6  # most and least of half a minute; two steps of a MAX31855
FOOD_K = 1.0  # 10 kohm probe and resistor of 1 %: 0.5 K near 0 degC, 1 K near 100 (worked out from its beta)
TURNS_RPM = 200.0
SPARE_PERCENT = 2  # a cold bearing or a low supply needs more than a sweep finds
BACK_US = 20  # from an end stop, so that the servo does not hum


@dataclass(frozen=True)
class Measured:
    """What a sensor said at a known temperature, without the offset that was set before."""

    mean_c: float
    spread_k: float
    count: int


def measure(remote: Remote, sensor: str, seconds: int) -> Measured:
    """Read it on the board; UserError when it has a fault or does not keep still."""
    remote.call("exec", f"SENSOR = '{sensor}'; SECONDS = {seconds}")
    return measured(sensor, remote.ask("measure.upy"), seconds)


def measured(sensor: str, said: dict[str, Any], seconds: int) -> Measured:
    """The same from what measure.upy said."""
    seen_c = [float(value) for value in said["seen_c"]]
    if said["fault"] or len(seen_c) < seconds:
        raise UserError(f"{sensor}: the board reads '{said['fault'] or 'nothing'}'; mend that first")
    spread_k = max(seen_c) - min(seen_c)
    if spread_k > STILL_K:
        raise UserError(
            f"{sensor}: it moved by {spread_k:.1f} K in {seconds} s; wait until it keeps still (below {STILL_K:g} K)"
        )
    return Measured(fmean(seen_c), spread_k, len(seen_c))


def allowed_k(sensor: str, point_c: float) -> tuple[float, str]:
    """How far off a sound sensor may be at this temperature, K, and by which rule."""
    if sensor.startswith("food"):
        return FOOD_K, "a 10 kohm probe and a resistor of 1 %"
    return tolerance_c(point_c, max(CLASSES)), f"class {max(CLASSES)} of IEC 60584-1"


def offset_mk(sensor: str, point_c: float, mean_c: float) -> int:
    """What to add to its readings, thousandths of K; UserError when that is more than a sensor may be off."""
    off_k = mean_c - point_c
    most_k, rule = allowed_k(sensor, point_c)
    if abs(off_k) > min(MOST_K, 2.0 * most_k):
        raise UserError(
            f"{sensor}: {mean_c:.1f} degC at a true {point_c:.1f} is {off_k:+.1f} K, more than twice what {rule} "
            f"allows ({most_k:g} K): look at type, polarity and converter, and change the probe"
        )
    return round(-1000.0 * off_k)


def sentence(sensor: str, point_c: float, mean_c: float, date: str) -> str:
    """What has been done, what it does, and how it stands to the rule."""
    off_k = mean_c - point_c
    most_k, rule = allowed_k(sensor, point_c)
    side = "high" if off_k > 0.0 else "low"
    stands = "within" if abs(off_k) <= most_k else "outside"
    return (
        f"{sensor}: {mean_c:.2f} degC at a true {point_c:.2f} is {abs(off_k):.2f} K too {side}, {stands} {rule} "
        f"({most_k:g} K). From the next start {-off_k:+.2f} K is added to all it reads, dated {date}; its limits act "
        "on what it then reads."
    )


# ---- blower ---------------------------------------------------------------------------------------------------------


def sweep(remote: Remote) -> list[dict[str, Any]]:
    """{percent, rpm} from 40 % downward; rpm None where no wire tells."""
    return rows_of(remote.run("sweep.upy"))


def rows_of(said: str) -> list[dict[str, Any]]:
    """The lines of JSON in what a script printed."""
    found = [json.loads(line) for line in said.splitlines() if line.startswith("{")]
    if not found:
        raise UserError(f"the board said nothing of a step: {said.strip()[-200:] or 'nothing at all'}")
    return found


def lowest_percent(rows: list[dict[str, Any]], seen: int | None = None) -> int:
    """The lowest drive to set: what still turned, and SPARE_PERCENT. `seen` is what a person saw turn last."""
    turning = [int(row["percent"]) for row in rows if row["rpm"] is not None and row["rpm"] >= TURNS_RPM]
    if not turning and seen is None:
        if all(row["rpm"] is None for row in rows):
            raise UserError(
                "no speed wire tells how it turns: watch the wheel and say --seen PERCENT, the last that turned"
            )
        raise UserError("it turns at no step up to 40 %: look at hand switch, second switch and fuse")
    low = min(turning) if seen is None else seen
    return max(5, min(40, low + SPARE_PERCENT))


# ---- damper ---------------------------------------------------------------------------------------------------------


def ends(remote: Remote, shut_by: str) -> dict[str, int]:
    """Settings from the end stops; `shut_by` says which pulses shut it, 'short' or 'long'."""
    return ends_of(rows_of(remote.run("ends.upy")), shut_by)


def ends_of(rows: list[dict[str, Any]], shut_by: str) -> dict[str, int]:
    """The same from what ends.upy said: a little back from each stop."""
    out: dict[str, int] = {}
    for row in rows:
        if row["us"] is None:
            raise UserError(
                f"damper: no stop found towards {row['pulses']} pulses; press the lid button when it touches"
            )
        name = "shut" if row["pulses"] == shut_by else "open"
        back = BACK_US if row["pulses"] == "short" else -BACK_US
        out[f"damper_{name}_us"] = int(row["us"]) + back
        if row["counts"] is not None:
            out[f"damper_{name}_counts"] = int(row["counts"])
    return out
