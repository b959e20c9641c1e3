"""What outlives a reset: written whole or not at all, and taken for the worst when damaged."""

from __future__ import annotations

import os

import pytest

from emberboard.keep import Keep


@pytest.fixture
def path(tmp_path):
    return str(tmp_path / "kept.json")


def test_a_new_board_has_nothing_kept(path):
    keep = Keep(path)
    assert (keep.trips, keep.failed, keep.damaged) == ([], 0, False)


def test_trips_and_failures_come_back(path):
    Keep(path).note(["pit_over_limit", "boot_failed"], 2)
    keep = Keep(path)
    assert (keep.trips, keep.failed) == (["boot_failed", "pit_over_limit"], 2)


def test_a_bite_is_counted_at_the_next_start(path):
    assert Keep(path).started(by_watchdog=True) == "watchdog"
    assert Keep(path).failed == 1


def test_a_failure_that_was_noted_is_not_counted_twice(path):
    Keep(path).note([], 1, 1)
    assert Keep(path).started(by_watchdog=True) == "exception"
    assert (Keep(path).failed, Keep(path).noted) == (1, 0)


def test_a_start_by_power_counts_nothing(path):
    assert Keep(path).started(by_watchdog=False) == "power"
    assert Keep(path).failed == 0


def test_nothing_new_writes_nothing(path, monkeypatch):
    keep = Keep(path)
    keep.note(["runaway"], 0)
    monkeypatch.setattr(os, "rename", None)
    keep.note(["runaway"], 0)


def test_a_cut_before_the_rename_leaves_the_old_file(path, monkeypatch):
    keep = Keep(path)
    keep.note(["runaway"], 0)

    def cut(_old, _new):
        raise OSError("power cut")

    monkeypatch.setattr(os, "rename", cut)
    with pytest.raises(OSError, match="power cut"):
        keep.note([], 0)
    monkeypatch.undo()
    assert Keep(path).trips == ["runaway"]


def test_every_flipped_bit_is_seen_or_changes_nothing(path):
    Keep(path).note(["pit_over_limit"], 1)
    with open(path, "rb") as file:
        good = file.read()
    for bit in range(len(good) * 8):
        bad = bytearray(good)
        bad[bit // 8] ^= 1 << bit % 8
        with open(path, "wb") as file:
            file.write(bad)
        keep = Keep(path)
        assert keep.damaged or (keep.trips, keep.failed) == (["pit_over_limit"], 1)


@pytest.fixture
def asked(tmp_path, monkeypatch):
    """The note of somebody at the cable, in the board's root."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "asked").write_bytes(b"")
    return tmp_path / "asked"


def test_a_start_that_was_asked_for_counts_nothing_and_only_once(path, asked):
    assert Keep(path).started(by_watchdog=True) == "asked"
    assert (Keep(path).failed, asked.exists()) == (0, False)
    assert Keep(path).started(by_watchdog=True) == "watchdog"
    assert Keep(path).failed == 1


def test_a_note_that_cannot_be_taken_away_hides_no_bite(path, asked, monkeypatch):
    def refuse(_path):
        raise OSError(28)

    monkeypatch.setattr(os, "remove", refuse)
    assert Keep(path).started(by_watchdog=True) == "watchdog"


def test_an_exception_counts_although_somebody_was_at_the_cable(path, asked):
    Keep(path).note([], 1, 1)
    assert Keep(path).started(by_watchdog=True) == "exception"
    assert not asked.exists()
