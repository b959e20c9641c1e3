"""Builds the drivers of the board this runs on, from its pin map. Here `machine` is known."""

import sys
import time

import machine

from ..drivers.blower import Blower
from ..drivers.button import Button
from ..drivers.buzzer import Signal
from ..drivers.damper import Damper
from ..drivers.max31856 import Max31856
from ..drivers.thermistor import Thermistor
from ..sensing import Sensing
from .pins import pin_map
from .radio import Radio

SPI_HZ = 1000000
CAUSES = {1: "power", 3: "watchdog"}


class Parts:
    """The board's parts by name; `damper` is None where none is fitted."""

    def __init__(self, settings, uptime):
        pins = pin_map(sys.platform)
        self.ticks_ms = time.ticks_ms
        self.ticks_diff = time.ticks_diff
        self.cause = CAUSES.get(machine.reset_cause(), "reset")
        self.blower = Blower(machine.PWM(machine.Pin(pins.BLOWER)))
        self.damper = None
        if settings["damper"]:
            shut_us, open_us = settings["damper_shut_us"], settings["damper_open_us"]
            self.damper = Damper(machine.PWM(machine.Pin(pins.DAMPER)), shut_us, open_us)
        self.signal = Signal(_output(pins.BUZZER), _output(pins.LIGHT))
        self.button = _button(pins)
        self.probes = _probes(pins, settings)
        self.sensing = _sensing(pins, settings, self.probes, uptime)
        self.radio = Radio(settings["wifi_ssid"], settings["wifi_key"])

    def every(self, period_ms, callback):
        """Call `callback(timer)` every `period_ms` from now on."""
        self._timer = machine.Timer(
            -1 if sys.platform != "esp32" else 0,
            mode=machine.Timer.PERIODIC,
            period=period_ms,
            callback=callback,
        )


def _output(number, level=0):
    return machine.Pin(number, machine.Pin.OUT, value=level)


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
    spi = machine.SPI(
        pins.SPI_ID,
        baudrate=SPI_HZ,
        polarity=0,
        phase=1,
        sck=machine.Pin(pins.SPI_SCK),
        mosi=machine.Pin(pins.SPI_MOSI),
        miso=machine.Pin(pins.SPI_MISO),
    )
    kind, mains_hz = settings["thermocouple"], settings["mains_hz"]
    chips = [
        Max31856(spi, _output(number, 1), kind, mains_hz)
        for number in pins.THERMOCOUPLE_CS[: 2 if settings["stone_probe"] else 1]
    ]
    return Sensing(chips[0], chips[1] if len(chips) > 1 else None, probes, uptime)
