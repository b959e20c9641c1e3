"""Messages that are not ours, not of our version, or not right: counted with the last example, never fatal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from emberboard.link import messages
from emberdraft.clock import Clock
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.ingest import MOST_COOKERS, Ingest
from emberdraft.daemon.line import LARGEST_MESSAGE, QUEUE_LENGTH, Message
from emberdraft.daemon.tally import KINDS
from emberdraft.store import Store


@pytest.fixture
def ingest(tmp_path: Path) -> Iterator[Ingest]:
    """An ingest that is not connected: messages are put in by hand."""
    with Store(tmp_path / "cooks.sqlite") as store:
        yield Ingest(BrokerAddress("127.0.0.1", 1), None, store, Clock())


def hear(ingest: Ingest, topic: str, payload: bytes = b"{}") -> None:
    ingest._sort(Message(0.0, topic, payload, False))


@pytest.mark.parametrize(
    "topic",
    [
        "weather/outside",
        "emberdraft/1",
        "emberdraft/1/Patio!/reading",
        "emberdraft/1/patio/nonsense",
        "$SYS/uptime",
        "",
    ],
)
def test_a_foreign_topic_is_counted(ingest: Ingest, topic: str) -> None:
    hear(ingest, topic)
    assert (ingest.counts()["foreign"].count, ingest.counts()["foreign"].example) == (1, topic)


def test_another_wire_version_is_told_with_both_versions_and_the_remedy(ingest: Ingest) -> None:
    hear(ingest, "emberdraft/2/patio/reading")
    (sentence,) = [text for text in ingest.troubles() if "version" in text]
    assert "cooker patio speaks wire version 2" in sentence
    assert "this host speaks 1" in sentence
    assert "same release" in sentence
    assert ingest.counts()["other_version"].example == sentence


def test_a_malformed_message_is_counted_with_what_is_wrong(ingest: Ingest) -> None:
    hear(ingest, "emberdraft/1/patio/link", b'{"state": "away", "boot": "a"}')
    hear(ingest, "emberdraft/1/patio/link", b'{"state": "online"}')
    assert ingest.counts()["malformed"].count == 2
    assert "missing required field `boot`" in ingest.counts()["malformed"].example


def test_a_message_larger_than_any_of_ours_is_not_even_queued(ingest: Ingest) -> None:
    big = SimpleNamespace(topic="emberdraft/1/patio/info", payload=bytes(LARGEST_MESSAGE + 1), retain=True)
    ingest._line._on_message(None, None, big)  # type: ignore[arg-type]
    assert ingest.counts()["too_large"].count == 1
    assert ingest._line.queue.empty()


def test_a_flood_is_dropped_and_counted_and_never_blocks_the_network(ingest: Ingest) -> None:
    small = SimpleNamespace(topic="emberdraft/1/patio/reading", payload=b"{}", retain=False)
    for _ in range(QUEUE_LENGTH + 5):
        ingest._line._on_message(None, None, small)  # type: ignore[arg-type]
    assert ingest.counts()["overrun"].count == 5


def test_a_broker_full_of_strangers_does_not_fill_the_memory(ingest: Ingest) -> None:
    for k in range(MOST_COOKERS + 10):
        hear(ingest, f"emberdraft/1/stranger-{k}/link", messages.link("online", "a"))
    assert len(ingest.cookers()) == MOST_COOKERS
    assert ingest.counts()["foreign"].count == 10


def test_every_kind_that_is_counted_has_words_for_a_person(ingest: Ingest) -> None:
    source = "".join(
        path.read_text(encoding="utf-8")
        for path in (Path(__file__).parents[2] / "host" / "emberdraft" / "daemon").glob("*.py")
    )
    assert set(re.findall(r'allies\.add\(\s*"(\w+)"', source)) == set(KINDS)
