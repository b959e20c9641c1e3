"""The hour of dinner as a person writes it, as a moment; nights on which the clocks change included.

`zone` None is the computer's own. What lies between two moments is counted in real seconds, whatever the clocks do.
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta, tzinfo

from emberdraft.errors import UserError

FARTHEST_S = 366.0 * 86400.0
_HOUR = re.compile(r"([0-9]{1,2}):([0-9]{2})")


def parted(text: str) -> tuple[str | None, str]:
    """('2026-12-05', '19:00') of a plan's `serve`; the day is None where it has none. Raises UserError."""
    *days, serve = text.split() or [""]
    hour = _HOUR.fullmatch(serve)
    if hour is None or int(hour[1]) > 23 or int(hour[2]) > 59 or len(days) > 1:
        raise UserError(f"dinner at {text[:40]!r}: not an hour of the day; write it like 19:00")
    if days:
        _day(days[0])
    return (days[0] if days else None), serve


def moment(serve: str, day: str | None, now_s: float, zone: tzinfo | None = None) -> float:
    """Unix seconds of '19:00' on `day` ('2026-12-05'); without one the next time that the clock shows it."""
    now = datetime.fromtimestamp(now_s, zone)
    hour, minute = (int(part) for part in parted(serve)[1].split(":"))
    if day is not None:
        at_s = _at(_day(day), hour, minute, zone)
        if at_s - now_s > FARTHEST_S:
            raise UserError(f"dinner on {day}: more than a year away; a day of the next weeks would be right")
        if at_s <= now_s:
            raise UserError(f"dinner at {serve} on {day}: that has passed, it is {say(now_s, zone)} on {now:%Y-%m-%d}")
        return at_s
    today_s = _at(now.date(), hour, minute, zone)
    return today_s if today_s > now_s else _at(now.date() + timedelta(days=1), hour, minute, zone)


def say(at_s: float, zone: tzinfo | None = None) -> str:
    """'19:05' on the clock of the place."""
    return f"{datetime.fromtimestamp(at_s, zone):%H:%M}"


def say_day(at_s: float, zone: tzinfo | None = None) -> str:
    """'2026-12-05'."""
    return f"{datetime.fromtimestamp(at_s, zone):%Y-%m-%d}"


def say_beside(at_s: float, beside_s: float, zone: tzinfo | None = None) -> str:
    """The hour, with its day where that is another than the day of `beside_s`."""
    day = say_day(at_s, zone)
    return say(at_s, zone) + ("" if day == say_day(beside_s, zone) else f" on {day}")


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise UserError(f"dinner on {text!r}: not a day; write it like 2026-12-05") from None
    if not 2000 <= day.year <= 9000:
        raise UserError(f"dinner on {text!r}: a day of the next weeks would be right")
    return day


def _at(day: date, hour: int, minute: int, zone: tzinfo | None) -> float:
    """The moment; of an hour that comes twice the first one. Raises UserError for one that is left out that night."""
    wanted = datetime(day.year, day.month, day.day, hour, minute)
    at_s = wanted.replace(tzinfo=zone).timestamp()
    shown = datetime.fromtimestamp(at_s, zone).replace(tzinfo=None)
    if shown != wanted:
        raise UserError(
            f"{wanted:%H:%M} on {day}: the clocks are put ahead that night and leave it out; "
            f"{shown:%H:%M} would be right"
        )
    return at_s
