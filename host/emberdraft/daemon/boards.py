"""What the host knows of each board, and where each of its messages goes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from emberdraft.clock import Ahead
from emberdraft.daemon import heard
from emberdraft.daemon.intake import Intake, RecordStore
from emberdraft.daemon.line import Message
from emberdraft.daemon.liveness import LinkView, Liveness
from emberdraft.daemon.met import Met
from emberdraft.daemon.tally import Tallies
from emberdraft.errors import UserError

MOST_BOOTS = 8  # starts of one board that may have rows on the way

News = tuple[str, dict[str, Any]]


class Board:
    """One cooker's board, over all its starts."""

    def __init__(self, cooker: str, store: RecordStore, tallies: Tallies, speed: float) -> None:
        self.cooker = cooker
        self.tallies = tallies
        self.liveness = Liveness(speed)
        self.info: dict[str, Any] | None = None
        self._info_is_new = False
        self._line = Ahead(speed)
        self._met = Met(cooker)
        self._store = store
        self._intakes: dict[str, Intake] = {}
        self._alerts: dict[str, dict[str, Any]] = {}
        self._told_alerts: dict[str, dict[str, Any]] = {}
        self._told_view: tuple[str, str | None] | None = None
        self._last_live: tuple[str, int, float] | None = None  # boot, ms, our clock
        self._tuning: tuple[dict[str, Any], int | None] | None = None

    def intake(self, boot: str) -> Intake:
        """Where rows of this start wait for their commit."""
        if boot not in self._intakes:
            if len(self._intakes) >= MOST_BOOTS:
                self._intakes.pop(next(iter(self._intakes)))
            self._intakes[boot] = Intake(self.cooker, boot, self._store, self.tallies)
        return self._intakes[boot]

    def place_earlier(self) -> None:
        """Give a start that was over before it was ever heard its place in time.

        Its board cannot know how long it was off, so that its end is put at the beginning of the next start: never
        too early, and too late by the time without power.
        """
        if self.info is None or not self.info["held"]:
            return
        next_s = self._store.boot_offset(self.cooker, self.info["boot"])
        for held in reversed(self.info["held"]):
            if next_s is None:
                return
            known_s = self._store.boot_offset(self.cooker, held["boot"])
            next_s = known_s if known_s is not None else next_s - held["end_s"] - 1.0
            if known_s is None:
                self.intake(held["boot"]).offset_s = next_s

    def news(self) -> list[str]:
        """Sentences about which board this is, each once."""
        return self._met.news()

    def trouble(self, now_s: float) -> str:
        """'' or what is wrong with its name."""
        return self._met.trouble(now_s)

    def waiting(self) -> list[Intake]:
        """Starts with rows to commit."""
        return [intake for intake in self._intakes.values() if intake.waiting()]

    def present(self, now_s: float) -> tuple[str, int]:
        """(boot, uptime in ms) of the board as it runs now; UserError if it is not heard."""
        view = self.liveness.view(now_s)
        if view.state != "online" or self._last_live is None or self._last_live[0] != view.boot:
            raise UserError(f"cooker {self.cooker}: nothing was sent. {view.text}")
        boot, ms, at_s = self._last_live
        return boot, ms + int((now_s - at_s) * 1000.0)

    def record_s(self, now_s: float) -> float:
        """This moment of our clock on the time line of the board's rows, which a moved clock leaves where it was."""
        if self._last_live is None:
            return now_s
        boot, ms, at_s = self._last_live
        offset_s = self.intake(boot).offset_s
        self._line.follow(at_s if offset_s is None else offset_s + ms / 1000.0, at_s)
        return now_s + self._line.ahead_s

    def alerts(self, now_s: float) -> dict[str, dict[str, Any]]:
        """Alerts of the present start, while its link is not known to be down."""
        view = self.liveness.view(now_s)
        if view.state == "offline":
            return {}
        return {key: alert for key, alert in list(self._alerts.items()) if alert["boot"] == view.boot}

    def changed_view(self, now_s: float) -> LinkView | None:
        """The link if its state or boot is another than at the last call."""
        view = self.liveness.view(now_s)
        if (view.state, view.boot) == self._told_view:
            return None
        self._told_view = (view.state, view.boot)
        return view

    def changed_alerts(self, now_s: float) -> Iterator[tuple[str, dict[str, Any] | None]]:
        """Alerts that came, changed or went since the last call."""
        current = self.alerts(now_s)
        told, self._told_alerts = self._told_alerts, current
        for key in sorted(current.keys() | told.keys()):
            if current.get(key) != told.get(key):
                yield key, current.get(key)

    # ---- messages by their topic -------------------------------------------------------------

    def on_record(self, record: heard.Reading | heard.Event, message: Message) -> None:
        """A reading or an event: only what is not late says that the board is there."""
        intake = self.intake(record.boot)
        intake.hears(record.oldest, record.ms, message.at_s, record.late)
        intake.add(record, message.at_s)
        if isinstance(record, heard.Event) and record.kind == "lost":
            self._hear_lost(record, intake)
        if not record.late and isinstance(record, heard.Reading):
            self._met.live(record.boot, message.at_s)
            self.liveness.heard(record.boot, message.at_s)
            self._last_live = (record.boot, record.ms, message.at_s)

    def _hear_lost(self, event: heard.Event, intake: Intake) -> None:
        """A range told lost is believed only inside what that start can have made."""
        boot, first, last = event.text or event.boot, event.value, event.limit
        end = event.seq if boot == event.boot else self._made_most(boot, event)
        if first is None or last is None or first != int(first) or last != int(last) or not 0 <= first <= last < end:
            self.tallies.add("not_believed", f"{self.cooker} boot {boot}: {first} to {last}, it made at most {end}")
            return
        intake.settle(boot, int(first), int(last))

    def _made_most(self, boot: str, event: heard.Event) -> int:
        """Rows that an earlier start can have made: as the board says, else by the time it had; 0 for an unknown."""
        for held in self.info["held"] if self.info is not None else ():
            if held["boot"] == boot:
                return int(held["next"])
        began_s, now_s = (self._store.boot_offset(self.cooker, each) for each in (boot, event.boot))
        if began_s is None or now_s is None or now_s < began_s:
            return 0
        return heard.MOST_AT_ONCE + int((now_s - began_s) * heard.MOST_ROWS_PER_S)

    def close_earlier(self, boot: str) -> Iterator[str]:
        """After a commit of `boot`: a sentence for each earlier start of which nothing more is to come."""
        info = self.info
        if info is None or not (self._info_is_new or boot != info["boot"]):
            return
        self._info_is_new = False
        held = {each["boot"]: each["next"] for each in info["held"]}
        for earlier, most in self._store.close_earlier(self.cooker, info["boot"], held):
            yield f"The board started again; at most the last {most} s of its readings before that are lost ({earlier})"

    def on_link(self, link: heard.Link, message: Message) -> None:
        self.liveness.told(link.state, link.boot, message.at_s)

    def on_info(self, info: heard.Info, message: Message) -> News:
        """A kept `info` is old: its time says nothing. What the board holds stands in its rows."""
        self._met.info(info)
        self.info, self._info_is_new = msgspec.to_builtins(info), True
        if not message.retained:
            self.intake(info.boot).hears(0, info.ms, message.at_s, late=False)
        return "info", self.info

    def on_alert(self, alert_id: str, payload: bytes) -> None:
        """An empty message takes the alert away."""
        if payload:
            self._alerts[alert_id] = msgspec.structs.asdict(heard.ALERT.decode(payload))
        else:
            self._alerts.pop(alert_id, None)

    def on_tuning(self, payload: bytes) -> News | None:
        """Gains in force; None if they are the same as before."""
        gains, n, _ = heard.tuning_of(payload)
        if self._tuning == (gains, n):
            return None
        self._tuning = (gains, n)
        return "tuning", {"gains": gains, "n": n}


