"""settings.json on the board: sealed in two copies; one flipped bit, a lost file or a power cut never lets air in."""

from __future__ import annotations

import binascii
import json
import os
import re
from pathlib import Path
from random import Random

import pytest

from emberboard import settings
from tests.proof.fixture import Proof
from tests.safety.cutting import runs_out

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "settings.md"
GIVEN = {"cooker": "demo", "broker_host": "192.168.1.20", "food_probes": 2, "damper": True, "wifi_key": "hüttenkäse"}
WANTED = {**settings.defaults(), **GIVEN}
SEALING_STEPS = 760  # bytes and renames of both copies


@pytest.fixture
def flash(tmp_path: Path) -> str:
    """A board's file system with settings that a person has just written."""
    (tmp_path / settings.NAME).write_text(json.dumps(GIVEN), encoding="utf-8")
    return f"{tmp_path}/"


@pytest.fixture
def sealed(flash: str) -> str:
    """The same after its first start."""
    assert settings.load(flash) == (WANTED, [], ["settings sealed"])
    return flash


def test_a_persons_file_is_taken_and_sealed_in_two_copies(sealed: str):
    one, two = (Path(sealed, name).read_bytes() for name in (settings.NAME, settings.COPY))
    assert one == two
    assert settings.load(sealed) == (WANTED, [], [])


def test_the_check_is_the_crc_of_every_value(sealed: str):
    # CRC-32 of IEEE 802.3, whose published check value over "123456789" is CBF43926.
    assert binascii.crc32(b"123456789") == 0xCBF43926
    told = json.loads(Path(sealed, settings.NAME).read_bytes())
    for name in settings.FIELDS:
        assert settings.check_of({**WANTED, name: "other"}) != told[settings.CHECK]
    lines = "\n".join(f"{name}={WANTED[name]}" for name in sorted(WANTED))
    assert told[settings.CHECK] == f"{binascii.crc32(lines.encode()):08x}"


def test_a_person_changes_a_value_by_deleting_the_check(sealed: str):
    path = Path(sealed, settings.NAME)
    told = json.loads(path.read_bytes())
    told["food_probes"] = 3
    path.write_text(json.dumps(told))
    assert settings.load(sealed) == (WANTED, [], ["settings.json is damaged"])
    del told[settings.CHECK]
    path.write_text(json.dumps(told))
    assert settings.load(sealed)[0]["food_probes"] == 3
    assert settings.load(sealed) == ({**WANTED, "food_probes": 3}, [], [])


def test_a_newer_firmware_takes_a_sealed_file_that_lacks_its_new_settings(sealed: str):
    older = {name: value for name, value in WANTED.items() if name != "hold_margin_c"}
    text = json.dumps({**older, settings.CHECK: settings.check_of(older)})
    for name in (settings.NAME, settings.COPY):
        Path(sealed, name).write_text(text)
    assert settings.load(sealed) == (WANTED, [], [])


def test_a_wrong_value_is_never_sealed(flash: str):
    Path(flash, settings.NAME).write_text(json.dumps({**GIVEN, "mains_hz": 55}))
    assert settings.load(flash)[1:] == (["mains_hz: one of 50, 60 would be right"], [])
    assert not Path(flash, settings.COPY).exists()


@pytest.mark.parametrize("lost", [settings.NAME, settings.COPY])
def test_one_lost_copy_costs_nothing(sealed: str, lost: str):
    os.remove(sealed + lost)
    values, troubles, notes = settings.load(sealed)
    assert (values, troubles) == (WANTED, [])
    assert notes


def test_without_either_there_are_defaults_and_a_trouble(sealed: str):
    for name in (settings.NAME, settings.COPY):
        Path(sealed, name).write_bytes(Path(sealed, name).read_bytes().replace(b"demo", b"dome"))
    assert settings.load(sealed) == (settings.defaults(), ["settings.json damaged, no copy"], [])
    for name in (settings.NAME, settings.COPY):
        os.remove(sealed + name)
    assert settings.load(sealed) == (settings.defaults(), ["settings.json missing or unreadable"], [])


