"""The words of every alarm: cause, consequence, the deed, what comes after it. {value} and {limit} are filled in.

An alarm without an action would be news, not an alarm (ISA-18.2); a test holds that each has all three.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from emberdraft.daemon.sentence import clock
from emberdraft.quantities import say_duration, say_number
from emberdraft.said import Difference, Quantity, Temperature, Text, joined, said


class Words(NamedTuple):
    """What an alarm says. `deed` is the first thing to do, `more` the rest of it or ''."""

    cause: Text
    consequence: Text
    deed: Text
    more: Text

    @property
    def action(self) -> Text:
        """All that is to be done."""
        return joined("; ", (self.deed, self.more))


# A starved fire flares above it (docs/explain/safety.md); between the two food is unsafe: 40 to 140 degF (USDA).
FIXED = {"flare": Temperature(150.0), "cold": Temperature(4.4), "warm": Temperature(60.0)}

# id -> cause, consequence, deed, more.
TEXTS: dict[str, tuple[str, str, str, str]] = {
    "pit_sensor": (
        "The pit probe gives no value to rely on",
        "No air from the board; it goes on by itself once the probe has read well for 30 s",
        "Check the probe's plug and cable, and that it is in the cooker",
        "",
    ),
    "stone_sensor": (
        "The stone probe gives no value to rely on",
        "The board works with an estimate of the stone, which may be far off",
        "Check the probe's plug and cable",
        "measure the stone's face by hand before the sear",
    ),
    "pit_over_limit": (
        "The pit reached {value}, its limit is {limit}",
        "No air from the board: with both vents shut the fire goes out",
        "Shut both vents, do not open the lid",
        "acknowledge when it has come down",
    ),
    "stone_over_limit": (
        "The stone reached {value}, its limit is {limit}",
        "No air from the board: with both vents shut the fire goes out",
        "Shut both vents, nothing on the stone",
        "acknowledge when it has come down",
    ),
    "not_answering": (
        "The pit does not rise though it gets air; it was at {value}",
        "No air from the board: more would not help, and a fire that is out must not be blown at",
        "Look: fire out, fuel spent, lid or vent not shut, blower unplugged",
        "then acknowledge",
    ),
    "fuel_out": (
        "The fire gives less and less heat for the same air",
        "The target is lost within the hour, if it is not lost yet",
        "Add charcoal, or let the cook end: crack the lid 3 cm, wait 10 s, stand aside",
        "",
    ),
    "blower_fault": (
        "The blower does not turn as it is told",
        "The fire gets only what the vents let in; the blower is off",
        "Check its plug and look for ash in the fan",
        "set the vents by hand; then acknowledge",
    ),
    "blower_stuck_on": (
        "The blower gives air although it is told to stop",
        "The pit may run away",
        "Pull the blower's plug now, shut the bottom vent",
        "acknowledge when it is mended",
    ),
    "runaway": (
        "The pit rises with the blower off; over its target by {value}",
        "The fire has air from elsewhere: a lid ajar, an open vent, a leak",
        "Shut the lid and the vents",
        "put the fire out if it goes on rising; then acknowledge",
    ),
    "grease_fire": (
        "The pit rises faster than charcoal can make it: grease may be burning",
        "No air from the board",
        "Vents and lid stay shut, no water, keep away",
        "acknowledge when it has come down",
    ),
    "board_hot": (
        "The board is too hot: {value}",
        "Its readings drift and it may fail; no air from it until it has cooled",
        "Move it away from the cooker, into shade",
        "",
    ),
    "supply_low": (
        "The board's supply is low",
        "The blower may not start, and the board may go out",
        "Change the power bank or check the adapter's plug",
        "",
    ),
    "drive_too_long": (
        "The climb has run its longest time; the stone was at {value}, wanted is {limit}",
        "No air from the board until you decide",
        "Sear on the stone as it is, press Renew the climb at the cooker, or put the fire out",
        "",
    ),
    "starved_hot": (
        "The fire has been starved while hot; the pit was at {value}",
        "It flares when air reaches it",
        "Do not open until it is under {flare}",
        "if you must: crack the lid 3 cm, wait 10 s, stand aside",
    ),
    "lid_left_open": (
        "The lid seems to have been left open, or was shut and nobody said so",
        "The blower waits, the fire grows on free air and then burns down",
        "Shut the lid, then hold the board's button for two seconds, or say on the page, at the cooker, that it is",
        "",
    ),
    "pull": (
        "A piece reached its pull temperature: {value}",
        "It goes on cooking: a few minutes change it",
        "Pull it, and press It is out",
        "",
    ),
    "damper_fault": (
        "The damper does not move as it is told",
        "Less or more air than the board reckons with",
        "Look for ash or a loose link at the damper",
        "set the bottom vent by hand",
    ),
    "boot_failed": (
        "The board has failed to start three times",
        "It stays off: no air from it",
        "Check its supply, then acknowledge",
        "if it comes back, put the firmware on again",
    ),
    "settings_bad": (
        "The board's settings could not be read",
        "It runs with safe defaults and the blower off",
        "Write the settings again (emberdraft board settings), then acknowledge",
        "",
    ),
    "back_draft": (
        "Hot gas comes back through the blower",
        "The blower and its hose may melt",
        "Check the flap in the duct, open the top vent a little, keep the lid shut",
        "",
    ),
    "firmware_bad": (
        "A file of the board's own program is damaged",
        "It stays off: no air from it, whatever is ordered",
        "Put the firmware on again (emberdraft board deploy), then acknowledge",
        "",
    ),
    "memory_bad": (
        "A target or a limit in the board's memory has changed by itself",
        "No air from it, whatever is ordered",
        "Switch the board off and on, then acknowledge",
        "if it comes again, use another board",
    ),
    # Raised by the host itself.
    "no_link": (
        "No word from the board",
        "Nobody watches it here; with power it goes on alone with its last order",
        "Look at its light",
        "check its power and the Wi-Fi; stay near the cooker",
    ),
    "air_off": (
        "The board has started again in the middle of a hold or a climb",
        "There is no air from it: the fire burns down on what the vents let in",
        "Go there and look at the fire",
        "then order the heat again on the page, at the cooker, or put the fire out",
    ),
    "not_recorded": (
        "The record on the disk has been taken away or damaged",
        "Nothing more is recorded; the board keeps the last hour and goes on alone",
        "See Health for what happened and what to do",
        "do it within the hour",
    ),
    "fuel_short": (
        "The charcoal runs short: {value} is left to burn, {limit} is needed",
        "The fire starves before the plan is done",
        "Add charcoal within the hour and mark how much: crack the lid 3 cm, wait 10 s, stand aside",
        "or end sooner",
    ),
    "food_unsafe": (
        "Food has been kept below {limit} for {value}",
        "Between {cold} and {warm} it is unsafe after 2 h (USDA)",
        "Look at the fire and the food now",
        "what was that long below {warm} is not kept",
    ),
}

HOST_ALERTS = ("no_link", "air_off", "not_recorded", "fuel_short", "food_unsafe")
_IN_KG = ("fuel_short",)
_IN_SECONDS = ("lid_left_open", "food_unsafe")
_OVER = ("runaway",)  # how far over the target, a difference
# What is said of an alarm whose cause is gone and which stops nothing: what followed from it no longer does.
GONE = ("Its cause is gone, and nothing follows from it any more", "Acknowledge it")
# What the value of an alert was read from, where it is a temperature that goes on changing.
READ_FROM = {
    **dict.fromkeys(("pit_over_limit", "not_answering", "starved_hot"), "pit_c"),
    **dict.fromkeys(("stone_over_limit", "drive_too_long"), "stone_c"),
    "board_hot": "board_c",
}
OLD_S = 5.0  # a value that is older is said with its time


class Then(NamedTuple):
    """When the value was read, unix s, and what the same sensor reads now, degC; None = not known."""

    ago_s: float
    at_s: float
    now_c: float | None


def words_of(alert: str, value: float | None, limit: float | None, then: Then | None = None) -> Words:
    """The sentences of an alarm with its figures; an id of a later version is named as it is."""
    found = TEXTS.get(alert)
    if found is None:
        return Words(f"The board reports {alert}", "This version does not know what follows from it", "Go and look", "")
    read = said("{value}{since}", value=_figure(alert, value), since="" if value is None else _since(then))
    figures = {"value": read, "limit": _limit(alert, limit), **FIXED}
    return Words(*(said(text, **figures) for text in found))


def kept_words(row: Mapping[str, Any]) -> dict[str, Text]:
    """What is said of a kept alarm: from its figures where they were kept, else as it was said then."""
    if row["value"] is None or row["alert"] not in TEXTS:
        return {}
    words = words_of(row["alert"], row["value"], row["limit_value"])
    return {"cause": words.cause, "consequence": words.consequence, "action": words.action}


def then_of(alert: str, at_s: float, now_s: float, row: Mapping[str, Any] | None) -> Then | None:
    """What belongs to the value of an alert that was raised at `at_s`, from the reading there is now.

    The host's own alarms have none: their value is of now (alarm_keeper.py).
    """
    key = READ_FROM.get(alert)
    now_c = None if key is None or row is None else row[key]
    return None if alert in HOST_ALERTS else Then(now_s - at_s, at_s, now_c)


def _since(then: Then | None) -> Text:
    """' at 20:41, now 228 °C', for a value that is not of now."""
    if then is None or then.ago_s <= OLD_S:
        return ""
    at = f" at {clock(then.at_s)}"
    return at if then.now_c is None else said("{at}, now {now}", at=at, now=Temperature(then.now_c))


def _limit(alert: str, limit: float | None) -> Text | Quantity:
    return Temperature(limit) if alert == "food_unsafe" and limit is not None else _figure(alert, limit)


def _figure(alert: str, value: float | None) -> Text | Quantity:
    if value is None:
        return "not measured"
    if alert in _IN_KG:
        return f"{say_number(value, 2)}\u00a0kg"
    if alert in _OVER:
        return Difference(value, 0)
    return say_duration(value) if alert in _IN_SECONDS else Temperature(value)
