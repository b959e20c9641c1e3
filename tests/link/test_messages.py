"""Topics, payloads, and which orders may pass."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from emberboard.link import messages

BOOT = "aa11bb22"


def order(**changed: Any) -> dict[str, Any]:
    return {"n": 5, "boot": BOOT, "until_ms": 10000, "name": "target", "args": {"target_c": 120.0}, **changed}


@pytest.mark.parametrize(
    ("topic", "parts"),
    [
        ("emberdraft/1/patio/reading", ("1", "patio", "reading")),
        ("emberdraft/2/patio/order", ("2", "patio", "order")),
        ("emberdraft/1/patio/alert/pit_over_limit", ("1", "patio", "alert/pit_over_limit")),
        ("other/1/patio/reading", None),
        ("emberdraft/1/patio", None),
        ("emberdraft", None),
        ("", None),
        ("/emberdraft/1/patio/reading", None),
    ],
)
def test_topics_are_taken_apart_or_foreign(topic: str, parts: tuple[str, str, str] | None) -> None:
    assert messages.split_topic(topic) == parts


def test_a_topic_holds_the_wire_version_and_the_cooker() -> None:
    assert messages.topic("patio", "reading") == "emberdraft/1/patio/reading"
    assert messages.any_version("patio", "order") == "emberdraft/+/patio/order"


@pytest.mark.parametrize("name", ["patio", "a", "big-egg-2", "0" * 32])
def test_good_names_of_cookers(name: str) -> None:
    assert messages.cooker_trouble(name) == ""


@pytest.mark.parametrize("name", ["", "Patio", "a b", "a/b", "+", "#", "é", "x" * 33, None, 5])
def test_bad_names_of_cookers_are_told_what_would_be_right(name: Any) -> None:
    trouble = messages.cooker_trouble(name)
    assert repr(name) in trouble and "a-z, 0-9 and -" in trouble


def test_another_version_is_refused_with_both_versions_and_the_remedy() -> None:
    sentence = messages.version_trouble("cooker patio", "2", "this host")
    assert "version 2" in sentence and "speaks 1" in sentence and "same release" in sentence


def test_not_a_number_is_sent_as_null() -> None:
    values = {"a": math.nan, "b": [1.0, math.inf], "c": {"d": -math.inf}, "e": (2, "x"), "f": True}
    sent = json.loads(messages.tuning(values, BOOT, None, 5), parse_constant=pytest.fail)
    assert sent == {
        "a": None, "b": [1.0, None], "c": {"d": None}, "e": [2, "x"], "f": True, "boot": BOOT, "n": None, "ms": 5
    }  # fmt: skip


def test_the_will_is_a_kept_offline_with_the_boot() -> None:
    topic, payload, qos, retain = messages.will("patio", BOOT)
    assert (topic, qos, retain) == ("emberdraft/1/patio/link", 1, True)
    assert json.loads(payload) == {"state": "offline", "boot": BOOT}


def test_a_boot_is_named_by_four_random_bytes() -> None:
    assert messages.boot_id(b"\x00\xab\x10\xff") == "00ab10ff"


@pytest.mark.parametrize(
    "payload", [b"", b"x", b"[1]", b"5", b"nan", b"\xff\xfe", b"{", b'{"a":' * 500, b"[" * 100000], ids=range(9)
)
def test_a_payload_without_a_json_object_is_none(payload: bytes) -> None:
    assert messages.loads(payload) is None


# ---- the gate ------------------------------------------------------------------------------


def test_a_good_order_passes() -> None:
    assert messages.OrderGate(BOOT).check(order(), 9999) == ("", "")


@pytest.mark.parametrize(
    ("changed", "now_ms", "code", "right"),
    [
        ({"boot": "00000000"}, 0, "wrong_boot", BOOT),
        ({"until_ms": 9999}, 10000, "late", "9999"),
        ({"until_ms": -1}, 0, "late", "-1"),
        ({"n": 4}, 0, "not_newer", "above 4"),
        ({"n": 3}, 0, "not_newer", "above 4"),
        ({"n": -7}, 0, "not_newer", "above 4"),
        ({"name": "explode"}, 0, "out_of_range", "acknowledge, gains"),
        ({"name": 5}, 0, "out_of_range", "acknowledge, gains"),
        ({"args": []}, 0, "out_of_range", "object"),
        ({"args": {}}, 0, "out_of_range", "needs target_c, a number"),
        ({"args": {"target_c": "120"}}, 0, "out_of_range", "must be a number"),
        ({"args": {"target_c": None}}, 0, "out_of_range", "must be a number"),
        ({"args": {"target_c": True}}, 0, "out_of_range", "must be a number"),
        ({"args": {"target_c": math.nan}}, 0, "out_of_range", "must be a number"),
        ({"args": {"target_c": math.inf}}, 0, "out_of_range", "must be a number"),
        ({"args": {"target_c": 120, "tagret_c": 1}}, 0, "out_of_range", "at_cooker, target_c"),
        ({"args": {"target_c": 120, "at_cooker": 1}}, 0, "out_of_range", "true or false"),
        ({"name": "lid", "args": {"open": "yes"}}, 0, "out_of_range", "true or false"),
        ({"name": "pieces", "args": {"pull_c": [57, "x"]}}, 0, "out_of_range", "list of numbers or null"),
        ({"name": "pieces", "args": {"pull_c": 57}}, 0, "out_of_range", "list of numbers or null"),
        ({"name": "pulled", "args": {"index": 1.5}}, 0, "out_of_range", "whole number"),
        ({"name": "vent", "args": {"vent": "top"}}, 0, "out_of_range", "needs opening"),
        ({"n": "5"}, 0, "out_of_range", "n: must be a whole number"),
        ({"n": 5.0}, 0, "out_of_range", "n: must be a whole number"),
        ({"n": None}, 0, "out_of_range", "n: must be a whole number"),
        ({"boot": 5}, 0, "out_of_range", "boot: must be a text"),
        ({"until_ms": "soon"}, 0, "out_of_range", "milliseconds"),
        ({"until_ms": math.nan}, 0, "out_of_range", "milliseconds"),
    ],
)
def test_a_bad_order_is_refused_with_what_would_be_right(
    changed: dict[str, Any], now_ms: int, code: str, right: str
) -> None:
    gate = messages.OrderGate(BOOT)
    gate.taken(order(n=4), "")
    got_code, text = gate.check(order(**changed), now_ms)
    assert got_code == code
    assert right in text
    assert gate.last_n == 4


def stop(n: int, mode: str = "bank", **changed: Any) -> dict[str, Any]:
    return order(n=n, name="mode", args={"mode": mode}, **changed)


@pytest.mark.parametrize("mode", ["bank", "off"])
def test_a_stop_passes_whatever_number_came_before_and_nothing_else_does(mode: str) -> None:
    gate = messages.OrderGate(BOOT)
    gate.taken(order(n=2**62), "")
    assert gate.check(stop(5, mode), 0) == ("", "")
    assert gate.check(order(n=5, name="mode", args={"mode": "hold", "target_c": 120}), 0)[0] == "not_newer"
    assert gate.check(order(n=5), 0)[0] == "not_newer"


@pytest.mark.parametrize(
    ("changed", "now_ms", "code"),
    [
        ({"boot": "00000000"}, 0, "wrong_boot"),
        ({"until_ms": 10}, 11, "late"),
        ({"args": {"mode": "bank", "x": 1}}, 0, "out_of_range"),
    ],
)
def test_a_stop_still_needs_this_start_its_time_and_its_form(changed: dict[str, Any], now_ms: int, code: str) -> None:
    assert messages.OrderGate(BOOT).check({**stop(5), **changed}, now_ms)[0] == code


def test_a_stop_leaves_the_numbers_where_they_were() -> None:
    gate = messages.OrderGate(BOOT)
    gate.taken(order(n=9), "")
    gate.taken(stop(5), "")
    assert gate.last_n == 9
    assert gate.has_stopped(stop(5)) and not gate.has_stopped(stop(9))
    assert not gate.has_stopped(stop(5, boot="00000000")) and not gate.has_stopped(order(n=5))


def test_a_stop_that_was_refused_was_not_carried_out() -> None:
    gate = messages.OrderGate(BOOT)
    gate.taken(stop(5), "not_now")
    assert not gate.has_stopped(stop(5))


@pytest.mark.parametrize("missing", ["n", "boot", "until_ms", "name", "args"])
def test_an_order_without_a_part_is_refused(missing: str) -> None:
    bad = order()
    del bad[missing]
    code, text = messages.OrderGate(BOOT).check(bad, 0)
    assert code == "out_of_range" and missing in text


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("mode", {"mode": "off"}),
        ("mode", {"mode": "drive", "phase": "climb", "stone_c": 270, "longest_s": 1800.5, "at_cooker": True}),
        ("mode", {"mode": "hold", "phase": "slow", "target_c": 121, "pit_limit_c": None}),
        ("target", {"target_c": 121, "at_cooker": False}),
        ("gains", {}),
        ("gains", {"kp": 0.01, "ti_s": 600, "td_s": 0.0, "b": 0.6}),
        ("lid", {"open": True}),
        ("vent", {"vent": "top", "opening": 0.5}),
        ("pieces", {"pull_c": [57, None, 0]}),
        ("pulled", {"index": 1}),
        ("acknowledge", {"id": "all"}),
    ],
)
def test_every_order_of_the_contract_passes_the_gate(name: str, args: dict[str, Any]) -> None:
    assert messages.OrderGate(BOOT).check(order(name=name, args=args), 0) == ("", "")


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=10),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
keys = st.sampled_from(["n", "boot", "until_ms", "name", "args", "x"])
names = st.sampled_from([*messages.ORDERS, "x"])


@given(st.dictionaries(keys, json_values | names | st.just(BOOT), max_size=6))
def test_any_json_object_gets_an_answer(message: dict[str, Any]) -> None:
    code, text = messages.OrderGate(BOOT).check(message, 0)
    assert code in ("", *messages.REFUSALS)
    assert (text == "") == (code == "")


@given(names, st.dictionaries(st.sampled_from(["mode", "target_c", "open", "pull_c", "id", "b"]), json_values))
def test_what_passes_has_no_argument_of_a_wrong_kind(name: str, args: dict[str, Any]) -> None:
    if messages.order_trouble(name, args) == "":
        needed, kinds = messages.ORDERS[name]
        assert set(needed) <= set(args) <= set(kinds)
        json.dumps(args, allow_nan=False)
