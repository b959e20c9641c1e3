"""The alarms of one cooker between board, store and page. Not thread-safe: the service takes turns."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from emberdraft.daemon.alarm_texts import HOST_ALERTS, words_of
from emberdraft.daemon.alarms import Alarm, AlarmDesk
from emberdraft.daemon.live import LiveView
from emberdraft.errors import UserError

log = logging.getLogger(__name__)
Row = dict[str, Any]
UNHEARD = 3.0  # times as long as a board may be silent: by then an order is void
STORE_KEYS = ("state", "acknowledged_s", "cleared_s", "snoozed_until_s")


class AlarmKeeper:
    """The desk with its record."""

    def __init__(self, store: Any, cooker: str) -> None:
        self.desk = AlarmDesk()
        self.store = store
        self.cooker = cooker
        self.on_board: dict[str, Row] = {}
        self._unheard_s: dict[str, float] = {}  # since when what was acknowledged here is not so on the board

    def resume(self, cook_id: int | None) -> None:
        """After a restart of the host: what stood in the record stands again, under its own row."""
        for row in self.store.alarms(cook_id) if cook_id is not None else ():
            if row["cleared_s"] is None and row["state"] != "normal":
                alarm = Alarm(row["alert"], row["kind"], row["state"], True, row["at_s"], row["value"])
                alarm.limit, alarm.row_id = row["limit_value"], row["id"]
                alarm.acknowledged_s, alarm.snoozed_until_s = row["acknowledged_s"], row["snoozed_until_s"]
                self.desk.alarms[alarm.id] = alarm

    def from_board(
        self, alert_id: str, alert: Row | None, now_s: float, cook_id: int | None, read_s: float | None = None
    ) -> None:
        """A retained alert of the board, or None when it is gone; `read_s`: when it came there, None = now."""
        self.on_board.pop(alert_id, None)
        if alert is not None:
            self.on_board[alert_id] = alert
        if alert is None:
            self._keep(self.desk.gone(alert_id, now_s))
            return
        over = alert["kind"] != "trip" and not alert.get("active", True)  # a trip stands until it is acknowledged
        raised = None if over and alert_id in self.desk.alarms else self._raised(alert_id, alert, now_s)
        if raised is not None:
            raised.read_s = read_s
            self._new(raised, cook_id)
        if over:
            self._keep(self.desk.cleared(alert_id, now_s))
        current = self.desk.alarms[alert_id]
        if alert.get("acknowledged") and current.state in ("unacknowledged", "returned"):
            self._keep(self.desk.acknowledged(alert_id, now_s))

    def _raised(self, alert_id: str, alert: Row, now_s: float) -> Alarm | None:
        return self.desk.raised(alert_id, alert["kind"], now_s, alert.get("value"), alert.get("limit"))

    def watch_link(self, live: LiveView, running: bool, now_s: float, cook_id: int | None) -> None:
        """A board that is not heard during a cook is an alarm of the host's own."""
        if live.view.fresh(now_s):
            self.own("no_link", None, now_s, cook_id)
        elif running and live.row is not None:
            self.own("no_link", (None, None), now_s, cook_id)

    def watch_heard(self, live: LiveView, now_s: float, cook_id: int | None) -> None:
        """An acknowledgement that a board in earshot never got: its alarm stands again, to be acknowledged."""
        for alert_id, alert in list(self.on_board.items()):
            here = self.desk.alarms[alert_id].state in ("acknowledged", "normal")
            if not live.view.fresh(now_s) or not here or alert.get("acknowledged"):
                self._unheard_s.pop(alert_id, None)
            elif now_s - self._unheard_s.setdefault(alert_id, now_s) >= UNHEARD * live.view.silent_after_s:
                self._keep(self.desk.gone(alert_id, now_s))
                del self.desk.alarms[alert_id]
                self.from_board(alert_id, alert, now_s, cook_id)

    def own(
        self, alert: str, figures: tuple[float | None, float | None] | None, now_s: float, cook_id: int | None
    ) -> None:
        """A notice of the host's own: value and limit while its cause is there, None when it is not."""
        if figures is None:
            self._keep(self.desk.cleared(alert, now_s))
            return
        raised = self.desk.raised(alert, "notice", now_s, *figures)
        self.desk.alarms[alert].value, self.desk.alarms[alert].limit = figures  # those of now
        if raised is not None:
            self._new(raised, cook_id)

    def tick(self, now_s: float) -> None:
        """Snoozes end."""
        for alarm in self.desk.tick(now_s):
            self._keep(alarm)

    def acknowledge(self, now_s: float, alert_id: str = "all") -> list[str]:
        """Acknowledge one or all; the ids that the board must be told."""
        standing = [alarm.id for alarm in self.desk.shown() if alarm.state in ("unacknowledged", "returned")]
        ids = standing if alert_id == "all" else [alert_id]
        for each in ids:
            self._keep(self.desk.acknowledged(each, now_s))
        return [each for each in ids if each not in HOST_ALERTS]

    def snooze(self, now_s: float, id: str, minutes: float = 5.0) -> str:
        """Shelve a notice; the status line."""
        self._keep(self.desk.shelve(id, now_s, minutes))
        return f"Snoozed for {minutes:g} min"

    def trips(self) -> list[str]:
        """The trips that stand."""
        return [alarm.id for alarm in self.desk.shown() if alarm.kind == "trip"]

    def rows(self, now_s: float, reading: Row | None) -> list[Row]:
        """What a person must see, for the page; `reading`: the last one."""
        return [alarm.row(now_s, reading) for alarm in self.desk.shown()]

    def stopping(self) -> Alarm | None:
        """The alarm that stops the blower: one that nobody has acknowledged first, a trip before a pause."""
        found = [a for a in self.desk.shown() if a.kind == "trip" or (a.kind == "pause" and a.state != "returned")]
        found.sort(key=lambda alarm: (alarm.state == "acknowledged", alarm.kind != "trip", alarm.at_s))
        return found[0] if found else None

    def _new(self, alarm: Alarm, cook_id: int | None) -> None:
        said = words_of(alarm.id, alarm.value, alarm.limit)
        words = {"cause": str(said.cause), "consequence": str(said.consequence), "action": str(said.action)}
        figures = {"value": alarm.value, "limit_value": alarm.limit}
        with self._told():
            alarm.row_id = self.store.raise_alarm(
                self.cooker, cook_id, alarm.at_s, alarm.id, alarm.kind, alarm.state, **figures, **words
            )

    def _keep(self, alarm: Alarm | None) -> None:
        if alarm is not None and alarm.row_id is not None:
            with self._told():
                self.store.update_alarm(alarm.row_id, **{key: getattr(alarm, key) for key in STORE_KEYS})

    @contextmanager
    def _told(self) -> Iterator[None]:
        """A store that cannot write silences no alarm: it is logged, and the alarm goes on."""
        try:
            yield
        except UserError as error:
            log.warning("an alarm was not recorded: %s", error)
