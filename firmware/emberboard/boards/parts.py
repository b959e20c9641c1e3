"""Builds the drivers of the board this runs on, from its pin map. Here `machine` is known.

Functions only, and nothing built here points back: once everything is built this module is let go
and its memory with it.
"""

import gc
import sys
import time

import machine

from ..drivers.blower import Blower
from ..drivers.button import Button
from ..drivers.buzzer import Signal
from ..drivers.damper import Damper
from ..drivers.tach import Tach
from ..drivers.thermistor import Thermistor
from ..sensing import Sensing
from .pins import pin_map
from .radio import Radio


class NoPwm:
    """For the blower when the firmware is damaged: the pin stays as boot.py left it."""

    def freq(self, _hertz):
        """Nothing."""

    def duty_u16(self, _duty):
        """Nothing."""


def fill(board, settings, uptime, dead=False):
    """Give `board` its parts by name; `damper` and `tach` are None where none is fitted.

    A `dead` blower has no PWM at all.
    """
    pins = pin_map(sys.platform)
    board.ticks_ms = time.ticks_ms
    board.ticks_diff = time.ticks_diff
    board.blower = Blower(NoPwm() if dead else _pwm(pins.BLOWER), _output(pins.PULSE))
    board.damper = _damper(pins, settings)
    board.tach = _tach(pins, settings)
    board.signal = Signal(_output(pins.BUZZER), _output(pins.LIGHT))
    board.button = _button(pins)
    board.probes = _probes(pins, settings)
    board.sensing = _sensing(pins, settings, board.probes, uptime)
    board.radio = Radio(settings["wifi_ssid"], settings["wifi_key"])


def every(period_ms, callback):
    """A timer that calls `callback(timer)` every `period_ms` from now on."""
    return machine.Timer(
        pin_map(sys.platform).TIMER,
        mode=machine.Timer.PERIODIC,
        period=period_ms,
        callback=callback,
    )


def _pwm(number):
    """A PWM that begins at nothing: left to itself an ESP32 begins at half."""
    return machine.PWM(machine.Pin(number), freq=1000, duty_u16=0)


def _output(number, level=0):
    return machine.Pin(number, machine.Pin.OUT, value=level)


def _damper(pins, settings):
    if not settings["damper"]:
        return None
    pwm = _pwm(pins.DAMPER)
    return Damper(pwm, settings["damper_shut_us"], settings["damper_open_us"])


def _tach(pins, settings):
    if not settings["tach"]:
        return None
    return Tach(machine.Pin(pins.TACH, machine.Pin.IN), machine.time_pulse_us)


def _button(pins):
    pin = machine.Pin(pins.LID_BUTTON, machine.Pin.IN, machine.Pin.PULL_UP)
    return Button(pin, machine.Pin.IRQ_FALLING, time.ticks_ms, time.ticks_diff)


def _probes(pins, settings):
    return [
        Thermistor(
            machine.ADC(machine.Pin(pins.PROBE_ADC[k]), **pins.ADC_OPTIONS),
            settings["series_ohm"],
        )
        for k in range(settings["food_probes"])
    ]


def _sensing(pins, settings, probes, uptime):
    """The builder is let go at once: memory is shortest while the rest of the board is built."""
    from .converters import converters

    chips = converters(pins, _output, settings)
    del sys.modules["emberboard.boards.converters"]
    del sys.modules["emberboard"].boards.converters
    del converters
    gc.collect()
    return Sensing(chips[0], chips[1] if len(chips) > 1 else None, probes, uptime)
