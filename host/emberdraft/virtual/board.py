"""The virtual board: the real firmware on simulated chips, in lock-step or at a pace.

    board = VirtualBoard(world, speed=None, seed=1, work_dir=folder)
    with board:
        board.run_until(600.0)
        rows = board.peer.take_received()

With `speed=None` (lock-step) board time moves only when the board sleeps, everything happens in
the caller's thread, and two runs of a seed are the same to the byte; `peer` is the far end of the
link. With a number the board runs in a process of its own at that many times real time, with the
computer's own network, and `world` is reached through a stand-in object.
"""

from __future__ import annotations

import json
import os
import re
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from emberdraft.deploy.sums import SUMS, names_in, text_of
from emberdraft.errors import UserError
from emberdraft.virtual.fitted import Fitted, as_set
from emberdraft.virtual.interpreter import FIRMWARE, HEAP, Interpreter, command_for
from emberdraft.virtual.machine import Machine
from emberdraft.virtual.overlay import vb_ops as ops
from emberdraft.virtual.peer import LockStepPeer
from emberdraft.virtual.rack import Rack
from emberdraft.virtual.remote import RemoteMachine, RemoteObject
from emberdraft.virtual.tunnel import Tunnel

HEAP_BLOCK = 32  # bytes of one block of MicroPython's heap on a 64-bit computer


class BrokerAddress(Protocol):
    """Where a broker listens."""

    @property
    def host(self) -> str: ...
    @property
    def port(self) -> int: ...
    @property
    def user(self) -> str | None: ...
    @property
    def password(self) -> str | None: ...


