"""Stands in for the board's `machine`: the calls that the firmware makes, each sent to the bench."""

import vb_bus
from vb_ops import *

PWRON_RESET = POWER_ON
WDT_RESET = BY_WATCHDOG
SOFT_RESET = BY_SOFTWARE


class Pin:
    """A pin: an output that the bench sees, or an input that it answers for."""

    IN = 0
    OUT = 1
    PULL_UP = 1
    IRQ_FALLING = 2

    def __init__(self, id, mode=-1, pull=-1, value=None):
        self.id = id
        self._out = mode == Pin.OUT
        if self._out:
            self.value(value or 0)

    def value(self, x=None):
        if x is not None:
            vb_bus.say(PIN, self.id, 1 if x else 0)
            return None
        return vb_bus.ask_pin(PIN_READ, self.id, 1)[0]

    def irq(self, handler=None, trigger=IRQ_FALLING):
        vb_bus.say(LISTEN, self.id)
        vb_bus.handlers[self.id] = lambda: handler(self)


class SPI:
    """One bus; who is on it is decided by the select pins, on the bench."""

    MSB = 0

    def __init__(self, id, baudrate=1000000, polarity=0, phase=0, sck=None, mosi=None, miso=None):
        self._id = id
        self._mode = polarity << 1 | phase
        self._byte_us = max(1, 8000000 // baudrate)

    def write(self, buf):
        vb_bus.took(self._byte_us * len(buf))
        vb_bus.say_bytes(SPI_WRITE, self._id | self._mode << 4, buf)

    def readinto(self, buf, write=0):
        if vb_bus.throw:
            vb_bus.throw = False
            raise RuntimeError("a demonstration: this transfer failed")
        vb_bus.took(self._byte_us * len(buf))
        buf[:] = vb_bus.ask_spi(self._id | self._mode << 4, len(buf))


class I2C:
    """One bus; a chip that does not answer is an OSError, as on a board."""

    def __init__(self, id, sda=None, scl=None, freq=400000):
        self._byte_us = 9000000 // freq

    def writeto_mem(self, addr, memaddr, buf):
        vb_bus.took(self._byte_us * (2 + len(buf)))
        if not vb_bus.i2c_write(addr, memaddr, buf):
            raise OSError(5)

    def readfrom_mem_into(self, addr, memaddr, buf):
        if vb_bus.throw:
            vb_bus.throw = False
            raise RuntimeError("a demonstration: this transfer failed")
        vb_bus.took(self._byte_us * (3 + len(buf)))
        got = vb_bus.i2c_read(addr, memaddr, len(buf))
        if got is None:
            raise OSError(5)
        buf[:] = got


class ADC:
    """An analogue input in 65,536 counts."""

    def __init__(self, pin, atten=None):
        self._pin = pin.id

    def read_u16(self):
        vb_bus.took(2)
        low, high = vb_bus.ask_pin(ADC_READ, self._pin, 2)
        return low | high << 8


class PWM:
    """A pulse train; the bench sees frequency and high time."""

    def __init__(self, pin, freq=None, duty_u16=None, duty_ns=None):
        self._pin = pin.id
        self._hertz = freq or 1000
        self._high_ns = 0
        if duty_u16 is not None:
            self.duty_u16(duty_u16)
        if duty_ns is not None:
            self.duty_ns(duty_ns)

    def freq(self, hertz):
        self._hertz = hertz
        self._send()

    def duty_u16(self, duty):
        self._high_ns = duty * 1000000000 // (self._hertz * 65535)
        self._send()

    def duty_ns(self, ns):
        self._high_ns = ns
        self._send()

    def _send(self):
        vb_bus.say_pwm(self._pin, self._hertz, self._high_ns)


class WDT:
    """The watchdog is on the bench: it also bites an interpreter that does nothing at all."""

    def __init__(self, id=0, timeout=5000):
        vb_bus.say_watchdog(timeout)

    def feed(self):
        vb_bus.say(FEED)


class Timer:
    """A timer that calls back while the board sleeps, as a soft interrupt does."""

    PERIODIC = 1

    def __init__(self, id=-1, mode=PERIODIC, period=1000, callback=None):
        self._period_us = period * 1000
        self._callback = callback
        self.due_us = vb_bus.now_us + self._period_us
        vb_bus.timers.append(self)

    def fire(self, now_us):
        while self.due_us <= now_us:
            self.due_us += self._period_us
        self._callback(self)

    def deinit(self):
        vb_bus.timers.remove(self)


def time_pulse_us(pin, level, timeout_us=1000000):
    return vb_bus.ask_pulse(pin.id, timeout_us) or -1


def unique_id():
    return b"virtual" + bytes((vb_bus.seed & 255,))


def reset_cause():
    return vb_bus.cause


def reset():
    vb_bus.reset()
