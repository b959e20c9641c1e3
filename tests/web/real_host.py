"""The page over the real service and a real store; orders are taken instead of by a board."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

from emberdraft.clock import Clock
from emberdraft.daemon.notice_desk import NoticeDesk
from emberdraft.daemon.notice_settings import notices_file
from emberdraft.daemon.order import Order
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.daemon.service import Service
from emberdraft.store.store import Store
from emberdraft.web.app import create_app
from emberdraft.web.server import PageServer
from tests.waiting import CAP_S


class Orders:
    """Takes orders instead of a board."""

    def __init__(self) -> None:
        self.sent: list[tuple[str, dict[str, Any]]] = []

    def send_order(self, order: Order) -> int:
        self.sent.append((order.name, dict(order.args)))
        return len(self.sent)


@dataclass
class Host:
    service: Service
    store: Store
    orders: Orders
    server: PageServer
    http: httpx.Client
    shelf: PlanShelf
    seq: int = 0

    def reading(self, **values: Any) -> None:
        """One reading, as ingest hands it on after it is on the disk."""
        at_s = self.service.clock.now_s()
        row = {
            **{"at_s": at_s, "arrived_s": at_s, "boot": "b1", "seq": self.seq, "ms": self.seq * 1000, "late": False},
            **{"mode": "off", "phase": "", "pit_c": 20.5, "pit_fault": "", "stone_c": 20.0, "stone_fault": ""},
            **{"core_c": [5.0, 18.0], "core_fault": ["", ""], "board_c": 21.0, "target_c": None, "ref_c": None},
            **{"duty": 0.0, "drive": 0.0, "opening": None, "lid_open": False, "p": 0.0, "i": 0.0, "d": 0.0},
            **{"ff": 0.0, "fire": 0.0, "why": "off"},
            **values,
        }
        self.seq += 1
        self.store.add_records("yard", "b1", [row])
        self.service.on_records("yard", [row])


def plain_http(url: str) -> httpx.Client:
    """Asks a host of the tests. To read all that one trusts for TLS, which no test here speaks, would be most of it."""
    return httpx.Client(base_url=url, timeout=CAP_S, verify=False)


@contextmanager
def real_host(folder: Path) -> Iterator[Host]:
    """A host whose record and plans are in this folder."""
    store, orders, shelf = Store(folder / "cooks.sqlite"), Orders(), PlanShelf(folder / "plans")
    service = Service(store, Clock(), "yard", orders)
    server = PageServer(create_app(service, store, shelf=shelf)).start()
    service.notifier.start()
    kept = notices_file(folder / "cooks.sqlite")
    service.notices = NoticeDesk(service.notifier, store, service.clock.now_s, kept, server.url)
    with plain_http(server.url) as http:
        yield Host(service, store, orders, server, http, shelf)
    service.notifier.stop()
    server.stop()
    store.close()
