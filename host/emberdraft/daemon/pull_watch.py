"""When each piece that is in will be at its pull temperature, worked out beside the service.

`look` only hands over: every 20 s a sample (moment, core, pit) of each piece. A job enters all the samples that wait,
in the order they came, and asks for an answer after the last, so one that comes late misses nothing. An answer belongs
to a piece by one probe and to one pull temperature: where either is another by then, it is not said.

Most jobs take milliseconds, one now and then a quarter of a second and more on a small computer: inside the service's
turn the page would wait for it. They have a thread of their own, since behind a twin's fit of seconds a person's change
would wait.
"""

from __future__ import annotations

import math
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from emberdraft.daemon.beside import Start, in_turn
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan_form import Piece
from emberdraft.errors import UserError
from emberdraft.food.forecast import PullForecast

EVERY_S = 20.0
PEAK_EVERY_S = 120.0
LATE_S = 60.0
OLD_S = 300.0  # an answer of longer ago is none: the board is silent, or the host cannot keep up

# (since_s, names) -> the running cook's readings since then.
Past = Callable[[float, tuple[str, ...]], dict[str, list[Any]]]
Said = dict[str, float | None]
Peak = tuple[float, float, float]
Sample = tuple[float, float | None, float | None]

_beside = in_turn("forecast")


@dataclass(eq=False)
class Followed:
    """A piece by one probe. The service sets `pull_c` and adds to `waiting`; the rest is the job's."""

    probe: int
    on_s: float | None
    pull_c: float
    model: PullForecast
    past: Past | None  # to be lived through first, by a forecast that begins late
    waiting: deque[Sample] = field(default_factory=deque)
    said: tuple[float, float, Said] | None = None  # for which pull temperature, when, and what
    peak: tuple[float, float, Peak] | None = None  # for which pull temperature, when, and what
    broken: bool = False

    def work(self) -> bool:
        """Enter what waits and answer; False where nothing waited."""
        samples = [self.waiting.popleft() for _ in range(len(self.waiting))]
        if not samples:
            return False
        pull_c = self.pull_c  # after the samples: the one of a person's change is answered for what it was changed to
        self._live_through(samples[0][0])
        for sample in samples[:-1]:
            self.model.read(*sample)
        self.model.aim(pull_c)
        answer = self.model.update(*samples[-1])
        self.said = (
            pull_c,
            samples[-1][0],
            {"eta_s": answer["eta_s"], "low_s": answer["low_s"], "high_s": answer["high_s"]},
        )
        if answer["eta_s"] is not None:
            self._look_past_the_pull(samples[-1][0], pull_c)
        return True

    def _look_past_the_pull(self, at_s: float, pull_c: float) -> None:
        if self.peak is None or self.peak[0] != pull_c or at_s - self.peak[1] >= PEAK_EVERY_S:
            self.peak = pull_c, at_s, self.model.peak_after_pull_c()

    def _live_through(self, until_s: float) -> None:
        """The readings from when it was put in to the first sample."""
        if self.past is None or self.on_s is None:
            return
        core = f"core{self.probe + 1}_c"
        columns = self.past(self.on_s, ("at_s", "pit_c", core))
        self.past, last_s = None, -math.inf
        for at_s, pit_c, core_c in zip(columns["at_s"], columns["pit_c"], columns[core], strict=True):
            if at_s - last_s >= EVERY_S and at_s < until_s:
                last_s = at_s
                self.model.read(at_s, core_c, pit_c)


class PullWatch:
    """`look` with each reading; `said` and `peaks` are the last answers by letter; `told` is called when one is new."""

    def __init__(self, start: Start = _beside) -> None:
        self.past: Past | None = None
        self.told: Callable[[], None] = lambda: None
        self._start = start
        self._busy = False
        self._turn = threading.Lock()
        self._now_s = self._last_s = -math.inf
        self._followed: dict[str, Followed] = {}  # replaced, never changed: the job goes through it

    @property
    def said(self) -> dict[str, Said]:
        """Seconds from the last look to the pull temperature that is wanted now, with the 80 % interval."""
        found = {letter: (piece.pull_c, piece.said) for letter, piece in self._followed.items()}
        return {
            letter: self._counted_down(*said[1:])
            for letter, (pull_c, said) in found.items()
            if said is not None and said[0] == pull_c and self._now_s - said[1] <= OLD_S
        }

    def _counted_down(self, at_s: float, said: Said) -> Said:
        """An answer that is late is of its own moment: the time of the pull does not move with the clock."""
        passed_s = max(0.0, self._now_s - at_s)
        return {name: None if left_s is None else max(0.0, left_s - passed_s) for name, left_s in said.items()}

    @property
    def peaks(self) -> dict[str, Peak]:
        """What each rises to in the rest when it is pulled at that, degC: low, middle, high (80 %)."""
        found = {letter: (piece.pull_c, piece.peak) for letter, piece in self._followed.items()}
        return {letter: peak[2] for letter, (pull_c, peak) in found.items() if peak is not None and peak[0] == pull_c}

    def look(self, conductor: Conductor, now_s: float, pit_c: float | None, heard: bool = True) -> None:
        """Hand over what is new; costs next to nothing. Of a board that is not `heard` the last values are not new."""
        self._now_s = now_s
        self._follow(conductor, now_s)
        if heard and now_s - self._last_s >= EVERY_S:
            self._last_s = now_s
            for letter, piece in self._followed.items():
                piece.waiting.append((now_s, conductor.stage.core_c(letter), pit_c))
        self._begin()

    def hurry(self) -> None:
        """The next look hands over at once."""
        self._last_s = -math.inf

    def _follow(self, conductor: Conductor, now_s: float) -> None:
        """Who is in, by which probe, and up to what. What is known of anybody else is over."""
        stage = conductor.stage
        followed: dict[str, Followed] = {}
        for letter in stage.letters("in"):
            plan, on_s, piece = stage.plan_pieces[letter], stage.piece(letter).on_s, self._followed.get(letter)
            if plan.probe is None:
                continue
            if piece is None or piece.broken or (piece.probe, piece.on_s) != (plan.probe, on_s):
                piece = self._begun(plan, plan.probe, on_s, now_s)
            piece.pull_c = float(plan.pull_c)
            followed[letter] = piece
        self._followed = followed

    def _begun(self, plan: Piece, probe: int, on_s: float | None, now_s: float) -> Followed:
        thickness_m = None if plan.thickness_m is None else float(plan.thickness_m)
        mass_kg = None if plan.mass_kg is None else float(plan.mass_kg)
        late = on_s is not None and now_s - on_s >= LATE_S
        model = PullForecast(float(plan.pull_c), thickness_m, mass_kg)
        return Followed(probe, on_s, float(plan.pull_c), model, self.past if late else None)

    # ---- the job

    def _begin(self) -> None:
        """Start a job where samples wait and none is at work."""
        with self._turn:
            if self._busy or not any(piece.waiting for piece in self._followed.values()):
                return
            self._busy = True
        self._start(self._run)

    def _run(self) -> None:
        """Work for every piece once; then another job for what came meanwhile, after those of other cookers."""
        try:
            new = [self._work(piece) for piece in self._followed.values()]
        finally:
            self._busy = False
        if any(new):
            self.told()
        self._begin()

    @staticmethod
    def _work(piece: Followed) -> bool:
        """Readings such as no piece gives, or a record that is closed: the piece is begun anew with the next look."""
        try:
            return piece.work()
        except (ArithmeticError, ValueError, UserError):
            piece.broken = True
            return False
