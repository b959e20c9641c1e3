"""Everything that is soldered to the board: pins, chips, probes, motors, watchdog, and their time.

The rack lives outside the interpreter, as real chips do. It takes frames of operations, each stamped
with the board's time, moves the world along to that time, and answers. Nothing in it asks the
computer's clock, so that the same frames give the same answers.
"""

from __future__ import annotations

from collections.abc import Callable
from struct import Struct
from typing import Any

from emberboard.boards import virtual as pins
from emberdraft.virtual.fitted import Fitted
from emberdraft.virtual.inputs import Inputs
from emberdraft.virtual.motors import Servo, SpeedWire
from emberdraft.virtual.overlay import vb_ops as ops
from emberdraft.virtual.tunnel import Tunnel
from emberdraft.virtual.watchdog import Bitten, Watchdog

GRID_US = 1_000_000  # the world moves in steps of one second
PRESS_US = 250_000

_U16, _U32, _U64, _PWM = Struct("<H"), Struct("<I"), Struct("<Q"), Struct("<II")
_ANSWER = Struct("<BBHI")


class Reset(Exception):  # noqa: N818 - a wish, not a mistake
    """The board asked to be reset."""


class Rack:
    """Pins and chips around one world. `now_us` is time since the world began, over all boots."""

    def __init__(self, world: Any, seed: int = 0, wire: Tunnel | None = None, fitted: Fitted | None = None) -> None:
        self.world = world
        self.seed = seed
        self.wire = wire
        self.now_us = 0
        self.boots = 0
        self.cause = ops.POWER_ON
        self.on_second: Callable[[float], None] = lambda _now_s: None
        self.stuck_drive: float | None = None
        self.pin_levels: dict[int, int] = {}
        self._boot_us = 0
        self._drive_us = 0.0  # drive times microseconds since the last step of the world
        self._changed_us = 0
        self._grid_us = GRID_US
        fitted = fitted or Fitted()
        self.inputs = Inputs(world, fitted)
        self.servo = Servo()
        self.inputs.position = lambda: self.servo.at
        self.speed_wire = SpeedWire(world, fitted.three_wire)
        self.drive = 0.0
        self.still_us = 0  # when the air last went to nothing
        self.stopped_us = 0  # when hang() or throw() reached the interpreter
        self.release()

    def release(self) -> None:
        """What a reset does to the pins: outputs go dead, so the blower stops; the servo stays put."""
        self._blow(0.0)
        self.pin_levels.clear()
        self.watchdog = Watchdog()
        self.flags = 0
        self._interrupts: list[int] = []
        self._listening: set[int] = set()
        self.inputs.release()
        self._down_until_us = 0
        if self.wire is not None:
            self.wire.close()

    def power_cycle(self) -> None:
        """Power went and came: the chips have forgotten their settings too."""
        self.release()
        self.cause = ops.POWER_ON
        self.inputs.power_cycle()

    @property
    def opening(self) -> float | None:
        """Where the damper stands, 0..1; None while it has never been moved."""
        return self.servo.at

    @property
    def bus(self) -> str:
        """'' well, 'low' or 'high': what a stuck data line reads as."""
        return self.inputs.bus

    @bus.setter
    def bus(self, level: str) -> None:
        self.inputs.bus = level

    @property
    def up_us(self) -> int:
        """How long this boot has lasted."""
        return self.now_us - self._boot_us

    def boot(self) -> None:
        """The board starts now: its clock is at 0."""
        self.boots += 1
        self._boot_us = self.now_us

    def advance_to(self, us: int) -> None:
        """Let the world come to `us`; Bitten if the watchdog's patience ends before that."""
        deadline_us = self.watchdog.deadline_us
        bitten = deadline_us is not None and us >= deadline_us
        if bitten and deadline_us is not None:
            us = max(deadline_us, self.now_us)
        while self._grid_us <= us:
            self._step_world()
        self.now_us = max(self.now_us, us)
        if bitten:
            raise Bitten

    def _step_world(self) -> None:
        self.now_us = self._grid_us
        self._account()
        mean = self._drive_us / GRID_US
        self._drive_us = 0.0
        self.world.set_air(mean if self.stuck_drive is None else self.stuck_drive, self.opening)
        self.world.advance(GRID_US / 1e6)
        self.inputs.look()
        self._grid_us += GRID_US
        self.on_second(self.now_us / 1e6)

    def _blow(self, drive: float) -> None:
        self._account()
        if self.drive > 0.0 and drive == 0.0:
            self.still_us = self.now_us
        self.drive = drive

    def _account(self) -> None:
        """Add up the air up to now at the drive that was in force."""
        self._drive_us += self.drive * (self.now_us - self._changed_us)
        self._changed_us = self.now_us

    def frame(self, data: bytes) -> bytes:
        """Carry out the operations of one frame; the answer to its last one."""
        at, end = 2, len(data)
        while at < end:
            code = data[at]
            if code >= ops.HELLO:
                return self._answer(self._ask(code, data, at + 1))
            at = self._tell(code, data, at + 1)
        raise ValueError("a frame without a question")

    def _answer(self, payload: bytes) -> bytes:
        flags, pin = self.flags, 0
        self.flags = 0
        if flags:
            self.stopped_us = self.now_us
        if self._interrupts:
            flags |= ops.FLAG_INTERRUPT
            pin = self._interrupts.pop(0)
        waiting = self.wire.waiting if self.wire is not None else 0
        return _ANSWER.pack(flags, pin, 0, waiting) + payload

    def _tell(self, code: int, data: bytes, at: int) -> int:
        """One operation without an answer; gives where the next one begins."""
        if code == ops.TIME:
            self.advance_to(self._boot_us + _U64.unpack_from(data, at)[0])
            return at + 8
        if code == ops.PIN:
            self._set_pin(data[at], data[at + 1])
            return at + 2
        if code == ops.SPI_WRITE:
            count = data[at + 1]
            self.inputs.spi_write(data[at], data[at + 2 : at + 2 + count], self.now_us)
            return at + 2 + count
        if code == ops.PWM:
            self._set_pwm(data[at], *_PWM.unpack_from(data, at + 1))
            return at + 9
        if code == ops.FEED:
            self.watchdog.feed(self.now_us)
            return at
        if code == ops.WATCHDOG:
            self.watchdog.start(_U32.unpack_from(data, at)[0], self.now_us)
            return at + 4
        if code == ops.LISTEN:
            self._listening.add(data[at])
            return at + 1
        return self._network(code, data, at)

    def _network(self, code: int, data: bytes, at: int) -> int:
        if self.wire is None:
            raise ValueError(f"operation {code} is not one of this board")
        if code == ops.NET_OPEN:
            self.wire.open()
        elif code == ops.NET_CLOSE:
            self.wire.close()
        else:
            count: int = _U16.unpack_from(data, at)[0]
            self.wire.from_board(data[at + 2 : at + 2 + count])
            return at + 2 + count
        return at

    def _ask(self, code: int, data: bytes, at: int) -> bytes:
        if code == ops.SPI_READ:
            return self.inputs.spi_read(data[at], data[at + 1], self.now_us)
        if code == ops.ADC_READ:
            return _U16.pack(self.inputs.counts(data[at]))
        if code == ops.PIN_READ:
            return bytes((self._level(data[at]),))
        if code == ops.PULSE:
            return _U32.pack(self.speed_wire.pulse_us(_U32.unpack_from(data, at + 1)[0], self.drive))
        if code == ops.NET_RECEIVE and self.wire is not None:
            return self.wire.to_board(_U16.unpack_from(data, at)[0])
        if code in (ops.I2C_WRITE, ops.I2C_READ):
            return self._i2c(code, data, at)
        if code == ops.HELLO:
            return _U32.pack(self._boot_seed()) + bytes((self.cause,))
        if code == ops.RESET:
            raise Reset
        return b""

    def _i2c(self, code: int, data: bytes, at: int) -> bytes:
        """Address, register, count: one byte that says whether somebody answered, then what was asked for."""
        address, register, count = data[at : at + 3]
        if code == ops.I2C_WRITE:
            sent = data[at + 3 : at + 3 + count]
            return bytes((self.inputs.i2c_write(address, register, sent, self.now_us),))
        got = self.inputs.i2c_read(address, register, count, self.now_us)
        return bytes(1 + count) if got is None else b"\x01" + got

    def _boot_seed(self) -> int:
        """Chance that differs from boot to boot and is the same in every run of a seed."""
        return (self.seed * 2654435761 + self.boots * 40503 + 1) & 0xFFFFFFFF

    def _set_pin(self, pin: int, level: int) -> None:
        self.pin_levels[pin] = level
        self.inputs.set_pin(pin, level)
        if pin == pins.BLOWER:
            self._blow(float(level))  # a plain output takes the pin away from the PWM, on both kinds of chip

    def _set_pwm(self, pin: int, hertz: int, high_ns: int) -> None:
        if pin == pins.BLOWER:
            self._blow(min(1.0, high_ns * hertz / 1e9))
        elif pin == pins.DAMPER and high_ns:
            self.servo.pulse(high_ns / 1000.0)

    # ---- what can go wrong, and the person's button -------------------------------------------

    def unplug(self, name: str | int, how: str = "open") -> None:
        """Break the wire of 'pit', 'stone' or food probe k: 'open', 'short', 'reversed'; '' mends it."""
        self.inputs.unplug(name, how)

    def hold_servo(self, held: bool) -> None:
        """Something jams the damper, or lets it go."""
        self.servo.held = held

    def press(self, pin: int = pins.LID_BUTTON, held_us: int = PRESS_US) -> None:
        """The button goes down, for a quarter of a second where nothing else is said."""
        self._down_until_us = self.now_us + held_us
        if pin in self._listening:
            self._interrupts.append(pin)

    def _level(self, pin: int) -> int:
        if pin == pins.LID_BUTTON:
            return int(self.now_us >= self._down_until_us)
        if pin == pins.TACH:
            return self.speed_wire.level(self.now_us, self.drive)
        if pin == pins.BLOWER:
            return self.speed_wire.supply(self.now_us, self.drive)
        return int(self.pin_levels.get(pin, 1))

    def demonstrate(self, flag: int) -> None:
        """With the next answer the interpreter spins (FLAG_SPIN) or one transfer raises (FLAG_THROW)."""
        self.flags |= flag
