"""A plain, slow guard to measure the board's by: its words are those of docs/explain/safety.md, and none of its code.

It is told what was agreed (mode, target, limits, the lid's button, acknowledgements) and sees pit, air and speed. No
order begins a wait anew except a real change of mode, off or bank, and an acknowledgement. A hold has been reached once
its pit was near for ten minutes; only then can it run away. What a page far away says of
the lid, and a vent that is noted, it takes for nothing: while that keeps the air away its clocks stand still. The
bounds are those of the tables there, written down once more; a grease fire is judged by a plain mean of half a minute.
"""

from __future__ import annotations

from collections import deque
from typing import Any

HALF_MINUTE = 30
GREASE_RISE_C = 20.0
GREASE_LID_S = 180.0
ARMED_S = 600.0
FULL_AIR = 0.9
NEAR_C = 5.0
ANSWER_S = 720.0
ANSWER_C = 2.0
COLD_C = 60.0
RUNAWAY_C = 25.0
RUNAWAY_S = 300.0
RUNAWAY_LID_S = 900.0
STALL_DRIVE = 0.3
STALL_RPM = 200.0
STALL_S = 10.0
PIT_LIMIT_C = 350.0
MARGIN_C = 40.0
MEAN_S = 180
ABOVE_MEAN_C = 30.0
RISE_C = 0.3  # half a minute over three, a fifth more than the board asks: its means fade, these are plain
REACHED_C = 3.0
REACHED_S = 600.0
UP_C = 10.0  # over the lowest three minutes of this hold


class For:
    """Seconds for which something has been true; None leaves them as they stand."""

    def __init__(self) -> None:
        self.s = 0.0

    def step(self, true: bool | None) -> float:
        """One second more."""
        if true is not None:
            self.s = self.s + 1.0 if true else 0.0
        return self.s


class Limit:
    """The pit's trip limit: in hold 40 over the target, or 30 over the lowest three-minute mean if that is more.

    A hold that begins on a hot pit has its time to come down; a target that is lowered never moves the limit up.
    """

    def __init__(self) -> None:
        self.last: deque[float] = deque(maxlen=MEAN_S)
        self.lowest_c: float | None = None
        self.at_most_c = PIT_LIMIT_C

    def mean_c(self) -> float | None:
        """Of the last three minutes with the lid shut."""
        return sum(self.last) / MEAN_S if len(self.last) == MEAN_S else None

    def begin(self, target_c: float) -> None:
        """A hold begins."""
        self.lowest_c, self.at_most_c = self.mean_c(), PIT_LIMIT_C

    def change(self, before_c: float, target_c: float) -> None:
        """Another target within a hold."""
        if target_c > before_c:
            self.at_most_c = max(self.now_c(before_c), min(PIT_LIMIT_C, target_c + MARGIN_C))
        else:
            self.at_most_c = self.now_c(before_c)
            self.lowest_c = self.mean_c()

    def now_c(self, target_c: float) -> float:
        """The limit of a hold, degC."""
        if self.lowest_c is None:
            return self.at_most_c
        return min(self.at_most_c, max(target_c + MARGIN_C, self.lowest_c + ABOVE_MEAN_C))

    def up_from_c(self) -> float:
        """What a runaway must have risen from."""
        return 0.0 if self.lowest_c is None else self.lowest_c

    def step(self, pit_c: float, lid_shut: bool) -> None:
        """One second more."""
        if not lid_shut:
            self.last.clear()
            return
        self.last.append(pit_c)
        mean_c = self.mean_c()
        if mean_c is not None:
            self.lowest_c = mean_c if self.lowest_c is None else min(self.lowest_c, mean_c)


