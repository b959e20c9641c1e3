"""Speed and size of the firmware under MicroPython, as figures: nothing here passes or fails.

Each function gives a dict of name -> number. Wall-clock figures depend on what else the computer
does; bytes and instructions do not.
"""

from __future__ import annotations

import importlib.util
import json
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import paho.mqtt.client as mqtt

from emberboard.link import messages
from emberdraft.daemon.broker import EmbeddedBroker
from emberdraft.deploy.build import build
from emberdraft.plant.heavy_ceramic import HeavyCeramic
from emberdraft.plant.world import World
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import FIRMWARE, find_micropython
from emberdraft.virtual.machine import BoardError
from tests.virtual.compiled import compile_into

SCRIPT = Path(__file__).with_name("on_board.py")
FOR_EVER_MS = 10**9
PARTS = ("control", "record", "link", "simple_pid")


def _world() -> World:
    world = World(HeavyCeramic(seed=1), seed=1)
    world.light()
    return world


def _cpu_s() -> float:
    rows = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(row.ru_utime + row.ru_stime for row in rows)


def lock_step(seconds: float = 1200.0, interpreter: str = "micropython") -> dict[str, float]:
    """Whole firmware holding a simulated cooker: how many times faster than real time."""
    with tempfile.TemporaryDirectory() as folder:
        board = VirtualBoard(_world(), interpreter=interpreter, work_dir=folder, settings={"damper": True})
        with board:
            board.run_until(20.0)
            boot = next(topic_boot(payload) for topic, payload in board.peer.take_received() if topic.endswith("/link"))
            args = {"mode": "hold", "phase": "slow", "target_c": 121.0, "at_cooker": True}
            board.peer.publish(messages.topic("demo", "order"), messages.order(1, boot, FOR_EVER_MS, "mode", args))
            begun_s = time.perf_counter()
            board.run_until(20.0 + seconds)
            took_s = time.perf_counter() - begun_s
    return {f"lock-step {interpreter}, times real time": round(seconds / took_s, 1)}


def topic_boot(payload: bytes) -> str:
    """The boot in a message of the link."""
    return str(messages.loads(payload)["boot"])


def lock_step_cpu(seconds: float = 1200.0) -> dict[str, float]:
    """The same by processor time of both processes, which a busy computer changes little."""
    before_s = _cpu_s()
    lock_step(10.0)
    start_s = _cpu_s() - before_s
    before_s = _cpu_s()
    lock_step(seconds)
    took_s = _cpu_s() - before_s - start_s
    return {"lock-step, simulated seconds a second of processor time": round((seconds - 10.0) / took_s, 1)}


def at_sixty_times(seconds: float = 600.0, speed: float = 60.0) -> dict[str, float]:
    """A board at 60 times real time over a real broker: its latest reading, and how many were lost."""
    broker, rows = EmbeddedBroker(), []
    address = broker.start()
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv311)
    client.username_pw_set(address.user, address.password)
    client.on_connect = lambda client, *_: client.subscribe(
        [("emberdraft/1/demo/reading", 0), ("emberdraft/1/demo/event", 0)]
    )
    client.on_message = lambda _client, _data, message: rows.append((time.monotonic(), json.loads(message.payload)))
    client.connect(address.host, address.port)
    client.loop_start()
    with (
        tempfile.TemporaryDirectory() as folder,
        VirtualBoard(_world(), speed=speed, broker=address, work_dir=folder) as board,
    ):
        while board.now_s < seconds:
            time.sleep(0.2)
    client.loop_stop()
    broker.stop()
    due_s = [at_s - row["ms"] / 1000.0 / speed for at_s, row in rows if "pit_c" in row and not row.get("late")]
    seqs = {row["seq"] for _, row in rows}
    return {
        "at 60 times: latest reading, s of wall time": round(max(due_s) - min(due_s), 3),
        "at 60 times: records missing between the first and the last": max(seqs) + 1 - min(seqs) - len(seqs),
    }


