"""Alarms in the states of ISA-18.2 (ANSI/ISA-18.2, IEC 62682), as a table: every pair of state and event is defined.

An alarm that ends unacknowledged is still shown. A notice may be shelved (Snooze) for a time that ends; what stops
the blower cannot be. Whom it calls, and how often, is not decided here: calls.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from emberdraft.daemon.alarm_texts import GONE, Words, then_of, words_of
from emberdraft.daemon.sentence import clock
from emberdraft.errors import UserError
from emberdraft.said import first_lower, said

STATES = (
    "normal",
    "unacknowledged",
    "acknowledged",
    "returned",  # the cause is gone, nobody has acknowledged it
    "shelved",
    "suppressed",  # by design
    "out_of_service",
)
EVENTS = (
    "raise",
    "clear",
    "acknowledge",
    "shelve",
    "unshelve",
    "suppress",
    "unsuppress",
    "remove",
    "restore",
)

SAME = "same"
REFUSED = "refused"
BY_CAUSE = "by cause"  # unacknowledged while the cause is there, else normal

_ROWS = {
    #                   raise             clear       acknowledge     shelve     unshelve  suppress
    "normal": ("unacknowledged", SAME, REFUSED, REFUSED, SAME, "suppressed", SAME, "out_of_service", SAME),
    "unacknowledged": (SAME, "returned", "acknowledged", "shelved", SAME, "suppressed", SAME, "out_of_service", SAME),
    "acknowledged": (SAME, "normal", SAME, "shelved", SAME, "suppressed", SAME, "out_of_service", SAME),
    "returned": ("unacknowledged", SAME, "normal", "shelved", SAME, "suppressed", SAME, "out_of_service", SAME),
    "shelved": (SAME, SAME, SAME, SAME, BY_CAUSE, "suppressed", SAME, "out_of_service", SAME),
    "suppressed": (SAME, SAME, REFUSED, REFUSED, SAME, SAME, BY_CAUSE, "out_of_service", SAME),
    "out_of_service": (SAME, SAME, REFUSED, REFUSED, SAME, SAME, SAME, SAME, BY_CAUSE),
}
TABLE = {(state, event): target for state, row in _ROWS.items() for event, target in zip(EVENTS, row, strict=True)}

SHOWN = ("unacknowledged", "acknowledged", "returned", "shelved")
# Acknowledged at the cooker, a probe that lied is believed again and gives air; from elsewhere, the board goes off.
BELIEVED = ("pit_sensor",)
SNOOZE_LEAST_MIN, SNOOZE_MOST_MIN = 1.0, 60.0


class Alarm(Struct):
    """One alarm of one cooker; `kind` is pause, trip or notice. Times in unix s.

    `at_s`: since when it is known here; `read_s`: when its value was read, where the board had been silent meanwhile.
    """

    id: str
    kind: str
    state: str = "normal"
    active: bool = False
    at_s: float = 0.0
    value: float | None = None
    limit: float | None = None
    snoozed_until_s: float | None = None
    acknowledged_s: float | None = None
    cleared_s: float | None = None
    row_id: int | None = None
    read_s: float | None = None

    def words(self, now_s: float, reading: Mapping[str, Any] | None) -> Words:
        """What it says now; `reading`: the last one, for what its value is now."""
        words = words_of(self.id, self.value, self.limit, then_of(self.id, self.read_s or self.at_s, now_s, reading))
        if self.state != "returned":
            return words
        since = clock(self.cleared_s or self.at_s)
        template = "Over since {since}, but not acknowledged: {cause}"
        over = words._replace(cause=said(template, since=since, cause=first_lower(words.cause)))
        return over if self.kind == "trip" else Words(over.cause, *GONE, "")  # a trip stops the blower until then

    def row(self, now_s: float, reading: Mapping[str, Any] | None) -> dict[str, object]:
        """The alarm as the page takes it."""
        words = self.words(now_s, reading)
        return {
            "id": self.id,
            "kind": self.kind,
            "state": self.state,
            "cause": words.cause,
            "consequence": words.consequence,
            "action": words.action,
            "at_s": self.at_s,
            "snoozed_until_s": self.snoozed_until_s,
            "at_cooker": self.id in BELIEVED,
        }


class AlarmDesk:
    """The alarms of one cooker. Each method returns the alarm when anything about it changed."""

    def __init__(self) -> None:
        self.alarms: dict[str, Alarm] = {}

    def shown(self) -> list[Alarm]:
        """What a person must see, the newest first."""
        return sorted((a for a in self.alarms.values() if a.state in SHOWN), key=lambda a: -a.at_s)

    def raised(
        self, alert: str, kind: str, now_s: float, value: float | None = None, limit: float | None = None
    ) -> Alarm | None:
        """The cause of an alarm is there."""
        alarm = self.alarms.setdefault(alert, Alarm(alert, kind))
        fresh = not alarm.active
        alarm.kind, alarm.active = kind, True
        if fresh or alarm.value is None:
            alarm.value, alarm.limit = value, limit
        before = alarm.state
        self._move(alarm, "raise")
        if before != alarm.state:
            alarm.at_s, alarm.acknowledged_s, alarm.cleared_s = now_s, None, None
        return alarm if fresh or before != alarm.state else None

    def cleared(self, alert: str, now_s: float) -> Alarm | None:
        """The cause is gone; unacknowledged, the alarm is still shown."""
        alarm = self.alarms.get(alert)
        if alarm is None or not alarm.active:
            return None
        alarm.active, alarm.cleared_s = False, now_s
        self._move(alarm, "clear")
        return alarm

    def acknowledged(self, alert: str, now_s: float) -> Alarm:
        """A person has seen it."""
        alarm = self._known(alert)
        self._move(alarm, "acknowledge")
        alarm.acknowledged_s = now_s
        return alarm

    def gone(self, alert: str, now_s: float) -> Alarm | None:
        """The board has let go of it, acknowledged there: nothing is left to acknowledge here."""
        alarm = self.alarms.get(alert)
        if alarm is None or alarm.state == "normal":
            return None
        alarm.active = False
        alarm.cleared_s = alarm.cleared_s or now_s
        alarm.state, alarm.snoozed_until_s = "normal", None
        return alarm

    def shelve(self, alert: str, now_s: float, minutes: float) -> Alarm:
        """Not to be said again for some minutes; refused for what stops the blower."""
        alarm = self._known(alert)
        if alarm.kind != "notice":
            raise UserError(f"snooze {alert!r}: it stops the blower and cannot be snoozed; acknowledge it")
        if not SNOOZE_LEAST_MIN <= minutes <= SNOOZE_MOST_MIN:
            raise UserError(f"snooze {minutes:g} min: {SNOOZE_LEAST_MIN:g} to {SNOOZE_MOST_MIN:g} min would be right")
        self._move(alarm, "shelve")
        alarm.snoozed_until_s = now_s + 60.0 * minutes
        return alarm

    def event(self, alert: str, event: str) -> Alarm:
        """Any other event of the table: suppress, unsuppress, remove, restore."""
        alarm = self._known(alert)
        self._move(alarm, event)
        return alarm

    def tick(self, now_s: float) -> list[Alarm]:
        """Ends what was snoozed long enough; those alarms."""
        due = [a for a in self.alarms.values() if a.snoozed_until_s is not None and now_s >= a.snoozed_until_s]
        for alarm in due:
            self._move(alarm, "unshelve")
            alarm.snoozed_until_s = None
        return due

    def _known(self, alert: str) -> Alarm:
        alarm = self.alarms.get(alert)
        if alarm is None:
            standing = ", ".join(a.id for a in self.shown()) or "none"
            raise UserError(f"alarm {alert!r}: not there; standing now: {standing}")
        return alarm

    def _move(self, alarm: Alarm, event: str) -> None:
        target = TABLE[(alarm.state, event)]
        if target == REFUSED:
            raise UserError(f"alarm {alarm.id!r}: {event} is not possible while it is {alarm.state}")
        if target == BY_CAUSE:
            target = "unacknowledged" if alarm.active else "normal"
        if target != SAME:
            alarm.state = target
