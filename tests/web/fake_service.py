"""A stand-in for the service over the invented cook: keeps what it is asked, refuses what is wrong.

Run it to look at the page by hand: python -m tests.web.fake_service --minute 83 --speed 1 --port 8123
"""

from __future__ import annotations

import argparse
import queue
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError
from emberdraft.store.store import Store
from tests.web import invented_cook as cook
from tests.web import invented_store
from tests.web.fake_words import (
    caution_of,
    deeper_of,
    forecasts_of,
    ledger_of,
    next_of,
    number_of,
    sentence_of,
    upcoming_of,
)

Row = dict[str, Any]

MARK_KINDS = {
    *("lit", "vent_top", "vent_bottom", "lid_open", "lid_shut", "set_up", "piece_on", "on_stone"),
    *("pulled", "flipped", "fuel", "stone_face", "note"),
}
COMMANDS = {"pull_at", "target", "next_phase", "bank", "lid", "acknowledge", "snooze", "undo_bank"}


class FakeService:
    """The facade the page talks to. `minute` is where in the cook it starts; speed 0 holds it there."""

    def __init__(self, minute: float = 83.0, speed: float = 1.0, store: Store | None = None, cook_id: int = 1) -> None:
        self.speed = speed
        self._store, self._cook_id = store, cook_id
        self._minute, self._began = minute, time.monotonic()
        self._lock = threading.RLock()
        self._queues: list[queue.Queue[Row]] = []
        self._silent_since: float | None = None
        self._stop = threading.Event()
        self.marks = cook.marks(minute)
        self.calls: list[tuple[str, tuple[Any, ...]]] = []
        self.answered: set[str] = set()
        self.alarms: list[Row] = []
        self.notices_fail = False
        self.lid: bool | None = None
        self.target_c: float | None = None
        self.banked = False
        self.last: Row = {"text": "", "undo_id": None}
        self._undoing: dict[int, Callable[[], None]] = {}
        self._thread = threading.Thread(target=self._run, daemon=True)

    def start(self) -> FakeService:
        self._thread.start()
        return self

    def stop(self) -> None:
        self._stop.set()
        self._thread.join(2.0)

    @property
    def minute(self) -> float:
        return self._minute + (time.monotonic() - self._began) * self.speed / 60.0

    def now_s(self) -> float:
        return cook.START_S + self.minute * cook.MINUTE_S

    def fall_silent(self) -> None:
        """The board stops being heard, as when its power is cut."""
        self._silent_since = self.minute

    def speak_again(self) -> None:
        self._silent_since = None

    def raise_alarm(self, **fields: Any) -> None:
        self.alarms.append({"state": "raised", "at_s": self.now_s(), "snoozed_until_s": None, **fields})
        self._tell({"type": "alarm"})

    def _run(self) -> None:
        told = self.minute
        while not self._stop.wait(0.05):
            here = self.minute
            while told + 1.0 / 60.0 <= here:
                told += 1.0 / 60.0
                if self._silent_since is None:
                    self._heard(told)

    def _heard(self, minute: float) -> None:
        row = invented_store.record_at(minute)
        if self._store is not None:
            self._store.add_records("garden", "b5e1", [row])
        self._tell({"type": "reading", **row})

    def _tell(self, news: Row) -> None:
        for waiting in self._queues:
            waiting.put(news)

    def before_bed(self) -> Row:
        """What the page Before bed starts from."""
        notices = {"ok": False, "text": "phone calls are OFF", "by": "", "reached": None, "settable": False}
        charcoal = {"lasts_h": None, "needs_h": None, "text": "It cannot be said."}
        return {
            "now_s": self.now_s(),
            "cook": None,
            "tonight": [{"at_s": self.now_s(), "text": "Pull the chop (A)"}],
            "whenever": ["The pit is over its limit"],
            "notices": notices | {"ways": {}, "second": False},
            "charcoal": charcoal,
        }

    def subscribe(self) -> queue.Queue[Row]:
        fresh: queue.Queue[Row] = queue.Queue()
        self._queues.append(fresh)
        return fresh

    def now(self) -> Row:
        with self._lock:
            return self._now(self.minute)

    def _now(self, minute: float) -> Row:
        seen = minute if self._silent_since is None else self._silent_since
        name, since, target = cook.phase_at(seen)
        if self.banked:
            name, target = "bank", None
        target = self.target_c if self.target_c is not None and target is not None else target
        lid = self.lid if self.lid is not None else cook.lid_open(seen)
        row = cook.row_at(seen) | {"phase": name, "target_c": target, "lid_open": lid}
        if lid or self.banked:
            row |= {"duty": 0.0}
        return {
            "now_s": cook.START_S + minute * cook.MINUTE_S,
            "speed": self.speed or 1.0,
            "cooker": "garden",
            "link": self._link(minute - seen),
            "cook": {"id": self._cook_id, "name": "Two thick chops", "started_s": cook.START_S, "invented": True},
            "phase": {"name": name, "since_s": cook.START_S + since * cook.MINUTE_S, "target_c": target},
            "phases": phases(minute),
            "mode": {"climb": "drive", "sear": "drive", "bank": "bank"}.get(name, "hold"),
            "why": row["why"],
            "lid_open": lid,
            **sentence_of(row, cook.row_at(seen - 1.0), minute - seen),
            "number": number_of(row),
            "ledger": ledger_of(row, cook.row_at(seen - 1.0), self._vent),
            "next": next_of(minute, self.answered),
            "asked": [],
            "stopped": False,
            "upcoming": upcoming_of(minute),
            "forecasts": forecasts_of(seen),
            "alarms": list(self.alarms),
            "caution": caution_of(name),
            "marks": [{**m, "label": label_of(m)} for m in self.marks],
            "deeper": deeper_of(),
            "last": self.last,
        }

    def _vent(self, which: str) -> tuple[float, float] | None:
        moved = [m for m in self.marks if m["kind"] == which]
        return (moved[-1]["value"], moved[-1]["at_s"]) if moved else None

    def _link(self, quiet_min: float) -> Row:
        heard_s = quiet_min * 60.0 + 0.4
        lost = heard_s > 10.0 * (self.speed or 1.0)
        text = "no word from the board" if lost else "board heard"
        return {"state": "offline" if lost else "online", "heard_s": heard_s, "boot": "b5e1", "text": text}

    def _act(self, text: str, undo: Callable[[], None] | None) -> int | None:
        number = len(self.calls) if undo else None
        if undo and number is not None:
            self._undoing[number] = undo
        self.last = {"text": text, "undo_id": number}
        self._tell({"type": "state"})
        return number

    def mark(self, kind: str, value: float | None = None, text: str = "", minutes_ago: float = 0.0) -> int:
        if kind not in MARK_KINDS:
            raise UserError(f"mark kind {kind!r}: not known; one of {', '.join(sorted(MARK_KINDS))}")
        with self._lock:
            self.calls.append(("mark", (kind, value, text, minutes_ago)))
            at_s = self.now_s() - minutes_ago * 60.0
            made = {"id": 1000 + len(self.calls), "at_s": at_s, "kind": kind, "value": value, "text": text}
            self.marks.append({**made, "author": "person"})
            if self._store is not None:
                self._store.add_mark(self._cook_id, at_s, kind, value, text)
            self._act(f"{label_of(made)} marked", lambda: self._unmark(made["id"]))
            return int(made["id"])

    def _unmark(self, mark_id: int) -> None:
        self.marks = [m for m in self.marks if m["id"] != mark_id]

    def undo(self, mark_id: int) -> None:
        with self._lock:
            self.calls.append(("undo", (mark_id,)))
            if mark_id not in self._undoing:
                raise UserError(f"{mark_id}: nothing to take back under that number")
            self._undoing.pop(mark_id)()
            self._act("Taken back", None)

    def answer(self, prompt_id: str, at_cooker: bool) -> None:
        with self._lock:
            self.calls.append(("answer", (prompt_id, at_cooker)))
            asked = next_of(self.minute, self.answered)
            if asked is None or asked["id"] != prompt_id:
                raise UserError(f"prompt {prompt_id}: no longer asked")
            if asked["at_cooker"] and not at_cooker:
                raise UserError("Raising heat needs somebody at the cooker")
            self.answered.add(prompt_id)
            self._act(f"{asked['deed']}: noted", lambda: self.answered.discard(prompt_id))

    def command(self, name: str, **args: Any) -> None:
        if name not in COMMANDS:
            raise UserError(f"command {name!r}: not known; one of {', '.join(sorted(COMMANDS))}")
        with self._lock:
            self.calls.append((name, tuple(sorted(args.items()))))
            getattr(self, f"_do_{name}")(**args)

    def _do_lid(self, open: bool) -> None:
        self.lid = open
        self._act("Lid open: the blower is off" if open else "Lid shut", None)

    def _do_target(self, target_c: float, at_cooker: bool = False) -> None:
        before = self.target_c
        if target_c > (before or cook.phase_at(self.minute)[2] or 0.0) and not at_cooker:
            raise UserError("Raising heat needs somebody at the cooker")
        self.target_c = target_c
        self._act(f"Target {target_c:.0f} °C", lambda: setattr(self, "target_c", before))

    def _do_pull_at(self, letter: str, pull_c: float) -> None:
        self._act(f"{letter}: pull at {pull_c:.0f} °C", lambda: None)

    def _do_bank(self) -> None:
        self.banked = True
        self._act("Putting the fire out: blower off, air shut", lambda: setattr(self, "banked", False))

    def _do_next_phase(self, at_cooker: bool = False) -> None:
        if not at_cooker:
            raise UserError("Raising heat needs somebody at the cooker")
        self._act("Next phase begun", None)

    def _do_acknowledge(self, id: str) -> None:
        self.alarms = [a for a in self.alarms if a["id"] != id]
        self._act("Acknowledged", None)

    def _do_snooze(self, id: str, minutes: float = 5.0) -> None:
        self.alarms = [
            {**a, "state": "snoozed", "snoozed_until_s": self.now_s() + minutes * 60.0} if a["id"] == id else a
            for a in self.alarms
        ]
        self._act(f"Snoozed for {minutes:.0f} min", None)

    def start_cook(self, plan: str) -> int:
        raise UserError(f"cook {self._cook_id} is still running on garden; end it before another is begun")

    def end_cook(self) -> None:
        with self._lock:
            self.calls.append(("end_cook", ()))
            self._act("The record is ended", None)

    def test_notice(self) -> str:
        self.calls.append(("test_notice", ()))
        if self.notices_fail:
            raise UserError("test notice: webhook: OSError: nobody there")
        return "Test notice sent by webhook"

    def health(self) -> Row:
        return {
            "checks": [
                {"name": "board", "ok": True, "text": "heard 0.4 s ago, boot b5e1"},
                {"name": "spool", "ok": True, "text": "0 records wait on the board"},
                {
                    "name": "foreign messages",
                    "ok": False,
                    "text": "3 counted; the last on topic emberdraft/1/shed/reading",
                },
            ],
            "counts": {"readings": 4980, "events": 31, "gaps": 1, "malformed": 0, "foreign": 3},
            "versions": {"host": "0.1.0", "firmware": "0.1.0", "wire": 1, "database": "m0003_slices"},
        }


