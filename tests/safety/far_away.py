"""Somebody far away at a board: orders by chance without anybody at the cooker, between what a person there does.

What must hold is reckoned here from the words of docs/explain/safety.md and lid.md alone: air flows only in a mode that
was begun at the cooker and has not ended since, never for more than was agreed there; a lid that the button opened ends
there. A press counts for five minutes: an order of that time is one from the cooker.
"""

from __future__ import annotations

from random import Random
from typing import Any

from tests.core.cooker import Cooker, Run

ACTS = 120
LONGEST_S = (60.0, 300.0, 1200.0)
TARGETS_C = (40.0, 90.0, 110.0, 121.0, 180.0, 300.0)


def far_order(draw: Random) -> tuple[str, dict[str, Any]]:
    """What a page without anybody at the cooker may send."""
    hold = {"mode": "hold"} | ({"target_c": draw.choice(TARGETS_C)} if draw.random() < 0.7 else {})
    drive = {"mode": "drive", "stone_c": draw.choice((100.0, 260.0, 380.0)), "longest_s": draw.choice(LONGEST_S)}
    mode = draw.choices((hold, drive, {"mode": "off"}, {"mode": "bank"}), (6, 3, 1, 1))[0]
    lid = {"open": draw.random() < 0.4}
    if draw.random() < 0.3:  # a word that was given before the last press
        lid |= {"at_cooker": draw.random() < 0.5, "seen_ms": "before"}
    return draw.choice(
        (
            ("mode", mode),
            ("mode", hold),
            ("target", {"target_c": draw.choice(TARGETS_C)}),
            ("lid", lid),
            ("lid", {"open": False}),
            ("vent", {"vent": "top", "opening": draw.random()}),
            ("gains", {"kp": draw.uniform(0.0, 0.2)}),
            ("relay", {"on": draw.random() < 0.5}),
            ("acknowledge", {"id": "all"}),
        )
    )


class FarAway:
    """One seed: `wrong` is the first thing that must not be, '' when there was none; `taken` the orders accepted."""

    def __init__(self, seed: int) -> None:
        self.draw = Random(f"far away {seed}")
        self.run_ = Run(Cooker(self.draw.choice((20.0, 110.0, 200.0)), fire=self.draw.choice((0.0, 0.02, 0.05))))
        self.run_.cooker.fuel = self.draw.choice((0.0, 1.0, 1.0))
        self.run_.inputs.tach_rpm = self.draw.choice(
            (None, None, None, 0.0)
        )  # 0: the wheel is held, and that is a trip
        self.run_.seconds(2)
        self.taken = 0
        self.wrong = ""
        self.agreed_c: float | None = None  # the hottest pit that was agreed to, None: no air was
        self.over_s: float | None = None
        self.pressed = False
        self.pressed_s = -1e6

    def go(self) -> FarAway:
        """Acts by chance, a few seconds to a few minutes apart."""
        for _ in range(ACTS):
            if self.draw.random() < 0.1:
                self._there()
            else:
                self._far()
            self._watch(self.draw.choice((1, 3, 20, 120)))
            if self.wrong:
                break
        return self

    # ---- who acts

    def _there(self) -> None:
        """Begins a hold or a drive, opens the lid with its button, or says with it that it is shut."""
        act = self.draw.choice(("hold", "drive", "press", "long press"))
        if act == "hold":
            args = {"mode": "hold", "target_c": self.draw.choice(TARGETS_C), "at_cooker": True}
        else:
            args = {"mode": "drive", "stone_c": 260.0, "pit_limit_c": 250.0, "longest_s": self.draw.choice(LONGEST_S)}
        if act.endswith("press"):
            self._button(act == "long press")
        elif self._order("mode", args | {"at_cooker": True}):
            self._agree(args)

    def _button(self, held: bool) -> None:
        self.run_.seconds(1, lid_button=not held, lid_held=held)
        self.run_.inputs.lid_held = False
        self.pressed = not held
        self.pressed_s = self.pressed_s if held else self._now_s()
        self._look()

    def _agree(self, args: dict[str, Any]) -> None:
        """What an order from the cooker brings about at most."""
        if args.get("mode") == "drive":
            self.agreed_c, self.over_s = args.get("pit_limit_c", 350.0), self._now_s() + args["longest_s"]
        elif args.get("mode", "hold") == "hold":
            self.agreed_c, self.over_s = self.run_.controller.target_c, None

    def _far(self) -> None:
        felt = self.run_.controller.lid.felt
        name, args = far_order(self.draw)
        if "seen_ms" in args:
            args["seen_ms"] = max(0, int(self.pressed_s * 1000.0) - 1000)
        if not self._order(name, args):
            return
        if name == "lid" and self.pressed_s > 0.0 and (felt, self.run_.controller.lid.felt) == (True, False):
            self.wrong = f"an order ended a lid that is felt: {args}"
        if name in ("mode", "target") and self._now_s() - self.pressed_s <= 300.0:
            self._agree(args)
        if args.get("mode") in ("off", "bank"):
            self.agreed_c = None

    def _order(self, name: str, args: dict[str, Any]) -> bool:
        taken = self.run_.controller.order(name, args, self._now_ms())[0] == ""
        self.taken += taken
        return taken

    # ---- what must hold

    def _watch(self, seconds: int) -> None:
        for _ in range(seconds):
            self.run_.seconds(1)
            self._look()
            if self.wrong:
                return

    def _look(self) -> None:
        """After each second. What ends by itself (a drive's time, a trip) needs somebody there as well."""
        out, controller = self.run_.out, self.run_.controller
        over = self.over_s is not None and out.mode == "drive" and self._now_s() > self.over_s + 1.0
        if over or out.mode in ("off", "bank") or controller.latched():
            self.agreed_c = None
        if out.duty <= 0.0:
            return
        if self.agreed_c is None:
            self.wrong = f"air {out.duty:.2f} in {out.mode} though nobody at the cooker has begun it"
        elif out.mode == "hold" and controller.target_c > self.agreed_c:
            self.wrong = f"a hold of {controller.target_c} where {self.agreed_c} was agreed"
        elif self.pressed:
            self.wrong = "air under a lid that its button holds for open"

    def _now_ms(self) -> int:
        return int(self.run_.now_ms)

    def _now_s(self) -> float:
        return self.run_.now_ms / 1000.0


def search(seeds: range) -> tuple[int, list[str]]:
    """(orders taken, what must not be, by seed)."""
    done = [(seed, FarAway(seed).go()) for seed in seeds]
    return sum(one.taken for _, one in done), [f"seed {seed}: {one.wrong}" for seed, one in done if one.wrong]
