"""The evening of the running cook, drawn anew each minute beside the service; a slip is said with what could be done.

`look` only hands over: the plan, what has been, the forecasts. The job draws, in a thread after those of other cookers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from emberdraft.daemon.beside import Start, in_turn
from emberdraft.daemon.evening_going import evening_of
from emberdraft.daemon.evening_of import habits_from
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.stage import Stage
from emberdraft.errors import UserError
from emberdraft.evening.going import Evening, Outlook, outlook
from emberdraft.evening.habits import Habit
from emberdraft.evening.moves import Move, moves, slip_of
from emberdraft.quantities import say_duration
from emberdraft.said import Temperature, Text, said

Row = dict[str, Any]
AGAIN_S = 60.0
OLD_S = 300.0

_beside = in_turn("evening")


@dataclass(frozen=True)
class Drawn:
    """An evening as it was drawn last."""

    evening: Evening
    outlook: Outlook
    slip: str
    moves: list[Move]


class EveningWatch:
    """`look` about once a second; `drawn` is the last answer; `told` is called when one is new."""

    def __init__(self, speed: float = 1.0, start: Start = _beside) -> None:
        self.told: Callable[[], None] = lambda: None
        self._start, self._every_s = start, AGAIN_S * max(1.0, speed / 20.0)
        self._known: dict[str, Habit] | None = None
        self._drawn: Drawn | None = None
        self._last_s, self._busy = -math.inf, False

    def known(self, store: Any, cooker: str) -> dict[str, Habit]:
        """How long this cooker takes, by its earlier cooks; read once, a cook that is running does not change it."""
        if self._known is None:
            self._known = habits_from(store, cooker)
        return self._known

    def hurry(self) -> None:
        """The evening was changed: what was said of it is over, and it is drawn anew with the next look."""
        self._last_s, self._drawn = -math.inf, None

    def look(
        self, stage: Stage, forecasts: Mapping[str, Row], stone: Row | None, now_s: float, store: Any, cooker: str
    ) -> None:
        """Hand over once a minute; costs next to nothing."""
        if self._busy or now_s - self._last_s < self._every_s:
            return
        self._last_s = now_s
        evening = evening_of(stage, forecasts, stone, now_s)
        if evening is None or not stage.phase:
            self._drawn = None
            return
        known, self._busy = self.known(store, cooker), True
        self._start(lambda: self._draw(evening, known))

    def _draw(self, evening: Evening, known: Mapping[str, Habit]) -> None:
        try:
            seen = outlook(evening, known)
            slip = slip_of(evening, seen, self._drawn.slip if self._drawn else "")
            self._drawn = Drawn(evening, seen, slip, moves(evening, seen, slip, known))
        except UserError:  # food that is hardly ever done at this pit: nothing can be said
            self._drawn = None
        finally:
            self._busy = False
        self.told()

    def drawn(self, now_s: float) -> Drawn | None:
        """What was drawn last, unless that is long ago."""
        found = self._drawn
        return None if found is None or now_s - found.evening.past.now_s > OLD_S + self._every_s else found


def evening_row(drawn: Drawn) -> Row:
    """As the page takes it: every step with its band, dinner's hour and odds, the slip and its moves in words."""
    evening, seen = drawn.evening, drawn.outlook
    return {
        "serve_s": evening.serve_s,
        "on_time_share": None if seen.sure is None else round(seen.sure, 2),
        "steps": [
            dict(zip(("name", "low_s", "at_s", "high_s"), (name, *band), strict=True)) for name, band in seen.steps
        ],
        "slip": slip_words(drawn),
        "moves": [{"text": move_words(drawn, move), "name": move.name, "args": move.args} for move in drawn.moves],
    }


def slip_words(drawn: Drawn) -> str:
    """'Dinner is likely to be 25 min late: about 19:25 ...', or nothing."""
    serve_s, (low, mid, high) = drawn.evening.serve_s, drawn.outlook.ready_s
    if not drawn.slip or serve_s is None:
        return ""
    off = say_duration(abs(mid - serve_s))
    about = f"about {clock(mid)}, probably {clock(low)} to {clock(high)}"
    return f"Dinner is likely to be {off} {'late' if drawn.slip == 'late' else 'early'}: {about}."


def move_words(drawn: Drawn, move: Move) -> Text:
    """'Pit 125 degC instead of 115 degC: 19:05 rather than 19:25'."""
    then, was = clock(move.outlook.ready_s[1]), clock(drawn.outlook.ready_s[1])
    if move.pit_c is not None:
        pit, old = Temperature(move.pit_c), Temperature(drawn.evening.wanted.pit_c)
        return said("Pit {pit} instead of {old}: {then} rather than {was}", pit=pit, old=old, then=then, was=was)
    return f"Put {move.letter} on at {clock(move.at_s)}: {then} rather than {was}"
