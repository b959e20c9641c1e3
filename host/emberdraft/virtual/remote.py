"""The board in a process of its own: what the caller holds of it, and what runs at the far end."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from emberdraft.virtual.fitted import Fitted
from emberdraft.virtual.interpreter import Interpreter
from emberdraft.virtual.machine import Machine, Pace
from emberdraft.virtual.rack import Rack

Runner = tuple[str, Path, str, str, Path]  # the arguments of an Interpreter

MOST_WAIT_S = 0.05
STOP_WAIT_S = 5.0


class Far:
    """One end of the control line: (verb, object, name, arguments) there, (good, value) back."""

    def __init__(self, world: Any, speed: float, seed: int, runner: Runner, fitted: Fitted) -> None:
        self.world = world
        self.pace = Pace(speed)
        self.rack = Rack(world, seed, fitted=fitted)
        self.machine = Machine(self.rack, Interpreter(*runner), self._wait)
        self.line: Connection
        self.running = False

    def serve(self, line: Connection) -> None:
        """Run the board, and what is asked in between, until the line closes."""
        self.line = line
        try:
            while True:
                while line.poll(0.0 if self.running else None):
                    self._one()
                self.machine.step()
        except (EOFError, OSError):
            pass
        finally:
            self.machine.stop()

    def _wait(self, now_us: int) -> None:
        """Keep the pace; a question that comes while waiting is answered at once."""
        while (left_s := self.pace.ahead_s(now_us)) > 0.0:
            if self.line.poll(min(left_s, MOST_WAIT_S)):
                self._one()

    def _one(self) -> None:
        verb, where, name, args, kwargs = self.line.recv()
        try:
            self.line.send((True, self._do(verb, getattr(self, where), name, args, kwargs)))
        except Exception as error:
            self.line.send((False, error))

    def _do(self, verb: str, thing: Any, name: str, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        if verb == "set":
            return setattr(thing, name, args[0])
        value = getattr(thing, name)
        if verb == "get":
            return _Callable if callable(value) else value
        if name == "start":
            self.running, self.pace = True, Pace(self.pace.speed)
        return value(*args, **kwargs)


class _Callable:
    """Says over the line: what you asked for is to be called."""


class RemoteMachine:
    """The caller's hold of a board in another process: the same names as a Machine."""

    def __init__(self, world: Any, speed: float, seed: int, runner: Runner, fitted: Fitted) -> None:
        self._lock = threading.Lock()
        ours, theirs = socket.socketpair()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "emberdraft.virtual", str(theirs.fileno())],
                pass_fds=(theirs.fileno(),),
                stdin=subprocess.DEVNULL,
            )
        self._line = Connection(ours.detach())
        self._line.send((world, speed, seed, runner, fitted))
        self.rack = RemoteObject(self, "rack")

    def ask(self, verb: str, where: str, name: str, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        """One question and its answer; an exception over there is raised here."""
        with self._lock:
            self._line.send((verb, where, name, args, kwargs))
            good, value = self._line.recv()
        if not good:
            raise value
        return value

    @property
    def bites(self) -> int:
        return int(self.ask("get", "machine", "bites", (), {}))

    def start(self) -> None:
        self.ask("call", "machine", "start", (), {})

    def power_cut(self, off_s: float) -> None:
        self.ask("call", "machine", "power_cut", (off_s,), {})

    def reset(self) -> None:
        self.ask("call", "machine", "reset", (), {})

    def stop(self) -> None:
        """Close the line: the far end kills the interpreter and ends."""
        with self._lock:
            self._line.close()
        try:
            self._process.wait(STOP_WAIT_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


class RemoteObject:
    """Stands for an object of the far process: its methods can be called, its attributes read and set."""

    def __init__(self, machine: RemoteMachine, where: str) -> None:
        self.__dict__["_machine"] = machine
        self.__dict__["_where"] = where

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        value = self._machine.ask("get", self._where, name, (), {})
        if value is not _Callable:
            return value
        return lambda *args, **kwargs: self._machine.ask("call", self._where, name, args, kwargs)

    def __setattr__(self, name: str, value: Any) -> None:
        self._machine.ask("set", self._where, name, (value,), {})


def main(descriptor: int) -> None:
    """What the process runs; it ends with its line, so that no board outlives its owner."""
    line = Connection(os.dup(descriptor))
    os.close(descriptor)
    Far(*line.recv()).serve(line)
