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
    board.tach = _tach(pins, settings, board.blower)
    board.signal = Signal(_output(pins.BUZZER), _output(pins.LIGHT))
    board.button = _button(pins)
    board.probes = _probes(pins, settings)
    board.sensing = _sensing(pins, settings, board.probes, uptime)
    board.sensing.feedback = _feedback(pins, settings)
    board.sensing.supply = _supply(pins, settings)
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
    from ..drivers.damper import Damper

    return Damper(_pwm(pins.DAMPER), settings["damper_shut_us"], settings["damper_open_us"])


def _tach(pins, settings, blower):
    if not settings["tach"]:
        return None
    pin = machine.Pin(pins.TACH, machine.Pin.IN)
    way = settings["tach_way"]
    if way == "four_wire":
        from ..drivers.tach import Tach

        return Tach(pin, machine.time_pulse_us)
    from ..drivers import chopped

    if way == "stretched":
        return chopped.Stretched(pin, machine.time_pulse_us, blower)
    return chopped.Windows(pin, machine.Pin(pins.BLOWER), blower)


def _button(pins):
    pin = machine.Pin(pins.LID_BUTTON, machine.Pin.IN, machine.Pin.PULL_UP)
    return Button(pin, machine.Pin.IRQ_FALLING, time.ticks_ms, time.ticks_diff)


def _adc(pins, k):
    return machine.ADC(machine.Pin(pins.PROBE_ADC[k]), **pins.ADC_OPTIONS)


def _probes(pins, settings):
    """Each on its own pin, or all behind a switch on the first."""
    numbers = range(settings["food_probes"])
    if settings["probe_mux"]:
        from ..drivers.mux import Channel

        adc, selects = _adc(pins, 0), [_output(number) for number in pins.MUX]
        inputs = [Channel(adc, selects, k) for k in numbers]
    else:
        inputs = [_adc(pins, k) for k in numbers]
    return [Thermistor(adc, settings["series_ohm"]) for adc in inputs]


def _feedback(pins, settings):
    """What tells the damper's place, on the second analogue pin."""
    if settings["damper_feedback"] == "none":
        return None
    from ..drivers import feedback

    if settings["damper_feedback"] == "switches":
        return feedback.Ends(_adc(pins, 1))
    shut, opened = settings["damper_shut_counts"], settings["damper_open_counts"]
    return feedback.Pot(_adc(pins, 1), shut, opened)


def _supply(pins, settings):
    """The 12 V, on the third analogue pin."""
    if not settings["supply_probe"]:
        return None
    from ..drivers.feedback import Supply

    return Supply(_adc(pins, 2))


def _offsets_c(settings):
    names = ("pit", "stone", "food1", "food2", "food3")
    return [settings[name + "_offset_mk"] / 1000.0 for name in names]


def _sensing(pins, settings, probes, uptime):
    """The builder is let go at once: memory is shortest while the rest of the board is built."""
    from .converters import converters

    chips = converters(pins, _output, settings)
    del sys.modules["emberboard.boards.converters"]
    del sys.modules["emberboard"].boards.converters
    del converters
    gc.collect()
    stone = chips[1] if len(chips) > 1 else None
    return Sensing(chips[0], stone, probes, uptime, _offsets_c(settings))
