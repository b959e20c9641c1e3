"""What a board says on its serial port, without a word to it: to interrupt it would stop the control."""

from __future__ import annotations

import time
from collections.abc import Iterator
from importlib import import_module
from typing import Any

from emberdraft.errors import UserError

TRACEBACK = "Traceback (most recent call last)"
OPEN_S = 10.0  # a board that restarts takes some seconds to come back


def lines(port: str, for_s: float | None) -> Iterator[str]:
    """Lines from the port for so long (None: for ever). The port may come and go while the board restarts."""
    serial = _serial()
    end_s = None if for_s is None else time.monotonic() + for_s
    rest = b""
    with _open(port) as line:
        while end_s is None or time.monotonic() < end_s:
            try:
                rest += line.read(max(1, line.in_waiting))
            except (OSError, serial.SerialException):
                return
            *whole, rest = rest.split(b"\n")
            for text in whole:
                yield text.decode(errors="replace").rstrip("\r")


def _serial() -> Any:
    """pyserial, which mpremote brings; it has no types."""
    try:
        return import_module("serial")
    except ImportError:
        raise UserError("pyserial is missing: `pip install mpremote` brings it") from None


def _open(port: str) -> Any:
    serial = _serial()
    until_s = time.monotonic() + OPEN_S
    while True:
        try:
            return serial.Serial(port, 115200, timeout=0.2)
        except (OSError, serial.SerialException) as error:
            if time.monotonic() >= until_s:
                raise UserError(f"port {port}: {error}; name the one the board is at") from None
            time.sleep(0.2)


def find_port() -> str:
    """The first serial port with a USB board behind it."""
    _serial()
    found = sorted(
        str(port.device) for port in import_module("serial.tools.list_ports").comports() if port.vid is not None
    )
    if not found:
        raise UserError("no board found on USB; plug it in, or name its port with --port")
    return found[0]


def trouble_within(port: str, for_s: float) -> str:
    """'' when the board said no traceback in that time, else the last line of it."""
    inside = False
    for text in lines(port, for_s):
        if text.startswith(TRACEBACK):
            inside = True
        elif inside and text and not text.startswith(" "):
            return text[:200]
    return "a traceback" if inside else ""
