"""settings.json: what is wrong is named, replaced by its default, and keeps the blower off."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from emberboard import settings

EXAMPLE = Path(__file__).parents[2] / "firmware" / "settings.example.json"


def test_the_example_is_right_and_names_every_setting():
    text = EXAMPLE.read_text()
    assert settings.parse(text)[1] == []
    assert set(json.loads(text)) == set(settings.FIELDS)


def test_every_default_is_itself_allowed():
    for name, value in settings.defaults().items():
        assert settings.trouble_with(name, value) == ""


@pytest.mark.parametrize(
    ("given", "part"),
    [
        ({"broker_port": 0}, "broker_port: a whole number from 1 to 65535"),
        ({"broker_port": "1883"}, "broker_port: a whole number"),
        ({"broker_port": True}, "broker_port: a whole number"),
        ({"broker_port": 1883.0}, "broker_port: a whole number"),
        ({"broker_host": "cookhost.local"}, "broker_host: an address"),
        ({"broker_host": "1.2.3.400"}, "broker_host: an address"),
        ({"cooker": "My Cooker"}, "cooker: 1 to 32 of a-z"),
        ({"cooker": ""}, "cooker: 1 to 32"),
        ({"mains_hz": 55}, "mains_hz: one of 50, 60"),
        ({"thermocouple": "k"}, "thermocouple: one of K, N, T"),
        ({"food_probes": 4}, "food_probes: a whole number from 0 to 3"),
        ({"damper": 1}, "damper: true or false"),
        ({"wifi_key": "x" * 64}, "wifi_key: a text of at most 63"),
        ({"food_probe": 1}, "food_probe is not a setting"),
        ({"damper_shut_us": 2000}, "must differ"),
        ([1, 2], "must be one object"),
    ],
)
def test_a_wrong_value_is_named_and_its_default_taken(given, part):
    values, troubles = settings.parse(json.dumps(given))
    assert len(troubles) == 1
    assert part in troubles[0]
    for name in given if isinstance(given, dict) else ():
        if name in values and name != "damper_shut_us":
            assert values[name] == settings.defaults()[name]


@pytest.mark.parametrize("text", ["", "{", "null", "nan", '{"cooker": "a"', "\ufeff{}"])
def test_a_file_that_is_not_json_gives_the_defaults(text):
    values, troubles = settings.parse(text)
    assert values == settings.defaults()
    assert troubles


def test_a_missing_file_is_a_trouble(tmp_path):
    values, troubles, _ = settings.load(f"{tmp_path}/")
    assert values == settings.defaults()
    assert "missing" in troubles[0]


def test_bytes_that_are_no_text_are_a_trouble(tmp_path):
    (tmp_path / "settings.json").write_bytes(b"\xff\xfe\x00{}")
    assert settings.load(f"{tmp_path}/")[1]


def test_a_flipped_bit_is_refused_or_harmless(tmp_path):
    """Every single bit of a settings file: nothing raises, and every value stays inside its range."""
    text = json.dumps({"cooker": "demo", "broker_port": 1883, "food_probes": 2, "damper": True}).encode()
    for bit in range(len(text) * 8):
        flipped = bytearray(text)
        flipped[bit // 8] ^= 1 << bit % 8
        values, _ = settings.parse(flipped.decode(errors="replace"))
        for name, value in values.items():
            assert settings.trouble_with(name, value) == ""


def test_a_file_sealed_by_a_release_with_fewer_settings_stays_right(tmp_path):
    older = {"cooker": "demo", "mains_hz": 60}
    older["check"] = settings.check_of(older)
    for name in ("settings.json", "settings.bak"):
        (tmp_path / name).write_text(json.dumps(older))
    values, troubles, _ = settings.load(f"{tmp_path}/")
    assert troubles == []
    assert (values["cooker"], values["mains_hz"]) == ("demo", 60)
