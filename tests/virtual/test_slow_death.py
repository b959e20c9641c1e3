"""No slow death: hundreds of outages on one start of the board, in the heap that stands for a Pico W's.

30 days at an outage an hour are 720 outages. What wears a heap is the outage (sockets, packets, texts, pages in
flash), not the quiet seconds between, so that the quiet is cut short: each outage is 40 s away and 50 s back, 18 h of
board time in all (a fortieth of the month), and the first 24 outages are the first day. Six hours are run whole beside
it, to see that the quiet ones wear nothing. The board's counter of milliseconds wraps in the first minute of every
run (overlay/time.py).
"""

from __future__ import annotations

import statistics

import pytest

from tests.proof.fixture import Proof
from tests.virtual.compiled import compile_into
from tests.virtual.conftest import SmallWorld
from tests.virtual.test_budget import HEAP

PROVES = ["firmware", "host/emberdraft/virtual"]
AWAY_S, BACK_S = 40.0, 50.0
REPORT_S = 30
SETTLED = 2  # reports of the first minute, before the first outage


def outages(start, tmp_path, count, away_s=AWAY_S, back_s=BACK_S):
    """The cook after so many outages."""
    firmware = compile_into(tmp_path / "mpy")
    flash = tmp_path / "flash"
    flash.mkdir()
    (flash / "report_memory").write_text(str(REPORT_S))
    options = {"heap": HEAP, "firmware": firmware, "work_dir": flash}
    cook = start(SmallWorld(), **options, settings={"damper": True, "food_probes": 3})
    cook.hold()
    cook.run(60.0)
    for _ in range(count):
        cook.peer.online = False
        cook.run(away_s)
        cook.peer.online = True
        cook.run(back_s)
        cook.rows.clear()
        cook.said.clear()
    return cook


def shares(cook, day):
    """Free memory and largest free piece, the last `day` reports' median as a share of the first `day` reports'."""
    reports = cook.board.memory()[SETTLED:]
    begin, end = reports[:day], reports[-day:]
    return [statistics.median(each[k] for each in end) / statistics.median(each[k] for each in begin) for k in (0, 1)]


def told(cook):
    """Exceptions on the console."""
    return (cook.board.flash / "console.log").read_text(errors="replace").count("Traceback")


def test_a_dozen_outages_leave_the_heap_as_it_was(start, tmp_path):
    cook = outages(start, tmp_path, 12)
    free, largest = shares(cook, 12)
    assert cook.peer.connections > 12
    assert (cook.board.boots, told(cook)) == (1, 0)
    assert free >= 0.95
    assert largest >= 0.9  # one object placed elsewhere moves it by 7 %; the 0.95 is of 720 outages, in `make prove`


def held_to_it(cook, day, what, proof: Proof):
    free, largest = shares(cook, day)
    proof.promise(f"{what}: free memory, share of the first", round(free, 4), at_least=0.95)
    proof.promise(f"{what}: largest free piece, share of the first", round(largest, 4), at_least=0.95)
    proof.promise(f"{what}: restarts", cook.board.boots - 1, equals=0)
    proof.promise(f"{what}: exceptions told", told(cook), equals=0)


@pytest.mark.prove("Slow death", proves=PROVES)
def test_seven_hundred_outages_leave_the_heap_as_it_was(start, tmp_path, proof: Proof):
    cook = outages(start, tmp_path, 720)
    assert cook.peer.connections > 720
    held_to_it(cook, 72, "720 outages (40 s away, 50 s back; the last 24 beside the first 24)", proof)


@pytest.mark.prove("Slow death", proves=PROVES)
def test_six_hours_with_their_quiet(start, tmp_path, proof: Proof):
    cook = outages(start, tmp_path, 6, 300.0, 3300.0)
    assert cook.peer.connections > 6
    held_to_it(cook, 120, "six hours run whole, 5 min of each away (the last hour beside the first)", proof)
