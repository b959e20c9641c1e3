"""The words of every alarm: cause, consequence, action. {value} and {limit} are filled in with their unit.

An alarm without an action would be news, not an alarm (ISA-18.2); a test holds that each has all three.
"""

from __future__ import annotations

from emberdraft.quantities import say_duration, say_number, say_temperature

Words = tuple[str, str, str]

# id -> cause, consequence, action.
TEXTS: dict[str, Words] = {
    "pit_sensor": (
        "The pit probe gives no value",
        "The blower is off; it goes on by itself when the probe is back for 30 s",
        "Check the probe's plug and cable, and that it is in the cooker",
    ),
    "stone_sensor": (
        "The stone probe gives no value",
        "The board works with an estimate of the stone, which may be far off",
        "Check the probe's plug and cable; measure the stone's face by hand before the sear",
    ),
    "pit_over_limit": (
        "The pit reached {value}, its limit is {limit}",
        "The blower is off, the air is shut and the fire is being put out",
        "Shut both vents, do not open the lid; acknowledge when it has come down",
    ),
    "stone_over_limit": (
        "The stone reached {value}, its limit is {limit}",
        "The blower is off, the air is shut and the fire is being put out",
        "Shut both vents, nothing on the stone; acknowledge when it has come down",
    ),
    "not_answering": (
        "The pit does not rise though it gets air; it is at {value}",
        "The blower is off: more air would not help, and a fire that is out must not be blown at",
        "Look: fire out, fuel spent, lid or vent not shut, blower unplugged; then acknowledge",
    ),
    "fuel_out": (
        "The fire gives less and less heat for the same air",
        "The target will be lost within the hour",
        "Add charcoal, or let the cook end: crack the lid 3 cm, wait 10 s, stand aside",
    ),
    "blower_fault": (
        "The blower does not turn as it is told",
        "The fire gets only what the vents let in; the blower is off",
        "Check its plug and look for ash in the fan; set the vents by hand; then acknowledge",
    ),
    "blower_stuck_on": (
        "The blower gives air although it is told to stop",
        "The pit may run away",
        "Pull the blower's plug now, shut the bottom vent; acknowledge when it is mended",
    ),
    "runaway": (
        "The pit rises with the blower off; it is at {value}",
        "The fire has air from elsewhere: a lid ajar, an open vent, a leak",
        "Shut the lid and the vents; put the fire out if it goes on rising; then acknowledge",
    ),
    "grease_fire": (
        "The pit rises faster than charcoal can make it: grease may be burning",
        "The blower is off and the air is shut",
        "Vents and lid stay shut, no water, keep away; acknowledge when it has come down",
    ),
    "board_hot": (
        "The board is too hot, {value}",
        "Its readings drift and it may fail; the blower is off until it has cooled",
        "Move it away from the cooker, into shade",
    ),
    "supply_low": (
        "The board's supply is low",
        "The blower may not start, and the board may go out",
        "Change the power bank or check the adapter's plug",
    ),
    "drive_too_long": (
        "The climb has run its longest time; the stone is at {value}, wanted is {limit}",
        "The blower is off until you decide",
        "Sear on the stone as it is, renew the climb at the cooker, or put the fire out",
    ),
    "starved_hot": (
        "The fire has been starved while hot; the pit is at {value}",
        "It flares when air reaches it",
        "Do not open until it is under 150 °C; if you must: crack the lid 3 cm, wait 10 s, stand aside",
    ),
    "lid_left_open": (
        "The lid seems to have been left open, or was shut and nobody said so",
        "The blower waits, the fire grows on free air and then burns down",
        "Shut the lid, then hold the board's button for two seconds, or say on the page, at the cooker, that it is",
    ),
    "pull": (
        "A piece is at its pull temperature, {value}",
        "It goes on cooking: a few minutes change it",
        "Pull it, and press It is out",
    ),
    "damper_fault": (
        "The damper does not move as it is told",
        "Less or more air than the board reckons with",
        "Look for ash or a loose link at the damper; set the bottom vent by hand",
    ),
    "boot_failed": (
        "The board has failed to start three times",
        "It stays off: no air from it",
        "Check its supply, then acknowledge; if it comes back, put the firmware on again",
    ),
    "settings_bad": (
        "The board's settings could not be read",
        "It runs with safe defaults and the blower off",
        "Write the settings again (emberdraft board settings), then acknowledge",
    ),
    "back_draft": (
        "Hot gas comes back through the blower",
        "The blower and its hose may melt",
        "Check the flap in the duct, open the top vent a little, keep the lid shut",
    ),
    "firmware_bad": (
        "A file of the board's own program is damaged",
        "It stays off: no air from it, whatever is ordered",
        "Put the firmware on again (emberdraft board deploy), then acknowledge",
    ),
    "memory_bad": (
        "A target or a limit in the board's memory has changed by itself",
        "The blower is off and stays off",
        "Switch the board off and on, then acknowledge; if it comes again, use another board",
    ),
    # Raised by the host itself.
    "no_link": (
        "No word from the board",
        "Nobody watches it here; with power it goes on alone with its last order",
        "Look at its light; check its power and the Wi-Fi; stay near the cooker",
    ),
    "not_recorded": (
        "The record on the disk has been taken away or damaged",
        "Nothing more is recorded; the board keeps the last hour and goes on alone",
        "See Health for what happened and what to do; do it within the hour",
    ),
    "fuel_short": (
        "The charcoal runs short: {value} is left to burn, {limit} is needed",
        "The fire starves before the plan is done",
        "Add charcoal within the hour and mark how much: crack the lid 3 cm, wait 10 s, stand aside; or end sooner",
    ),
    "prompt": (
        "Something waits for you at the cooker",
        "The plan stands still until it is done",
        "Open the page and do what Next says",
    ),
}

HOST_ALERTS = ("no_link", "not_recorded", "fuel_short", "prompt")
_IN_KG = ("fuel_short",)
_IN_SECONDS = ("lid_left_open",)


def words_of(alert: str, value: float | None, limit: float | None, unit: str = "c") -> Words:
    """The three sentences of an alarm with its figures; an id of a later version is named as it is."""
    found = TEXTS.get(alert)
    if found is None:
        return (f"The board reports {alert}", "This version does not know what follows from it", "Go and look")
    said = {"value": _said(alert, value, unit), "limit": _said(alert, limit, unit)}
    cause, consequence, action = (text.format(**said) for text in found)
    return cause, consequence, action


def _said(alert: str, value: float | None, unit: str) -> str:
    if value is None:
        return "not measured"
    if alert in _IN_KG:
        return f"{say_number(value, 2)}\u00a0kg"
    return say_duration(value) if alert in _IN_SECONDS else say_temperature(value, unit)
