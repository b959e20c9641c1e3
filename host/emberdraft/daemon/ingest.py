"""From the broker into the store: nothing is acknowledged to a board before it is on the disk.

The network library's callbacks only put messages on a queue: an exception in one would end its
thread and nobody would know. One worker sorts the messages, commits the rows of all boards in
batches, and then tells each board how far it may forget. Orders go the other way.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Protocol

import msgspec

from emberboard.link import messages
from emberdraft.clock import Clock
from emberdraft.daemon.boards import Board, sort_message
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.claims import Claims
from emberdraft.daemon.intake import RecordStore
from emberdraft.daemon.keeper import TOPIC
from emberdraft.daemon.line import QUEUE_LENGTH, BrokerLine, Message
from emberdraft.daemon.liveness import LinkView
from emberdraft.daemon.order import Order
from emberdraft.daemon.order_desk import VALID_S, OrderDesk, OrderStore
from emberdraft.daemon.reread import RawStore, read_again
from emberdraft.daemon.tally import Tallies, Tally
from emberdraft.errors import UserError
from emberdraft.store import StoreError

log = logging.getLogger(__name__)

GATHER_S = 0.02  # messages of this long share one commit
IDLE_S = 0.25
RETRY_S = 1.0  # after the store refused
MOST_COOKERS = 256


class IngestStore(RecordStore, RawStore, OrderStore, Protocol):
    """What ingest needs of the store; `path` names the record."""

    path: Path

    def add_tuning(self, cooker: str, at_s: float, gains: Mapping[str, Any], order_n: int | None = None) -> int: ...


def _nobody(*_news: Any) -> None:
    """Nobody asked to be told."""


class Ingest:
    """Listens to one broker for some cookers, or for all (`cookers` None).

    The listeners are called on the worker's thread, one at a time, with the cooker first:
    on_rows(cooker, rows): readings and events (these have `kind`) that are on the disk now; a row with `late` is
    not the present, and a row may come more than once (same boot and seq).
    on_link(cooker, view): the link changed its state or its boot. on_info(cooker, info): what the board is.
    on_alert(cooker, id, alert): an alert of the board's present start came or changed, or is gone (None).
    on_said(cooker, text): a sentence about the board for a person.
    on_reply(cooker, reply): the answer to an order of ours; code `no_reply` if the board never answered.
    """

    def __init__(
        self,
        address: BrokerAddress,
        cookers: Iterable[str] | str | None,
        store: IngestStore,
        clock: Clock,
        *,
        on_rows: Callable[[str, list[dict[str, Any]]], None] = _nobody,
        on_link: Callable[[str, LinkView], None] = _nobody,
        on_info: Callable[[str, dict[str, Any]], None] = _nobody,
        on_alert: Callable[[str, str, dict[str, Any] | None], None] = _nobody,
        on_reply: Callable[[str, dict[str, Any]], None] = _nobody,
        on_said: Callable[[str, str], None] = _nobody,
    ) -> None:
        self._store = store
        self._clock = clock
        self._on_rows, self._on_link, self._on_info = on_rows, on_link, on_info
        self._on_alert, self._on_said = on_alert, on_said
        self._tallies = Tallies()
        self._orders = OrderDesk(store, clock, self._publish, on_reply)
        self._boards: dict[str, Board] = {}
        self._line = BrokerLine(address, _checked(cookers), clock, self._tallies)
        self._claims = Claims(self._line, store.path)
        self._stop = threading.Event()
        self._worker = threading.Thread(target=self._work, name="ingest", daemon=True)
        self._retry_at = 0.0
        self._store_trouble = ""

    # ---- for the rest of the host ------------------------------------------------------------

    def start(self) -> None:
        """Connect, and keep connected for ever; a broker that is not there yet is waited for."""
        self._worker.start()
        self._line.start()

    def stop(self) -> None:
        """Commit what has come, then end."""
        self._line.stop()
        self._stop.set()
        if self._worker.is_alive():
            self._worker.join(10.0)

    def cookers(self) -> list[str]:
        """Cookers that were heard."""
        return sorted(self._boards)

    def link(self, cooker: str) -> LinkView:
        """Is the board there?"""
        return self._board(cooker).liveness.view(self._clock.now_s())

    def info(self, cooker: str) -> dict[str, Any] | None:
        """What the board said of itself, or None."""
        return self._board(cooker).info

    def alerts(self, cooker: str) -> dict[str, dict[str, Any]]:
        """Alerts that stand now: of the present start, while its link is not known to be down."""
        return self._board(cooker).alerts(self._clock.now_s())

    def counts(self) -> dict[str, Tally]:
        """What came and could not be used, by kind (see tally.KINDS)."""
        return self._tallies.counts()

    def troubles(self) -> list[str]:
        """Sentences for a person: what is wrong between boards, broker and store."""
        other = self._tallies.counts().get("other_version")
        texts = [self._line.trouble, self._store_trouble, other.example if other else ""]
        for board in list(self._boards.values()):
            texts += [self._claims.sentence(board.cooker), board.trouble(self._clock.now_s())]
        return [text for text in texts if text]

    def send_order(self, cooker: str, order: Order, valid_s: float = VALID_S) -> int:
        """Send an order; its number. The answer comes to the listener, or through `wait_reply`.

        UserError if the order is malformed or the board is not heard: nothing is sent then.
        """
        trouble = messages.order_trouble(order.name, order.args)
        if trouble:
            raise UserError(trouble)
        self._claims.check(cooker, order.name, order.args)
        return self._orders.send(self._board(cooker), order, valid_s)

    def take_over(self, cooker: str) -> None:
        """A person wants this host to keep the cooker; another that does gives way when it hears so."""
        self._claims.take_over(cooker)

    def wait_reply(self, cooker: str, n: int, timeout_s: float) -> dict[str, Any] | None:
        """Wait (real seconds) for the answer to order `n`; None if it has not come."""
        return self._orders.wait(cooker, n, timeout_s)

    # ---- the worker --------------------------------------------------------------------------

    def _work(self) -> None:
        self._guarded(self._read_again)
        while not (self._stop.is_set() and self._line.queue.empty()):
            self.turn(self._gather())

    def turn(self, messages: Iterable[Message]) -> None:
        """One round of the worker: these messages, their commit, orders that wait, links that fell silent."""
        for message in messages:
            self._guarded(self._sort, message)
        self._commit_all()
        self._guarded(self._orders.chase)
        self._guarded(self._watch_links)
        self._guarded(self._tend_claims)

    def _read_again(self) -> None:
        """Rows that the release before could not read."""
        done = read_again(self._store)
        if done:
            log.info("%d rows that could not be read before are in the record now", done)

    def _guarded(self, action: Callable[..., None], *args: Any) -> None:
        """The worker outlives every error: it is counted, with its text."""
        try:
            action(*args)
        except Exception as error:
            self._tallies.add("callback", f"{type(error).__name__}: {error}")
            log.exception("in %s", action.__name__)

    def _gather(self) -> list[Message]:
        """Messages that came within a moment, at most as many as the queue holds."""
        try:
            found = [self._line.queue.get(timeout=IDLE_S)]
        except queue.Empty:
            return []
        time.sleep(GATHER_S)
        with contextlib.suppress(queue.Empty):
            while len(found) < QUEUE_LENGTH:
                found.append(self._line.queue.get_nowait())
        return found

    def _sort(self, message: Message) -> None:
        """Give a message to its board; what cannot be understood is counted with an example."""
        parts = messages.split_topic(message.topic)
        if parts is None or messages.cooker_trouble(parts[1]) or self._too_many(parts[1]):
            self._tallies.add("foreign", message.topic)
            return
        version, cooker, what = parts
        if version != str(messages.WIRE):
            sentence = messages.version_trouble(f"cooker {cooker}", version, "this host")
            self._tallies.add("other_version", sentence)
            return
        try:
            if what == TOPIC:
                self._claims.hear(cooker, message)
                return
            news = sort_message(self._board(cooker), what, message)
        except (msgspec.MsgspecError, UnicodeDecodeError) as error:
            count = self._tallies.add("malformed", f"{message.topic}: {error}")
            if count & (count - 1) == 0:  # the 1st, 2nd, 4th, 8th ...
                log.warning("message %d that cannot be read, on %s: %s", count, message.topic, error)
            return
        if news is not None:
            self._tell(cooker, *news)

    def _tell(self, cooker: str, what: str, news: dict[str, Any]) -> None:
        """Pass on what is no row: rows are told after their commit."""
        if what == "reply":
            self._orders.hear(cooker, news)
        elif what == "tuning":
            at_s = self._board(cooker).record_s(self._clock.now_s())
            self._store.add_tuning(cooker, at_s, news["gains"], news["n"])
        elif what == "info":
            self._on_info(cooker, news)

    def _commit_all(self) -> None:
        """Commit the rows of every board; what the store refuses waits here and on the board."""
        if time.monotonic() < self._retry_at and not self._stop.is_set():
            return
        for board in list(self._boards.values()):
            for intake in board.waiting():
                self._guarded(self._commit, board, intake)

    def _commit(self, board: Board, intake: Any) -> None:
        try:
            if not intake.ready:
                board.place_earlier()
            rows, mark = intake.commit()
        except StoreError as error:
            self._store_trouble = str(error)
            self._retry_at = time.monotonic() + RETRY_S
            self._tallies.add("not_stored", str(error))
            return
        self._store_trouble = ""
        if intake.ready and self._claims.holds(board.cooker):
            self._publish(board.cooker, "ack", messages.ack(intake.boot, mark))
        if rows:
            self._on_rows(board.cooker, rows)
        for sentence in board.close_earlier(intake.boot):
            self._say(board.cooker, sentence)

    def _watch_links(self) -> None:
        now_s = self._clock.now_s()
        for board in list(self._boards.values()):
            view = board.changed_view(now_s)
            if view is not None:
                self._on_link(board.cooker, view)
            for alert_id, alert in board.changed_alerts(now_s):
                self._on_alert(board.cooker, alert_id, alert)

    def _tend_claims(self) -> None:
        for cooker, sentence in self._claims.tend(list(self._boards)):
            self._say(cooker, sentence)
        for board in list(self._boards.values()):
            for sentence in board.news():
                self._say(board.cooker, sentence)

    def _say(self, cooker: str, sentence: str) -> None:
        log.warning(sentence)
        self._on_said(cooker, sentence)

    # ---- small things ------------------------------------------------------------------------

    def _board(self, cooker: str) -> Board:
        board = self._boards.get(cooker)
        if board is None:  # setdefault: two threads may ask at once
            board = self._boards.setdefault(cooker, Board(cooker, self._store, self._tallies, self._clock.speed))
        return board

    def _too_many(self, cooker: str) -> bool:
        """A broker full of strangers must not fill our memory."""
        return cooker not in self._boards and len(self._boards) >= MOST_COOKERS

    def _publish(self, cooker: str, what: str, payload: bytes, qos: int = 0) -> None:
        self._line.publish(messages.topic(cooker, what), payload, qos)


def _checked(cookers: Iterable[str] | str | None) -> tuple[str, ...]:
    if cookers is None:
        return ()
    names = (cookers,) if isinstance(cookers, str) else tuple(cookers)
    for name in names:
        trouble = messages.cooker_trouble(name)
        if trouble:
            raise UserError(trouble)
    return names