class ReferenceGuard:
    """`tick` gives the name of a trip, or ''. All it knows of orders comes by `accepted` and `button`."""

    def __init__(self) -> None:
        self.mode, self.target_c, self.stone_c = "off", 0.0, 0.0
        self.drive_limit_c = PIT_LIMIT_C
        self.lid_there = self.lid_page = False
        self.vent_top = 0.0
        self.limit = Limit()
        self.half_minute: deque[float] = deque(maxlen=HALF_MINUTE)
        self.lid_shut_s = 1e6
        self._begin()

    def _begin(self) -> None:
        """All waits anew."""
        self.mode_s = 0.0
        self.full, self.still, self.stalled, self.near = For(), For(), For(), For()
        self.reached = False
        self.over, self.mark_c = 0, None

    # ---- what was agreed

    def accepted(self, name: str, args: dict[str, Any]) -> None:
        """An order that the board has taken."""
        if name == "mode":
            self._mode(args)
        elif name == "target":
            self._target(args["target_c"])
        elif name == "acknowledge":
            self._begin()
        elif name == "lid":
            self._page(args)
        elif name == "vent" and args["vent"] == "top":
            self.vent_top = args["opening"]

    def _mode(self, args: dict[str, Any]) -> None:
        before, self.mode = self.mode, args["mode"]
        target_c = args.get("target_c")
        if self.mode == "drive":
            self.stone_c = args.get("stone_c") or self.stone_c
            self.drive_limit_c = args.get("pit_limit_c") or PIT_LIMIT_C
        if self.mode != before:
            self._begin()
        if self.mode == "hold" and before != "hold":
            self.target_c = target_c if target_c is not None else self.target_c
            self.limit.begin(self.target_c)
        elif target_c is not None:
            self._target(target_c)

    def _target(self, target_c: float) -> None:
        self.limit.change(self.target_c, target_c)
        self.target_c = target_c

    def _page(self, args: dict[str, Any]) -> None:
        if args["open"]:
            self.lid_page = True
            return
        self.lid_page = False
        if args.get("at_cooker"):  # it was taken: somebody there who has seen the last press
            self._shut()

    def button(self, held: bool) -> None:
        """A press opens, a long press shuts."""
        if held:
            self._shut()
        else:
            self.lid_there = True

    def _shut(self) -> None:
        if self.lid_there:
            self.lid_shut_s = 0.0
        self.lid_there = self.lid_page = False

    # ---- one second

    def tick(self, pit_c: float, duty: float, drive: float, rpm: float | None, stone_c: float | None) -> str:
        """What trips now, '' for nothing."""
        self.half_minute.append(pit_c)
        self.mode_s += 1.0
        self.lid_shut_s = 0.0 if self.lid_there else self.lid_shut_s + 1.0
        self.limit.step(pit_c, not self.lid_there)
        stalled = self._stall(drive, rpm)
        if self.mode not in ("hold", "drive"):
            return ""
        checks = (
            ("over_limit", self._over(pit_c)),
            ("grease", self._grease(pit_c)),
            ("runaway", self._runaway(pit_c, duty)),
            ("not_answering", self._answer(pit_c, duty, stone_c)),
            ("stall", stalled),
        )
        return next((name for name, wrong in checks if wrong), "")

    def _kept_from_air(self) -> bool:
        """By an order that is no change of mode: then no clock runs, and none begins anew."""
        return self.lid_page or (self.mode == "drive" and self.vent_top < 0.5)

    def _over(self, pit_c: float) -> bool:
        limit_c = self.drive_limit_c if self.mode == "drive" else self.limit.now_c(self.target_c)
        self.over = self.over + 1 if pit_c >= limit_c else 0
        return self.over >= 2

    def _grease(self, pit_c: float) -> bool:
        rise_c = pit_c - sum(self.half_minute) / len(self.half_minute)
        return self.lid_shut_s >= GREASE_LID_S and rise_c >= GREASE_RISE_C

    def _runaway(self, pit_c: float, duty: float) -> bool:
        still_s = self.still.step(duty <= 0.0)
        over_c = pit_c - self.target_c
        self.reached = self.reached or self.near.step(self.mode == "hold" and abs(over_c) < REACHED_C) >= REACHED_S
        over = self.mode == "hold" and self.reached and over_c >= RUNAWAY_C
        if not over or still_s < RUNAWAY_S or self.lid_shut_s < RUNAWAY_LID_S or pit_c < self.limit.up_from_c() + UP_C:
            return False
        mean_c = self.limit.mean_c()
        return mean_c is not None and sum(self.half_minute) / len(self.half_minute) - mean_c >= RISE_C

    def _answer(self, pit_c: float, duty: float, stone_c: float | None) -> bool:
        short_c = self.target_c - pit_c if self.mode == "hold" else self.stone_c - (stone_c or pit_c)
        asks: bool | None = duty >= FULL_AIR and short_c > NEAR_C
        if self.mode_s < ARMED_S or self.lid_shut_s < ARMED_S:
            asks = False
        elif not asks and self._kept_from_air():
            asks = None
        if asks is False or self.mark_c is None or pit_c >= self.mark_c + ANSWER_C:
            self.mark_c, asks = pit_c, False  # a pit that rises answers, whatever keeps the air away
        full_s = self.full.step(asks)
        return full_s >= ANSWER_S and (pit_c < self.mark_c - ANSWER_C or pit_c < COLD_C)

    def _stall(self, drive: float, rpm: float | None) -> bool:
        if rpm is None:
            return False
        driven = drive >= STALL_DRIVE
        stands: bool | None = driven and rpm < STALL_RPM
        return self.stalled.step(None if not driven and self._kept_from_air() else stands) >= STALL_S
