"""No value outside its bounds leaves the core, whatever comes in: a record would be refused, and lost, as a whole."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from emberboard.core.controller import Controller, Inputs
from emberboard.core.limiter import Limiter
from emberboard.core.report import fill
from emberboard.core.signals import BOUNDS, Outputs
from emberboard.link.records import pack_reading, unpack
from tests.core.cooker import Cooker, Run
from tests.proof.fixture import Proof


def outside(out: Any) -> list[str]:
    """Names of the values that are outside their bounds; a not-a-number is."""
    values = [(name, getattr(out, name), low, high) for name, low, high in BOUNDS]
    return [name for name, value, low, high in values if value is not None and not low <= value <= high]


def test_every_number_that_leaves_has_its_bounds():
    out = Outputs()
    told = {name for name, value in vars(out).items() if isinstance(value, float) or value is None}
    assert told == {name for name, _, _ in BOUNDS}


def test_after_a_lid_in_a_hot_hold_the_duty_is_one_at_most():
    """Where holding takes 0.7 of full air, closing to 1.8 times that asked for 1.26 of it."""
    run = Run(Cooker(295.0, 0.8)).hold(300.0)
    run.controller.hold.see.need = 0.003
    run.seconds(900, pit_c=300.0)
    run.order("lid", open=True, at_cooker=True)
    run.seconds(60, pit_c=290.0)
    run.order("lid", open=False, at_cooker=True)
    for _ in range(200):
        run.seconds(1, pit_c=280.0)
        assert outside(run.out) == []
        assert run.controller.air.duty <= 1.0


@pytest.mark.parametrize("need", [-0.1, 0.0, 0.3, 0.7, 1.4, 3.0])
def test_no_limit_of_the_limiter_is_over_full_air(need: float):
    limiter = Limiter()
    for pull in (-1.0, 0.0, 0.5, 2.0):
        assert limiter.settle(pull, need) <= 1.0
        limiter.set_floor(True, need, 0.0, -0.1, 0.0, 5.0)
        limiter.set_cap(True, need, 10.0, 0.0, 1.0, 5.0)
        assert limiter.hold(2.0) <= 1.0


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), float("-inf"), 1e9, -1e9])
def test_the_one_place_where_they_leave_bounds_them(wrong: float):
    run = Run().hold().seconds(60)
    controller, out = run.controller, run.out
    controller.hold.pid.p = controller.hold.pid.d = controller.hold.see.x2 = wrong
    controller.pit_line.level = controller.pit_line.slope = controller.hold.ref_c = wrong
    fill(out, controller, wrong, wrong, wrong)
    assert outside(out) == []


class Chance:
    """Orders, samples, faults and clocks by chance."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(f"bounds {seed}")
        self.controller = Controller(2, {"pit_limit_c": 400.0, "need": self.chance.uniform(0.0, 0.0115)})
        self.inputs: Any = Inputs(2)
        self.pit_c, self.now_ms = self.chance.uniform(0.0, 390.0), 0

    def order(self) -> None:
        chance = self.chance
        name, args = chance.choice((
            ("mode", {"mode": chance.choice(("hold", "drive", "hold", "drive", "bank", "off")), "at_cooker": True,
                      "target_c": chance.uniform(40.0, 300.0), "stone_c": chance.uniform(100.0, 380.0)}),
            ("target", {"target_c": chance.uniform(40.0, 300.0), "at_cooker": True}),
            ("lid", {"open": chance.random() < 0.4, "at_cooker": True}),
            ("vent", {"vent": "top", "opening": 1.0}),
            ("gains", {"kp": chance.uniform(0.0, 0.2), "ti_s": chance.uniform(120.0, 14400.0),
                       "td_s": chance.uniform(0.0, 900.0), "b": chance.uniform(0.0, 1.0)}),
            ("relay", {}),
            ("acknowledge", {"id": "all"}),
        ))  # fmt: skip
        self.controller.order(name, args, self.now_ms)

    def tick(self) -> Any:
        chance, inputs = self.chance, self.inputs
        if chance.random() < 0.01:
            self.order()
        self.pit_c = min(max(self.pit_c + chance.gauss(0.0, 1.0), -40.0), 399.0)
        lie = chance.random()
        inputs.pit_c = self.pit_c
        inputs.pit_fault = "open" if lie < 0.01 else ""
        if lie > 0.995:
            inputs.pit_c = chance.choice((float("nan"), 1e30, -300.0, 690.0, None))
        inputs.stone_c = chance.uniform(0.0, 390.0) if lie > 0.5 else self.pit_c
        self.now_ms += chance.choice((1000, 1000, 1000, 1000, 1001, 400, 9000, 60000, 0, -500))
        return self.controller.tick(self.now_ms, inputs)


def search(seed: int, ticks: int) -> list[str]:
    """What was outside in a run by chance; each record must come back as it went."""
    run, packed = Chance(seed), bytearray(48)
    for _ in range(ticks):
        out = run.tick()
        if outside(out):
            return outside(out)
        pack_reading(packed, 0, 0, max(0, run.now_ms), out, run.inputs)
        told = unpack(packed, 0)
        if not (0.0 <= told["duty"] <= 1.0 and 0.0 <= told["drive"] <= 1.0):
            return ["record"]
    return []


@pytest.mark.parametrize("seed", range(6))
def test_nothing_outside_leaves_in_ticks_by_chance(seed: int):
    assert search(seed, 3000) == []


@pytest.mark.prove("safety: bounds")
def test_a_million_ticks(proof: Proof):
    wrong = [seed for seed in range(100) if search(seed, 10_000)]
    proof.promise("values outside their bounds in a million ticks by chance", len(wrong), equals=0)
