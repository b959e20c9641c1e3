"""settings.json: every value with its unit, range and default, in one table; sealed in two copies.

A person writes settings.json. One that is right gets a check and a second copy, settings.bak, at
the next start; from then on a value that has changed by itself is seen, and the other copy used.
A file that is missing, not JSON, or has one wrong value never stops the board: the default takes
the place of what is wrong, each trouble is told in a line, and while there is any trouble the
blower stays off. To change a sealed file, change the value and delete the line with the check.
"""

import json
import os
from binascii import crc32

NAME = "settings.json"
COPY = "settings.bak"
CHECK = "check"
MOST_BYTES = 4096

# name: (default, what may be there, what it is). A pair of numbers is a range, a tuple of texts or
# numbers behind "one of" a choice, a number behind "text" the most letters.
FIELDS = {
    "cooker": ("cooker", ("id", 32), "name of the cooker in messages: a-z, 0-9 and -"),
    "wifi_ssid": ("", ("text", 32), "name of the wireless network"),
    "wifi_key": ("", ("text", 63), "its key"),
    "broker_host": ("", ("address", 15), "IPv4 address of the host; empty: no link"),
    "broker_port": (1883, (1, 65535), "its port"),
    "broker_name": ("", ("text", 64), "name in the broker's certificate; empty: no TLS"),
    "broker_user": ("", ("text", 64), "user at the broker"),
    "broker_password": ("", ("text", 64), "password at the broker"),
    "keep_alive_s": (10, (5, 3600), "silence on the link after which it counts as broken, s"),
    "thermocouple": ("K", ("one of", "K", "N", "T"), "type of pit and stone thermocouple"),
    "mains_hz": (50, ("one of", 50, 60), "mains frequency to be filtered out, Hz"),
    "stone_probe": (True, ("yes or no",), "whether a thermocouple is in the stone"),
    "food_probes": (1, (0, 3), "number of food probes"),
    "series_ohm": (10000, (1000, 100000), "resistor above each food probe, ohm"),
    "blower": (True, ("yes or no",), "whether a blower is fitted"),
    "probe_mux": (False, ("yes or no",), "whether all food probes are on one pin, by a switch"),
    "supply_probe": (False, ("yes or no",), "whether the 12 V are measured"),
    "tach": (False, ("yes or no",), "whether the blower's speed wire is connected"),
    "tach_way": ("four_wire", ("one of", "four_wire", "stretched", "windows"), "how it is read"),
    "blower_lowest_pct": (10, (5, 40), "lowest drive at which the blower turns, percent"),
    "damper": (False, ("yes or no",), "whether a servo moves the intake"),
    "damper_shut_us": (1000, (500, 2500), "servo pulse when the damper is shut, us"),
    "damper_open_us": (2000, (500, 2500), "servo pulse when the damper is open, us"),
    "damper_feedback": ("none", ("one of", "none", "pot", "switches"), "what tells its place"),
    "damper_shut_counts": (6554, (0, 65535), "what the pot reads when it is shut, counts"),
    "damper_open_counts": (58982, (0, 65535), "what the pot reads when it is open, counts"),
    "pit_limit_c": (350, (150, 400), "pit's limit where an order names none, degC"),
    "stone_limit_c": (400, (200, 400), "stone's limit, degC"),
    "hold_margin_c": (40, (20, 40), "how far over its target a hold may go, degC"),
}
SENSORS = ("pit", "stone", "food1", "food2", "food3")
for _sensor in SENSORS:
    FIELDS[_sensor + "_offset_mk"] = (0, (-10000, 10000), "added to its readings, mK")
    FIELDS[_sensor + "_offset_date"] = ("", ("date", 10), "when that was found, as 2026-05-01")


def _is_whole(value):
    return isinstance(value, int) and value is not True and value is not False


def _is_address(text):
    """Empty, or four numbers with dots. A name would have to be looked up, and that can wait."""
    parts = text.split(".")
    good = len(parts) == 4
    for part in parts:
        good = good and part.isdigit() and len(part) < 4 and int(part) < 256
    return good or text == ""


def _is_id(text):
    for letter in text:
        if letter not in "abcdefghijklmnopqrstuvwxyz0123456789-":
            return False
    return len(text) > 0


def _is_date(text):
    """Empty, or year, month and day with a dash between them."""
    parts = text.split("-")
    good = len(text) == 10 and [len(part) for part in parts] == [4, 2, 2]
    for part in parts:
        good = good and part.isdigit()
    return good or text == ""


def trouble_with(name, value):
    """'' for a value that may be there, else what would be right."""
    may = FIELDS[name][1]
    kind = may[0]
    if kind == "one of":
        known = False
        for choice in may[1:]:
            known = known or (type(choice) is type(value) and choice == value)
        return "" if known else "one of " + ", ".join(str(choice) for choice in may[1:])
    if kind == "yes or no":
        return "" if value is True or value is False else "true or false"
    if kind in ("text", "id", "address", "date"):
        return _text_trouble(kind, value, may[1])
    low, high = may
    good = _is_whole(value) and low <= value <= high
    return "" if good else "a whole number from %d to %d" % (low, high)


