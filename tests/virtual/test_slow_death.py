"""No slow death: hundreds of outages on one start of the board, in the heap that stands for a Pico W's.

30 days at an outage an hour are 720 outages. What wears a heap is the outage (sockets, packets, texts, pages in
flash), not the quiet seconds between, so that the quiet is cut short: each outage is 40 s away and 50 s back, 18 h of
board time in all. The board's counter of milliseconds wraps in the first minute of every run (overlay/time.py).
"""

from __future__ import annotations

import statistics

import pytest

from tests.virtual.compiled import compile_into
from tests.virtual.conftest import SmallWorld
from tests.virtual.test_budget import HEAP

COVERS = ["firmware", "host/emberdraft/virtual"]
AWAY_S, BACK_S = 40.0, 50.0
REPORT_S = 30


def outages(start, tmp_path, count):
    """The cook after so many outages; heap reports of the first and of the last 24th of them (a day of 30 at 720)."""
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
        cook.run(AWAY_S)
        cook.peer.online = True
        cook.run(BACK_S)
        cook.rows.clear()
        cook.said.clear()
    return cook


def shares(cook, day, skipped):
    """Free memory and largest free piece at the end, as shares of the beginning: medians over `day` reports.

    The heap settles first: what is made once (texts seen for the first time, the first exceptions, the first pages in
    flash) takes its place for good in the first fifty outages, and the largest free piece shrinks by a sixth or so
    meanwhile. `skipped` reports are left out for that.
    """
    reports = cook.board.memory()[skipped:]
    begin, end = reports[:day], reports[-day:]
    return [statistics.median(each[k] for each in end) / statistics.median(each[k] for each in begin) for k in (0, 1)]


def test_a_dozen_outages_leave_the_heap_as_it_was(start, tmp_path):
    cook = outages(start, tmp_path, 12)
    free, largest = shares(cook, 12, 2)
    assert cook.peer.connections > 12
    assert cook.board.boots == 1
    assert "Traceback" not in cook.board.console()
    assert free >= 0.95
    assert largest >= 0.7  # it is still settling; the full size is held to 0.95


@pytest.mark.prove
def test_seven_hundred_outages_leave_the_heap_as_it_was(start, tmp_path, proof):
    cook = outages(start, tmp_path, 720)
    free, _ = shares(cook, 72, 2)
    _, largest = shares(cook, 72, 216)
    _, settled = shares(cook, 72, 2)
    told = (cook.board.flash / "console.log").read_text(errors="replace").count("Traceback")
    what = "720 outages (40 s away, 50 s back)"
    proof("Delivery", f"{what}: free memory, share of the first 24", round(free, 3), "at least 0.95", COVERS)
    proof(
        "Delivery", f"{what}: largest free piece, share of the 24 after 72", round(largest, 3), "at least 0.95", COVERS
    )
    proof("Delivery", f"{what}: the same, share of the first 24", round(settled, 3), "reported", COVERS)
    proof("Delivery", f"{what}: restarts and exceptions told", f"{cook.board.boots - 1} and {told}", "0 and 0", COVERS)
    print("largest", largest, "settled", settled, "free", free)
    assert (cook.board.boots, told) == (1, 0)
    assert free >= 0.95
    assert largest >= 0.95