def _run(what: str, ticks: int, mode: str, before: tuple[str, ...] = ()) -> str:
    spec = importlib.util.find_spec("simple_pid")
    where = str(Path(spec.origin or "").parent) if spec is not None else ""
    command = [sys.executable, find_micropython() or "", "-X", "heapsize=8m", str(SCRIPT), str(FIRMWARE)]
    done = subprocess.run(
        [*before, *command, what, str(ticks), mode, where], capture_output=True, text=True, check=True, timeout=300
    )
    return done.stdout + done.stderr


def bytes_a_tick() -> dict[str, float]:
    """Heap taken by one tick: 64-bit objects of 32 bytes; a board's have 16, so it is half of this there."""
    out = {}
    for what in PARTS:
        found = re.search(r"bytes ([0-9.]+)", _run(what, 100, "count"))
        out[f"bytes a tick, {what}"] = float(found.group(1)) if found else -1.0
    return out


def instructions_a_tick(fewer: int = 20, more: int = 120) -> dict[str, float]:
    """Machine instructions of one tick, counted by valgrind between two runs; empty without valgrind."""
    if shutil.which("valgrind") is None:
        return {}
    counter = ("valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null")

    def count(what: str, ticks: int) -> int:
        found = re.search(r"I\s+refs:\s+([0-9,]+)", _run(what, ticks, "work", counter))
        return int(found.group(1).replace(",", "")) if found else 0

    return {
        f"instructions a tick, {what}": round((count(what, more) - count(what, fewer)) / (more - fewer))
        for what in PARTS
    }


def _runs_with(heap_kb: int, seconds: float, firmware: Path) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        heap = f"{heap_kb}k"
        board = VirtualBoard(_world(), work_dir=folder, heap=heap, firmware=firmware, settings={"damper": True})
        try:
            with board:
                board.run_until(seconds)
        except BoardError:
            return False
        return board.boots == 1 and any(topic.endswith("/reading") for topic, _ in board.peer.take_received())


def _smallest_heap(firmware: Path, low_kb: int = 150, high_kb: int = 450, seconds: float = 40.0) -> int:
    """The smallest heap in which the whole firmware starts, links and holds, by halving; kB."""
    while high_kb - low_kb > 4:
        middle_kb = (low_kb + high_kb) // 2
        if _runs_with(middle_kb, seconds, firmware):
            high_kb = middle_kb
        else:
            low_kb = middle_kb
    return high_kb


def smallest_heap() -> dict[str, float]:
    """From source and compiled, in 64-bit words: 1.6 of them are one on a board (virtual_board.md)."""
    with tempfile.TemporaryDirectory() as folder:
        return {
            "smallest heap from source, kB of 64-bit words": _smallest_heap(FIRMWARE),
            "smallest heap from .mpy, kB of 64-bit words": _smallest_heap(compile_into(Path(folder))),
        }


def mpy_sizes() -> dict[str, float]:
    """Bytes of the tree that a Pico W with a max31856 carries, and of its largest module."""
    with tempfile.TemporaryDirectory() as folder:
        tree = build(Path(folder), "rp2", "max31856", compiled=True)
        largest = max((Path(folder) / name).stat().st_size for name in tree.hashes)
        return {"mpy tree, bytes": tree.total_bytes(), "largest mpy module, bytes": largest}


FIGURES: tuple[Callable[[], dict[str, Any]], ...] = (
    lock_step,
    lock_step_cpu,
    at_sixty_times,
    bytes_a_tick,
    instructions_a_tick,
    smallest_heap,
    mpy_sizes,
)


def figures() -> dict[str, Any]:
    """All of them; without MicroPython only what needs none."""
    out: dict[str, Any] = {}
    for measure in FIGURES if find_micropython() is not None else (mpy_sizes,):
        out.update(measure())
    return out


if __name__ == "__main__":
    for name, value in figures().items():
        print(f"{value:>12} {name}")