def _text_trouble(kind, value, most):
    if not isinstance(value, str) or len(value) > most:
        return "a text of at most %d letters" % most
    if kind == "id" and not _is_id(value):
        return "1 to %d of a-z, 0-9 and -" % most
    if kind == "address" and not _is_address(value):
        return "an address such as 192.168.1.20 (a name cannot be looked up safely)"
    if kind == "date" and not _is_date(value):
        return "a date such as 2026-05-01, or nothing"
    return ""


def defaults():
    """Every value as it is without a file."""
    return {name: field[0] for name, field in FIELDS.items()}


def parse(text):
    """(values, troubles) from the text; troubles is a list of lines, empty when all is well."""
    return _values(_object(text))


def _object(text):
    """What the text says, or None when it is not JSON."""
    try:
        return json.loads(text)
    except (ValueError, RuntimeError):  # not JSON, nested too deep
        return None


def _values(given):
    values = defaults()
    if not isinstance(given, dict):
        return values, ["%s must be one object of JSON" % NAME]
    troubles = []
    for name, value in given.items():
        if name == CHECK:
            continue
        if name not in FIELDS:
            troubles.append("%s is not a setting" % name)
            continue
        right = trouble_with(name, value)
        if right:
            troubles.append("%s: %s would be right" % (name, right))
        else:
            values[name] = value
    if values["damper_shut_us"] == values["damper_open_us"]:
        troubles.append("damper_shut_us and damper_open_us must differ")
        values["damper"] = False
    _share_pins(values, troubles)
    return values, troubles


def _share_pins(values, troubles):
    """The second analogue pin is food probe 2 or the damper's place, the third 3 or the 12 V."""
    direct = 0 if values["probe_mux"] else values["food_probes"]
    if values["damper_feedback"] != "none" and direct > 1:
        troubles.append("damper_feedback needs food_probes 0 or 1, or probe_mux")
        values["damper_feedback"] = "none"
    if values["supply_probe"] and direct > 2:
        troubles.append("supply_probe needs food_probes 0 to 2, or probe_mux")
        values["supply_probe"] = False
    if values["damper_shut_counts"] == values["damper_open_counts"]:
        troubles.append("damper_shut_counts and damper_open_counts must differ")
        values["damper_feedback"] = "none"


def check_of(values):
    """Eight hex digits over all that is there (CRC-32 of IEEE 802.3): one flipped bit is seen.

    Not over all settings there are: a file of an older release, with fewer, stays right.
    """
    parts = ["%s=%s" % (name, values[name]) for name in sorted(values) if name != CHECK]
    return "%08x" % (crc32("\n".join(parts).encode()) & 0xFFFFFFFF)


def load(folder=""):
    """(values, troubles, notes): troubles keep the blower off, notes are what was put right."""
    given = _read(folder + NAME)
    if isinstance(given, dict) and CHECK not in given:
        return _take(given, folder)
    values = _sealed(given)
    copy = _sealed(_read(folder + COPY))
    if values is not None:
        return values, [], _seal(values, folder, (COPY,)) if copy != values else []
    if copy is not None:
        return copy, [], [NAME + " is damaged"]
    if given is None:
        return defaults(), [NAME + " missing or unreadable"], []
    return defaults(), [NAME + " damaged, no copy"], []


def _take(given, folder):
    """A file that a person wrote: looked at, and sealed when nothing is wrong with it."""
    values, troubles = _values(given)
    notes = [] if troubles else _seal(values, folder, (COPY, NAME))
    return values, troubles, notes


def _read(path):
    """What the file says, or None."""
    try:
        with open(path, "rb") as file:
            return _object(str(file.read(MOST_BYTES), "utf-8"))
    except (OSError, ValueError):  # UnicodeError is a ValueError
        return None


def _sealed(given):
    """The values of a file whose check is right and that has nothing wrong in it, else None."""
    if not isinstance(given, dict):
        return None
    values, troubles = _values(given)
    whole = not troubles and given.get(CHECK) == check_of(given)
    return values if whole else None


def _seal(values, folder, names):
    """Write each copy beside and rename it over, so that a power cut leaves the old or the new."""
    lines = ["  %s: %s" % (json.dumps(name), json.dumps(values[name])) for name in sorted(FIELDS)]
    lines.append('  "%s": "%s"' % (CHECK, check_of(values)))
    try:
        for name in names:
            with open(folder + name + ".new", "w") as file:
                file.write("{\n" + ",\n".join(lines) + "\n}\n")
            os.rename(folder + name + ".new", folder + name)
    except OSError:
        return ["settings not sealed"]
    return ["settings sealed"]