def label_of(mark: Row) -> str:
    words = {"vent_top": "top vent", "vent_bottom": "bottom vent", "piece_on": "chops in", "lit": "lit"}
    value = mark.get("value")
    word = words.get(mark["kind"], mark["kind"].replace("_", " "))
    return word if value is None else f"{word} {value:.0%}".replace("%", " %")


def phases(minute: float) -> list[Row]:
    shown = []
    for name, first, target in cook.PHASES:
        last = cook.end_of(name)
        state = "to_come" if minute < first else "past" if minute >= last else "now"
        shown.append(
            {
                "name": name,
                "start_s": cook.START_S + first * 60.0,
                "end_s": cook.START_S + last * 60.0 if state == "past" else None,
                "target_c": target,
                "state": state,
                "expect_s": (last - first) * 60.0,
            }
        )
    return shown


def main() -> None:
    from emberdraft.web import PageServer, create_app

    asked = argparse.ArgumentParser()
    asked.add_argument("--minute", type=float, default=83.0)
    asked.add_argument("--speed", type=float, default=1.0)
    asked.add_argument("--port", type=int, default=8123)
    args = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store, cook_id = invented_store.make(Path(folder) / "cooks.sqlite", args.minute)
        service = FakeService(args.minute, args.speed, store, cook_id).start()
        server = PageServer(create_app(service, store), port=args.port).start()
        print(server.url, flush=True)
        threading.Event().wait()


if __name__ == "__main__":
    main()
