"""The speed of a chopped blower, the damper's place, the 12 V and probes behind a switch, each at its pins."""

from __future__ import annotations

import time

import pytest

from emberboard.drivers import chopped, feedback
from emberboard.drivers.blower import FULL, Blower
from emberboard.drivers.mux import Channel
from tests.drivers.bench_wires import Line, Pwm


class Clock:
    """A board's clock that moves when it is asked or slept on."""

    def __init__(self, monkeypatch):
        self.us = 0
        monkeypatch.setattr(time, "ticks_us", self.ticks_us, raising=False)
        monkeypatch.setattr(time, "ticks_ms", lambda: self.us // 1000, raising=False)
        monkeypatch.setattr(time, "ticks_diff", lambda end, start: end - start, raising=False)
        monkeypatch.setattr(time, "sleep_ms", self.sleep_ms, raising=False)

    def ticks_us(self):
        self.us += 7
        return self.us

    def sleep_ms(self, ms):
        self.us += 1000 * ms


@pytest.fixture
def clock(monkeypatch):
    return Clock(monkeypatch)


@pytest.fixture
def blower():
    made = Blower(Pwm())
    made.pwm = made._pwm
    return made


def test_a_pulse_is_stretched_for_200_ms_and_then_as_before(clock, blower):
    seen = []

    def measure(*_):
        seen.append((clock.us, blower.pwm.u16))
        return 5000

    tach = chopped.Stretched(Line(), measure, blower)
    blower.set(0.2)
    tach.begin()
    clock.us += 100_000  # the conversions
    assert tach.read() == 3000.0
    assert seen == [(200_000, FULL)]
    assert blower.pwm.u16 == round(0.2 * FULL)


def test_between_two_stretches_the_last_speed_stands(clock, blower):
    pulses = iter((5000, 2500))
    tach = chopped.Stretched(Line(), lambda *_: next(pulses), blower)
    blower.set(0.2)
    seen = []
    for _ in range(11):
        tach.begin()
        seen.append(tach.read())
    assert seen == [3000.0] * 10 + [6000.0]


def test_a_blower_at_rest_is_never_stretched_and_has_no_speed(clock, blower):
    tach = chopped.Stretched(Line(), lambda *_: 5000, blower)
    tach.begin()
    assert blower.pwm.u16 == 0
    assert tach.read() is None


def test_air_that_is_cut_in_the_middle_stays_cut_and_gives_no_speed(clock, blower):
    tach = chopped.Stretched(Line(), lambda *_: 5000, blower)
    blower.set(0.2)
    tach.begin()
    blower.off()
    assert tach.read() is None
    assert blower.pwm.u16 == 0


class Wheel:
    """A wire and a supply by the clock: two pulses a turn, 25 kHz; off, the wire floats high."""

    def __init__(self, clock, rpm, drive):
        self.clock, self.rpm, self.drive = clock, rpm, drive

    def on(self):
        return int(self.clock.us % 40 < 40 * self.drive)

    def level(self):
        return int(not self.on() or self.clock.us * 1e-6 * self.rpm / 30.0 % 1.0 < 0.5)


@pytest.mark.parametrize(("rpm", "drive"), [(3000.0, 0.5), (3000.0, 0.2), (6000.0, 0.9), (1200.0, 0.3)])
def test_changes_within_the_on_time_are_the_speed(clock, blower, rpm, drive):
    wheel = Wheel(clock, rpm, drive)
    wire, supply = Line(), Line()
    wire.value, supply.value = wheel.level, wheel.on
    blower.set(drive)
    tach = chopped.Windows(wire, supply, blower)
    # 60 ms hold 12 changes at 3,000 rpm: one more or less is 250 rpm.
    assert tach.read() == pytest.approx(rpm, abs=260.0)


def test_a_wheel_that_stands_has_no_changes_however_the_supply_is_chopped(clock, blower):
    supply = Line()
    supply.value = Wheel(clock, 0.0, 0.4).on
    wire = Line()
    wire.value = lambda: int(not supply.value())
    blower.set(0.4)
    assert chopped.Windows(wire, supply, blower).read() == 0.0


class Counts:
    def __init__(self, *counts):
        self.counts = counts
        self.reads = 0

    def read_u16(self):
        self.reads += 1
        return self.counts[min(self.reads, len(self.counts)) - 1]


@pytest.mark.parametrize(
    ("counts", "place"),
    [(6554, 0.0), (58982, 1.0), (32768, 0.5), (5000, 0.0), (60000, 1.0), (0, None), (65535, None)],
)
def test_a_pot_tells_the_place_and_a_wire_that_is_off_none(counts, place):
    at, known = feedback.Pot(Counts(counts), 6554, 58982).read()
    assert known is (place is not None)
    assert at == (None if place is None else pytest.approx(place, abs=1e-3))


def test_a_pot_may_run_the_other_way():
    assert feedback.Pot(Counts(50000), 60000, 20000).read()[0] == pytest.approx(0.25)


@pytest.mark.parametrize(("counts", "place"), [(300, 0.0), (32768, None), (65000, 1.0)])
def test_end_switches_know_the_ends_only(counts, place):
    assert feedback.Ends(Counts(counts)).read() == (place, True)


def test_twelve_volt_behind_the_divider():
    # 12 V x 10 / 57 = 2.105 V of 3.3 V.
    assert feedback.Supply(Counts(round(65535 * 2.10526 / 3.3))).read() == pytest.approx(12.0, abs=0.01)


def test_a_channel_selects_its_way_and_throws_the_first_sample_away():
    selects = (Line(level=0), Line(level=0))
    adc = Counts(111, 222)
    assert Channel(adc, selects, 2).read_u16() == 222
    assert (selects[0].level, selects[1].level) == (0, 1)
