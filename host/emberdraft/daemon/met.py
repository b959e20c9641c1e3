"""Which board is it? Two that call themselves the same, and one that was put in the place of another."""

from __future__ import annotations

from typing import Any

import msgspec

from emberdraft.daemon import heard

TOLD_S = 60.0  # so long after the last sign of it a trouble stands
MOST_BOOTS = 16


class Met:
    """Starts and sensors that a cooker's boards have shown. No clock: time is passed in."""

    def __init__(self, cooker: str) -> None:
        self._cooker = cooker
        self._boots: list[str] = []  # in the order their first live reading came
        self._twice_s: float | None = None
        self._sensors: dict[str, Any] | None = None
        self._boot = ""
        self._news: list[str] = []

    def live(self, boot: str, now_s: float) -> None:
        """A live reading. One board never goes back to an earlier start: then there are two."""
        if not self._boots or boot not in self._boots:
            self._boots = [*self._boots, boot][-MOST_BOOTS:]
        elif boot != self._boots[-1]:
            if not self.trouble(now_s):
                self._news.append(self._two())
            self._twice_s = now_s

    def info(self, info: heard.Info) -> None:
        """What the board says of itself; with a new start it is compared with what it was."""
        sensors = msgspec.to_builtins(info.sensors)
        if self._sensors is not None and info.boot != self._boot and sensors != self._sensors:
            changed = [name for name in {*sensors, *self._sensors} if sensors.get(name) != self._sensors.get(name)]
            self._news.append(
                f"Another board, or one set otherwise, has started on {self._cooker}: {', '.join(sorted(changed))} "
                f"changed; offsets of its probes now: {_offsets(sensors)}"
            )
        self._sensors, self._boot = sensors, info.boot

    def news(self) -> list[str]:
        """What is to be said, each once."""
        told, self._news = self._news, []
        return told

    def trouble(self, now_s: float) -> str:
        """'' or that two boards have one name."""
        return self._two() if self._twice_s is not None and now_s - self._twice_s < TOLD_S else ""

    def _two(self) -> str:
        return f"Two boards call themselves {self._cooker} and take turns: give one another name, or switch it off"


def _offsets(sensors: dict[str, Any]) -> str:
    offsets = sensors.get("offsets")
    rows = offsets.items() if isinstance(offsets, dict) else ()
    known = [(name, row.get("k")) for name, row in rows if isinstance(row, dict)]
    told = [f"{name} {by_k:+.2f} K" for name, by_k in known if isinstance(by_k, int | float)]
    return ", ".join(sorted(told)) or "none"
