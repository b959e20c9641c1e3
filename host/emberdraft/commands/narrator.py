"""Says in lines what happens in a cook, as it happens: phases, prompts, marks, alarms, now and then the sentence."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

SAY_EVERY_S = 900.0
Row = dict[str, Any]


class Narrator:
    """Feed it the state that the page gets; it yields the lines that are new."""

    def __init__(self) -> None:
        self._phase: tuple[str, float] | None = None
        self._prompt: str | None = None
        self._marks: set[Any] = set()
        self._alarms: dict[str, str] = {}
        self._said_s = 0.0

    def lines(self, now: Row) -> Iterator[str]:
        """New lines, each with its clock time."""
        stamp = clock_text(now["now_s"])
        for text in (*self._phases(now), *self._prompts(now), *self._marked(now), *self._alarmed(now)):
            yield f"{stamp}  {text}"
        if now["cook"] and now["sentence"] and now["now_s"] - self._said_s >= SAY_EVERY_S:
            self._said_s = now["now_s"]
            yield f"{stamp}  {now['sentence']!s}"

    def _phases(self, now: Row) -> Iterator[str]:
        phase = now["phase"]
        if phase is None or (phase["name"], phase["since_s"]) == self._phase:
            return
        self._phase, self._said_s = (phase["name"], phase["since_s"]), now["now_s"]
        target = "" if phase["target_c"] is None else f", wanted {phase['target_c']:.0f} °C"
        yield f"--- {phase['name']}{target} ---"
        yield from (f"    Caution: {line!s}" for line in now["caution"])

    def _prompts(self, now: Row) -> Iterator[str]:
        prompt = now["next"]
        if prompt is None or prompt["id"] == self._prompt:
            return
        self._prompt = prompt["id"]
        yield f"For the person: {prompt['title']}."

    def _marked(self, now: Row) -> Iterator[str]:
        for mark in now["marks"]:
            if mark["id"] not in self._marks:
                self._marks.add(mark["id"])
                yield f"  noted: {mark['label']!s}"

    def _alarmed(self, now: Row) -> Iterator[str]:
        states = {alarm["id"]: alarm["state"] for alarm in now["alarms"]}
        for alarm in now["alarms"]:
            if alarm["id"] not in self._alarms:
                yield f"ALARM: {alarm['cause']!s}. {alarm['action']!s}."
        self._alarms = states


def clock_text(at_s: float) -> str:
    """A moment on the local clock, to the minute."""
    return datetime.datetime.fromtimestamp(at_s).astimezone().strftime("%H:%M")
