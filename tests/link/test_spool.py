"""Store and forward: what is kept, what goes first, what is given up and said to be."""

from __future__ import annotations

import itertools
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from emberboard.link import records
from emberboard.link.spool import LIVE_MS, Spool
from tests.link.peer import inputs, outputs


def fill(spool: Spool, seconds: range) -> None:
    for second in seconds:
        spool.add_reading(second * 1000, outputs(), inputs())


def held(spool: Spool) -> list[dict[str, Any]]:
    return [records.unpack(spool.buf, spool.offset(seq)) for seq in range(spool.oldest, spool.next_seq)]


def send_all(spool: Spool, now_ms: int) -> list[tuple[int, bool]]:
    out = []
    while (due := spool.next_to_send(now_ms)) is not None:
        out.append(due)
        spool.sent(due[1])
    return out


def test_records_are_numbered_from_0_and_kept_in_one_piece_of_memory() -> None:
    spool = Spool(600)
    buf = spool.buf
    fill(spool, range(700))
    assert len(buf) == 600 * 48
    assert spool.buf is buf
    assert [row["seq"] for row in held(spool)] == list(range(100, 700))
    assert [row["ms"] for row in held(spool)] == [1000 * k for k in range(100, 700)]


def test_an_ack_lets_go_of_all_below_it() -> None:
    spool = Spool(10)
    fill(spool, range(5))
    spool.ack(3, 5000)
    assert (spool.oldest, spool.dropped) == (3, 0)


def test_acks_from_before_or_from_nowhere_change_nothing() -> None:
    spool = Spool(10)
    fill(spool, range(5))
    spool.ack(3, 5000)
    for odd in (2, 0, -1, 6, 10**9):
        spool.ack(odd, 5000)
    assert spool.oldest == 3


def test_overflow_drops_the_oldest_and_counts() -> None:
    spool = Spool(10)
    fill(spool, range(14))
    assert (spool.oldest, spool.next_seq, spool.dropped) == (4, 14, 4)


def test_a_loss_is_told_with_its_whole_range_in_a_record_of_its_own() -> None:
    spool = Spool(10, "aa11bb22")
    fill(spool, range(14))
    spool.connected(14000)
    spool.announce_lost(14000)
    told = held(spool)[-1]
    # Telling takes a place as well: record 4 had to go for it.
    assert (told["kind"], told["value"], told["limit"], told["text"]) == ("lost", 0, 4, "aa11bb22")
    spool.announce_lost(14001)
    assert spool.next_seq == 15


def test_a_loss_whose_telling_was_lost_is_told_again_from_its_beginning() -> None:
    spool = Spool(10, "b")
    fill(spool, range(14))
    spool.connected(14000)
    spool.announce_lost(14000)
    fill(spool, range(14, 40))  # the announcement itself has fallen out
    spool.connected(40000)
    spool.announce_lost(40000)
    assert (held(spool)[-1]["value"], held(spool)[-1]["limit"]) == (0, spool.oldest - 1)


def test_a_loss_that_was_settled_is_not_told_again() -> None:
    spool = Spool(10, "b")
    fill(spool, range(14))
    spool.connected(14000)
    spool.announce_lost(14000)
    spool.ack(spool.next_seq, 14100)
    fill(spool, range(15, 28))
    spool.connected(28000)
    spool.announce_lost(28000)
    # Record 14 was the announcement; 15 is the first dropped after it.
    assert held(spool)[-1]["value"] == 15


def test_while_nobody_acknowledges_losses_are_told_once_a_minute() -> None:
    spool = Spool(10, "b")
    spool.connected(0)
    told = []
    for second in range(130):
        spool.add_reading(second * 1000, outputs(), inputs())
        before = spool.next_seq
        spool.announce_lost(second * 1000)
        if spool.next_seq > before:
            told.append(second)
    assert told == [10, 70]


def test_rows_of_the_last_two_seconds_are_live_and_go_first_the_older_go_late() -> None:
    spool = Spool(100)
    fill(spool, range(20))
    spool.connected(19500)
    sent = send_all(spool, 19500)
    assert sent[:2] == [(18, False), (19, False)]
    assert sent[2:] == [(k, True) for k in range(4)]


def test_replay_is_at_most_20_records_in_any_second() -> None:
    spool = Spool(600)
    fill(spool, range(500))
    spool.connected(500000)
    times = []
    for now_ms in range(500000, 520000, 10):
        times += [now_ms for _, late in send_all(spool, now_ms) if late]
    for start in times:
        assert len([t for t in times if start <= t < start + 1000]) <= 20
    assert len(times) >= 20 * 16


