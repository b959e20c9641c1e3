"""Whatever comes over the network: a message or a request is taken or refused, and nothing breaks."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from emberdraft.clock import Clock
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.ingest import Ingest
from emberdraft.daemon.line import Message
from emberdraft.store import Store
from emberdraft.web import door
from emberdraft.web.app import ROUTES, create_app
from emberdraft.web.people import People
from tests.link.test_wire_doc import made
from tests.own_thread import in_own_thread
from tests.proof.fixture import Proof
from tests.web.conftest import cooked as cooked  # the fixtures
from tests.web.conftest import larder as larder
from tests.web.kitchen import service_over

SAMPLE, WHOLE = 150, 10_000

numbers = st.integers() | st.floats() | st.sampled_from([0, -1, 2**31, 2**63, 1e308, -1e308])
plain = st.none() | st.booleans() | numbers | st.text(max_size=20) | st.sampled_from(["", "pit", "yard", "..", "\x00"])
values = st.recursive(
    plain, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
)

# ---- messages -------------------------------------------------------------------------------

GOOD = {kind: example for kind, examples in made().items() for example in examples[:1]}


@st.composite
def messages(draw: Any) -> tuple[str, bytes]:
    """A right message with some fields changed, taken away or added; or any JSON; or any bytes."""
    kind = draw(st.sampled_from(sorted(GOOD)))
    what = draw(st.sampled_from([kind, kind, kind, "alert/pull", "alert/", "settings", "", "reading/x"]))
    cooker = draw(st.sampled_from(["yard", "yard", "yard", "barn", "+", "UPPER", "x" * 40, ""]))
    version = draw(st.sampled_from(["1", "1", "1", "2", "", "\u0661"]))
    topic = draw(st.just(f"emberdraft/{version}/{cooker}/{what}") | st.text(max_size=30))
    if draw(st.booleans()):
        message = dict(GOOD[kind])
        for name in draw(st.lists(st.sampled_from(sorted(message)), max_size=3)):
            message[name] = draw(values)
        for name in draw(st.lists(st.sampled_from(sorted(message)), max_size=1)):
            del message[name]
        return topic, json.dumps(message).encode()
    return topic, draw(values.map(lambda value: json.dumps(value).encode()) | st.binary(max_size=200))


class Taker:
    """An ingest without its threads: each message is sorted and committed as its worker does it."""

    def __init__(self, store: Store) -> None:
        self.ingest = Ingest(BrokerAddress("127.0.0.1", 1), None, store, Clock())
        self.at_s = 1_790_000_000.0

    def take(self, topic: str, payload: bytes, retained: bool) -> None:
        self.at_s += 0.5
        self.ingest._guarded(self.ingest._sort, Message(self.at_s, topic, payload, retained))
        self.ingest._commit_all()
        self.ingest._guarded(self.ingest._watch_links)

    def crashes(self) -> list[str]:
        """What the worker had to be guarded from."""
        counts = self.ingest.counts()
        return [counts["callback"].example] if "callback" in counts else []


def take_messages(store: Store, count: int) -> list[str]:
    taker = Taker(store)

    @seed(8)
    @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(messages(), st.booleans())
    def each(message: tuple[str, bytes], retained: bool) -> None:
        taker.take(*message, retained)
        assert taker.crashes() == []

    each()
    return taker.crashes()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "cooks.sqlite") as store:
        yield store


def test_any_message_is_taken_or_refused(store: Store) -> None:
    assert take_messages(store, SAMPLE) == []


@pytest.mark.prove("Security: fuzzing")
def test_ten_thousand_messages(store: Store, proof: Proof) -> None:
    crashes = take_messages(store, WHOLE)
    proof.promise(f"{WHOLE} fuzzed messages to the host: crashes", len(crashes), equals=0, note=" ".join(crashes[:3]))


# ---- requests -------------------------------------------------------------------------------

PATHS = sorted({route.path for route in [*ROUTES, *door.ROUTES]})
part = st.sampled_from(["1", "2", "999", "-1", "hold", "nothing", "%00", "..", "9" * 30, "\u00e9"]) | st.text(
    max_size=12
)


@st.composite
def requests(draw: Any) -> dict[str, Any]:
    """A route of ours with anything in its holes, its query and its body; sometimes no route at all."""
    path = draw(st.sampled_from(PATHS))
    while "{" in path:
        head, _, rest = path.partition("{")
        path = head + quote(draw(part).encode("utf-8", "replace")) + rest.partition("}")[2]
    names = st.sampled_from(["from", "to", "points", "traces", "open", "at", "rule", "x"])
    query = draw(st.dictionaries(names, st.text(max_size=12) | numbers.map(str), max_size=3))
    keys = ["kind", "value", "text", "name", "args", "mark_id", "prompt_id", "code", "password", "replace", "anyway"]
    body = draw(values | st.dictionaries(st.sampled_from(keys), values, max_size=4))
    raw = draw(st.just(json.dumps(body).encode()) | st.binary(max_size=60))
    kind = draw(st.sampled_from(["application/json"] * 4 + ["text/plain", ""]))
    method = draw(st.sampled_from(["GET", "POST", "POST", "PUT", "DELETE", "HEAD", "OPTIONS"]))
    return {"method": method, "url": path or "/", "params": query, "content": raw, "headers": {"content-type": kind}}


def ask_requests(cooked: Path, folder: Path, count: int) -> list[str]:
    """Answers that say the host itself broke; the stream is left out, since it never ends."""
    broke: list[str] = []
    with Store(cooked) as store:
        app = create_app(service_over(store), store, people=People(folder / "people.json"))

        async def at_home(scope: Any, receive: Any, send: Any) -> None:
            await app({**scope, "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 80)}, receive, send)

        async def ask(request: dict[str, Any]) -> httpx.Response:
            transport = httpx.ASGITransport(app=at_home)
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as http:
                return await http.request(**request)

        @seed(8)
        @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
        @given(requests())
        def each(request: dict[str, Any]) -> None:
            if request["url"].startswith("/api/stream"):
                return
            answer = loop.run_until_complete(ask(request))
            if answer.status_code >= 500:
                broke.append(f"{request}: {answer.status_code}")
            assert answer.status_code < 500

        loop = asyncio.new_event_loop()
        try:
            each()
        finally:
            loop.run_until_complete(loop.shutdown_default_executor())
            loop.close()
    return broke


def test_any_request_is_answered_or_refused(cooked: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.ERROR)
    assert in_own_thread(partial(ask_requests, cooked, tmp_path, SAMPLE)) == []
    assert caplog.records == []


@pytest.mark.prove("Security: fuzzing")
def test_ten_thousand_requests(cooked: Path, tmp_path: Path, proof: Proof) -> None:
    broke = in_own_thread(partial(ask_requests, cooked, tmp_path, WHOLE))
    proof.promise(
        f"{WHOLE} fuzzed requests to the page: answers of 500", len(broke), equals=0, note=" ".join(broke[:3])
    )
