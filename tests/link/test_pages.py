"""Records in flash: what outlasts the memory and a restart, and what a power cut leaves."""

from __future__ import annotations

import itertools
import subprocess
from pathlib import Path
from typing import Any

import pytest

from emberboard.link import pages, records
from emberboard.link.pages import FLUSH_ROWS, PAGES, ROWS, Pages
from emberboard.link.spool import LIVE_MS
from emberdraft.virtual.interpreter import FIRMWARE, find_micropython
from emberdraft.virtual.peer import Received
from tests.link.peer import Board, inputs, outputs
from tests.proof.fixture import Proof
from tests.virtual.conftest import interpreter_or_skip

FIRST, SECOND, THIRD = b"\xaa\x11\xbb\x22", b"\xcc\x33\xdd\x44", b"\xee\x55\xff\x66"
HOUR_S = 3600


class Yard:
    """A board with flash and a host that acknowledges what has come without a gap, second by second."""

    def __init__(self, folder: Path) -> None:
        self.folder = str(folder / "spool")
        self.host: dict[str, Received] = {}
        self.rows: list[tuple[int, dict[str, Any]]] = []  # (board's ms at arrival, row)
        self.start(FIRST)

    def start(self, boot: bytes) -> None:
        """Switch the board on: nothing is left of the memory."""
        self.board = Board(boot=boot.hex())
        self.board.spool.pages = Pages(boot, self.folder)

    def seconds(self, count: int, *, up: bool = True) -> None:
        self.board.peer.gone = not up
        if not up and self.board.peer.wires:
            self.board.peer.wire.error = OSError(104)
        for _ in range(count):
            self.board.spool.add_reading(self.board.now_ms, outputs(), inputs())
            self.board.spool.keep()
            self.board.poll(10, 100)
            if up:
                self._hear()

    def _hear(self) -> None:
        for kind in ("reading", "event"):
            for row in self.board.peer.taken(kind):
                self.rows.append((self.board.now_ms, row))
                self.host.setdefault(row["boot"], Received(row["oldest"])).add(row)
        for boot, received in self.host.items():
            if self.board.session.up and received.news:
                received.news = False
                self.board.ack(received.mark, boot)

    def seqs(self, boot: bytes) -> list[int]:
        """Numbers that came of one start, each once."""
        return sorted({row["seq"] for _, row in self.rows if row["boot"] == boot.hex()})

    def files(self) -> list[str]:
        return sorted(path.name for path in Path(self.folder).iterdir() if path.name != "new")


