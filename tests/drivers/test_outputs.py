"""Blower, damper, buzzer and lid button at their pins."""

from __future__ import annotations

import math

import pytest

from emberboard.drivers.blower import Blower
from emberboard.drivers.button import Button
from emberboard.drivers.buzzer import Signal, sounding
from emberboard.drivers.damper import Damper
from emberboard.drivers.tach import Tach
from tests.drivers.bench_wires import Line, Pwm


@pytest.mark.parametrize(
    ("drive", "duty"),
    [(0.0, 0), (1.0, 65535), (0.5, 32768), (1.7, 65535), (-0.2, 0), (math.nan, 0), (math.inf, 65535)],
)
def test_drive_becomes_duty_and_what_is_no_share_becomes_none(drive, duty):
    pwm = Pwm()
    Blower(pwm).set(drive)
    assert pwm.u16 == duty


def test_a_blower_begins_at_rest():
    pwm = Pwm()
    assert Blower(pwm).drive == 0.0
    assert pwm.u16 == 0


@pytest.mark.parametrize(
    ("opening", "pulse_ns"),
    [(0.0, 1_000_000), (1.0, 2_000_000), (0.25, 1_250_000), (3.0, 2_000_000), (-1.0, 1_000_000)],
)
def test_an_opening_is_a_pulse(opening, pulse_ns):
    # Hobby servos: 1 to 2 ms, 50 times a second (common practice).
    pwm = Pwm()
    Damper(pwm).set(opening)
    assert (pwm.hertz, pwm.ns) == (50, pulse_ns)


@pytest.mark.parametrize("nothing", [None, math.nan])
def test_without_an_order_the_damper_gets_no_pulses(nothing):
    pwm = Pwm()
    Damper(pwm).set(nothing)
    assert pwm.ns == 0


def test_a_damper_can_turn_the_other_way():
    pwm = Pwm()
    Damper(pwm, shut_us=2000, open_us=1000).set(0.25)
    assert pwm.ns == 1_750_000


@pytest.mark.parametrize(
    ("sound", "now_ms", "on"),
    [
        ("", 0, False),
        ("pull", 100, True),
        ("pull", 300, False),
        ("pull", 3500, True),
        ("alarm", 599, True),
        ("alarm", 700, False),
    ],
)
def test_sounds_have_their_rhythm(sound, now_ms, on):
    assert sounding(sound, now_ms) is on


def test_signal_drives_both_pins():
    buzzer, light = Line(level=1), Line(level=1)
    signal = Signal(buzzer, light)
    assert (buzzer.level, light.level) == (0, 0)
    signal.sound, signal.light = "alarm", True
    signal.step(0)
    assert (buzzer.level, light.level) == (1, 1)


class Clock:
    now_ms = 0

    def ticks_ms(self):
        return self.now_ms

    def ticks_diff(self, end, start):
        return end - start


@pytest.fixture
def pressed():
    """(button, edge at ms with a level, how often the air was cut)."""
    clock, line, cuts = Clock(), Line(), []
    button = Button(line, 2, clock.ticks_ms, clock.ticks_diff)
    button.on_press = lambda: cuts.append(clock.now_ms)

    def edge(now_ms, level=0):
        clock.now_ms, line.level = now_ms, level
        line.handler(line)

    return button, edge, cuts


def test_a_press_acts_at_once_and_is_told_once(pressed):
    button, edge, cuts = pressed
    edge(1000)
    assert cuts == [1000]
    assert button.take()
    assert not button.take()


def test_contact_bounce_is_one_press(pressed):
    button, edge, cuts = pressed
    for now_ms in (1000, 1003, 1010, 1200):
        edge(now_ms)
    assert cuts == [1000]
    assert button.take()


def test_two_presses_are_two(pressed):
    button, edge, cuts = pressed
    edge(1000)
    edge(1100, level=1)
    assert button.take()
    edge(1400)
    assert cuts == [1000, 1400]
    assert button.take()


def held(pressed, until_ms, polled_ms=100):
    """Whether a button that goes down at 1000 and up at `until_ms`, bouncing, is told as a long press."""
    button, edge, cuts = pressed
    edge(1000)
    for now_ms in range(1000 + polled_ms, until_ms, polled_ms):
        edge(now_ms)  # the clock goes on; an edge while it is down is none
        button.watch()
    edge(until_ms + 2)  # it bounces as it is let go
    edge(until_ms + polled_ms, level=1)
    button.watch()
    assert cuts == [1000]
    assert button.take()
    return button.take_held(), button.take_held()


@pytest.mark.parametrize(
    ("until_ms", "told"), [(1200, False), (2900, False), (3200, True), (10900, True), (11200, False), (60000, False)]
)
def test_two_to_ten_seconds_and_let_go_is_a_long_press_told_once(pressed, until_ms, told):
    """Two seconds as people are asked to; a button that something leans on for longer says nothing."""
    assert held(pressed, until_ms) == (told, False)


def test_a_button_that_never_comes_up_is_one_press_and_no_long_one(pressed):
    button, edge, cuts = pressed
    edge(1000)
    for now_ms in range(2000, 100_000, 1000):
        edge(now_ms)
        button.watch()
    assert (cuts, button.take(), button.take_held()) == ([1000], True, False)


def test_a_spike_on_the_wire_is_no_press(pressed):
    button, edge, cuts = pressed
    edge(1000, level=1)
    assert cuts == []
    assert not button.take()


# Two pulses a turn, each high for half its length: 3,000 rpm is 50 turns a second, high for 5 ms.
@pytest.mark.parametrize(("pulse_us", "rpm"), [(5000, 3000.0), (2500, 6000.0), (25000, 600.0), (-1, 0.0), (-2, 0.0)])
def test_a_pulse_is_a_speed_and_no_pulse_is_none(pulse_us, rpm):
    assert Tach(Line(), lambda _pin, _level, _longest_us: pulse_us).read() == pytest.approx(rpm)
