"""Plain drives for simulated cookers; no control of ours is used here."""

from __future__ import annotations

from typing import Any


def acts(blower: float = 0.0, **other: Any) -> dict[str, Any]:
    """What acts on a plant: still air of 20 degC, intake open, top vent a fifth open, unless said."""
    usual = {"intake": 1.0, "exhaust": 0.2, "lid_open": False, "ambient_c": 20.0, "wind_mps": 0.0}
    return {"blower": blower, **usual, **other}


def run(plant: Any, seconds: float, blower: float = 0.0, dt_s: float = 2.0, **other: Any) -> dict[str, Any]:
    """Constant air for a time; the last output."""
    u = acts(blower, **other)
    out: dict[str, Any] = {}
    for _ in range(round(seconds / dt_s)):
        out = plant.step(dt_s, u)
    return out


def until(plant: Any, key: str, above: float, blower: float = 1.0, most_s: float = 7200.0, **other: Any) -> float:
    """Seconds of constant air until an output is above a value; `most_s` when it never is."""
    u = acts(blower, **other)
    for n in range(int(most_s / 2.0)):
        if plant.step(2.0, u)[key] >= above:
            return 2.0 * (n + 1)
    return most_s


class Textbook:
    """A plain PI with clamping on the blower: enough to bring a plant near a temperature."""

    def __init__(self, target_c: float, gain: float = 0.012, ti_s: float = 1200.0) -> None:
        self.target_c, self.gain, self.ti_s, self.integral = target_c, gain, ti_s, 0.2
        self.used = 0.0

    def hold(self, plant: Any, seconds: float, dt_s: float = 2.0, **other: Any) -> dict[str, Any]:
        """Drive the plant for a time; the last output."""
        u = acts(0.0, **other)
        out = plant.step(dt_s, u)
        for _ in range(round(seconds / dt_s) - 1):
            u["blower"] = self._duty(out["pit_c"], dt_s)
            out = plant.step(dt_s, u)
        return out

    def _duty(self, pit_c: float, dt_s: float) -> float:
        error = self.target_c - pit_c
        wanted = self.gain * error + self.integral
        if 0.0 < wanted < 1.0:
            self.integral += self.gain * error * dt_s / self.ti_s
        return min(1.0, max(0.0, wanted))