def test_while_acknowledgements_come_nothing_is_written(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(300)
    assert yard.files() == []


def test_an_outage_of_half_an_hour_leaves_no_gap_and_no_page(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(20)
    yard.seconds(1800, up=False)
    assert yard.board.spool.dropped == 0
    yard.seconds(240)
    assert yard.seqs(FIRST) == list(range(20 + 1800 + 240))
    assert not yard.board.spool.pages.busy
    assert yard.files() == []


def test_an_hour_with_a_restart_by_power_leaves_out_at_most_what_was_in_no_page(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(20)
    yard.seconds(HOUR_S // 2, up=False)
    yard.start(SECOND)
    yard.seconds(HOUR_S // 2, up=False)
    yard.seconds(420)
    first, second = yard.seqs(FIRST), yard.seqs(SECOND)
    assert first == list(range(len(first)))
    assert 20 + HOUR_S // 2 - len(first) < FLUSH_ROWS
    assert second == list(range(HOUR_S // 2 + 420))


def test_live_rows_stay_live_and_in_order_while_an_hour_is_sent_late(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(HOUR_S, up=False)
    yard.seconds(400)
    live = [(at_ms, row) for at_ms, row in yard.rows if not row.get("late")]
    assert max(at_ms - row["ms"] for at_ms, row in live) <= LIVE_MS
    assert [row["seq"] for _, row in live] == sorted(row["seq"] for _, row in live)
    assert len(live) >= 395
    late = [at_ms for at_ms, row in yard.rows if row.get("late")]
    assert max(sum(at == second for at in late) for second in set(late)) <= 20


def test_rows_of_three_starts_come_in_their_order_each_with_its_own_oldest(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(100, up=False)
    yard.start(SECOND)
    yard.seconds(100, up=False)
    yard.start(THIRD)
    held = yard.board.spool.pages.held()
    assert [(each["boot"], each["oldest"], each["next"]) for each in held] == [
        (FIRST.hex(), 0, 84),
        (SECOND.hex(), 0, 84),
    ]
    assert held[0]["end_s"] == 83
    yard.seconds(60)
    late = [row["boot"] for _, row in yard.rows if row.get("late")]
    assert list(dict.fromkeys(late)) == [FIRST.hex(), SECOND.hex()]
    assert yard.seqs(FIRST) == yard.seqs(SECOND) == list(range(84))


def test_a_ring_that_is_full_gives_up_its_oldest_page_and_says_so(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    more = 2 * ROWS
    yard.seconds(PAGES * ROWS + more, up=False)
    assert len(yard.files()) == PAGES
    yard.seconds(400)
    (lost, *_) = [row for _, row in yard.rows if row.get("kind") == "lost"]
    assert (lost["value"], lost["text"]) == (0, FIRST.hex())
    assert lost["limit"] == min(row["oldest"] for _, row in yard.rows) - 1
    seqs = yard.seqs(FIRST)
    assert seqs == list(range(int(lost["limit"]) + 1, seqs[-1] + 1))


def test_a_page_of_an_earlier_start_that_is_given_up_is_told_under_its_name(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(ROWS, up=False)
    yard.start(SECOND)
    yard.seconds((PAGES - 1) * ROWS + FLUSH_ROWS, up=False)
    yard.seconds(400)
    lost = [row for _, row in yard.rows if row.get("kind") == "lost"]
    assert [(row["text"], row["first"], row["last"]) for row in lost] == [(FIRST.hex(), 0, ROWS - 1)]


def test_a_page_is_one_block_and_one_step_writes_at_most_one(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    before: dict[str, bytes] = {}
    for _ in range(400):
        yard.seconds(1, up=False)
        now = {name: (Path(yard.folder) / name).read_bytes() for name in yard.files()}
        assert sum(now[name] != before.get(name) for name in now) <= 1
        assert all(len(content) <= 4096 for content in now.values())
        before = now


@pytest.mark.parametrize("harm", ["flip", "short", "empty", "strange"])
def test_a_page_that_is_not_whole_is_passed_over_and_the_others_are_sent(tmp_path: Path, harm: str) -> None:
    yard = Yard(tmp_path)
    yard.seconds(3 * ROWS, up=False)
    path = Path(yard.folder) / "2"
    content = bytearray(path.read_bytes())
    content[2000] ^= 1
    path.write_bytes({"flip": content, "short": content[:1999], "empty": b"", "strange": b"\xff" * 4056}[harm])
    (Path(yard.folder) / "note.txt").write_text("not a page")
    yard.start(SECOND)
    yard.seconds(60)
    assert yard.seqs(FIRST) == [*range(ROWS), *range(2 * ROWS, 3 * ROWS)]


def test_a_page_that_goes_bad_after_the_start_is_passed_over_too(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(3 * ROWS, up=False)
    yard.start(SECOND)
    (Path(yard.folder) / "1").write_bytes(b"")
    yard.seconds(60)
    assert yard.seqs(FIRST) == list(range(ROWS, 3 * ROWS))


def test_a_flash_that_refuses_stops_nothing_and_is_tried_again(tmp_path: Path, monkeypatch: Any) -> None:
    yard = Yard(tmp_path)

    def refuse(_old: str, _new: str) -> None:
        raise OSError(28)  # ENOSPC

    with monkeypatch.context() as patch:
        patch.setattr(pages.os, "rename", refuse)
        yard.seconds(150, up=False)
    assert yard.files() == []
    assert 1 <= yard.board.spool.pages.failed <= 3
    yard.seconds(100, up=False)
    yard.seconds(120)
    assert yard.seqs(FIRST) == list(range(370))


def test_an_acknowledgement_of_nonsense_changes_nothing(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(100, up=False)
    held = yard.board.spool.pages
    for boot in (None, 5, "", "zz", "aa11", "aa11bb22cc", FIRST.hex() * 2):
        held.ack(boot, 10**6)
    assert held.busy


def test_a_page_that_is_not_acknowledged_is_sent_again_more_and_more_rarely(tmp_path: Path) -> None:
    yard = Yard(tmp_path)
    yard.seconds(FLUSH_ROWS, up=False)
    held = Pages(SECOND, yard.folder)
    times = []
    for now_ms in range(0, 400_000, 250):
        while held.next(now_ms) is not None:
            if records.seq_ms(held.buf, 0)[0] == 0:
                times.append(now_ms)
            held.sent(now_ms)
    held.ack(FIRST.hex(), FLUSH_ROWS)
    assert not held.busy
    pauses = [after - before for before, after in itertools.pairwise(times)]
    assert pauses == sorted(pauses)
    assert pauses[0] == 10_000
    assert pauses[-1] <= 120_000


def littlefs(every: int) -> dict[str, list[str]]:
    """What on_littlefs.py found, cutting the power at each `every`th byte."""
    interpreter_or_skip()
    script = Path(__file__).with_name("on_littlefs.py")
    command = [find_micropython() or "", "-X", "heapsize=16m", str(script), str(FIRMWARE), str(every)]
    run = subprocess.run(command, check=False, capture_output=True, encoding="utf-8", timeout=300)
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    found: dict[str, list[str]] = {}
    for line in run.stdout.splitlines():
        found.setdefault(line.split()[0], []).append(line.split()[-1])
    return found


def test_a_power_cut_in_a_write_leaves_the_old_page_or_the_new_one() -> None:
    found = littlefs(61)
    assert found["whole"] == ["True", "True"]
    assert found["neither"] == ["0", "0"]
    assert sum(map(int, found["cuts"])) > 50


@pytest.mark.prove("Delivery: pages in flash", proves=["firmware/emberboard/link", "tests/link/on_littlefs.py"])
def test_a_power_cut_at_each_byte_leaves_the_old_page_or_the_new_one(proof: Proof) -> None:
    found = littlefs(1)
    cuts, neither = (sum(map(int, found[name])) for name in ("cuts", "neither"))
    name = "power cut at each byte of a page's write on littlefs: neither old nor new"
    proof.promise(name, neither, equals=0, note=f"of {cuts}")
    assert found["whole"] == ["True", "True"]
