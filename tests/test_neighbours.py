"""`serve` for the neighbours' tools: what goes together, and the local network told by DNS-SD."""

from __future__ import annotations

import argparse
import re
import threading
from contextlib import ExitStack

import pytest
import zeroconf

from emberdraft.commands import neighbours
from emberdraft.errors import UserError
from tests.own_thread import in_own_thread


def _args(**given: object) -> argparse.Namespace:
    return argparse.Namespace(**{"homie": False, "discovery": None, "mdns": False, "lan": None} | given)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"discovery": "homeassistant"}, "--homie"),
        ({"discovery": "a/#", "homie": True}, "letters, digits, _ and -"),
        ({"mdns": True}, "--lan as well"),
    ],
)
def test_what_does_not_go_together_is_refused_before_anything_starts(given: dict[str, object], words: str) -> None:
    with pytest.raises(UserError, match=re.escape(words)):
        neighbours.check(_args(**given))


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "zeroconf", None)
    with pytest.raises(UserError, match="pip install"):
        neighbours.check(_args(mdns=True, lan=""))


def _found_and_gone() -> dict[str, int]:
    found: dict[str, int] = {}
    gone, both, seen = threading.Event(), threading.Event(), zeroconf.Zeroconf(interfaces=["127.0.0.1"])

    def heard(zeroconf: object, service_type: str, name: str, state_change: object) -> None:
        if "Added" in str(state_change):
            info = seen.get_service_info(service_type, name, 5000)
            found[service_type] = info.port if info else 0
            both.set() if len(found) == 2 else None
        elif "Removed" in str(state_change):
            gone.set()

    browser = zeroconf.ServiceBrowser(seen, ["_http._tcp.local.", "_mqtt._tcp.local."], handlers=[heard])
    with ExitStack() as stack:
        names = neighbours.announce(stack, "127.0.0.1", 48018, 41883)
        assert [name.split(".", 1)[1] for name in names] == ["_http._tcp.local", "_mqtt._tcp.local"]
        assert both.wait(15.0)
    assert gone.wait(15.0)
    browser.cancel()
    seen.close()
    return found


def test_page_and_broker_are_found_on_the_network_and_gone_after() -> None:
    """A browser of DNS-SD (RFC 6763) finds both services on the loopback network, with their ports."""
    assert in_own_thread(_found_and_gone) == {"_http._tcp.local.": 48018, "_mqtt._tcp.local.": 41883}
