"""The board's own controller, led through a recorded cook: it learns what the board learned, from the same readings.

What it would have done is compared with what the board did: alike means that this firmware, these gains and these
orders made the record, and that a replay from any moment starts from what the board knew then.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from emberboard.core.controller import Controller, Inputs
from emberdraft.tuning.model import Array
from emberdraft.tuning.record import GAINS, Cook, Order

ALIKE_DUTY = 0.03


class Shadow:
    """A controller that is given a cook's orders at their rows, and a pit each second."""

    def __init__(self, cook: Cook, gains: dict[str, float] | None = None) -> None:
        self.cook = cook
        self.row = 0
        self._fixed = gains is not None
        chosen = {**cook.gains, **(gains or {})}
        self.controller = Controller(1, {k: v for k, v in chosen.items() if k in GAINS})
        self.inputs: Any = Inputs(1)
        self._orders = list(cook.orders) or _from_readings(cook)
        self._wanted_c: dict[float, float] = {}

    def aim(self, targets: dict[float, float]) -> None:
        """Take other pit targets in place of the recorded ones (recorded: wanted)."""
        self._wanted_c = targets

    def tick(self, pit_c: float | None) -> Any:
        """One second with this pit; everything else is as recorded. Returns the controller's outputs."""
        cook, row = self.cook, self.row
        while self._orders and self._orders[0][0] <= row:
            self.give(*self._orders.pop(0)[1:])
        stone_c = float(cook["stone_c"][row])
        return self.tick_alone(pit_c, stone_c if stone_c == stone_c else None)

    def tick_alone(self, pit_c: float | None, stone_c: float | None = None) -> Any:
        """One second outside the record."""
        inputs = self.inputs
        inputs.pit_c = None if pit_c is None or pit_c != pit_c else float(pit_c)
        inputs.pit_fault = "" if inputs.pit_c is not None else "open"
        inputs.stone_c = stone_c
        inputs.stone_fault = "" if stone_c is not None else "absent"
        out = self.controller.tick((self.row + 1) * 1000, inputs)
        inputs.lid_button = inputs.lid_held = False
        self.controller.events.clear()
        self.row += 1
        return out

    def change_gains(self, gains: dict[str, float]) -> None:
        """Other gains from here on, whatever the record orders."""
        self._fixed = True
        self.controller.order("gains", dict(gains), self.row * 1000)

    def give(self, name: str, args: dict[str, Any]) -> None:
        """An order now, as a person at the cooker."""
        if name == "button":
            self.inputs.lid_held = args["text"] == "held"
            self.inputs.lid_button = not self.inputs.lid_held
            return
        if name == "gains" and self._fixed:
            return
        args = {**args, "at_cooker": True} if name in ("mode", "target") else dict(args)
        if "seen_ms" in args:  # of the board's uptime: it was taken, so it had seen the last press
            args["seen_ms"] = self.row * 1000
        if args.get("target_c") in self._wanted_c:
            args["target_c"] = self._wanted_c[args["target_c"]]
        self.controller.order(name, args, self.row * 1000)


def alike(cook: Cook, last: int) -> tuple[float, Array]:
    """(share of the seconds up to `last` in which the shadow's duty is the recorded one, its duty each second)."""
    shadow = Shadow(cook)
    duty = np.array([shadow.tick(cook["pit_c"][i]).duty for i in range(last)])
    same = np.abs(duty - cook["duty"][:last]) < ALIKE_DUTY
    held = np.array([mode == "hold" for mode in cook.texts["mode"][:last]])
    return (float(np.mean(same[held])) if held.any() else 0.0), duty


def _from_readings(cook: Cook) -> list[Order]:
    """Without orders in the record: from what the readings say was held."""
    found: list[Order] = []
    before: tuple[Any, ...] = ("", "", 0.0)
    for row in range(cook.length):
        target_c = cook["target_c"][row]
        now = (cook.texts["mode"][row], cook.texts["phase"][row], None if target_c != target_c else float(target_c))
        if now != before and now[0] in ("hold", "bank", "off"):
            found.append((row, "mode", {"mode": now[0], "phase": now[1], "target_c": now[2]}))
        before = now
    return found
