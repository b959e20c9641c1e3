"""The messages of a board as checked objects: docs/reference/wire.md, from the host's side.

Unknown fields are let pass (a newer board of the same wire version may say more); a known field
of the wrong type or out of its range makes the message malformed.
"""

from __future__ import annotations

import contextlib
from typing import Annotated, Any

import msgspec

from emberboard.core.words import FAULTS, MODES, PHASES, WHYS
from emberboard.link.records import MOST_PROBES

# No board makes more than this: a reading a second, and events as they happen.
MOST_ROWS_PER_S, MOST_AT_ONCE = 10.0, 1000

Boot = Annotated[str, msgspec.Meta(min_length=1, max_length=32)]
Count = Annotated[int, msgspec.Meta(ge=0, le=2**53)]
Celsius = Annotated[float, msgspec.Meta(ge=-700.0, le=2000.0)]
Share = Annotated[float, msgspec.Meta(ge=0.0, le=1.0)]
Term = Annotated[float, msgspec.Meta(ge=-10.0, le=10.0)]
Word = Annotated[str, msgspec.Meta(max_length=32)]
Text = Annotated[str, msgspec.Meta(max_length=400)]


class Reading(msgspec.Struct):
    """One second of the board."""

    boot: Boot
    seq: Count
    ms: Count
    oldest: Count
    mode: Word
    phase: Word
    pit_c: Celsius | None
    pit_fault: Word
    stone_c: Celsius | None
    stone_fault: Word
    core_c: Annotated[list[Celsius | None], msgspec.Meta(max_length=MOST_PROBES)]
    core_fault: Annotated[list[Word], msgspec.Meta(max_length=MOST_PROBES)]
    board_c: Celsius | None
    target_c: Celsius | None
    ref_c: Celsius | None
    duty: Share
    drive: Share
    opening: Share | None
    lid_open: bool
    p: Term
    i: Term
    d: Term
    ff: Term
    fire: Annotated[float, msgspec.Meta(ge=0.0, le=100.0)]
    why: Word
    late: bool = False


class Event(msgspec.Struct):
    """Something that happened on the board."""

    boot: Boot
    seq: Count
    ms: Count
    oldest: Count
    kind: Word
    value: float | None
    limit: float | None
    text: Text
    late: bool = False


class Link(msgspec.Struct):
    """What the board, or its will, says of its being there."""

    state: Annotated[str, msgspec.Meta(pattern="^(online|offline)$")]
    boot: Boot


class Held(msgspec.Struct):
    """Rows of an earlier start that the board still has, and its uptime at the end of them."""

    boot: Boot
    oldest: Count
    next: Count
    end_s: Count


class Info(msgspec.Struct):
    """What the board is."""

    firmware: Text
    boot: Boot
    sensors: dict[str, Any]
    limits: dict[str, Any]
    oldest: Count
    ms: Count
    held: Annotated[list[Held], msgspec.Meta(max_length=16)] = []


class Alert(msgspec.Struct):
    """A pause, trip or notice that stands."""

    id: Word
    kind: Word
    value: float | None
    limit: float | None
    since_ms: Count
    acknowledged: bool
    boot: Boot
    seq: Count
    active: bool = True  # a board of earlier firmware does not say


class Reply(msgspec.Struct):
    """The board's answer to an order; code '' is accepted."""

    n: int | None
    boot: Boot
    code: Word
    text: Text
    ms: Count


class Stamp(msgspec.Struct):
    """The least that says which record a message was."""

    boot: Boot
    seq: Count


class Clocked(Stamp):
    """What a record that cannot be read may still say of its board: see Reading."""

    ms: Count
    oldest: Count
    late: bool = False


READING = msgspec.json.Decoder(Reading)
EVENT = msgspec.json.Decoder(Event)
LINK = msgspec.json.Decoder(Link)
INFO = msgspec.json.Decoder(Info)
ALERT = msgspec.json.Decoder(Alert)
REPLY = msgspec.json.Decoder(Reply)
STAMP = msgspec.json.Decoder(Stamp)
CLOCKED = msgspec.json.Decoder(Clocked)

WORDS = {"mode": MODES, "phase": PHASES, "why": WHYS, "pit_fault": FAULTS, "stone_fault": FAULTS}


def stamp_of(payload: bytes) -> Stamp | None:
    """Boot and seq of a record that is otherwise malformed, with its time if that can be believed; or None."""
    for decoder in (CLOCKED, STAMP):
        with contextlib.suppress(msgspec.MsgspecError, UnicodeDecodeError):
            stamp: Stamp = decoder.decode(payload)
            if not isinstance(stamp, Clocked) or not doubt(stamp):
                return stamp
    return None


def record_of(what: str, payload: bytes) -> Reading | Event:
    """A `reading` or an `event`; msgspec.MsgspecError or UnicodeDecodeError if it is none."""
    record: Reading | Event = READING.decode(payload) if what == "reading" else EVENT.decode(payload)
    trouble = doubt(record)
    if trouble:
        raise msgspec.ValidationError(trouble)
    return record


def doubt(record: Reading | Event | Clocked) -> str:
    """Why its count cannot be: rows that a board says it has let go are believed gone; '' if it can."""
    if record.oldest > record.seq:
        return f"oldest {record.oldest}: at most seq {record.seq} would be right"
    most = MOST_AT_ONCE + int(record.ms / 1000.0 * MOST_ROWS_PER_S)
    return "" if record.seq <= most else f"seq {record.seq}: at most {most} rows at {record.ms} ms would be right"


def tuning_of(payload: bytes) -> tuple[dict[str, Any], int | None, str]:
    """(gains and learned constants, order that set them, boot) of a `tuning` message."""
    message = msgspec.json.decode(payload, type=dict[str, Any])
    n, boot = message.pop("n", None), message.pop("boot", "")
    message.pop("ms", None)
    if not (n is None or isinstance(n, int)) or not isinstance(boot, str) or not boot:
        raise msgspec.ValidationError("tuning: n must be a whole number or null, boot a text")
    return message, n, boot
