"""The host put together: broker, record, ingest, service, page. `demo` and `serve` start and stop the same one."""

from __future__ import annotations

import logging
import threading
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any

from emberdraft.clock import Clock
from emberdraft.commands.running import forget_running, note_running
from emberdraft.daemon.broker import BrokerAddress, EmbeddedBroker
from emberdraft.daemon.broker_keys import BROKER_PORT, HOST_USER, BrokerKeys, keys_file
from emberdraft.daemon.channels import Channel
from emberdraft.daemon.ingest import Ingest
from emberdraft.daemon.notice_desk import NoticeDesk
from emberdraft.daemon.notice_settings import notices_file
from emberdraft.daemon.notify import Notifier
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.daemon.service import OrderLine, Service
from emberdraft.daemon.tally import KINDS
from emberdraft.store.store import Store
from emberdraft.web.people import People, people_file
from emberdraft.web.server import PageServer
from emberdraft.web.yard import create_yard

log = logging.getLogger(__name__)
TICK_S = 1.0
SLEPT_S = 2.0  # a shorter sleep is no news


class Host:
    """One record, one cooker or several, one page. Use it as a context: what was started is stopped, in order."""

    def __init__(
        self,
        db: Path,
        cooker: str | Sequence[str],
        *,
        clock: Clock | None = None,
        broker: BrokerAddress | None = None,
        channels: Sequence[Channel] = (),
        second: Sequence[Channel] = (),
        page_at: str = "",
        port: int = 0,
        simulated: bool = False,
        unit: str = "c",
        lan: str = "",
        home: bool = False,
    ) -> None:
        """`simulated`: its cookers are (a demonstration). Every cook is marked so, whatever its plan says, and
        one that was left open is over, since the cooker it was on is gone.

        `lan`: an address of this machine at which other machines find the page, and boards the embedded broker.
        `home`: with it, this machine itself needs no log-in, because nothing on it forwards to the page.
        `second`: the way out for calls that nobody answers; `page_at`: where a phone finds the page.
        """
        self.cookers = (cooker,) if isinstance(cooker, str) else tuple(cooker)
        self.db, self.cooker, self.clock = db, self.cookers[0], clock or Clock()
        self._broker, self._channels, self._simulated = broker, channels, simulated
        self._second, self._page_at = second, page_at
        self._port, self._unit, self.lan, self._home = port, unit, lan, home
        self.people = People(people_file(db)) if lan else None
        self._undo = ExitStack()
        self._stop = threading.Event()

    def __enter__(self) -> Host:
        try:
            self._start()
        except BaseException:
            self.stop()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """Stop what runs, last started first; one that cannot be stopped keeps none of the others running."""
        self._stop.set()
        self._undo.close()

    def _start(self) -> None:
        self.store = Store(self.db)
        self._undo.callback(self.store.close)
        for cooker in self.cookers if self._simulated else ():
            self.store.break_off(cooker, "broken off")
        self.address = self._broker or self._embedded()
        self.notifier = Notifier(self._channels, self._second, self._page_at).start()
        self._undo.callback(self.notifier.stop)
        self.services = {
            name: Service(self.store, self.clock, name, None, self.notifier, self._unit, self._simulated)
            for name in self.cookers
        }
        self.service = self.services[self.cooker]
        for service in self.services.values():
            self._undo.callback(service.close)
        self._keep_time()
        self._listen()
        self._open_page()
        for name, work in (("tick", self._tick), ("record", self._look_after_record)):
            thread = threading.Thread(target=work, name=name, daemon=True)
            thread.start()
            self._undo.callback(thread.join, 2.0 * TICK_S)

    def _keep_time(self) -> None:
        """A clock that went back while the host was off must not put a cook's next hour into its last."""
        last = [self.store.last_reading(name) for name in self.cookers if self.store.open_cook(name) is not None]
        behind_s = self.clock.not_before(max((row["at_s"] for row in last if row is not None), default=0.0))
        if behind_s > SLEPT_S:
            text = f"The computer's clock is {behind_s:.0f} s behind the cook that is going on; the cook's time is kept"
            log.warning(text)
            for name, service in self.services.items():
                service.on_said(name, text)

    def _embedded(self) -> BrokerAddress:
        broker = EmbeddedBroker()
        if self.lan:
            keys = BrokerKeys(keys_file(self.db))
            boards = {cooker: keys.password(cooker) for cooker in self.cookers}
            broker = EmbeddedBroker(self.lan, BROKER_PORT, HOST_USER, keys.password(HOST_USER), more=boards)
        address = broker.start()
        self._undo.callback(broker.stop)
        return address

    def _listen(self) -> None:
        of = self.services
        self.ingest = Ingest(
            self.address,
            self.cookers,
            self.store,
            self.clock,
            on_rows=lambda cooker, rows: of[cooker].on_records(cooker, rows),
            on_link=lambda cooker, view: of[cooker].on_link(cooker, view),
            on_info=lambda cooker, info: of[cooker].on_info(cooker, info),
            on_alert=lambda cooker, name, alert: of[cooker].on_alert(cooker, name, alert),
            on_reply=lambda cooker, reply: of[cooker].on_reply(cooker, reply),
            on_said=lambda cooker, text: of[cooker].on_said(cooker, text),
        )
        for name, service in of.items():
            service.link_out = OrderLine(self.ingest, name)
            service.more_health = self._health
        self.ingest.start()
        self._undo.callback(self.ingest.stop)

    def _health(self) -> dict[str, Any]:
        """What stands between boards, broker and record, and what came that could not be used."""
        checks = [{"name": "link", "ok": False, "text": text} for text in self.ingest.troubles()]
        checks = checks or [{"name": "link", "ok": True, "text": "broker and record take everything"}]
        for kind, tally in self.ingest.counts().items():
            text = f"{tally.count} {KINDS[kind]}; the last: {tally.example}"
            checks.append({"name": f"messages, {kind.replace('_', ' ')}", "ok": False, "text": text})
        return {"checks": checks}

    def _say_slept(self, slept_s: float) -> None:
        text = (
            f"This computer slept for {slept_s:.0f} s; nobody watched. The board went on alone and sends what it kept"
        )
        log.warning(text)
        for name, service in self.services.items():
            service.on_said(name, text)

    def _open_page(self) -> None:
        shelf = PlanShelf(self.db.with_name("plans"))
        hosts = (self.lan,) if self.lan else ()
        app = create_yard(
            list(self.services.values()), self.store, hosts=hosts, unit=self._unit, shelf=shelf, people=self.people,
            home=self._home,
        )  # fmt: skip
        if self.people is not None:
            self._undo.callback(self.people.open_to_own_programs())
        self.page = PageServer(app, port=self._port, also=self.lan)
        self.page.start()
        page = f"http://{self.lan}:{self.page.port}/" if self.lan else self.page.url
        notices = NoticeDesk(self.notifier, self.store, self.clock.now_s, notices_file(self.db), page)
        for service in self.services.values():
            service.notices = notices
        self._undo.callback(self.page.stop)
        note_running(self.db, self.page.url, (self.address.host, self.address.port))
        self._undo.callback(forget_running, self.db)

    def _look_after_record(self) -> None:
        """Damage is said once in the log; Health and an alarm go on saying it, and nothing is acknowledged."""
        while not self._stop.wait(TICK_S):
            trouble = self.store.look_after()
            if trouble:
                log.error("nothing more is recorded: %s", trouble)
                return

    def _tick(self) -> None:
        slept_s = 0.0
        while not self._stop.wait(TICK_S):
            now_slept_s = self.clock.slept_s()
            if now_slept_s - slept_s >= SLEPT_S:
                self._say_slept(now_slept_s - slept_s)
            slept_s = now_slept_s
            for service in self.services.values():
                try:
                    service.tick()
                except Exception:
                    # One bad tick must not end the alarms of all later ones.
                    log.exception("a tick of the service failed")