def test_a_row_that_could_not_go_within_two_seconds_goes_late_instead() -> None:
    spool = Spool(100)
    spool.connected(0)
    fill(spool, range(5))
    assert spool.next_to_send(4000) == (2, False)  # 2 s old: just in time
    assert send_all(spool, 4000) == [(2, False), (3, False), (4, False), (0, True), (1, True)]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["tick", "send", "ack", "cut", "wait"]), st.integers(0, 40)), max_size=60))
def test_live_rows_are_never_old_and_never_go_backward(script: list[tuple[str, int]]) -> None:
    spool, now_ms, last_live = Spool(12, "b"), 0, -1
    spool.connected(0)
    for what, amount in script:
        if what == "tick":
            for _ in range(amount % 5):
                now_ms += 1000
                spool.add_reading(now_ms, outputs(), inputs())
        elif what == "wait":
            now_ms += amount * 100
        elif what == "ack":
            spool.ack(min(spool.next_seq, spool.oldest + amount), now_ms)
        elif what == "cut":
            spool.connected(now_ms)
            last_live = -1
        for seq, late in send_all(spool, now_ms) if what == "send" else []:
            assert spool.oldest <= seq < spool.next_seq
            if not late:
                assert now_ms - records.seq_ms(spool.buf, spool.offset(seq))[1] <= LIVE_MS
                assert seq > last_live
                last_live = seq


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 30), st.booleans(), st.booleans()), min_size=1, max_size=40), st.randoms())
def test_whatever_the_network_loses_each_record_arrives_or_is_named_lost(
    minutes: list[tuple[int, bool, bool]], chance: Any
) -> None:
    """A host that settles what it is told, over a network that drops messages and connections."""
    spool, now_ms, stored = Spool(20, "b"), 0, set()
    spool.connected(0)
    for seconds, up, whole in [*minutes, (0, True, True), (60, True, True)]:
        if up:
            spool.connected(now_ms)
        for _ in range(seconds):
            now_ms += 1000
            spool.add_reading(now_ms, outputs(), inputs())
            if not up:
                continue
            spool.announce_lost(now_ms)
            spool.watch(now_ms)
            for seq, _ in send_all(spool, now_ms):
                if whole or chance.random() < 0.5:
                    hear(stored, records.unpack(spool.buf, spool.offset(seq)))
            spool.ack(mark_of(stored), now_ms)
    assert mark_of(stored) == spool.next_seq


def hear(stored: set[int], row: dict[str, Any]) -> None:
    stored.add(row["seq"])
    if row.get("kind") == "lost":
        stored.update(range(int(row["value"]), int(row["limit"]) + 1))


def mark_of(stored: set[int]) -> int:
    mark = 0
    while mark in stored:
        mark += 1
    return mark


def test_when_acks_stop_all_is_sent_again_and_then_more_and_more_rarely() -> None:
    spool = Spool(600)
    spool.connected(0)
    again = []
    for second in range(500):
        now_ms = second * 1000
        spool.add_reading(now_ms, outputs(), inputs())
        spool.watch(now_ms)
        if (0, True) in send_all(spool, now_ms):
            again.append(second)
    # 10 s after the first, then after 20, 40, 80, 120 s and the time that the replay itself takes.
    assert again[0] == 10
    pauses = [after - before for before, after in itertools.pairwise(again)]
    assert pauses == sorted(pauses)
    assert 120 <= pauses[-1] <= 200


def test_an_ack_that_does_not_move_brings_a_lost_row_again_within_ten_seconds() -> None:
    spool = Spool(600)
    spool.connected(0)
    got = set()
    for second in range(30):
        now_ms = second * 1000
        spool.add_reading(now_ms, outputs(), inputs())
        spool.watch(now_ms)
        for seq, late in send_all(spool, now_ms):
            if seq != 5 or late:  # the live row 5 was lost on the way
                got.add(seq)
        spool.ack(mark_of(got), now_ms)
    assert mark_of(got) == 30


class Flash:
    """Stands for the pages: rows below `kept` are in flash."""

    kept = 0
    first = None


def test_a_row_that_is_in_flash_is_not_lost_when_it_leaves_the_memory() -> None:
    """Twelve rows in a memory of ten, the first two in flash: none is lost; with the first alone there, one is."""
    for kept, lost in ((2, 0), (1, 1), (0, 2)):
        spool = Spool(10)
        spool.pages = Flash()
        spool.pages.kept = kept
        fill(spool, range(12))
        assert spool.dropped == lost
