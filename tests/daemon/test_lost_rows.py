"""What is told lost: only what that start can have made, never a row that is here, and the tail of a reboot."""

from __future__ import annotations

import json
import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import msgspec
import pytest

from emberboard.link import pages
from emberdraft.store import Store, lost
from tests.daemon.ingest_rig import BoardThread
from tests.daemon.test_earlier_starts import say
from tests.daemon.test_ingest import Embedded, Heard, Outside, host_process, stored
from tests.daemon.test_ingest import broker as broker  # the fixture: embedded, then Mosquitto
from tests.daemon.test_ingest_boards import BOOT, NOON_S, Rig
from tests.link.test_wire_doc import made
from tests.proof.fixture import Proof
from tests.waiting import until

SAMPLE, WHOLE = 60, 4000
NEXT = "ccddeeff"


@pytest.fixture
def rig(tmp_path: Path) -> Iterator[Rig]:
    with Store(tmp_path / "cooks.sqlite") as store:
        yield Rig(store)


def ranges(rig: Rig) -> list[tuple[str, int, int, int]]:
    with closing(sqlite3.connect(f"file:{rig.store.path}?mode=ro", uri=True)) as db:
        return sorted(db.execute("SELECT boot, first_seq, last_seq, at_most FROM lost"))


def lost_told(rig: Rig, seq: int, first: Any, last: Any, of: str = BOOT, boot: str = BOOT) -> None:
    """An event `lost` with number `seq`."""
    told = {"kind": "lost", "value": first, "limit": last, "text": of, "first": first, "last": last}
    stamp = {"boot": boot, "seq": seq, "ms": 1000 * seq, "oldest": 0}
    rig.say("event", json.dumps({**made()["event"][0], **stamp, **told}).encode(), NOON_S + seq)


@pytest.mark.parametrize(
    ("first", "last"), [(0, 5), (0, 2**31), (5, 6), (-3, 1), (3, 1), (0.5, 2), (None, 2), (0, 1e300)]
)
def test_a_range_that_this_start_cannot_have_made_is_not_believed(rig: Rig, first: Any, last: Any) -> None:
    rig.tick(1)
    rig.send(0)
    lost_told(rig, 5, first, last)
    rig.commit()
    assert ranges(rig) == []
    assert rig.store.mark_of("test", BOOT) == 1
    assert rig.tallies.counts()["not_believed"].count == 1


def test_a_range_does_not_cover_rows_that_are_here(rig: Rig) -> None:
    rig.tick(10)
    for seq in (0, 4, 5, 8):
        rig.send(seq)
    lost_told(rig, 9, 0, 8)
    assert rig.commit() == 10
    assert ranges(rig) == [(BOOT, 1, 3, 0), (BOOT, 6, 7, 0)]


def test_rows_that_come_after_all_are_taken_out_of_the_range(rig: Rig) -> None:
    rig.tick(10)
    rig.send(0)
    lost_told(rig, 9, 1, 8)
    rig.commit()
    for seq in (3, 8):
        rig.send(seq, late=True)
    rig.commit()
    assert ranges(rig) == [(BOOT, 1, 2, 0), (BOOT, 4, 7, 0)]


@pytest.mark.parametrize("changed", [{"oldest": 2**40}, {"ms": 0, "oldest": 3}, {"oldest": 4}])
def test_a_count_that_cannot_be_settles_nothing(rig: Rig, changed: dict[str, int]) -> None:
    rig.tick(4)
    rig.send(0)
    with pytest.raises(msgspec.ValidationError, match="would be right"):
        rig.send(2, **changed)
    rig.send(3)
    rig.commit()
    assert rig.store.mark_of("test", BOOT) == 1
    assert ranges(rig) == []


@pytest.mark.parametrize(("last", "believed"), [(503, True), (2267, True), (2268, False)])
def test_of_an_earlier_start_a_loss_is_believed_up_to_what_the_board_says_it_had(
    rig: Rig, last: int, believed: bool
) -> None:
    held = [{"boot": "11111111", "oldest": 504, "next": 2268, "end_s": 2267}]
    say(rig.host, "info", NOON_S, boot=BOOT, ms=0, held=held)
    lost_told(rig, 0, 0, last, of="11111111")
    rig.commit()
    assert (ranges(rig) == [("11111111", 0, last, 0)]) is believed


def test_of_a_start_that_nobody_knows_nothing_is_believed(rig: Rig) -> None:
    lost_told(rig, 0, 0, 10, of="99999999")
    rig.commit()
    assert ranges(rig) == []


# ---- the tail at a reboot -------------------------------------------------------------------


def second_start(rig: Rig, after_s: float, held: list[dict[str, Any]]) -> list[str]:
    """The next start is heard `after_s` seconds after the last row; what is said of the first."""
    at_s = NOON_S + (rig.spool.next_seq - 1) + after_s
    say(rig.host, "info", at_s, boot=NEXT, ms=0, oldest=0, held=held)
    say(rig.host, "reading", at_s, boot=NEXT, seq=0, ms=0, oldest=0)
    return commit_and_close(rig)


def commit_and_close(rig: Rig) -> list[str]:
    said = []
    for intake in rig.host.waiting():
        intake.commit()
        said += list(rig.host.close_earlier(intake.boot))
    return said


def first_start(rig: Rig, rows: int = 10) -> None:
    rig.tick(rows)
    for seq in range(rows):
        rig.send(seq)
    rig.commit()


def test_the_bound_is_the_boards_own() -> None:
    assert pages.FLUSH_ROWS - 1 == lost.MOST_TAIL


