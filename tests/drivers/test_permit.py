"""The blower's permission and the watchdog's food: neither is given for work that was not done."""

from __future__ import annotations

import itertools

import pytest

from emberboard import permit
from emberboard.drivers.blower import Blower
from emberboard.uptime import Uptime
from tests.drivers.bench_wires import Pwm


class Clock:
    def __init__(self):
        self.ms = 0

    def ticks_ms(self):
        return self.ms % (1 << 30)  # as the boards' counter wraps

    def ticks_diff(self, end, start):
        return (end - start + (1 << 29)) % (1 << 30) - (1 << 29)


@pytest.fixture
def clock():
    return Clock()


def test_the_blower_stops_within_three_seconds_of_the_last_step(clock):
    blower = Blower(Pwm())
    allowed = permit.Permit(blower, clock.ticks_ms, clock.ticks_diff)
    blower.set(1.0)
    allowed.renew()
    while blower.drive:
        clock.ms += permit.CHECK_MS
        allowed.check()
    assert 2000 < clock.ms <= 3000
    assert allowed.expired == 1


def test_a_renewed_permission_lasts(clock):
    blower = Blower(Pwm())
    allowed = permit.Permit(blower, clock.ticks_ms, clock.ticks_diff)
    blower.set(0.4)
    for _ in range(20):
        allowed.renew()
        for _ in range(4):
            clock.ms += permit.CHECK_MS
            allowed.check()
    assert blower.drive == 0.4


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_the_watchdog_gets_nothing_while_any_part_is_missing(count):
    parts = (permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT)
    for done in itertools.combinations(parts, count):
        fed = []
        proof = permit.Proof(lambda fed=fed: fed.append(1))
        proof.begin()
        for part in done:
            proof.did(part)
        assert not proof.settle()
        assert fed == []


def test_the_watchdog_is_fed_once_for_a_whole_period():
    fed = []
    proof = permit.Proof(lambda: fed.append(1))
    proof.begin()
    for part in (permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT):
        proof.did(part)
    assert proof.settle()
    assert not proof.settle()  # the same proof does not count twice
    assert fed == [1]


def test_uptime_does_not_wrap(clock):
    uptime = Uptime(clock.ticks_ms, clock.ticks_diff)
    for _ in range(30):
        clock.ms += 86_400_000  # a day; the counter wraps after 12.4
        seen = uptime.ms()
    assert seen == 30 * 86_400_000