class VirtualBoard:
    """One board around one world. `work_dir` is its file system: settings, stored trips, console.

    `fitted` is what is soldered to it; left out, what somebody fits who writes these `settings`.
    """

    def __init__(
        self,
        world: Any,
        *,
        speed: float | None = None,
        interpreter: str = "micropython",
        broker: BrokerAddress | None = None,
        cooker: str = "demo",
        seed: int = 0,
        work_dir: str | Path,
        settings: dict[str, Any] | None = None,
        heap: str = HEAP,
        firmware: Path = FIRMWARE,
        fitted: Fitted | None = None,
    ) -> None:
        command_for(interpreter, heap)
        if speed is not None and not speed > 0.0:
            raise UserError(f"speed {speed}: a number above 0, or none for lock-step, would be right")
        if speed is not None and broker is None:
            raise UserError("a board at a pace needs a broker to talk to")
        self.speed = speed
        self.flash = Path(work_dir)
        self.flash.mkdir(parents=True, exist_ok=True)
        self._write_settings(cooker, broker, settings or {})
        self._write_sums(firmware)
        fitted = fitted or as_set(settings or {})
        self.peer = LockStepPeer()
        self._machine: Machine | RemoteMachine
        if speed is None:
            rack = Rack(world, seed, Tunnel(self.peer), fitted)
            runner = Interpreter(interpreter, self.flash, "tunnel", heap, firmware)
            self._machine = Machine(rack, runner, _no_wait)
            self.world = world
        else:
            chance = seed ^ secrets.randbits(32)  # no two starts of a real board have the same name
            far = (interpreter, self.flash, "network", heap, firmware)
            self._machine = RemoteMachine(world, speed, chance, far, fitted)
            self.world = RemoteObject(self._machine, "world")

    def _write_sums(self, firmware: Path) -> None:
        """The list that a deploy would have left, unless the firmware brings its own."""
        if (firmware / "main.py").exists() and not (firmware / "emberboard" / SUMS).exists():
            (self.flash / SUMS).write_text(text_of(firmware, names_in(firmware)))

    def _write_settings(self, cooker: str, broker: BrokerAddress | None, more: dict[str, Any]) -> None:
        """settings.json as a person would write it; one that is there already stays."""
        path = self.flash / "settings.json"
        if path.exists() and not more:
            return
        values: dict[str, Any] = {"cooker": cooker, "broker_host": "127.0.0.1", "wifi_ssid": "virtual"}
        if broker is not None:
            values.update(broker_host=broker.host, broker_port=broker.port)
            values.update(broker_user=broker.user or "", broker_password=broker.password or "")
        if self.speed is not None and self.speed > 1.0:
            values["keep_alive_s"] = min(3600, round(10 * self.speed))  # ten seconds of the broker's time
        values.update(more)
        path.write_text(json.dumps(values, indent=2) + "\n")

    # ---- running --------------------------------------------------------------------------

    def start(self) -> None:
        """Switch the board on."""
        self._machine.start()

    def stop(self) -> None:
        """Switch it off for good."""
        self._machine.stop()

    def __enter__(self) -> VirtualBoard:
        self.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.stop()

    def run_until(self, t_s: float, on_second: Callable[[float], None] | None = None) -> None:
        """Lock-step only: run to `t_s` of world time; `on_second(t_s)` after each second of it."""
        if not isinstance(self._machine, Machine):
            raise UserError("run_until is for lock-step (speed=None); a board at a pace runs by itself")
        machine, rack = self._machine, self._machine.rack
        rack.on_second = self._each_second(on_second)
        before = _share_processor(machine.interpreter.pid)
        try:
            end_us = int(t_s * 1e6)
            while rack.now_us < end_us:
                machine.step()
        finally:
            if before is not None:
                os.sched_setaffinity(0, before)

    def _each_second(self, on_second: Callable[[float], None] | None) -> Callable[[float], None]:
        def each(now_s: float) -> None:
            self.peer.acknowledge()
            if on_second is not None:
                on_second(now_s)

        return each

    # ---- looking at it ----------------------------------------------------------------------

    @property
    def now_s(self) -> float:
        """Seconds since the world began, over all restarts of the board."""
        return float(self._rack("now_us")) / 1e6

    @property
    def drive(self) -> float:
        """What the blower's pin carries now, 0..1."""
        return float(self._rack("drive"))

    @property
    def opening(self) -> float | None:
        """Where the damper stands, 0..1; None while it has never been moved."""
        opening = self._rack("opening")
        return None if opening is None else float(opening)

    @property
    def boots(self) -> int:
        """How often the board has started."""
        return int(self._rack("boots"))

    @property
    def bites(self) -> int:
        """How often the watchdog has bitten."""
        return int(self._machine.bites)

    @property
    def still_s(self) -> float:
        """When the blower last came to rest."""
        return float(self._rack("still_us")) / 1e6

    @property
    def stopped_s(self) -> float:
        """When hang() or throw() reached the firmware."""
        return float(self._rack("stopped_us")) / 1e6

    def pin(self, number: int) -> int:
        """The level that the board gives an output pin (buzzer, light); 0 before it is driven."""
        return int(self._rack("pin_levels").get(number, 0))

    def report_memory(self, every_s: int) -> None:
        """From the next start on: MicroPython's account of its heap on the console, every so many seconds."""
        (self.flash / "report_memory").write_text(str(every_s))

    def memory(self) -> list[tuple[int, int]]:
        """(bytes free, largest free piece in bytes) at each report so far."""
        text = (self.flash / "console.log").read_text(errors="replace")
        free = [int(found) for found in re.findall(r"GC: total: \d+, used: \d+, free: (\d+)", text)]
        blocks = [int(found) for found in re.findall(r"max free sz: (\d+)", text)]
        return [(each, HEAP_BLOCK * most) for each, most in zip(free, blocks, strict=False)]

    def console(self) -> str:
        """The end of what the firmware printed."""
        path = self.flash / "console.log"
        return path.read_bytes()[-4000:].decode(errors="replace") if path.exists() else ""

    def _rack(self, name: str) -> Any:
        return getattr(self._machine.rack, name)

    # ---- a person, and what can go wrong --------------------------------------------------------

    def press_lid_button(self, held_s: float = 0.25) -> None:
        """Somebody presses the button on the board, and lets go after `held_s`."""
        self._machine.rack.press(held_us=round(held_s * 1e6))

    def power_cut(self, off_s: float = 5.0) -> None:
        """No power for `off_s` seconds of board time."""
        self._machine.power_cut(off_s)

    def unplug(self, name: str | int, how: str = "open") -> None:
        """Break the wire of 'pit', 'stone' or food probe k: 'open', 'short' or (pit, stone) 'reversed'."""
        self._machine.rack.unplug(name, how)

    def plug_in(self, name: str | int) -> None:
        """Mend the wire again."""
        self._machine.rack.unplug(name, "")

    def stick_bus(self, level: str) -> None:
        """The data line of the chips is stuck 'low' or 'high'; '' mends it."""
        self._machine.rack.bus = level

    def stick_blower(self, drive: float | None) -> None:
        """The blower runs at `drive` whatever the board says; None mends it."""
        self._machine.rack.stuck_drive = drive

    def jam_damper(self, held: bool = True) -> None:
        """The damper stays where it is, whatever the servo does; False frees it."""
        self._machine.rack.hold_servo(held)

    def hang(self) -> None:
        """The firmware stops in an endless loop."""
        self._machine.rack.demonstrate(ops.FLAG_SPIN)

    def throw(self) -> None:
        """The next transfer from a chip raises an exception in the firmware."""
        self._machine.rack.demonstrate(ops.FLAG_THROW)

    def ctrl_c(self) -> None:
        """Somebody at the cable interrupts the firmware; its watchdog, if it runs, runs on."""
        self._machine.rack.demonstrate(ops.FLAG_CTRL_C)

    def reset(self) -> None:
        """Somebody types `machine.reset()` at the prompt, as `mpremote reset` does."""
        self._machine.reset()


def _no_wait(_now_us: int) -> None:
    """Lock-step: as fast as it goes."""


def _share_processor(pid: int | None) -> set[int] | None:
    """Put this thread and the interpreter on one processor: they never run at the same time.

    A question and its answer then cost 5 us instead of 60 (measured), since nobody has to be woken
    on another processor. Gives what to restore afterwards; None where it cannot be done.
    """
    if pid is None or not hasattr(os, "sched_setaffinity"):
        return None
    try:
        fields = Path("/proc/thread-self/stat").read_text().rpartition(")")[2].split()
        before, here = os.sched_getaffinity(0), {int(fields[36])}
        os.sched_setaffinity(0, here)
        os.sched_setaffinity(pid, here)
    except OSError:
        return None
    return before
