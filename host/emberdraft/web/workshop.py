"""Long reckonings for the page, done by a process of their own: neither the page nor a reading waits for them.

A question is asked again until its answer is there. Of the questions that wait, a newer one of the same kind puts an
older one aside: a slider that moves asks many and wants the last. A process that dies is begun anew.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from emberdraft.errors import UserError

KEPT = 48
DIED = "the reckoning ended before its time (out of memory, perhaps); ask again"


@dataclass
class Job:
    """One question: what is done for it, since when; `answer` once `ready`, or `trouble` in a sentence."""

    kind: Hashable
    doing: str
    call: tuple[Callable[..., Any], tuple[Any, ...]]
    asked_s: float = field(default_factory=time.monotonic)
    ready: threading.Event = field(default_factory=threading.Event)
    answer: Any = None
    trouble: str = ""


class Workshop:
    """Answers questions one after the other. Safe between threads."""

    def __init__(self, most: int = KEPT) -> None:
        self._most = most
        self._jobs: OrderedDict[Hashable, Job] = OrderedDict()
        self._waiting: OrderedDict[Hashable, Job] = OrderedDict()
        self._turn = threading.Condition()
        self._worker: threading.Thread | None = None
        self._process: Any = None
        self._line: Connection | None = None
        self._closed = False

    def ask(self, key: Hashable, kind: Hashable, doing: str, work: Callable[..., Any], *args: Any) -> Job:
        """The job that answers `key`: a kept one, or a new one that runs work(*args). Both must be picklable."""
        with self._turn:
            job = self._jobs.get(key) or self._waiting.get(key)
            if job is not None:
                return job
            for other in [k for k, waiting in self._waiting.items() if waiting.kind == kind]:
                del self._waiting[other]
            job = self._waiting[key] = Job(kind, doing, (work, args))
            if self._worker is None:
                self._worker = threading.Thread(target=self._run, name="workshop", daemon=True)
                self._worker.start()
            self._turn.notify_all()
            return job

    def close(self) -> None:
        """End the process; what waits is not answered."""
        with self._turn:
            self._closed = True
            self._turn.notify_all()
        if self._process is not None:
            self._process.kill()

    def _run(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._waiting or self._closed)
                if self._closed:
                    return
                key, job = self._waiting.popitem(last=False)
                self._jobs[key] = job
                while len(self._jobs) > self._most:
                    self._jobs.popitem(last=False)
            self._do(key, job)

    def _do(self, key: Hashable, job: Job) -> None:
        try:
            good, found = self._through_process(job.call)
        except (OSError, EOFError):
            self._line = None
            good, found = False, DIED
            with self._turn:
                self._jobs.pop(key, None)
        job.answer, job.trouble = (found, "") if good else (None, found)
        job.ready.set()

    def _through_process(self, call: tuple[Callable[..., Any], tuple[Any, ...]]) -> tuple[bool, Any]:
        if self._line is None or not self._process.is_alive():
            # A fresh interpreter: a fork of a process with threads may hang.
            there = multiprocessing.get_context("spawn")
            self._line, theirs = there.Pipe()
            self._process = there.Process(target=_serve, args=(theirs,), name="emberdraft-workshop", daemon=True)
            self._process.start()
            theirs.close()
        self._line.send(call)
        answer: tuple[bool, Any] = self._line.recv()
        return answer


def _serve(line: Connection) -> None:
    """The process: one call after the other until the line is closed."""
    with contextlib.suppress(EOFError, KeyboardInterrupt):
        while True:
            work, args = line.recv()
            try:
                line.send((True, work(*args)))
            except UserError as error:
                line.send((False, str(error)))
            except Exception as error:  # told to the person who asked; the process goes on
                line.send((False, f"this cook could not be reckoned with ({type(error).__name__}: {error})"))
