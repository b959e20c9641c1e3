"""Half requests, idle connections and readers that do not read: the page goes on, and so do the files of the rest."""

from __future__ import annotations

import contextlib
import resource
import socket
import time
from collections.abc import Iterator

import httpx
import psutil
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from emberdraft.web import connections
from emberdraft.web.connections import AN_ADDRESS, LOCAL, REMOTE
from tests.waiting import CAP_S
from tests.web.real_host import Host

HALF = b"GET /api/now HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "


@contextlib.contextmanager
def flood(host: Host, count: int, sent: bytes = HALF, own: str = "127.0.0.1") -> Iterator[list[socket.socket]]:
    """Connections that have sent no whole request, from an address of this machine."""
    with contextlib.ExitStack() as stack:
        made = []
        for _ in range(count):
            each = stack.enter_context(socket.socket())
            each.bind((own, 0))
            each.settimeout(5.0)
            each.connect(("127.0.0.1", host.server.port))
            with contextlib.suppress(OSError):
                each.sendall(sent)
            made.append(each)
        yield made


def ended(each: socket.socket) -> bool:
    try:
        return each.recv(1) == b""
    except ConnectionError:
        return True


def test_a_thousand_half_requests_stop_neither_page_nor_the_files_of_the_link(host: Host) -> None:
    """A process has 1,024 files by default (soft limit of RLIMIT_NOFILE on Linux)."""
    host.http.get("/api/now")
    before = psutil.Process().num_fds()
    with flood(host, 400):
        for _ in range(5):
            assert httpx.get(host.server.url + "api/now", timeout=CAP_S).status_code == 200
        # Ours are counted as well: the client's ends are in the same process.
        assert psutil.Process().num_fds() - before <= 400 + LOCAL + 10
    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    assert min(soft, 1024) / 4 >= LOCAL + REMOTE


def test_the_one_that_waited_longest_goes_first(host: Host) -> None:
    with flood(host, LOCAL + 20) as made:
        assert all(ended(each) for each in made[:10])
        made[-1].setblocking(False)
        with pytest.raises(BlockingIOError):
            made[-1].recv(1)


def test_a_request_that_does_not_come_is_given_up_and_one_that_is_answered_is_not(
    host: Host, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "REQUEST_S", 0.3)
    with flood(host, 3) as made, httpx.stream("GET", host.server.url + "api/stream", timeout=CAP_S) as stream:
        chunks = stream.iter_raw()
        assert next(chunks)
        assert all(ended(each) for each in made)
        host.reading()
        assert any(b"now" in chunk for chunk in chunks)


def test_a_request_a_byte_at_a_time_is_given_up_too(host: Host, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "REQUEST_S", 0.5)
    with flood(host, 1, b"G") as (each,):
        begun = time.monotonic()
        with pytest.raises(OSError):
            while time.monotonic() - begun < 10.0:  # twenty times as long as it is given
                each.sendall(b"x")
                time.sleep(0.05)


def test_many_addresses_share_a_bound_and_this_machine_keeps_its_own(
    host: Host, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Addresses of 127/8 stand for other machines: only the first is taken for this one."""
    monkeypatch.setattr(connections, "is_loopback", lambda address: address == "127.0.0.1")
    with contextlib.ExitStack() as stack:
        for k in range(2, 12):
            stack.enter_context(flood(host, AN_ADDRESS, own=f"127.0.0.{k}"))
        assert len(host.server._server.server_state.connections) <= LOCAL + REMOTE + 1
        assert httpx.get(host.server.url + "api/now", timeout=CAP_S).status_code == 200


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sent=st.lists(
        st.sampled_from([b"", b"G", HALF, b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\nab", b"\x16\x03\x01",
                         b"\r\n\r\n", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET / HT", HALF * 500]),
        min_size=1, max_size=4,
    ),
    count=st.integers(1, LOCAL + 30),
)  # fmt: skip
def test_whatever_is_half_sent_the_page_answers(host: Host, sent: list[bytes], count: int) -> None:
    with contextlib.ExitStack() as stack:
        for each in sent:
            stack.enter_context(flood(host, count // len(sent) + 1, each))
        assert httpx.get(host.server.url + "api/now", timeout=CAP_S).status_code == 200
        assert len(host.server._server.server_state.connections) <= LOCAL + 1
