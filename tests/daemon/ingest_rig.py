"""A board of the real link code on real sockets, ticking in a thread, for the tests of ingest."""

from __future__ import annotations

import threading
import time

from emberboard.link import messages
from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.sockets import Opener
from emberboard.link.spool import Spool
from emberdraft.daemon.broker import BrokerAddress
from tests.link.peer import Controller, inputs, outputs

COOKER = "test"


class BoardThread:
    """Spool, session and client of the firmware; `speed` board seconds pass in a real one.

    The spool is larger than a board's: at sixty times 600 records last ten seconds, too short for a start of a process.
    """

    def __init__(self, address: BrokerAddress, speed: float, boot: str = "aa11bb22", capacity: int = 6000) -> None:
        self.speed = speed
        self.boot = boot
        self.controller = Controller()
        keep_alive_s = int(2 * speed)  # two real seconds
        self.spool = Spool(capacity, boot, stall_ms=int(700 * speed))
        client = MqttClient(
            Opener().open,
            address.host,
            address.port,
            f"board-{boot}",
            address.user,
            address.password,
            keep_alive_s,
            messages.will(COOKER, boot),
            subscriptions(COOKER),
        )
        info = {"firmware": "test", "sensors": {}, "limits": {}}
        self.session = LinkSession(client, self.spool, self.controller, COOKER, boot, info)
        self._ending = threading.Event()
        self._ticking = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> BoardThread:
        self._ticking.set()
        self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self._ending.set()
        self._thread.join()
        self.session.goodbye()

    def rest(self) -> None:
        """Make no more readings; the conversation goes on."""
        self._ticking.clear()

    def settled(self) -> bool:
        """True when the host has acknowledged everything."""
        return self.spool.next_seq > 0 and self.spool.oldest == self.spool.next_seq

    def _run(self) -> None:
        start_s, made = time.monotonic(), 0
        while not self._ending.is_set():
            now_ms = int((time.monotonic() - start_s) * self.speed * 1000.0)
            if now_ms >= made * 1000:
                made += 1
                if self._ticking.is_set():
                    self.spool.add_reading(now_ms, outputs(pit_f_c=1.0), inputs())
            self.session.poll(now_ms)
            self._ending.wait(0.5 / self.speed)
