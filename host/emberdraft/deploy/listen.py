"""What a board says on its serial port, without a word to it: to interrupt it would stop the control."""

from __future__ import annotations

import time
from collections.abc import Iterator
from importlib import import_module
from typing import Any

from emberdraft.errors import UserError

TRACEBACK = "Traceback (most recent call last)"
RESTART = "rst:0x"  # what an ESP32 says first after each reset
RESTARTS_MOST = 1  # the one that was asked for
OPEN_S = 10.0  # a board that restarts takes some seconds to come back
LOOK_S = 0.2


class Line:
    """A serial port that may go away and come back while the board restarts; `lost` says how often it did."""

    def __init__(self, port: str) -> None:
        self._port = port
        self._serial = self._opened(time.monotonic() + OPEN_S)
        self.lost = 0

    def texts(self, for_s: float | None) -> Iterator[str]:
        """Whole lines for so long (None: for ever)."""
        end_s = None if for_s is None else time.monotonic() + for_s
        rest = b""
        while end_s is None or time.monotonic() < end_s:
            *whole, rest = (rest + self._some()).split(b"\n")
            for text in whole:
                yield text.decode(errors="replace").rstrip("\r")

    def close(self) -> None:
        """Give the port back."""
        self._serial.close()

    def _some(self) -> bytes:
        try:
            return bytes(self._serial.read(max(1, self._serial.in_waiting)))
        except OSError:  # pyserial's own error is one
            self.lost += 1
            self._serial.close()
            self._serial = self._opened(time.monotonic() + OPEN_S)
            return b""

    def _opened(self, until_s: float) -> Any:
        serial = _pyserial("serial")
        while True:
            try:
                return serial.Serial(self._port, 115200, timeout=LOOK_S)
            except OSError as error:
                if time.monotonic() >= until_s:
                    raise UserError(f"port {self._port}: {error}; name the one the board is at") from None
                time.sleep(LOOK_S)


def _pyserial(module: str) -> Any:
    """pyserial, which mpremote brings; it has no types."""
    try:
        return import_module(module)
    except ImportError:
        raise UserError("pyserial is missing: `pip install mpremote` brings it") from None


def find_port() -> str:
    """The first serial port with a USB board behind it."""
    ports = _pyserial("serial.tools.list_ports").comports()
    found = sorted(str(port.device) for port in ports if port.vid is not None)
    if not found:
        raise UserError("no board found on USB; plug it in, or name its port with --port")
    return found[0]


def trouble_within(port: str, for_s: float) -> str:
    """'' when the board ran without a traceback and without a second restart in that time, else what was wrong."""
    line = Line(port)
    try:
        return _trouble(line, for_s)
    finally:
        line.close()


def _trouble(line: Line, for_s: float) -> str:
    inside, restarts = False, 0
    for text in line.texts(for_s):
        restarts += RESTART in text
        if TRACEBACK in text:
            inside = True
        elif inside and text and not text.startswith(" "):
            return text[:200]
    if inside:
        return "a traceback"
    restarts = max(restarts, line.lost)
    return f"nothing, but restarted {restarts} times" if restarts > RESTARTS_MOST else ""
