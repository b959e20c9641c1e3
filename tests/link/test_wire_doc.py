"""docs/reference/wire.md and wire.schema.json say what the code does: every topic, field and refusal."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest

from emberboard import wiring
from emberboard.link import messages, records, spool
from emberboard.link.client import INBOX
from emberdraft.daemon import heard, keeper
from emberdraft.daemon import line as broker_line
from tests.link.peer import Board, Plain, inputs, outputs
from tests.link.schema_check import troubles

FOLDER = Path(__file__).parents[2] / "docs" / "reference"
TEXT = (FOLDER / "wire.md").read_text(encoding="utf-8")
DEFS = json.loads((FOLDER / "wire.schema.json").read_text(encoding="utf-8"))["$defs"]
SECTIONS = dict(re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", TEXT, re.MULTILINE | re.DOTALL))
KINDS = ("reading", "event", "link", "info", "tuning", "alert", "order", "reply", "ack", "keeper")
STRUCTS = {
    "reading": heard.Reading,
    "event": heard.Event,
    "link": heard.Link,
    "info": heard.Info,
    "alert": heard.Alert,
    "reply": heard.Reply,
    "keeper": keeper.Claim,
}


def section(kind: str) -> str:
    return SECTIONS["alert/&lt;id&gt;" if kind == "alert" else kind]


def rows(text: str) -> list[list[str]]:
    """Cells of all table rows in a section, without heads and rules."""
    lines = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("| ")]
    return [cells for cells in lines if "`" in cells[0]]


def names(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def claim() -> bytes:
    """What a host says that keeps a cooker."""
    host = keeper.Keeper("0123456789abcdef", "/var/lib/emberdraft/cooks.sqlite")
    host.connected(0.0)
    return host.due(1.0) or b""


def made() -> dict[str, list[dict[str, Any]]]:
    """Messages of every kind as the code makes them."""
    buf = bytearray(4 * records.SIZE)
    records.pack_reading(buf, 0, 7, 7000, outputs(), inputs())
    records.pack_reading(buf, 48, 8, 8000, outputs(target_c=None, opening=None), inputs(core_c=[], core_fault=[]))
    records.pack_event(buf, 96, 9, 9000, "alert", 352.0, None, "pit_over_limit")
    records.pack_event(buf, 144, 10, 10000, "lost", 0, 5, "aa11bb22")
    packed = [json.loads(bytes(messages.record(buf, 48 * k, "aa11bb22", 3, k % 2 == 1)[1])) for k in range(4)]
    entry = Plain(kind="trip", value=352.0, limit=350.0, since_ms=5, acknowledged=False, active=True)
    other = {
        "link": messages.link("online", "aa11bb22"),
        "info": messages.info({"firmware": "0.1.0", "sensors": {}, "limits": {}}, "aa11bb22", 0, 150),
        "tuning": messages.tuning({"kp": 0.01}, "aa11bb22", None, 5),
        "alert": messages.alert("pit_over_limit", entry, "aa11bb22", 3),
        "order": messages.order(1, "aa11bb22", 5, "target", {"target_c": 120.0}),
        "reply": messages.reply(None, "aa11bb22", "out_of_range", "n: must be a whole number", 5),
        "ack": messages.ack("aa11bb22", 3),
        "keeper": claim(),
    }
    return {"reading": packed[:2], "event": packed[2:], **{kind: [json.loads(raw)] for kind, raw in other.items()}}


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_code_makes_fits_the_schema(kind: str) -> None:
    for message in made()[kind]:
        assert troubles(message, DEFS[kind], DEFS) == []


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_refuses_a_message_with_a_part_missing_or_of_a_wrong_type(kind: str) -> None:
    message = made()[kind][0]
    for name in DEFS[kind]["required"]:
        assert troubles({key: value for key, value in message.items() if key != name}, DEFS[kind], DEFS)
        assert troubles({**message, name: ["wrong"] if name not in ("core_c", "core_fault") else 5}, DEFS[kind], DEFS)


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_is_in_the_schema_and_on_the_page(kind: str) -> None:
    fields = {name for message in made()[kind] for name in message} - ({"kp"} if kind == "tuning" else set())
    assert fields <= set(DEFS[kind]["properties"])
    general = {name for cells in rows(SECTIONS["Fields that return"]) for name in names(cells[0])}
    here = {name for cells in rows(section(kind)) for name in names(cells[0])}
    assert fields - here - general == set()


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_the_schema_is_made_by_the_code(kind: str) -> None:
    fields = {name for message in made()[kind] for name in message}
    assert set(DEFS[kind]["properties"]) <= fields


@pytest.mark.parametrize("kind", sorted(STRUCTS))
def test_the_host_reads_the_same_fields(kind: str) -> None:
    fields = {field.name for field in msgspec.structs.fields(STRUCTS[kind])}
    assert fields == set(DEFS[kind]["properties"]) - {"first", "last"}
    required = {field.name for field in msgspec.structs.fields(STRUCTS[kind]) if field.required}
    assert required == set(DEFS[kind]["required"])


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_has_an_example_of_each_that_fits(kind: str) -> None:
    examples = re.findall(r"```json\n(.*?)```", section(kind), re.DOTALL)
    assert examples
    for example in examples:
        message = json.loads(example)
        assert troubles(message, DEFS[kind], DEFS) == []
        if kind in STRUCTS:
            msgspec.json.decode(example, type=STRUCTS[kind])


def test_every_topic_with_its_quality_and_retain_flag() -> None:
    table = {names(cells[0])[0]: cells for cells in rows(SECTIONS["Topics"])}
    assert set(table) == {*KINDS} - {"alert"} | {"alert/<id>"}
    assert {what for what, cells in table.items() if cells[1].startswith("board")} | {keeper.TOPIC} == {
        what.replace("+", "<id>") for what in broker_line.HEARD
    }
    board = Board()
    board.controller.alerts = {
        "pull": Plain(kind="notice", value=57.0, limit=57.0, since_ms=0, acknowledged=False, active=True)
    }
    board.spool.add_event(0, "boot")
    board.seconds(2)
    board.order(n=3)
    board.second()
    seen = {(re.sub("alert/.*", "alert/<id>", topic.split("/", 3)[3]), kept) for topic, _, kept in board.peer.published}
    assert seen == {(what, cells[3] == "yes") for what, cells in table.items() if cells[1].startswith("board")}


def test_every_refusal() -> None:
    first = [names(cells[0])[0] for cells in rows(SECTIONS["reply"])]
    assert first == ["n", "code", "text", *messages.REFUSALS]
    assert DEFS["reply"]["properties"]["code"]["enum"] == ["", *messages.REFUSALS]


def test_every_order_with_its_arguments() -> None:
    table = {names(cells[0])[0]: cells for cells in rows(section("order")) if names(cells[0])[0] in messages.ORDERS}
    assert sorted(table) == sorted(messages.ORDERS) == sorted(DEFS["order"]["properties"]["name"]["enum"])
    for name, cells in table.items():
        needed, kinds = messages.ORDERS[name]
        text = re.sub(r"\(.*?\)", "", cells[1])
        assert names(text) == list(kinds)
        assert re.findall(r"\*\*`([^`]+)`\*\*", text) == list(needed)


def test_the_numbers_on_the_page_are_those_of_the_code() -> None:
    ring = spool.Spool(wiring.HELD_ROWS)
    assert f"a ring of {ring.capacity}" in TEXT and f"({len(ring.buf):,} bytes)" in TEXT
    assert f"at most {records.SIZE} bytes" in TEXT
    assert f"{spool.BURST} at once and {1000 // spool.REPLAY_MS} a second, so never more than 20" in TEXT
    assert spool.BURST + 1000 // spool.REPLAY_MS == 20
    assert f"more than {spool.LIVE_MS // 1000} s old" in TEXT
    assert f"| food probes in a reading; a board has sockets for up to 3 | {records.MOST_PROBES} |" in TEXT
    assert f"at most {records.MOST_TEXT} bytes" in TEXT
    assert f"| messages to a board that wait | {INBOX};" in TEXT
    assert f"{broker_line.QUEUE_LENGTH:,} may wait" in TEXT
    assert f"{broker_line.LARGEST_MESSAGE // 1024} KiB" in TEXT


def test_the_version_sentence_on_the_page_is_the_one_that_is_said() -> None:
    assert messages.version_trouble("the order", "2", "this board") in TEXT.replace("\n", " ")
