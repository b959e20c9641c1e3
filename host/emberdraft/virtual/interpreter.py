"""The process that runs the firmware: MicroPython, or CPython where there is none.

The bus is one end of a socket pair that the process inherits. A process that spins is told from one
that is merely slow by the processor time it uses: a busy computer must not make a watchdog bite.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path

import emberboard
from emberdraft.errors import UserError

OVERLAY = Path(__file__).parent / "overlay"
FIRMWARE = Path(emberboard.__file__).resolve().parent.parent
HEAP = "384k"  # plenty; what a board has is held by tests/virtual/test_budget.py
LOOK_EVERY_S = 0.25
SPIN_CPU_S = 2.0  # a small computer needs this long to compile the firmware
SILENT_S = 30.0


class Hung(Exception):  # noqa: N818 - something that happens, not a mistake
    """The firmware has said nothing for so long that it never will."""


class Ended(Exception):  # noqa: N818
    """The interpreter's process is gone."""


def find_micropython() -> str | None:
    """The command that runs MicroPython: beside this Python, or on the path."""
    beside = Path(sys.executable).parent / "micropython"
    return str(beside) if beside.exists() else shutil.which("micropython")


def command_for(kind: str, heap: str) -> list[str]:
    """How to start an interpreter of `kind` ('micropython' or 'cpython')."""
    if kind == "cpython":
        return [sys.executable, "-B"]
    if kind != "micropython":
        raise UserError(f"interpreter '{kind}': micropython or cpython would be right")
    found = find_micropython()
    if found is None:
        raise UserError(
            "there is no MicroPython for this computer (its package has x86_64 Linux only); "
            "interpreter cpython runs the same firmware"
        )
    return [found, "-X", f"heapsize={heap}"]


class Interpreter:
    """One run of the firmware after another, each a fresh process."""

    def __init__(self, kind: str, flash: Path, network: str, heap: str, firmware: Path) -> None:
        if not (firmware / "main.py").exists():
            raise UserError(f"no firmware in {firmware}: the virtual board needs a checkout with firmware/main.py")
        self._command = command_for(kind, heap)
        self._flash = flash
        self._network = network
        self._firmware = firmware
        self._process: subprocess.Popen[bytes] | None = None
        self._socket: socket.socket | None = None
        self.console = flash / "console.log"

    @property
    def pid(self) -> int | None:
        return self._process.pid if self._process is not None else None

    def start(self) -> None:
        """Switch the board on."""
        ours, theirs = socket.socketpair()
        os.set_inheritable(theirs.fileno(), True)
        script = [str(OVERLAY / "start.py"), str(theirs.fileno()), str(self._firmware), self._network]
        with self.console.open("ab") as log:
            self._process = subprocess.Popen(
                self._command + script,
                cwd=self._flash,
                env=dict(os.environ, PYTHONHASHSEED="0", MICROPYPATH=".frozen"),
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                pass_fds=(theirs.fileno(),),
            )
        theirs.close()
        ours.settimeout(LOOK_EVERY_S)
        self._socket = ours

    def kill(self) -> None:
        """Take its power away."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None
        if self._socket is not None:
            self._socket.close()
            self._socket = None

    def receive(self) -> bytes:
        """The next frame; Hung or Ended if there will be none."""
        data = self._some()
        while len(data) < 2 or len(data) < data[0] | data[1] << 8:
            data += self._some()
        return data

    def answer(self, payload: bytes) -> None:
        """Answer the frame that was received."""
        try:
            self._link().sendall(payload)
        except OSError:
            raise Ended from None

    def tail(self, count: int = 2000) -> str:
        """The end of what the firmware printed."""
        return self.console.read_bytes()[-count:].decode(errors="replace") if self.console.exists() else ""

    def _link(self) -> socket.socket:
        if self._socket is None:
            raise Ended
        return self._socket

    def _some(self) -> bytes:
        begun_s, cpu_s = time.monotonic(), None
        while True:
            try:
                data = self._link().recv(8192)
            except TimeoutError:
                used_s = self._cpu_s()
                cpu_s = used_s if cpu_s is None else cpu_s
                if used_s - cpu_s > SPIN_CPU_S or time.monotonic() - begun_s > SILENT_S:
                    raise Hung from None
                continue
            except OSError:
                raise Ended from None
            if not data:
                raise Ended
            return data

    def _cpu_s(self) -> float:
        """Processor time that the process has used; elsewhere than on Linux, plain time."""
        try:
            fields = Path(f"/proc/{self.pid}/stat").read_text().rpartition(")")[2].split()
        except OSError:
            return time.monotonic()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
