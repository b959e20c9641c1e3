"""Quantities as people write them, always with their unit: 450g, 1 lb, 1.5in, 250F, 121C, 1h30min.

Inside everything is degC, s, kg, m and fractions 0..1. A bare number is refused, because 121 on its
own burns a supper: nobody can know whether it was Celsius or Fahrenheit. A temperature and a
difference of temperatures are read by different functions: 18F of difference is 10 degC.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from decimal import ROUND_HALF_UP, Decimal

from emberdraft.errors import UserError

_ONE = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+))\s*([^\s0-9.+-][^\s0-9]*)?\s*")
_FRACTION = re.compile(r"\s*([0-9]{1,3})\s*/\s*([0-9]{1,3})\s*")
_ABSOLUTE_ZERO_C = -273.15

_TEMPERATURES: Mapping[str, Callable[[float], float]] = {
    "c": lambda value: value,
    "f": lambda value: (value - 32.0) / 1.8,
    "k": lambda value: value + _ABSOLUTE_ZERO_C,
}
_DIFFERENCES = {"c": 1.0, "f": 1.0 / 1.8, "k": 1.0}
# The international pound is 0.45359237 kg and the inch 25.4 mm, exactly (agreement of 1959).
_MASSES = {"kg": 1.0, "g": 1e-3, "lb": 0.45359237, "lbs": 0.45359237, "oz": 0.45359237 / 16.0}
_LENGTHS = {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "in": 0.0254, '"': 0.0254, "inch": 0.0254, "ft": 0.3048}
_DURATIONS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1.0),
    **dict.fromkeys(("min", "minute", "minutes"), 60.0),
    **dict.fromkeys(("h", "hour", "hours"), 3600.0),
    **dict.fromkeys(("d", "day", "days"), 86400.0),
}
_SPEEDS = {"m/s": 1.0, "km/h": 1.0 / 3.6, "mph": 0.44704}
_SHARE_WORDS = {"shut": 0.0, "open": 1.0}
_EIGHTHS = ("shut", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8", "open")
_NEAR_EIGHTH = 0.01


def c_to_f(value_c: float) -> float:
    """A temperature in degF from one in degC."""
    return value_c * 1.8 + 32.0


def difference_c_to_f(value_c: float) -> float:
    """A temperature difference in degF from one in degC: no offset."""
    return value_c * 1.8


def temperature_c(value: object) -> float:
    """A temperature in degC from '121C', '250 F' or '394 K'."""
    number, unit = _split(value, "a temperature", "121C or 250F")
    convert = _TEMPERATURES.get(_degree(unit))
    if convert is None:
        raise UserError(f"{value!r}: {unit!r} is not a unit of temperature; write it like 121C or 250F")
    result_c = _finite(convert(number), value, "121C or 250F")
    if result_c < _ABSOLUTE_ZERO_C:
        raise UserError(f"{value!r}: below absolute zero; write it like 121C or 250F")
    return result_c


def difference_c(value: object) -> float:
    """A temperature difference in degC from '5C' or '9 F': no offset."""
    number, unit = _split(value, "a temperature difference", "5C or 9F")
    factor = _DIFFERENCES.get(_degree(unit))
    if factor is None:
        raise UserError(f"{value!r}: {unit!r} is not a unit of temperature difference; write it like 5C or 9F")
    return _finite(number * factor, value, "5C or 9F")


def mass_kg(value: object) -> float:
    """A mass in kg from '450g', '1.2 kg', '1 lb' or '12 oz'."""
    return _scaled(value, _MASSES, "mass", "450g or 1 lb")


def length_m(value: object) -> float:
    """A length in m from '38mm', '4 cm' or '1.5in'."""
    return _scaled(value, _LENGTHS, "length", "38mm or 1.5in")


def speed_mps(value: object) -> float:
    """A wind speed in m/s from '2 m/s', '10 km/h' or '5 mph'."""
    return _scaled(value, _SPEEDS, "speed", "2 m/s or 5 mph")


def duration_s(value: object) -> float:
    """A time span in s from '90s', '45 min', '1h' or '1h30min'."""
    text = _text(value, "a time span", "45 min or 1h30min")
    total_s, at = 0.0, 0
    while at < len(text):
        match = _ONE.match(text, at)
        if match is None:
            raise UserError(f"{value!r}: not a time span; write it like 45 min or 1h30min")
        total_s += _scaled(match.group(0), _DURATIONS, "time", "45 min or 1h30min")
        at = match.end()
    return total_s


def share(value: object) -> float:
    """A fraction 0..1 from '25 %', '1/4', 'open' or 'shut'."""
    text = _text(value, "a share", "25 % or 1/4").strip().lower()
    if text in _SHARE_WORDS:
        return _SHARE_WORDS[text]
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        over, under = int(fraction.group(1)), int(fraction.group(2))
        result = over / under if under else math.inf
    else:
        result = _scaled(text, {"%": 0.01}, "share", "25 % or 1/4")
    if not 0.0 <= result <= 1.0:
        raise UserError(f"{value!r}: a share lies between 0 % and 100 %; write it like 25 % or 1/4")
    return result


def gain_per_c(value: object) -> float:
    """A controller gain in duty (0..1) per degC from '2 %/C' or '0.02 /C'."""
    return _scaled(value, {"%/c": 0.01, "/c": 1.0}, "gain", "2 %/C", _degree)


def say_temperature(value_c: float, unit: str = "c", digits: int = 0) -> str:
    """'121 °C' or '250 °F', with a no-break space and a true minus sign."""
    value, name = (c_to_f(value_c), "°F") if unit == "f" else (value_c, "°C")
    return f"{say_number(value, digits)}\u00a0{name}"


def say_difference(value_c: float, unit: str = "c", digits: int = 1) -> str:
    """A temperature difference with its unit: '0.4 °C'."""
    value, name = (difference_c_to_f(value_c), "°F") if unit == "f" else (value_c, "°C")
    return f"{say_number(value, digits)}\u00a0{name}"


def say_number(value: float, digits: int = 0) -> str:
    """A rounded number with a true minus sign, and no minus before a zero. A half goes up, as on the page."""
    text = str(Decimal(abs(value)).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP))
    return "\u2212" + text if value < 0.0 and float(text) != 0.0 else text


def say_share(part: float) -> str:
    """'25 %' of 0.25, with a no-break space."""
    return f"{say_number(100.0 * part)}\u00a0%"


def say_opening(part: float) -> str:
    """'shut', '1/4', '17 %', 'open': an eighth where it is one, as fingers on a vent can set it."""
    eighths = round(part * 8.0)
    if abs(part * 8.0 - eighths) <= 8.0 * _NEAR_EIGHTH:
        return _EIGHTHS[max(0, min(8, eighths))]
    return say_share(part)


def say_duration(span_s: float) -> str:
    """'45 s', '12 min' or '1 h 05 min'."""
    if span_s < 90.0:
        return f"{span_s:.0f}\u00a0s"
    minutes = round(span_s / 60.0)
    if minutes < 60:
        return f"{minutes}\u00a0min"
    return f"{minutes // 60}\u00a0h {minutes % 60:02d}\u00a0min"


def _scaled(
    value: object,
    units: Mapping[str, float],
    what: str,
    example: str,
    spell: Callable[[str], str] = str.lower,
) -> float:
    number, unit = _split(value, f"a {what}", example)
    factor = units.get(spell(unit))
    if factor is None:
        raise UserError(f"{value!r}: {unit!r} is not a unit of {what}; write it like {example}")
    if number < 0.0:
        raise UserError(f"{value!r}: a {what} cannot be below 0; write it like {example}")
    return _finite(number * factor, value, example)


def _split(value: object, what: str, example: str) -> tuple[float, str]:
    text = _text(value, what, example)
    match = _ONE.fullmatch(text)
    if match is None:
        hint = " (a decimal point, not a comma)" if "," in text else ""
        raise UserError(f"{value!r}: not {what}; write it like {example}{hint}")
    if not match.group(2):
        raise UserError(f"{value!r}: a bare number has no unit; write it like {example}")
    return float(match.group(1)), match.group(2)


def _text(value: object, what: str, example: str) -> str:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise UserError(f"{_short(value)}: not {what}; write it like {example}")
    if not isinstance(value, str):
        raise UserError(f"{_short(value)}: a bare number has no unit; write it like {example}")
    if not value.strip() or len(value) > 60:
        raise UserError(f"{_short(value)}: not {what}; write it like {example}")
    return value


def _degree(unit: str) -> str:
    """'°C', 'degC', 'C' and '%/°C' all end as lower case without the sign for degrees."""
    spelled = unit.lower().replace("℃", "c").replace("℉", "f")
    return spelled.replace("°", "").replace("deg", "")


def _finite(result: float, value: object, example: str) -> float:
    if not math.isfinite(result):
        raise UserError(f"{_short(value)}: not a number that can be used; write it like {example}")
    return result


def _short(value: object) -> str:
    try:
        text = repr(value)
    except ValueError:
        return "a number of thousands of digits"
    return text if len(text) <= 60 else text[:57] + "..."
