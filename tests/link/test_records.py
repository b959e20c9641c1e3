"""Packed records: 48 bytes that give back what went in, to the step of each field."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from emberboard.core import words
from emberboard.link import compose, messages, records
from tests.link.peer import inputs, outputs

EPSILON = 1e-9


def reading(out: Any = None, into: Any = None, seq: int = 7, ms: int = 7000) -> dict[str, Any]:
    buf = bytearray(3 * records.SIZE)
    records.pack_reading(buf, records.SIZE, seq, ms, out or outputs(), into or inputs())
    assert not any(buf[: records.SIZE]) and not any(buf[2 * records.SIZE :])
    return records.unpack(buf, records.SIZE)


def event(kind: str, value: Any = None, limit: Any = None, text: str = "", ms: int = 5) -> dict[str, Any]:
    buf = bytearray(3 * records.SIZE)
    records.pack_event(buf, records.SIZE, 9, ms, kind, value, limit, text)
    assert not any(buf[: records.SIZE]) and not any(buf[2 * records.SIZE :])
    return records.unpack(buf, records.SIZE)


def test_a_reading_is_the_json_of_the_wire() -> None:
    assert reading() == {
        "seq": 7,
        "ms": 7000,
        "mode": "hold",
        "phase": "slow",
        "why": "steady",
        "lid_open": False,
        "pit_c": 121.02,
        "pit_fault": "",
        "stone_c": None,
        "stone_fault": "open",
        "core_c": [20.5, None],
        "core_fault": ["", "absent"],
        "board_c": 31.5,
        "target_c": 121.0,
        "ref_c": 121.0,
        "duty": 0.21,
        "drive": 0.3,
        "opening": 0.45,
        "p": 0.05,
        "i": 0.16,
        "d": -0.012,
        "ff": 0.0,
        "fire": 0.5,
    }


def test_no_record_is_larger_than_48_bytes() -> None:
    assert records.SIZE == 48


@given(st.floats(-650.0, 655.0))
def test_a_temperature_comes_back_within_a_hundredth_of_a_degree(pit_c: float) -> None:
    assert abs(reading(into=inputs(pit_c=pit_c))["pit_c"] - pit_c) <= 0.01 + EPSILON


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(-6.5, 6.5), st.floats(0.0, 3.0))
def test_shares_and_terms_come_back_within_half_a_step(duty: float, opening: float, p: float, fire: float) -> None:
    got = reading(outputs(duty=duty, opening=opening, p=p, fire=fire))
    assert abs(got["duty"] - duty) <= 0.00005 + EPSILON
    assert abs(got["opening"] - opening) <= 0.00005 + EPSILON
    assert abs(got["p"] - p) <= 0.0001 + EPSILON
    assert abs(got["fire"] - fire) <= 0.0005 + EPSILON


@pytest.mark.parametrize("fault", words.FAULTS[1:])
def test_a_fault_takes_the_place_of_the_value(fault: str) -> None:
    got = reading(into=inputs(pit_c=121.0, pit_fault=fault, stone_fault=fault))
    assert (got["pit_c"], got["pit_fault"]) == (None, fault)
    assert (got["stone_c"], got["stone_fault"]) == (None, fault)


@pytest.mark.parametrize("odd", [math.nan, math.inf, -math.inf])
def test_not_a_number_becomes_none_with_a_fault(odd: float) -> None:
    got = reading(outputs(target_c=None, p=odd if odd != odd else 0.0), inputs(pit_c=odd, board_c=odd))
    assert (got["pit_c"], got["pit_fault"], got["board_c"]) == (None, "nan", None)
    json.loads(json.dumps(got, allow_nan=False))


@pytest.mark.parametrize("probes", range(6))
def test_up_to_four_food_probes(probes: int) -> None:
    got = reading(into=inputs(core_c=[50.0 + k for k in range(probes)], core_fault=[""] * probes))
    assert got["core_c"] == [50.0, 51.0, 52.0, 53.0][:probes]
    assert got["core_fault"] == [""] * min(probes, 4)


def test_values_out_of_range_stay_at_its_end() -> None:
    got = reading(outputs(duty=7.0, p=99.0, d=-99.0, fire=-1.0), inputs(pit_c=5000.0, board_c=-5000.0))
    assert (got["pit_c"], got["board_c"]) == (655.34, -650.24)
    assert (got["p"], got["d"], got["fire"]) == (32767 / 5000, -32768 / 5000, 0.0)


def test_an_untouched_damper_is_none() -> None:
    assert reading(outputs(opening=None))["opening"] is None


def test_names_that_this_release_does_not_know_stop_nothing() -> None:
    got = reading(outputs(mode="new", phase="new", why="new", lid_open=True), inputs(pit_fault="new"))
    assert (got["mode"], got["phase"], got["why"], got["pit_fault"]) == ("?", "?", "?", "?")
    assert got["lid_open"] is True


@pytest.mark.parametrize(
    ("field", "names"), [("mode", words.MODES), ("phase", words.PHASES), ("why", words.WHYS)], ids=str
)
def test_every_name_comes_back(field: str, names: tuple[str, ...]) -> None:
    assert [reading(outputs(**{field: name}))[field] for name in names] == list(names)


@pytest.mark.parametrize("ms", [0, 2**30, 2**32 - 1, 2**32, 2**47])
def test_uptime_does_not_wrap(ms: int) -> None:
    # 32 bits of milliseconds end after 49.7 days, small integers of a 32-bit board after 12.4.
    assert reading(ms=ms)["ms"] == ms
    assert event("boot", ms=ms)["ms"] == ms


@pytest.mark.parametrize("kind", words.EVENTS)
def test_every_event_comes_back(kind: str) -> None:
    got = event(kind, 350, 121, "pit")
    more = {"first": 350, "last": 121} if kind == "lost" else {}
    assert got == {"seq": 9, "ms": 5, "kind": kind, "value": 350, "limit": 121, "text": "pit", **more}


@given(st.text(max_size=60))
def test_a_text_is_kept_up_to_27_bytes_and_never_cut_inside_a_letter(text: str) -> None:
    if any(0xD800 <= ord(letter) < 0xE000 for letter in text):
        return
    got = event("alert", text=text)["text"]
    assert text.startswith(got)
    assert len(got.encode()) <= 27
    assert len(got.encode()) > 27 - 4 or got == text


@given(st.none() | st.floats(width=32), st.none() | st.floats(width=32))
def test_numbers_of_an_event_come_back_or_are_none(value: float | None, limit: float | None) -> None:
    def finite(number: float | None) -> float | None:
        return number if number is not None and math.isfinite(number) else None

    got = event("alert", value, limit)
    assert (got["value"], got["limit"]) == (finite(value), finite(limit))


def test_sequence_numbers_of_a_loss_are_exact() -> None:
    # A 32-bit float has 24 bits: 16777217 would become 16777216.
    got = event("lost", 16777217, 4294967295, "aa11bb22")
    assert (got["value"], got["limit"], got["text"]) == (16777217, 4294967295, "aa11bb22")


def test_the_payload_of_a_record_says_what_it_is() -> None:
    buf = bytearray(2 * records.SIZE)
    records.pack_reading(buf, 0, 3, 3000, outputs(), inputs())
    records.pack_event(buf, records.SIZE, 4, 3001, "lid_open")
    what, payload = messages.record(buf, 0, "aa11bb22", 2, False)
    assert what == "reading"
    got = json.loads(bytes(payload))
    assert (got["boot"], got["oldest"], "late" in got) == ("aa11bb22", 2, False)
    what, payload = messages.record(buf, records.SIZE, "aa11bb22", 2, True)
    assert (what, json.loads(payload)["late"]) == ("event", True)


temperatures = st.none() | st.floats(-700.0, 700.0)
faults = st.sampled_from(words.FAULTS)
terms = st.floats(-7.0, 7.0)


@given(
    st.builds(
        outputs,
        mode=st.sampled_from([*words.MODES, "new"]),
        phase=st.sampled_from(words.PHASES),
        why=st.sampled_from([*words.WHYS, "new"]),
        lid_open=st.booleans(),
        target_c=temperatures,
        ref_c=temperatures,
        duty=st.floats(0.0, 1.0),
        drive=st.floats(0.0, 1.0),
        opening=st.none() | st.floats(0.0, 1.0),
        p=terms,
        i=terms,
        d=terms,
        ff=terms,
        fire=st.floats(0.0, 3.0),
    ),
    st.lists(st.tuples(temperatures, faults), max_size=5),
    st.tuples(temperatures, faults, temperatures, faults, temperatures),
    st.integers(0, 2**32 - 1),
    st.integers(0, 2**48 - 1),
    st.booleans(),
)
def test_the_payload_is_the_record_in_json(
    out: Any, cores: list[Any], probes: Any, seq: int, ms: int, late: bool
) -> None:
    pit_c, pit_fault, stone_c, stone_fault, board_c = probes
    into = inputs(
        pit_c=pit_c,
        pit_fault=pit_fault,
        stone_c=stone_c,
        stone_fault=stone_fault,
        core_c=[value for value, _ in cores],
        core_fault=[fault for _, fault in cores],
        board_c=board_c,
    )
    buf = bytearray(records.SIZE)
    records.pack_reading(buf, 0, seq, ms, out, into)
    what, payload = messages.record(buf, 0, "aa11bb22", seq, late)
    expected = {**records.unpack(buf, 0), "boot": "aa11bb22", "oldest": seq, **({"late": True} if late else {})}
    assert (what, json.loads(bytes(payload))) == ("reading", expected)


def test_the_longest_reading_fits_into_its_buffer() -> None:
    longest = max(words.FAULTS, key=len)
    out = outputs(
        mode="drive",
        phase=max(words.PHASES, key=len),
        why=max(words.WHYS, key=len),
        **dict.fromkeys(("target_c", "ref_c"), -650.0),
        **dict.fromkeys(("p", "i", "d", "ff"), -6.5),
        fire=65.0,
    )
    into = inputs(core_c=[-650.0] * 4, core_fault=[longest] * 4, pit_fault=longest, stone_fault=longest, board_c=-650.0)
    buf = bytearray(records.SIZE)
    records.pack_reading(buf, 0, 2**32 - 1, 2**48 - 1, out, into)
    _, payload = messages.record(buf, 0, "f" * 32, 2**32 - 1, True)
    assert 500 < len(payload) <= compose.LARGEST - 100
