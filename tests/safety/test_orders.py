"""Orders by chance, through both interpreters: none out of its range is taken, none raises, the heap stays."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from emberboard.core.words import MODES, PHASES
from tests.proof.fixture import Proof
from tests.safety import fuzz_orders
from tests.virtual.conftest import interpreter_or_skip

ROOT = Path(__file__).parents[2]
LEFT_BYTES = 1000  # what the heap may differ by: the controller's own lists at another length


def on_the_boards_interpreter(count: int) -> tuple[int, int, int, int]:
    """The same orders under MicroPython: given, taken, wrong, bytes of heap lost."""
    interpreter_or_skip()
    from emberdraft.virtual.interpreter import find_micropython

    command = [find_micropython() or "", "-X", "heapsize=1m", str(ROOT / "tests/safety/fuzz_orders.py"), str(count)]
    done = subprocess.run(
        command, check=False, capture_output=True, text=True, env={"MICROPYPATH": f".frozen:{ROOT / 'firmware'}"}
    )
    assert done.returncode == 0, done.stdout + done.stderr
    given, taken, wrong, lost = (int(word) for word in done.stdout.split())
    return given, taken, wrong, lost


def test_the_words_of_the_fuzz_are_the_boards():
    assert fuzz_orders.USUAL["mode"] == MODES
    assert fuzz_orders.USUAL["phase"] == PHASES


def test_a_thousand_orders_by_chance():
    taken, wrong = fuzz_orders.fuzz(1000, 5)
    assert wrong == 0
    assert taken > 30


def test_the_same_under_the_boards_interpreter():
    given, taken, wrong, lost = on_the_boards_interpreter(300)
    assert (given, wrong) == (300, 0)
    assert taken > 5
    assert lost <= LEFT_BYTES


@pytest.mark.prove("safety: orders", proves=["firmware/emberboard/core"])
def test_ten_thousand_orders(proof: Proof):
    given, taken, wrong, lost = on_the_boards_interpreter(10_000)
    name = "fuzzed orders taken out of range, refused badly or raising"
    proof.promise(name, wrong, equals=0, note=f"of {given}, {taken} taken")
    proof.promise("heap after them, bytes more than before", lost, at_most=LEFT_BYTES)
