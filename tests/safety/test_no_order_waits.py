"""Orders that once began an interlock's wait anew, each given again and again: the trip comes all the same.

The lid stays shut in truth; what is told of it comes from afar, or is not true. The reference is the same cook
without those orders: a trip at most 60 s later.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from tests.core.cooker import Cooker, Run
from tests.safety.kitchen import Kitchen

LATEST_S = 60


def grease(k: int) -> float:
    """Two degrees a second from a steady hold on."""
    return 121.0 + 2.0 * max(0, k - 700)


def runaway(k: int) -> float:
    """A hold that creeps over its target, with no air, and stays below its limit for an hour."""
    return 121.0 + min(39.0, 0.012 * max(0, k - 700))


def dead(k: int) -> float:
    """A fire that is out: the probe shows that it lives, and no more."""
    return 40.0 + 0.25 * (k % 40 == 0)


def falls(k: int) -> float:
    """A fire that dies under full air in a hold."""
    return max(90.0, 121.0 - 0.01 * max(0, k - 700)) + 0.25 * (k % 40 == 0)


def _target(run: Run, k: int) -> None:
    if k % 60 == 0:
        run.order("target", target_c=121.0 - 0.01 * (k // 60 % 90))


def _shut(run: Run, k: int) -> None:
    if k % 15 == 0:
        run.order("lid", open=False)


def _renew(run: Run, k: int) -> None:
    if k % 20 == 0:
        run.order("mode", mode="hold", phase=("slow", "soak")[k // 20 % 2])


def _others(run: Run, k: int) -> None:
    run.order("vent", vent="top", opening=k % 2)
    run.order("gains", kp=0.08)
    run.order("pieces", pull_c=[57.0 + k % 2, None])
    run.order("acknowledge", id="runaway")  # nothing is there to be acknowledged: refused, and nothing begins


def _another_alarm(run: Run, k: int) -> None:
    """One that an order can bring about, seen again and again."""
    run.inputs.core_c[0] = 60.0
    if k % 60 == 0:
        run.order("pieces", pull_c=[20.0 + k // 60 % 2, None])
    if k > 60 and k % 60 == 50:
        assert run.order("acknowledge", id="pull") == ("", "")


ORDERS: dict[str, Callable[[Run, int], None]] = {
    "the target lowered by a hundredth": _target,
    "a lid that is not open told shut": _shut,
    "the hold renewed": _renew,
    "vents, gains, pieces": _others,
    "an alarm of the food acknowledged": _another_alarm,
}
WILD = {
    "grease_fire": grease, "runaway": runaway, "not_answering": dead, "pit_over_limit": lambda k: 121.0 + 0.05 * k,
}  # fmt: skip


@cache
def trip_s(name: str, pit: Callable[[int], float], orders: Callable[[Run, int], None] | None) -> int | None:
    """The second of the trip, of two hours."""
    run = Run(Cooker(pit(0), 0.05)).hold(121.0)
    for k in range(7200):
        if orders is not None and k > 0:
            orders(run, k)
        run.seconds(1, pit_c=pit(k))
        if name in run.controller.latched():
            return k
    return None


@pytest.mark.parametrize("orders", ORDERS)
@pytest.mark.parametrize("name", WILD)
def test_no_order_makes_a_trip_later(name: str, orders: str):
    reference_s = trip_s(name, WILD[name], None)
    with_orders_s = trip_s(name, WILD[name], ORDERS[orders])
    assert reference_s is not None
    assert with_orders_s is not None
    assert with_orders_s <= reference_s + LATEST_S


def test_a_lid_told_from_afar_brings_no_air_to_a_pit_that_is_far_too_hot():
    """After a lid a hold gives about its usual air for three minutes; 22 degC over, that once was most of a blower."""
    run = Run(Cooker(240.0, 0.05)).hold(240.0)
    _stays(run, 240.0, 900)
    assert run.out.drive > 0.3
    _stays(run, 262.0, 600)
    for told in (True, False):
        assert run.order("lid", open=told) == ("", "")
        _stays(run, 262.0, 60)
        assert run.out.drive == 0.0


def _stays(run: Run, pit_c: float, seconds: int) -> None:
    """A pit that stands, but for the last digits of its probe."""
    for k in range(seconds):
        run.seconds(1, pit_c=pit_c + 0.25 * (k % 3), stone_c=None)


@cache
def fuel_out_s(orders: str) -> int | None:
    """From the end of the fuel to the notice, in a hold that somebody far away sends orders to."""
    kitchen = Kitchen("heavy_ceramic", 4).hold().minutes(100)
    kitchen.world.lose_fuel()
    kitchen.meddle = lambda one: one.inputs.core_c.__setitem__(0, 60.0)
    from_s = kitchen.now_s
    for k in range(40):
        if orders == "the target lowered by a hundredth":
            kitchen.order("target", target_c=121.0 - 0.01 * k)
        elif orders == "an alarm of the food acknowledged":
            kitchen.order("pieces", pull_c=[20.0 + k % 2])
            kitchen.run(5).order("acknowledge", id="pull")
        kitchen.minutes(1)
    return kitchen.first({"fuel_out"}, from_s)


@pytest.mark.parametrize("orders", ["the target lowered by a hundredth", "an alarm of the food acknowledged"])
def test_no_order_silences_the_notice_of_spent_fuel(orders: str):
    reference_s, with_orders_s = fuel_out_s(""), fuel_out_s(orders)
    assert reference_s is not None
    assert with_orders_s is not None
    assert with_orders_s <= reference_s + LATEST_S
