"""Quantities as people write them: exact factors from the definitions, and one line for what is wrong."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from emberdraft import quantities as q
from emberdraft.errors import UserError

READERS = (
    q.temperature_c,
    q.difference_c,
    q.mass_kg,
    q.length_m,
    q.duration_s,
    q.share,
    q.speed_mps,
    q.gain_per_c,
)


@pytest.mark.parametrize(
    ("reader", "text", "value"),
    [
        (q.temperature_c, "121C", 121.0),
        (q.temperature_c, "250F", 121.1111),  # (250 - 32) / 1.8
        (q.temperature_c, "212 °F", 100.0),  # boiling point of water at one atmosphere
        (q.temperature_c, "-40 degF", -40.0),  # where the two scales meet
        (q.temperature_c, "273.15K", 0.0),
        (q.difference_c, "18F", 10.0),
        (q.difference_c, "10 °C", 10.0),
        (q.mass_kg, "1 lb", 0.45359237),  # the international pound, exact
        (q.mass_kg, "450g", 0.45),
        (q.mass_kg, "16oz", 0.45359237),
        (q.length_m, "1.5in", 0.0381),  # 25.4 mm an inch, exact
        (q.length_m, "35mm", 0.035),
        (q.duration_s, "45 min", 2700.0),
        (q.duration_s, "1h30min", 5400.0),
        (q.duration_s, "1 h 30 min 5 s", 5405.0),
        (q.share, "1/4", 0.25),
        (q.share, "42 %", 0.42),
        (q.share, "open", 1.0),
        (q.speed_mps, "36 km/h", 10.0),
        (q.gain_per_c, "2 %/C", 0.02),
        (q.gain_per_c, "0.02 /°C", 0.02),
    ],
)
def test_a_quantity_is_read_by_its_unit(reader, text, value):
    assert reader(text) == pytest.approx(value, abs=1e-4)


# NIST Special Publication 811 (2008), appendix B.8 (from memory): avoirdupois pound and ounce, foot, mile per hour.
ONES = (
    (q.difference_c, {"C": 1.0, "K": 1.0, "F": 0.5555556}),
    (q.mass_kg, {"kg": 1.0, "g": 0.001, "lb": 0.4535924, "lbs": 0.4535924, "oz": 0.02834952}),
    (q.length_m, {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "inch": 0.0254, '"': 0.0254, "ft": 0.3048}),
    (q.duration_s, {"s": 1.0, "sec": 1.0, "min": 60.0, "minutes": 60.0, "h": 3600.0, "hour": 3600.0, "d": 86400.0}),
    (q.speed_mps, {"m/s": 1.0, "km/h": 0.2777778, "mph": 0.44704}),
    (q.share, {"%": 0.01}),
)


@pytest.mark.parametrize(
    ("reader", "unit", "factor"), [(reader, *one) for reader, units in ONES for one in units.items()]
)
def test_one_of_each_unit_is_what_the_table_of_units_says(reader, unit, factor):
    assert reader(f"1 {unit}") == pytest.approx(factor, rel=1e-6)


@pytest.mark.parametrize(
    ("reader", "text"), [(q.mass_kg, "0 g"), (q.duration_s, "0 s"), (q.share, "0 %"), (q.share, "shut")]
)
def test_nothing_is_a_quantity_too(reader, text):
    assert reader(text) == 0.0


def test_a_decimal_comma_is_named_and_no_other_mistake_is_called_one():
    for text, named in (("1,5kg", True), ("one kg", False)):
        with pytest.raises(UserError) as refused:
            q.mass_kg(text)
        assert ("a decimal point, not a comma" in str(refused.value)) is named


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("value", ["121", 121, 1.5, "", "one", None, True, [], "1,5C", "9" * 400])
def test_anything_without_a_unit_is_refused_in_one_line(reader, value):
    with pytest.raises(UserError) as refused:
        reader(value)
    assert "\n" not in str(refused.value)
    assert "write it like" in str(refused.value)


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (q.temperature_c, "-300C"),
        (q.mass_kg, "-1 kg"),
        (q.length_m, "3 kg"),
        (q.duration_s, "-5 min"),
        (q.share, "5/4"),
        (q.share, "1/0"),
        (q.share, "120 %"),
        (q.duration_s, "5 min or so"),
    ],
)
def test_a_value_outside_its_nature_is_refused(reader, text):
    with pytest.raises(UserError):
        reader(text)


@pytest.mark.parametrize("reader", READERS)
@given(text=st.text(max_size=30))
def test_no_text_makes_more_than_a_user_error(reader, text):
    try:
        assert isinstance(reader(text), float)
    except UserError as refused:
        assert str(refused)


def test_temperatures_and_differences_go_back_by_their_own_rule():
    assert q.c_to_f(100.0) == 212.0
    assert q.difference_c_to_f(10.0) == 18.0


def test_numbers_are_said_with_a_true_minus_and_a_no_break_space():
    assert q.say_temperature(-4.6) == "\u22125\u00a0°C"
    assert q.say_temperature(-0.2) == "0\u00a0°C"
    assert q.say_temperature(121.11, "f") == "250\u00a0°F"
    assert q.say_difference(0.5, "f") == "0.9\u00a0°F"
    assert q.say_duration(3900.0) == "1\u00a0h 05\u00a0min"


@pytest.mark.parametrize("reader", READERS)
def test_a_number_of_thousands_of_digits_is_refused_too(reader):
    with pytest.raises(UserError, match="thousands of digits"):
        reader(10**5000)
