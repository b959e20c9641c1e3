"""The one facade over the running cook: the page and the command line talk to it, the board's rows come into it.

    service = Service(store, clock, "yard", OrderLine(ingest, "yard"), notifier=notifier)
    ingest = Ingest(..., on_rows=service.on_records, on_link=service.on_link, on_alert=service.on_alert,
                    on_reply=service.on_reply, on_info=service.on_info)
    service.start_cook(load_plan("two_chops"))
    service.tick()          # about once a second of real time; readings drive the plan besides

Every method may be called from any thread: this file takes turns and passes on to CookKeeper (plan, conductor, record),
AlarmKeeper (alarms, notices), LiveView (readings) and Outbox (orders).
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Any

from emberdraft import mark_words
from emberdraft.clock import Clock, RecordClock
from emberdraft.daemon import health, marks
from emberdraft.daemon.alarm_keeper import AlarmKeeper
from emberdraft.daemon.asked import ALARM
from emberdraft.daemon.before_bed import before_bed
from emberdraft.daemon.call_keeper import CallKeeper
from emberdraft.daemon.commands import checked_gains
from emberdraft.daemon.conductor import Action, Conductor, Prompt
from emberdraft.daemon.cook_keeper import CookKeeper
from emberdraft.daemon.evening_going import evening_of
from emberdraft.daemon.food_watch import FoodWatch
from emberdraft.daemon.foresight import Seen, foreseen, hold_ends_s
from emberdraft.daemon.fuel_watch import had_kg
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.news import News
from emberdraft.daemon.notice_desk import NoticeDesk
from emberdraft.daemon.notify import Notifier
from emberdraft.daemon.now_json import now_json
from emberdraft.daemon.order import Order
from emberdraft.daemon.outbox import LinkOut, OrderLine, Outbox
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.power_watch import PowerWatch
from emberdraft.daemon.sentence import clock as clock_words
from emberdraft.daemon.stage import Stage
from emberdraft.errors import UserError
from emberdraft.said import Text, said

__all__ = ["LinkOut", "OrderLine", "Service"]

Row = dict[str, Any]
SAVE_EVERY_S = 60.0


class Service:
    """One cooker, one cook at a time."""

    def __init__(
        self,
        store: Any,
        clock: Clock,
        cooker: str,
        link_out: LinkOut | None,
        notifier: Notifier | None = None,
        unit: str = "c",
        simulated: bool = False,
    ) -> None:
        """`unit`: of the house, for what is sent to a phone. `simulated`: the cooker is, and with it every cook."""
        self.store = store
        self.clock = RecordClock(clock)
        self.cooker = cooker
        self.outbox = Outbox(link_out, self.clock.now_s)
        self.notifier = notifier or Notifier()
        self.notices = NoticeDesk(self.notifier, store, clock.now_s)
        self.unit = unit
        self._turn = threading.RLock()
        self._news = News()
        self._last: Row = {"text": "", "undo": None}
        self.live = LiveView(clock.speed)
        self.alarms = AlarmKeeper(store, cooker)
        self.live.view.alerts = self.alarms.on_board
        self.cook = CookKeeper(store, cooker, simulated)
        self.more_health: Callable[[], Row] | None = None
        self.store_trouble = ""
        self._saved_s = 0.0
        self.cook.resume()
        self.alarms.resume(self.cook.cook_id)
        self.food = FoodWatch()
        self.power = PowerWatch()
        self.calls = CallKeeper(self)
        self._answered: dict[str, tuple[str, float]] = {}
        self.live.face.read(store, cooker)
        self.live.pulls.past, self.live.pulls.told = self._past, self._told
        self.live.evenings.told = self._told

    # ---- from the board

    def on_records(self, cooker: str, rows: list[Row]) -> None:
        """Rows that are on the disk. Late ones are the past: the present is taken from the others."""
        if cooker != self.cooker:
            return
        with self._turn:
            for row in rows:
                self.power.hear(row)
                if "kind" not in row and not row.get("late") and self._take(row):
                    self._news.tell(type="reading", **row)
                    self.outbox.retry()
                    self._advance(row["at_s"])
            if any(row.get("late") or "kind" in row for row in rows):
                self._news.tell(type="state")

    def _take(self, row: Row) -> bool:
        """A live reading; its age counts from its arrival, whatever the computer's clock says."""
        arrived_s = row["arrived_s"]
        if self.clock.follow(row["at_s"], arrived_s) and self.clock.ahead_s:
            self._say(
                f"The computer's clock was moved: this record goes on {abs(self.clock.ahead_s):.0f} s "
                f"{'after' if self.clock.ahead_s > 0.0 else 'before'} it until the board starts again"
            )
        return self.live.take(row, arrived_s + self.clock.ahead_s)

    def on_link(self, cooker: str, view: Any) -> None:
        """The link changed its state or its boot."""
        if cooker == self.cooker:
            with self._turn:
                self.live.hear_link(view)
                self._news.tell(type="state")

    def on_info(self, cooker: str, info: Row) -> None:
        """What the board says of itself."""
        if cooker == self.cooker:
            with self._turn:
                self.live.know(info)

    def on_alert(self, cooker: str, alert_id: str, alert: Row | None) -> None:
        """An alert of the board came, changed or is gone (None)."""
        if cooker != self.cooker:
            return
        with self._turn:
            # With the link down nothing is known: what stood goes on standing.
            if alert is not None or self.live.link_state() == "online":
                if alert is None and alert_id in self.alarms.trips():
                    self.calls.seen(alert_id)  # a board lets go of a trip only once somebody has acknowledged it
                read_s = self.live.moment_s(alert)
                self.alarms.from_board(alert_id, alert, self.clock.now_s(), self.cook.cook_id, read_s)
                self._news.tell(type="alarm", id=alert_id)

    def on_reply(self, cooker: str, reply: Row) -> None:
        """The board's answer to an order: a refusal is told in the status line."""
        if cooker == self.cooker and reply.get("code"):
            self._say(f"The board refused an order: {reply.get('text') or reply['code']}")

    def on_said(self, cooker: str, text: str) -> None:
        """A sentence about the board, for the status line."""
        if cooker == self.cooker:
            with self._turn:
                self._say(text)
                self._news.tell(type="state")

    # ---- time

    def tick(self) -> None:
        """Repeats of prompts, calls, and what a silent board means. Call it about once a second."""
        with self._turn:
            now_s = self.clock.now_s()
            if self.live.row is not None and not self.live.view.fresh(now_s):
                self._advance(now_s)  # else the readings drive it; before the first nobody knows the record's time
            self.alarms.watch_link(self.live, self.cook.running, now_s, self.cook.cook_id)
            self.alarms.watch_heard(self.live, now_s, self.cook.cook_id)
            self._watch_fuel(now_s)
            self.alarms.own("air_off", self.power.look(self.live.row), now_s, self.cook.cook_id)
            self.alarms.own("not_recorded", (None, None) if self.store.trouble else None, now_s, self.cook.cook_id)
            food = self.food.look(self.cook.conductor, self.live.view, now_s)
            self.alarms.own("food_unsafe", food, now_s, self.cook.cook_id)
            self.alarms.tick(now_s)
            self.calls.look(now_s)

    def _advance(self, now_s: float) -> None:
        conductor = self.cook.conductor
        if conductor is None:
            return
        self.live.forecast(conductor, now_s)
        self.live.look_deeper(conductor, now_s, self.store, self.cooker)
        actions = conductor.tick(now_s, self.live.view)
        if actions:
            self._carry_out(actions, now_s, "plan")
        elif now_s - self._saved_s >= SAVE_EVERY_S:
            self._save(now_s)

    def _watch_fuel(self, now_s: float) -> None:
        """Charcoal that runs short, an hour ahead; over when more is added, or with the cook."""
        conductor, fuel = self.cook.conductor, self.live.fuel
        have_kg = None if conductor is None else had_kg(conductor.plan, self.cook.marks)
        self.live.view.fuel_ends_s = fuel.ends_s(have_kg)
        figures = fuel.figures(have_kg) if conductor is not None and fuel.short(have_kg) else None
        self.alarms.own("fuel_short", figures, now_s, self.cook.cook_id)

    # ---- for the page

    def now(self) -> Row:
        """The state as the page takes it; see docs/reference/http.md."""
        with self._turn:
            return now_json(self, self.clock.now_s())

    def subscribe(self) -> queue.Queue[Row]:
        """A queue of small news: {'type': 'reading' | 'state' | 'mark' | 'alarm', ...}. A full one loses news."""
        with self._turn:
            return self._news.subscribe()

    def unsubscribe(self, news: queue.Queue[Row]) -> None:
        """Nobody listens to this queue any more."""
        with self._turn:
            self._news.unsubscribe(news)

    def prompts(self) -> list[Prompt]:
        """What the person is asked now; the first is shown."""
        with self._turn:
            return list(self.cook.conductor.prompts) if self.cook.conductor else []

    def health(self) -> Row:
        """Checks, counts and versions for the page and `doctor`."""
        with self._turn:
            return health.report(self, self.clock.now_s())

    def before_bed(self) -> Row:
        """What may wake a person tonight, whether a phone is reached, how long the charcoal lasts."""
        with self._turn:
            return before_bed(self, self.clock.now_s())

    def test_notice(self) -> str:
        """Send a test notice and wait for it, outside the turn: a cook goes on meanwhile. Says how it went."""
        return self.notices.test(self.cooker)

    # ---- a person acts

    def mark(self, kind: str, value: float | None = None, text: str = "", minutes_ago: float = 0.0) -> int:
        """Note something; the mark's id. What the board must know of it is ordered as well."""
        marks.checked(kind, value, text)
        if isinstance(minutes_ago, bool) or not 0.0 <= minutes_ago <= 1440.0:
            raise UserError(f"mark {kind}: minutes_ago {minutes_ago!r}; 0 to 1440 would be right")
        with self._turn:
            now_s = self.clock.now_s()
            before = self.cook.last_mark_id
            acts = minutes_ago == 0.0 or kind == "pull_at"  # a pull temperature is never of the past
            actions = self.cook.act_of_mark(kind, value, text, now_s) if acts else []
            if actions:
                self._carry_out(actions, now_s)
            if self.cook.last_mark_id == before or not self.cook.has_new(kind, before):
                self.cook.add_mark(kind, value, text, now_s - 60.0 * minutes_ago)
            mark_id = self.cook.newest(kind)
            label = mark_words.label({"kind": kind, "value": value, "text": text})
            if kind == "stone_face":
                self.live.face.read(self.store, self.cooker)
            if kind == "pull_at":
                self._foretell()
            self._say(said("{label} marked", label=label), {"mark_id": mark_id})
            self._news.tell(type="mark", id=mark_id)
            return mark_id

    def undo(self, mark_id: int, at_cooker: bool = False) -> None:
        """Take back a mark. What is taken back by another command says so in `last`."""
        with self._turn:
            self._take_back(mark_id, at_cooker)
            self.cook.undo_mark(mark_id)
            self.live.face.read(self.store, self.cooker)
            self._say("Taken back")
            self._news.tell(type="mark", id=mark_id)

    def _take_back(self, mark_id: int, at_cooker: bool) -> None:
        """What a mark changed in the cook is as it was before; most marks change nothing."""
        back: list[Action] = []
        swapped = self.cook.swapped_by(mark_id)
        if swapped:
            back = self._conductor().command("swap", self.clock.now_s(), first=swapped[0], second=swapped[1])
        elif self.cook.changes_plan(mark_id):
            back = self._conductor().command("take_back", self.clock.now_s(), at_cooker=at_cooker)
        if back:
            self._carry_out([action for action in back if action.kind != "mark"], self.clock.now_s())
            self._foretell()

    def _foretell(self) -> None:
        """The forecasts anew, not with their next turn; the answer is told when it is there."""
        if self.cook.conductor is not None:
            self.live.forecast_anew(self.cook.conductor, self.clock.now_s())

    def answer(self, prompt_id: str, at_cooker: bool = False) -> None:
        """A prompt's button: its deed is done; of an alarm that is asked for as the next: it has been seen."""
        with self._turn:
            if prompt_id.startswith(ALARM):
                self.command("acknowledge", id=prompt_id.removeprefix(ALARM), at_cooker=at_cooker)
                return
            now_s = self.clock.now_s()
            conductor = self._conductor()
            prompt = conductor.stage.find(prompt_id)
            if prompt is None and prompt_id in self._answered:
                deed, at_s = self._answered[prompt_id]
                raise UserError(f"{deed}: answered already at {clock_words(at_s)}; nothing was changed")
            actions = conductor.answer(prompt_id, now_s, at_cooker)
            if prompt is not None:
                self._answered[prompt_id] = (prompt.deed, now_s)
                self._say(f"{prompt.deed}: noted")
            self._carry_out(actions, now_s)

    def command(self, name: str, **args: Any) -> None:
        """A button that is always there: acknowledge, snooze, or a command of the conductor (commands.py)."""
        with self._turn:
            now_s = self.clock.now_s()
            if name == "acknowledge":
                self._acknowledge(now_s, **args)
            elif name == "snooze":
                self._say(self.alarms.snooze(now_s, **args))
            elif name == "take_back":
                self.undo(self.cook.newest_change(), **args)
            elif name == "gains" and not self.cook.running:
                trouble = self.outbox.send(Order("gains", checked_gains(**args)))
                self._say(trouble or "Gains sent; the board keeps them until it starts anew")
            else:
                before, before_c = self.cook.last_mark_id, self._target_c()
                self._carry_out(self._conductor().command(name, now_s, **args), now_s)
                if name == "swap":
                    self._say(self._last["text"], {"mark_id": self.cook.newest(name)})
                    self._foretell()
                elif self._conductor().run.changed and self.cook.last_mark_id != before:
                    self._changed(before)
                elif name == "target" and before_c is not None:
                    self._say(self.last["text"], {"command": "target", "args": {"target_c": before_c}})
                if name == "bank":
                    self._say("Putting the fire out: blower off, air shut", {"command": "go_back", "args": {}})
                if name == "go_back":
                    self._say("Taken back: the fire is not put out")
            self._news.tell(type="state")

    def _changed(self, before: int) -> None:
        """The plan was changed: Undo takes that back, from the cooker where it raises heat."""
        mark_id = self.cook.newest_change(before)
        if mark_id:
            _, there = self._conductor().would("take_back", self.clock.now_s(), lambda stage: None)
            self._say(self._last["text"], {"mark_id": mark_id} | ({"at_cooker": True} if there else {}))
            self._foretell()

    def foresee(self, name: str, **args: Any) -> Row:
        """What a command would make of the evening; nothing is done. Refused as the command itself would be."""
        with self._turn:
            now_s, conductor = self.clock.now_s(), self._conductor()
            known = self.live.evenings.known(self.store, self.cooker)

            def look(stage: Stage) -> Seen:
                told: Text = next((action.args["text"] for action in reversed(stage.out) if action.kind == "say"), "")
                evening = evening_of(stage, self.live.forecasts, self.live.stone.said, now_s)
                return Seen(evening, hold_ends_s(stage), told)

            was = look(conductor.stage)
            is_, raises = conductor.would(name, now_s, look, **args)
        return foreseen(name, was, is_, raises, known)

    def _target_c(self) -> float | None:
        """What the phase in force holds now."""
        phases = self._conductor().run.phases
        return phases[-1].target_c if phases else None

    def _acknowledge(self, now_s: float, id: str = "all", at_cooker: bool = False) -> None:
        """From the cooker only by the word of this very press: what was said there before was not said of the alarm."""
        there = {"at_cooker": True} if at_cooker is True else {}
        standing = [alarm.id for alarm in self.alarms.desk.shown()]
        self.calls.seen(*(standing if id == "all" else [id]))
        for alert in self.alarms.acknowledge(now_s, id):
            self._order(Order("acknowledge", {"id": alert, **there}))
        self._say("Acknowledged")

    # ---- the cook

    def start_cook(self, plan: Plan | str, name: str | None = None) -> int:
        """Begin a cook with a plan (or its text); the cook's id. The plan's text is kept with it."""
        checked = parse_plan(plan) if isinstance(plan, str) else plan
        with self._turn:
            cook_id = self.cook.begin(checked, name or checked.name, self.clock.now_s())
            self._answered.clear()
            self._say(f"{name or checked.name}: begun")
            self._news.tell(type="state")
            return cook_id

    def end_cook(self, how: str = "ended by a person") -> None:
        """End the record. The board goes on with its last order: put the fire out first."""
        with self._turn:
            self._conductor()
            self.cook.end(self.clock.now_s(), how)
            self._news.tell(type="state")

    def plan_text(self) -> str | None:
        """The text of the running cook's plan."""
        conductor = self.cook.conductor
        return conductor.plan.text if conductor is not None else None

    def close(self) -> None:
        """Save what must survive; the store stays open, it is not ours."""
        with self._turn:
            self.cook.save()

    # ---- inside

    @property
    def link_out(self) -> LinkOut | None:
        """Where orders go; set once the link is there."""
        return self.outbox.link_out

    @link_out.setter
    def link_out(self, link_out: LinkOut | None) -> None:
        self.outbox.link_out = link_out

    @property
    def last(self) -> Row:
        """What the status line shows."""
        return dict(self._last)

    def _conductor(self) -> Conductor:
        if self.cook.conductor is None:
            raise UserError("no cook is running; start one with a plan first")
        return self.cook.conductor

    def _carry_out(self, actions: list[Action], now_s: float, author: str = "person") -> None:
        """Orders first: a full disk must not keep one from the board."""
        for action in actions:
            if action.kind == "order":
                self._order(Order(action.name, action.args, author))
        for action in actions:
            if action.kind == "say":
                self._say(action.args["text"])
            elif action.kind not in ("order", "prompt"):
                self._keep(self.cook.record, action, now_s)
        if author == "person":
            self.calls.settle()
        self._save(now_s)
        self._news.tell(type="state")

    def _save(self, now_s: float) -> None:
        self._saved_s = now_s
        self._keep(self.cook.save)

    def _keep(self, write: Callable[..., None], *args: Any) -> None:
        """Write to the record; a store that cannot is told in the status line, and the cook goes on."""
        try:
            write(*args)
        except UserError as error:
            self.store_trouble = str(error)
            self._say(f"Not recorded: {error}")

    def _told(self) -> None:
        """A forecast is new: the page need not wait for the next reading."""
        with self._turn:
            self._news.tell(type="state")

    def _past(self, start_s: float, names: tuple[str, ...]) -> dict[str, list[Any]]:
        """The running cook's readings since a moment, for a forecast that begins anew."""
        columns: dict[str, list[Any]] = self.store.readings(self.cook.cook_id, start_s, None, names=names)
        return columns

    def _order(self, order: Order) -> None:
        trouble = self.outbox.send(order)
        if trouble:
            self._say(trouble)

    def _say(self, text: Text, undo: Row | None = None) -> None:
        """`undo`: the mark, or the command, that takes it back."""
        self._last = {"text": text, "undo": undo}
