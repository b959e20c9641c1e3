"""The pages for a real board: every command can be typed, every link leads somewhere, every fault is a fault."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from emberboard import settings
from emberboard.boards import fitted
from emberboard.core import words
from emberdraft.cli import _parse, main
from emberdraft.deploy import adjust
from emberdraft.deploy.build import CONVERTERS
from emberdraft.deploy.fixed_points import boiling_c

ROOT = Path(__file__).parents[2]
PAGES = [
    *sorted((ROOT / "hardware").glob("*.md")),
    *(
        ROOT / "docs" / "howto" / f"{name}.md"
        for name in (
            "deploy",
            "calibrate",
            "place_probes",
            "mosquitto",
            "always_on",
            "back_up",
            "add_a_sensor_or_board",
        )
    ),
    ROOT / "docs" / "reference" / "chips.md",
    ROOT / "docs" / "tutorial" / "first_real_cook.md",
]
HONEST = ("no real", "not been run with a real board", "Not run with a real board", "not measured", "Nothing here has")


def commands(page):
    text = page.read_text()
    blocks = re.findall(r"```\n(.*?)```", text, re.DOTALL)
    lines = [line.strip() for block in blocks for line in block.splitlines() if line.strip().startswith("emberdraft ")]
    return lines + re.findall(r"`(emberdraft (?:board|export|report|show|doctor)[^`|]*)`", text)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_command_is_understood(page):
    for line in commands(page):
        _parse(shlex.split(line)[1:])


def test_there_are_commands_to_check():
    assert sum(len(commands(page)) for page in PAGES) > 20


@pytest.mark.parametrize(
    "page", [p for p in PAGES if p.stem not in ("back_up", "add_a_sensor_or_board")], ids=lambda page: page.stem
)
def test_every_page_says_that_nothing_real_has_run(page):
    assert any(word.lower() in page.read_text().lower() for word in HONEST)


def test_settings_that_pages_name_exist():
    for page in PAGES:
        for line in commands(page):
            for name in re.findall(r" ([a-z_]+)=", line):
                assert name in settings.FIELDS, f"{page.name}: {name}"


def test_what_the_calibration_page_shows_is_what_is_printed(capsys):
    page = (ROOT / "docs" / "howto" / "calibrate.md").read_text()
    assert main(["board", "points", "--pressure", "1013.25", "--shown", "99.5"]) == 0
    assert capsys.readouterr().out in page


def test_the_sentence_on_the_calibration_page_is_the_one_that_is_said():
    page = (ROOT / "docs" / "howto" / "calibrate.md").read_text()
    said = adjust.sentence("pit", boiling_c(1013.25), boiling_c(1013.25) + 0.8, "2026-05-01")
    assert f"\n{said}\n" in page
    assert f"more than {adjust.STILL_K:g} K meanwhile" in page
    assert f"plus {adjust.SPARE_PERCENT} points" in page
    assert f"{adjust.BACK_US} us back" in page


def test_the_table_of_chips_names_faults_that_exist_and_all_converters():
    page = (ROOT / "docs" / "reference" / "chips.md").read_text()
    table = page[page.index("## Chip and fault") : page.index("## MAX31855")]
    named = {word for word in re.findall(r"`([a-z_0-9]+)`", table)}
    assert named <= set(words.FAULTS)
    assert {"open", "short_gnd", "short_vcc", "bus_low", "bus_high", "absent", "late", "range"} <= named
    assert all(converter in page for converter in CONVERTERS)
    assert fitted.CONVERTER in CONVERTERS