def flip(path: Path, bit: int) -> None:
    data = bytearray(path.read_bytes())
    data[bit // 8] ^= 1 << bit % 8
    path.write_bytes(data)


def outcome(folder: str) -> str:
    """'corrected' when every value is as it was sealed, 'refused' when the blower stays off, else 'WRONG'."""
    values, troubles, _ = settings.load(folder)
    return "refused" if troubles else "corrected" if values == WANTED else "WRONG"


def flip_each(folder: str, both: bool, step: int) -> dict[str, int]:
    """Flip single bits of the file (of both copies alike when `both`); how each ended."""
    files = [Path(folder, name) for name in (settings.NAME, settings.COPY)]
    good = files[0].read_bytes()
    counts = {"corrected": 0, "refused": 0, "WRONG": 0}
    for bit in range(0, len(good) * 8, step):
        for path in files:
            path.write_bytes(good)
        flip(files[0], bit)
        if both:
            flip(files[1], bit)
        counts[outcome(folder)] += 1
    return counts


@pytest.mark.parametrize("both", [False, True])
def test_a_flipped_bit_is_corrected_or_refused(sealed: str, both: bool):
    counts = flip_each(sealed, both, step=13)
    assert counts["WRONG"] == 0
    assert counts["refused" if both else "corrected"] > 0.9 * sum(counts.values())


@pytest.mark.prove("safety: settings")
def test_every_single_bit(sealed: str, proof: Proof):
    for both in (False, True):
        counts = flip_each(sealed, both, step=1)
        where = "in both copies at once" if both else "in settings.json"
        total = sum(counts.values())
        name = f"each single bit flipped {where}: neither refused nor safe"
        proof.promise(name, counts["WRONG"], equals=0, note=f"of {total}")


def cut_once(folder: str, left: int, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Seal with the power going after `left` steps; True if it was cut. Then nothing may be unreadable."""
    was_cut = runs_out(settings, left, monkeypatch, lambda: settings.load(folder))
    assert settings.load(folder)[:2] == (WANTED, [])
    assert settings.load(folder) == (WANTED, [], [])
    return was_cut


def cut_at(flash: str, seed: int, count: int, monkeypatch: pytest.MonkeyPatch) -> int:
    chance, cuts = Random(seed), 0
    for _ in range(count):
        for name in os.listdir(flash):
            os.remove(flash + name)
        Path(flash, settings.NAME).write_text(json.dumps(GIVEN), encoding="utf-8")
        cuts += cut_once(flash, chance.randrange(SEALING_STEPS), monkeypatch)
    return cuts


def test_a_power_cut_while_sealing_leaves_settings_that_can_be_read(flash: str, monkeypatch):
    assert cut_at(flash, 1, 6, monkeypatch) == 6


@pytest.mark.prove("safety: settings")
def test_a_hundred_power_cuts_while_sealing(flash: str, monkeypatch, proof: Proof):
    cuts = cut_at(flash, 2, 100, monkeypatch)
    proof.promise("power cuts while the settings are written after which they were read, of 100", cuts, equals=100)


def test_the_page_has_every_setting_with_its_range_and_default():
    rows = dict(re.findall(r"^\| `(\w+)` \|(.+)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE))
    assert set(rows) == set(settings.FIELDS)
    for name, (default, may, _) in settings.FIELDS.items():
        assert f"`{json.dumps(default)}`" in rows[name], name
        for bound in may if isinstance(may[0], int) else may[1:]:
            assert str(bound) in rows[name], f"{name}: {bound}"


def test_the_limits_of_the_settings_reach_the_board(tmp_path: Path):
    from emberdraft.virtual.board import VirtualBoard
    from tests.virtual.conftest import Cook, SmallWorld, interpreter_or_skip

    world = SmallWorld(pit_c=100.0)
    more = {"pit_limit_c": 200, "hold_margin_c": 20}
    with VirtualBoard(world, interpreter=interpreter_or_skip(), work_dir=tmp_path, settings=more) as board:
        cook = Cook(board)
        cook.run(12.0)
        assert cook.of("info")[-1]["limits"] == {"pit_c": 200.0, "stone_c": 400.0, "hold_margin_c": 20.0}
        cook.hold(121.0)
        cook.run(190.0)  # before the first mean of three minutes the limit is the pit's own
        world.pit_c = 142.5
        cook.run(5.0)
        assert cook.of("alert/pit_over_limit")[-1]["limit"] == 141.0
        assert board.drive == 0.0
