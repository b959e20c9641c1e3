"""What the host cannot read is on the disk as it came before the board may forget it, and a later release reads it."""

from __future__ import annotations

import json
import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest

from emberdraft.daemon import health, heard
from emberdraft.daemon.reread import read_again
from emberdraft.store import Store, StoreFull, raw
from tests.daemon.test_ingest_boards import BOOT, NOON_S, Rig
from tests.proof.fixture import Proof

Bad = dict[str, Any]
KINDS: list[Bad] = [{"duty": 7.0}, {"pit_c": "hot"}, {"core_c": [1, 2, 3, 4, 5]}, {"why": 5}, {"ms": -1}]
SAMPLE, WHOLE = 40, 3000


@pytest.fixture
def rig(tmp_path: Path) -> Iterator[Rig]:
    with Store(tmp_path / "cooks.sqlite") as store:
        yield Rig(store)


def spoilt(rig: Rig, seq: int, changed: Bad) -> None:
    with pytest.raises(msgspec.ValidationError):
        rig.send(seq, **changed)


def kept(rig: Rig) -> list[tuple[int, Bad]]:
    """Number and payload of each raw row, read with plain SQLite."""
    with closing(sqlite3.connect(f"file:{rig.store.path}?mode=ro", uri=True)) as db:
        rows = db.execute("SELECT seq, payload FROM raw WHERE boot = ? ORDER BY seq", (BOOT,)).fetchall()
    return [(seq, json.loads(payload)) for seq, payload in rows]


@pytest.mark.parametrize("changed", KINDS)
def test_a_row_that_cannot_be_read_is_kept_as_it_came_and_then_acknowledged(rig: Rig, changed: Bad) -> None:
    rig.tick(3)
    rig.send(0)
    spoilt(rig, 1, changed)
    rig.send(2)
    assert rig.commit() == 3
    ((seq, payload),) = kept(rig)
    assert seq == 1 and changed.items() <= payload.items()
    assert rig.lost() == []


def test_a_row_that_the_store_can_never_take_is_kept_alone(rig: Rig) -> None:
    rig.tick(3)
    rig.send(0)
    rig.send(1, mode="a mode of a newer release")
    rig.send(2)
    real = rig.store.add_records

    def picky(cooker: str, boot: str, rows: Any) -> int:
        if any(row.get("mode") not in ("hold", None) for row in rows):
            raise ValueError("CHECK constraint failed: mode")
        return real(cooker, boot, rows)

    rig.store.add_records = picky  # type: ignore[method-assign]
    assert rig.commit() == 3
    assert [seq for seq, _, _ in rig.stored()] == [0, 2]
    assert [seq for seq, _ in kept(rig)] == [1]
    rig.store.add_records = real  # type: ignore[method-assign]
    assert read_again(rig.store) == 1
    assert [seq for seq, _, _ in rig.stored()] == [0, 1, 2]


def test_what_could_not_be_kept_is_not_acknowledged_and_goes_with_the_next_try(rig: Rig) -> None:
    rig.tick(2)
    rig.send(0)
    spoilt(rig, 1, {"duty": 7.0})
    real = rig.store.add_raw

    def full(*_args: Any) -> int:
        raise StoreFull("the disk is full; readings wait on the board.")

    rig.store.add_raw = full  # type: ignore[method-assign]
    with pytest.raises(StoreFull):
        rig.commit()
    assert rig.store.mark_of("test", BOOT) == 1
    rig.store.add_raw = real  # type: ignore[method-assign]
    assert rig.commit() == 2


def test_a_start_of_which_nothing_can_be_read_is_acknowledged_too(rig: Rig) -> None:
    rig.tick(3)
    for seq in range(3):
        spoilt(rig, seq, {"duty": 7.0})
    assert rig.commit() == 3
    assert len(kept(rig)) == 3


def test_a_repeat_is_kept_once(rig: Rig) -> None:
    rig.tick(1)
    for _ in range(3):
        spoilt(rig, 0, {"duty": 7.0})
        rig.commit()
    assert len(kept(rig)) == 1


def test_beyond_the_room_for_a_cooker_the_range_is_recorded_lost(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(raw, "MOST_BYTES", 1500)
    rig.tick(6)
    for seq in range(6):
        spoilt(rig, seq, {"duty": 7.0})
    assert rig.commit() == 6
    here = [seq for seq, _ in kept(rig)]
    assert 0 < len(here) < 6
    assert [first for first, _ in rig.lost()] == list(range(len(here), 6))
    assert "3 of 6" in rig.tallies.counts()["no_room"].example


def test_the_room_is_fifty_megabytes_a_cooker() -> None:
    assert raw.MOST_BYTES == 50_000_000


def test_a_later_release_reads_them_and_they_move_into_the_record(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    rig.tick(4)
    rig.send(0)
    spoilt(rig, 1, {"duty": 1.2})
    spoilt(rig, 2, {"duty": "much"})
    rig.send(3)
    rig.commit()
    assert read_again(rig.store) == 0

    class Later(heard.Reading):
        duty: float

    monkeypatch.setattr(heard, "READING", msgspec.json.Decoder(Later))
    assert read_again(rig.store) == 1
    assert [row[:2] for row in rig.stored()] == [(0, NOON_S), (1, NOON_S + 1.0), (3, NOON_S + 3.0)]
    assert [seq for seq, _ in kept(rig)] == [2]
    assert rig.store.mark_of("test", BOOT) == 4


def test_the_health_page_says_how_many_and_why(rig: Rig) -> None:
    service = SimpleNamespace(store=rig.store, cooker="test")
    assert health._raw(service) == []
    rig.tick(1)
    spoilt(rig, 0, {"duty": 7.0})
    rig.commit()
    (check,) = health._raw(service)
    assert not check["ok"] and check["name"] == "messages, kept raw"
    assert check["text"].startswith("1 rows could not be read and are kept as they came")
    assert "$.duty" in check["text"]


def search(rig: Rig, count: int, chance: random.Random) -> int:
    """Rows spoilt at random in random order; how many of what was acknowledged are in neither table."""
    marks = 0
    for _ in range(count):
        rig.tick()
        seq = rig.spool.next_seq - 1
        if chance.random() < 0.3:
            name = chance.choice(["duty", "pit_c", "core_c", "why", "fire", "p", "oldest", "late"])
            value = chance.choice([7.0, -1e9, "x", None, [1, 2, 3, 4, 5], {}, 1e308])
            with suppress(msgspec.ValidationError):
                rig.send(seq, **{name: value})
        else:
            rig.send(seq)
        if chance.random() < 0.2:
            marks = max(marks, rig.commit())
        rig.spool.ack(max(marks, rig.spool.oldest), 0)
    marks = max(marks, rig.commit())
    here = {seq for seq, _, _ in rig.stored()} | {seq for seq, _ in kept(rig)}
    return len(set(range(marks)) - here)


def test_no_row_that_was_acknowledged_is_gone(rig: Rig) -> None:
    assert search(rig, SAMPLE, random.Random(16)) == 0


@pytest.mark.prove("unreadable rows")
def test_of_rows_spoilt_by_chance_none_is_gone(tmp_path: Path, proof: Proof) -> None:
    gone = 0
    for number in range(10):
        with Store(tmp_path / f"{number}.sqlite") as store:
            gone += search(Rig(store, capacity=WHOLE), WHOLE // 10, random.Random(number))
    proof.promise(f"{WHOLE} rows, a third of them spoilt by chance: acknowledged and gone", gone, equals=0)
