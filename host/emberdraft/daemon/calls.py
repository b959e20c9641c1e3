"""When a person is called, again and again, and when no more: a pure function of time over the table of calls.

    calls = Calls()
    for push in calls.step(now_s, standing): ...   # about once a second
    calls.answered(key)                            # a person's deed: nothing more is sent of it

All that stands is joined into one push. A call's n-th push comes no sooner than `offset_s(n)` after it began, so and
never more than 7 in its first hour or 4 in any hour after, whatever comes and goes. Of all calls together no more is
repeated than leaves room for a new one; a new one is always said at once. Times in unix s.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import msgspec
from msgspec import Struct, field

from emberdraft.daemon.calls_table import ASLEEP, COOKER, Call, row_of

FIRST_HOUR_S = (0.0, 120.0, 300.0, 600.0, 1500.0, 2700.0)
THEN_S, EVERY_S = 4500.0, 1800.0
HOUR_S = 3600.0
MOST_FIRST, MOST_LATER = 7, 4  # pushes of one call in its first hour, and in any hour after
REPEATS_FIRST, REPEATS_LATER = 6, 3  # of all calls joined nothing is repeated beyond: the rest is for new ones
COMES_BACK_S = 1800.0  # a cause that comes back within half an hour is the same call
STAYS_AWAY_S = 600.0  # what came back once is said to be over again only when it has stayed away for so long
FIRST, SECOND = "first", "second"


class Standing(Struct, frozen=True):
    """What asks for a person now. `quiet`: a person has seen it (acknowledged, snoozed); `kind` as an alarm's."""

    key: str
    of: str
    id: str
    kind: str
    title: str
    quiet: bool = False

    @property
    def row(self) -> Call:
        """Its row in the table."""
        return row_of(self.of, self.id, self.kind)


class Called(Struct):
    """What has been said of one call. `place`: its place in the timetable; `said`: how often it was sent.

    `open` and `there`: sent by the first way, by the second, and not said to be over since.
    """

    standing: Standing
    since_s: float
    place: int = 0
    said: int = 0
    open: bool = False
    there: bool = False
    answered: bool = False
    asleep: bool = False
    second_s: float | None = None
    over_s: float | None = None
    times_s: list[float] = field(default_factory=list)
    raised: bool = False  # anew after an answer, and not said since
    back: bool = False  # it was over once and came back

    def room(self, now_s: float) -> bool:
        """Whether one more push keeps within the caps of its first hour and of any hour after."""
        first_ends_s = self.since_s + HOUR_S
        if now_s < first_ends_s:
            return len(self.times_s) < MOST_FIRST
        return sum(t >= first_ends_s and t > now_s - HOUR_S for t in self.times_s) < MOST_LATER

    def due(self, now_s: float) -> bool:
        """Whether its place in the timetable has come."""
        return now_s >= self.since_s + offset_s(self.place)

    def near(self, now_s: float) -> bool:
        """Whether a third of the way to its place is gone: then it is said along with what is due."""
        before_s = offset_s(max(0, self.place - 1))
        return now_s >= self.since_s + before_s + (offset_s(self.place) - before_s) / 3.0

    def begins_to_wake(self, now_s: float) -> bool:
        """Whether it has stood so long that it wakes a sleeper, and has not been said so yet."""
        return not self.asleep and self.whom(now_s) == ASLEEP

    def whom(self, now_s: float) -> str:
        """Whom it wakes now."""
        return self.standing.row.wakes(now_s - self.since_s)

    def late(self, now_s: float) -> bool:
        """Whether it has waited so long that the second way is taken, once."""
        after_s = self.standing.row.second_after_s
        return self.second_s is None and after_s is not None and now_s - self.since_s >= after_s

    @property
    def seen(self) -> bool:
        """Whether a person has answered it."""
        return self.answered or self.standing.quiet

    def forgotten(self, now_s: float) -> bool:
        """Over for so long that the same again would be a new call; an answered prompt never comes back."""
        if self.over_s is None or self.open or self.there:
            return False
        return (self.seen and self.standing.of == "prompt") or now_s - self.over_s >= COMES_BACK_S

    def stays_away(self, now_s: float) -> bool:
        """Whether it may be said to be over: at once the first time, later only when it no longer chatters."""
        return self.over_s is not None and (not self.back or self.seen or now_s - self.over_s >= STAYS_AWAY_S)

    def again(self, one: Standing) -> None:
        """It is there again: after an answer it is said anew, within the caps of the call that it was."""
        self.back = self.back or self.over_s is not None
        answered = self.answered or (self.standing.quiet and self.over_s is not None)
        if answered and one.of == "alarm" and not one.quiet:
            self.answered, self.raised, self.asleep, self.second_s = False, True, False, None
        self.standing, self.over_s = one, None

    def note(self, now_s: float) -> None:
        """It is being said: missed places in the timetable are not made up for."""
        self.said += 1
        self.raised = False
        self.times_s = [*(t for t in self.times_s if t > now_s - HOUR_S), now_s]
        self.place += 1
        while self.since_s + offset_s(self.place) <= now_s:
            self.place += 1


