"""The whole firmware through outages longer than its memory, with restarts in the middle: nothing is missing."""

from __future__ import annotations

import itertools
import json

import pytest

from emberboard.link.pages import FLUSH_ROWS
from emberboard.link.spool import LIVE_MS
from tests.proof.fixture import Proof
from tests.virtual.conftest import SmallWorld


def away(cook, seconds):
    """No network for `seconds`."""
    cook.peer.online = False
    cook.run(seconds)


def back(cook, seconds):
    """The network is there again for `seconds`; by how many seconds a live row came later than the quickest."""
    cook.peer.online = True
    delays_s = []

    def each(now_s):
        rows = [json.loads(payload) for topic, payload in cook.peer.received if topic.endswith("/reading")]
        fresh = [row["ms"] for row in rows if not row.get("late")]
        if fresh:
            delays_s.append(now_s - fresh[-1] / 1000.0)

    cook.run(seconds, each)
    return max(delays_s) - min(delays_s)


def missing(cook):
    """How many records of each start are not there between its first and its last."""
    out = {}
    for boot in dict.fromkeys(row["boot"] for row in cook.rows):
        seqs = {row["seq"] for row in cook.rows if row["boot"] == boot}
        out[boot] = max(seqs) + 1 - len(seqs)
    return out


def live(cook):
    return [row for row in cook.rows if "pit_c" in row and not row.get("late")]


def outage_with_restart(start, half_s, restart):
    """The cook, records missing inside a start, and the last uptime of the first start that came."""
    cook = start(SmallWorld())
    cook.hold()
    cook.run(20.0)
    away(cook, half_s)
    restart(cook.board)
    cook.run(half_s)
    back(cook, 120.0 + half_s / 3.0)
    boots = list(missing(cook))
    last = max(row["ms"] for row in cook.rows if row["boot"] == boots[0])
    return cook, sum(missing(cook).values()), last


def test_a_restart_that_the_firmware_wants_in_an_outage_loses_nothing(start):
    cook, gaps, last_ms = outage_with_restart(start, 90.0, lambda board: board.throw())
    assert gaps == 0
    assert cook.board.boots == 2
    assert len({row["boot"] for row in cook.rows}) == 2
    assert last_ms >= 117_000


def test_a_power_cut_in_an_outage_loses_at_most_what_was_in_no_page(start):
    cook, gaps, last_ms = outage_with_restart(start, 90.0, lambda board: board.power_cut(5.0))
    assert gaps == 0
    assert 122_000 - last_ms < 1000 * (FLUSH_ROWS + 2)
    assert not list((cook.board.flash / "spool").glob("[0-9]*"))


def test_late_rows_never_say_they_are_the_present_and_live_ones_never_go_back(start):
    cook = start(SmallWorld())
    away(cook, 150.0)
    assert back(cook, 60.0) <= LIVE_MS / 1000.0
    times = [row["ms"] for row in live(cook)]
    assert all(before < after for before, after in itertools.pairwise(times))
    assert any(row.get("late") for row in cook.rows)


@pytest.mark.prove("Delivery: outages", proves=["firmware", "host/emberdraft/virtual"])
def test_half_an_hour_and_an_hour_with_a_restart(start, proof: Proof):
    cook = start(SmallWorld())
    cook.hold()
    away(cook, 1800.0)
    late_s = round(back(cook, 240.0), 2)
    gap = sum(missing(cook).values())
    proof.promise("30 min outage, whole firmware: records missing afterwards", gap, equals=0)
    proof.promise("live row later than the quickest while 30 min are sent late, s", late_s, at_most=2.0)
    cook, gaps, _ = outage_with_restart(start, 1800.0, lambda board: board.throw())
    proof.promise("hour's outage with a restart by an exception: records missing", gaps, equals=0)
    cut, cut_gaps, last_ms = outage_with_restart(start, 1800.0, lambda board: board.power_cut(5.0))
    lost_s = round(12.0 + 20.0 + 1800.0 - 0.3 - 3.0 - last_ms / 1000.0)
    proof.promise("hour's outage with a power cut: records missing inside a start", cut_gaps, equals=0)
    proof.promise("the same: last seconds that were in no page yet", lost_s, at_most=FLUSH_ROWS)
    assert cut.board.boots == 2