def sort_message(board: Board, what: str, message: Message) -> News | None:
    """Decode a message and give it to its board; news that is not a row comes back.

    Raises msgspec.MsgspecError or UnicodeDecodeError for a malformed one; a record is kept as it came.
    """
    payload = message.payload
    if what in ("reading", "event"):
        _sort_record(board, what, message)
    elif what == "link":
        if payload:
            board.on_link(heard.LINK.decode(payload), message)
    elif what == "info":
        return board.on_info(heard.INFO.decode(payload), message) if payload else None
    elif what == "tuning":
        return board.on_tuning(payload) if payload else None
    elif what == "reply":
        return "reply", msgspec.structs.asdict(heard.REPLY.decode(payload))
    elif what.startswith("alert/"):
        board.on_alert(what[len("alert/") :], payload)
    else:
        board.tallies.add("foreign", message.topic)
    return None


def _sort_record(board: Board, what: str, message: Message) -> None:
    if message.retained:
        board.tallies.add("retained_row", message.topic)
        return
    try:
        record = heard.record_of(what, message.payload)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        _keep_raw(board, what, message, str(error))
        raise
    board.on_record(record, message)


def _keep_raw(board: Board, what: str, message: Message, reason: str) -> None:
    """A record that says which one it is, and cannot be read: the board would send it for ever."""
    stamp = heard.stamp_of(message.payload)
    if stamp is None:
        return
    intake = board.intake(stamp.boot)
    if isinstance(stamp, heard.Clocked):
        intake.hears(stamp.oldest, stamp.ms, message.at_s, stamp.late)
    intake.add_raw(stamp.seq, what, message.at_s, reason, message.payload)