class Push(Struct, frozen=True):
    """One notice to be sent. `calls` are joined in it; `again` is how often the first of them was said before."""

    ways: list[str]
    over: bool
    calls: list[Standing]
    whom: str
    again: int = 0


class Calls(Struct):
    """The calls of one cooker. `state` and `restore` carry them over a restart of the host."""

    calls: dict[str, Called] = field(default_factory=dict)
    since_s: float = 0.0  # since when something has been sent at least once an hour
    times_s: list[float] = field(default_factory=list)

    def step(
        self, now_s: float, standing: Iterable[Standing], unsure: Callable[[Standing], bool] = lambda _: False
    ) -> list[Push]:
        """What is to be sent now. `unsure`: whether a call that is not told of may stand all the same."""
        here = {one.key: one for one in standing if one.row.whom != COOKER}
        for one in here.values():
            self._take(one, now_s)
        gone = [call for key, call in self.calls.items() if key not in here and not unsure(call.standing)]
        pushes = self._over(gone, now_s)
        asking = [call for call in (self.calls[key] for key in here) if not call.seen and call.room(now_s)]
        return pushes + self._second(asking, now_s) + self._first(asking, now_s)

    def answered(self, *keys: str) -> None:
        """A person has done what was asked, or has undone the asking."""
        for key in keys:
            if key in self.calls:
                self.calls[key].answered = True

    def state(self) -> Any:
        """All that must survive a restart, as plain JSON."""
        return msgspec.to_builtins(self)

    @staticmethod
    def restore(state: Any) -> Calls:
        """What `state` gave; with anything else nothing has been called yet."""
        try:
            return msgspec.convert(state, Calls)
        except msgspec.ValidationError:
            return Calls()

    def _take(self, one: Standing, now_s: float) -> None:
        self.calls.setdefault(one.key, Called(one, now_s)).again(one)

    def _over(self, gone: list[Called], now_s: float) -> list[Push]:
        """Said once, of what was said and nobody answered; of an answered one only where the second way was taken.

        An alarm may chatter and is remembered for a while.
        """
        for call in gone:
            call.over_s = now_s if call.over_s is None else call.over_s
            call.open = call.open and not call.seen
        both = [c for c in gone if (c.open or c.there) and c.stays_away(now_s) and c.room(now_s)]
        ways = [way for way, told in ((FIRST, [c.open for c in both]), (SECOND, [c.there for c in both])) if any(told)]
        pushes = [self._push(ways, both, now_s, over=True)] if both else []
        for call in both:
            call.open = call.there = False
        self.calls = {key: call for key, call in self.calls.items() if not call.forgotten(now_s)}
        return pushes

    def _second(self, asking: list[Called], now_s: float) -> list[Push]:
        late = [call for call in asking if call.late(now_s)]
        for call in late:
            call.second_s, call.there = now_s, True
        return [self._push([SECOND], late, now_s)] if late else []

    def _first(self, asking: list[Called], now_s: float) -> list[Push]:
        asking = [call for call in asking if call.room(now_s)]
        new = [call for call in asking if call.said == 0 or call.raised or call.begins_to_wake(now_s)]
        if not new and not (self._may_repeat(now_s) and any(call.due(now_s) for call in asking)):
            return []
        joined = [call for call in asking if call.near(now_s) or call in new]
        for call in joined:
            call.open, call.asleep = True, call.whom(now_s) == ASLEEP
        return [self._push([FIRST], joined, now_s)]

    def _may_repeat(self, now_s: float) -> bool:
        """Whether all calls together leave room for what is no news."""
        first_ends_s = self.since_s + HOUR_S
        if now_s < first_ends_s:
            return len(self.times_s) < REPEATS_FIRST
        return sum(t >= first_ends_s and t > now_s - HOUR_S for t in self.times_s) < REPEATS_LATER

    def _push(self, ways: list[str], joined: list[Called], now_s: float, over: bool = False) -> Push:
        """A sleeper's call comes first, then the one that has stood longest."""
        joined = sorted(joined, key=lambda call: (call.whom(now_s) != ASLEEP, call.since_s))
        first = joined[0]
        push = Push(ways, over, [call.standing for call in joined], first.whom(now_s), first.said)
        self.times_s = [t for t in self.times_s if t > now_s - HOUR_S]
        self.since_s = self.since_s if self.times_s else now_s
        self.times_s.append(now_s)
        for call in joined:
            call.note(now_s)
        return push


def offset_s(place: int) -> float:
    """How long after its beginning a call may be said at this place of the timetable."""
    return FIRST_HOUR_S[place] if place < len(FIRST_HOUR_S) else THEN_S + EVERY_S * (place - len(FIRST_HOUR_S))
