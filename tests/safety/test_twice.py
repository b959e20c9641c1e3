"""Targets and limits in memory: whatever bit of them changes by itself, the same step gives no air."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from emberboard.core.agreed import KEPT
from emberboard.core.controller import Controller, Inputs
from emberboard.core.twice import STEPS, Twice, turned
from tests.proof.fixture import Proof

OF_GUARD = ("lowest_c",)


class Cooking:
    """A controller with a warm pit, a few steps under way; `names` are what it holds twice, by owner."""

    def __init__(self, mode: str) -> None:
        self.now_ms = 0
        self.controller = Controller(1, {"pit_limit_c": 330})
        self.inputs = Inputs(1)
        self.inputs.pit_c, self.inputs.stone_c = 90.0, 150.0
        order = {"mode": mode, "target_c": 121.0, "stone_c": 290.0, "pit_limit_c": 320.0, "at_cooker": True}
        assert self.controller.order("mode", order, 0) == ("", "")
        self.controller.set_vent("top", 1.0)
        for _ in range(8):
            self.step()
        self.controller.guard.kept.put("lowest_c", 85.0)  # as after three minutes at 85 degC
        self.controller.guard.levels.calm_c = 85.0

    def step(self) -> float:
        """One second; what the blower gets."""
        self.now_ms += 1000
        return float(self.controller.tick(self.now_ms, self.inputs).drive)

    def owners(self) -> Iterator[tuple[Any, str]]:
        yield from ((self.controller.agreed, name) for name in KEPT)
        yield from ((self.controller.guard, name) for name in OF_GUARD)


def flips(value: float | None) -> Iterator[float]:
    """The number with each of its bits flipped, as the board's 32-bit floats hold it and as 64-bit ones do."""
    if value is None:
        yield 121.0
        return
    for whole, real, bits in (("<I", "<f", 32), ("<Q", "<d", 64)):
        raw = struct.unpack(whole, struct.pack(real, value))[0]
        yield from (struct.unpack(real, struct.pack(whole, raw ^ 1 << bit))[0] for bit in range(bits))


def tiny(wrong: float, right: float | None) -> bool:
    """A difference that is none: less than the steps of the copy."""
    return right is not None and abs(wrong - right) < 1.0 / STEPS


@pytest.mark.parametrize("mode", ["hold", "drive"])
def test_every_bit_of_every_target_and_limit_stops_the_air_within_the_step(mode: str):
    tried = small = 0
    for k, (owner, name) in enumerate(list(Cooking(mode).owners())):
        for wrong in flips(getattr(owner, name)):
            if tiny(wrong, getattr(owner, name)):
                small += 1
                continue
            cook = Cooking(mode)
            assert cook.step() > 0.0
            setattr(list(cook.owners())[k][0], name, wrong)
            assert cook.step() == 0.0, (name, wrong)
            assert cook.controller.alerts["memory_bad"].kind == "trip"
            assert cook.controller.guard.verdict.damper in (0.1, 0.0)
            tried += 1
    assert tried > 300
    assert small < 0.6 * (tried + small)  # the last bits of a number, worth less than 0.00025 degC


def test_every_bit_of_a_copy_is_seen_too():
    for bit in range(22):
        cook = Cooking("hold")
        copies = cook.controller.agreed.kept._copies
        copies["pit_limit_c"] ^= 1 << bit
        assert cook.step() == 0.0, bit
        assert "memory_bad" in cook.controller.alerts


def test_it_stands_until_the_board_is_switched_off_and_on():
    cook = Cooking("hold")
    cook.controller.agreed.pit_limit_c = 400.0
    cook.step()
    cook.controller.acknowledge("all")
    for _ in range(5):
        assert cook.step() == 0.0
    assert cook.controller.latched() == ["memory_bad"]
    assert cook.controller.order("mode", {"mode": "hold", "target_c": 110.0}, cook.now_ms)[0] == "not_now"
    after = Controller(1)
    after.restore_latched(["memory_bad"])
    after.acknowledge("memory_bad")
    assert after.alerts == {}


def test_orders_and_the_limits_own_course_are_no_change_by_itself():
    cook = Cooking("hold")
    for name, args in (("target", {"target_c": 110.0}), ("mode", {"mode": "drive", "stone_c": 250.0}),
                       ("mode", {"mode": "hold"}), ("mode", {"mode": "bank"}), ("mode", {"mode": "off"})):  # fmt: skip
        assert cook.controller.order(name, {**args, "at_cooker": True}, cook.now_ms) == ("", "")
        for _ in range(400):
            cook.step()
            cook.inputs.pit_c = 60.0 + cook.now_ms % 3000 / 1000.0
    assert "memory_bad" not in cook.controller.alerts


@pytest.mark.parametrize("kind", [float, np.float32, int])
def test_a_copy_fits_its_own_number_in_any_width(kind: type):
    for value in (0, 1, 40, 121, 160, 350, 400):
        assert turned(kind(value)) == ~(value * 4096)
    assert turned(kind(121)) != turned(kind(122))


def test_the_copy_by_hand():
    assert turned(0.5) == -2049  # 0.5 is 2048 of 4096, and the complement of n is -n - 1
    assert turned(0.5 + 1.0 / 4096.0) == -2050
    assert turned(None) is None


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf"), "121", 2e9])
def test_what_is_no_number_fits_nothing_not_even_itself(value: Any):
    class Owner:
        a = b = None

    owner: Any = Owner()
    twice = Twice(owner, ("a",))
    assert not twice.changed()
    twice.put("a", 1.0)
    twice.put("b", None)
    assert not twice.changed()
    twice.put("b", value)
    assert twice.changed()
    twice.put("b", 2.0)
    assert not twice.changed()
    owner.b = value
    assert twice.changed()
    owner.b = None
    assert twice.changed()


@pytest.mark.prove("safety: memory")
def test_the_figure(proof: Proof):
    seen = tried = 0
    for mode in ("hold", "drive"):
        for k, (owner, name) in enumerate(list(Cooking(mode).owners())):
            for wrong in flips(getattr(owner, name)):
                cook = Cooking(mode)
                setattr(list(cook.owners())[k][0], name, wrong)
                tried += 1
                seen += cook.step() == 0.0 or tiny(wrong, getattr(owner, name))
    name = "single bits flipped in targets and limits: neither no air in the same step nor tiny"
    proof.promise(name, tried - seen, equals=0, note=f"of {tried}")
