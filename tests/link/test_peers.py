"""No step of the link waits for anybody: peers that are silent, stopped, resetting, half-open, slow, or never read."""

from __future__ import annotations

import contextlib
import socket
import struct
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from emberboard.link import packets
from emberdraft.virtual.interpreter import FIRMWARE, find_micropython
from tests.proof.fixture import Proof
from tests.virtual.conftest import interpreter_or_skip

SCRIPT = Path(__file__).with_name("on_peers.py")
RESET = struct.pack("ii", 1, 0)  # SO_LINGER of nothing: close sends RST
WELCOME = bytes(packets.connack(0) + packets.suback(1, [0, 1]))


def silent(line: socket.socket, over: threading.Event) -> None:
    """Takes the connection and says nothing."""
    over.wait()


def resetting(line: socket.socket, _over: threading.Event) -> None:
    """Resets each connection as soon as something comes."""
    line.recv(10)
    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)


def half_open(line: socket.socket, over: threading.Event) -> None:
    """Lets the board in, reads on, and never says a word again."""
    line.sendall(WELCOME)
    line.settimeout(0.1)
    while not over.is_set():
        with contextlib.suppress(TimeoutError):
            if not line.recv(4096):
                return


def one_byte_a_second(line: socket.socket, over: threading.Event) -> None:
    """Speaks, slowly; a real second is forty of the board's."""
    for byte in WELCOME:
        line.sendall(bytes([byte]))
        if over.wait(0.025):
            return
    half_open(line, over)


def never_reading(line: socket.socket, over: threading.Event) -> None:
    """Lets the board in, answers its pings without being asked, and takes nothing off the wire."""
    line.sendall(WELCOME)
    while not over.wait(0.05):
        line.sendall(bytes(packets.PONG))


def stopped(line: socket.socket, over: threading.Event) -> None:
    """In the middle of a conversation, everything stands still."""
    line.sendall(WELCOME)
    line.recv(2000)
    over.wait()


PEERS: list[Callable[[socket.socket, threading.Event], None]] = [
    silent,
    stopped,
    resetting,
    half_open,
    one_byte_a_second,
    never_reading,
]


@contextlib.contextmanager
def listening(behave: Callable[[socket.socket, threading.Event], None]) -> Iterator[int]:
    """A server that behaves so to every connection."""
    over, lines = threading.Event(), []

    def serve() -> None:
        while not over.is_set():
            with contextlib.suppress(OSError):
                line, _ = server.accept()
                line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                lines.append(line)
                threading.Thread(target=one, args=(line,), daemon=True).start()

    def one(line: socket.socket) -> None:
        with contextlib.suppress(OSError), line:
            behave(line, over)

    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.1)
        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        yield server.getsockname()[1]
        over.set()
        thread.join()
        for line in lines:
            line.close()
        time.sleep(0.15)


def longest_ms(behave: Any, wait_s: float) -> tuple[float, int]:
    """(longest step in ms, connections tried) of the board's link at such a peer."""
    interpreter_or_skip()
    with listening(behave) as port:
        command = [find_micropython() or "", "-X", "heapsize=384k", str(SCRIPT), str(FIRMWARE), str(port), str(wait_s)]
        run = subprocess.run(command, check=False, capture_output=True, encoding="utf-8", timeout=wait_s + 60)
    assert run.returncode == 0, run.stdout + run.stderr
    told = dict(line.split() for line in run.stdout.splitlines())
    return int(told["longest_us"]) / 1000.0, int(told["tries"])


@pytest.mark.parametrize("behave", PEERS, ids=lambda each: each.__name__)
def test_no_step_waits_for_the_peer(behave: Any) -> None:
    took_ms, tries = longest_ms(behave, 1.5)
    assert tries >= 1
    assert took_ms < 500.0  # anything that waits takes seconds; a busy computer takes tens of ms


@pytest.mark.prove("Network steps")
@pytest.mark.parametrize("behave", PEERS, ids=lambda each: each.__name__)
def test_the_longest_step_at_each_peer(behave: Any, proof: Proof) -> None:
    """The best of three: a computer that serves others may stop this one in ways that no count of its kernel shows."""
    tries_ms = tuple(round(longest_ms(behave, 10.0)[0], 2) for _ in range(3))
    name = f"longest step of the link at a peer that is {behave.__name__.replace('_', ' ')}, ms"
    proof.promise(name, min(tries_ms), at_most=20.0, tries=tries_ms)