@pytest.mark.parametrize(("after_s", "most"), [(0.5, 0), (3.4, 3), (20.0, 20), (21.0, 20), (90_000.0, 20)])
def test_the_tail_that_went_with_a_reboot_is_told_once(rig: Rig, after_s: float, most: int) -> None:
    first_start(rig)
    said = second_start(rig, after_s, [])
    assert ranges(rig) == ([(BOOT, 10, 9 + most, 1)] if most else [])
    assert [f"at most the last {most} s" in text for text in said] == ([True] if most else [])
    rig.fresh_host()
    assert second_start(rig, after_s, []) == []


def test_while_the_board_still_has_rows_of_it_a_start_is_not_over(rig: Rig) -> None:
    first_start(rig)
    held = [{"boot": BOOT, "oldest": 10, "next": 13, "end_s": 12}]
    assert second_start(rig, 60.0, held) == []
    rig.tick(3)
    for seq in (10, 11, 12):
        assert ranges(rig) == []
        rig.send(seq, late=True)
        said = commit_and_close(rig)
    assert len(said) == 1 and "at most the last 20 s" in said[0]
    assert ranges(rig) == [(BOOT, 13, 32, 1)]


def test_a_tail_row_that_comes_after_all_is_taken_out(rig: Rig) -> None:
    first_start(rig)
    second_start(rig, 60.0, [])
    rig.tick(1)
    rig.send(10, late=True)
    rig.commit()
    assert ranges(rig) == [(BOOT, 11, 29, 1)]


# ---- a search -------------------------------------------------------------------------------


def search(rig: Rig, count: int, chance: random.Random) -> int:
    """Rows and losses in any order, some nonsense; how many are both here and lost, or told and never made."""
    wrong, done = 0, 0
    for _ in range(count):
        rig.tick()
        seq = rig.spool.next_seq - 1
        what = chance.random()
        if what < 0.6:
            with suppress(msgspec.ValidationError):
                rig.send(chance.randrange(seq + 1), late=chance.random() < 0.5, **nonsense(chance))
        elif what < 0.8:
            low, high = (chance.choice([chance.randrange(seq + 1), seq, seq + 9, 2**50]) for _ in range(2))
            lost_told(rig, seq, low, high)
            done = max(done, seq)
        else:
            rig.commit()
            here = {row[0] for row in rig.stored()}
            told = [range(first, last + 1) for _, first, last, _ in ranges(rig)]
            wrong += sum(seq in each for seq in here for each in told)
            wrong += sum(each.stop > rig.spool.next_seq for each in told)
    return wrong


def nonsense(chance: random.Random) -> dict[str, Any]:
    return {"oldest": chance.choice([2**33, -1, 7])} if chance.random() < 0.1 else {}


def test_no_range_covers_a_row_that_is_here_or_was_never_made(rig: Rig) -> None:
    assert search(rig, SAMPLE, random.Random(3)) == 0


@pytest.mark.prove("lost rows")
def test_four_thousand_rows_and_losses_by_chance(tmp_path: Path, proof: Proof) -> None:
    wrong = 0
    for number in range(20):
        with Store(tmp_path / f"{number}.sqlite") as store:
            wrong += search(Rig(store), WHOLE // 20, random.Random(number))
    proof.promise(f"{WHOLE} rows and losses by chance: ranges over rows that are here or never were", wrong, equals=0)


# ---- kills without time to recover ----------------------------------------------------------

SPEED = 60.0
MEMORY = 168  # rows, as a board has


def kill_again_and_again(broker: Embedded | Outside, path: Path, kills: int) -> tuple[set[int], set[int], BoardThread]:
    """A host killed as soon as it acknowledges anything, by a board without flash: rows here, rows told lost."""
    with BoardThread(broker.board, SPEED, capacity=MEMORY) as board:
        for _ in range(kills):
            before = board.spool.oldest - board.spool.dropped
            host = host_process(path, broker.address)
            until(lambda before=before: board.spool.oldest - board.spool.dropped > before)
            host.kill()
            host.wait()
        board.rest()
        with Store(path) as store, Heard(broker.address, store):
            until(board.settled)
            here = set(stored(store))
            with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
                told = {n for a, b in db.execute("SELECT first_seq, last_seq FROM lost") for n in range(a, b + 1)}
    return here, told, board


def test_kills_without_time_to_recover_lose_what_the_memory_could_not_hold_and_tell_it(
    broker: Embedded | Outside, tmp_path: Path
) -> None:
    here, told, board = kill_again_and_again(broker, tmp_path / "cooks.sqlite", 2)
    assert here | told == set(range(board.spool.next_seq)) and not here & told
    assert len(told) <= board.spool.dropped


@pytest.mark.prove("lost rows")
def test_forty_kills_without_time_to_recover(broker: Embedded | Outside, tmp_path: Path, proof: Proof) -> None:
    here, told, board = kill_again_and_again(broker, tmp_path / "cooks.sqlite", 40)
    every = set(range(board.spool.next_seq))
    kind = "Mosquitto" if isinstance(broker, Outside) else "embedded broker"
    what = f"{kind}: 40 kills of the host, a board with {MEMORY} rows of memory"
    proof.promise(f"{what}: rows neither here nor told lost", len(every - here - told), equals=0)
    proof.promise(f"{what}: rows here and told lost", len(here & told), equals=0)
    beyond = len(told) - board.spool.dropped
    proof.promise(
        f"{what}: told lost beyond what the spool dropped",
        max(0, beyond),
        equals=0,
        note=f"{len(told)} of {len(every)}",
    )
    assert here | told == every and not here & told and len(told) <= board.spool.dropped
