"""One board's conversation with a scripted broker, second by second."""

from __future__ import annotations

import json
from typing import Any

import pytest

from emberboard.core.words import ALERTS
from tests.link.peer import Board, Plain


def alert(**changed: Any) -> Plain:
    values = {"kind": "trip", "value": 352.0, "limit": 350.0, "since_ms": 500, "acknowledged": False, "active": True}
    return Plain(**{**values, **changed})


def up(**options: Any) -> Board:
    board = Board(**options)
    board.seconds(2)
    assert board.session.up
    return board


def retained(board: Board) -> dict[str, bytes]:
    """What a broker would keep."""
    return {topic.split("/", 3)[3]: payload for topic, payload, retain in board.peer.published if retain}


def test_at_connecting_it_says_who_it_is_before_any_row() -> None:
    board = up()
    order = [topic.split("/", 3)[3] for topic, _, _ in board.peer.published]
    assert order[:3] == ["link", "info", "tuning"]
    assert order.index("reading") > order.index("alert/" + ALERTS[-1])
    kept = retained(board)
    assert json.loads(kept["link"]) == {"state": "online", "boot": "aa11bb22"}
    info = json.loads(kept["info"])
    assert (info["firmware"], info["boot"], info["oldest"]) == ("0.1.0", "aa11bb22", 0)
    assert json.loads(kept["tuning"]) == {"kp": 0.01, "ti_s": 600.0, "boot": "aa11bb22", "n": None, "ms": info["ms"]}


def test_alerts_of_an_earlier_start_are_taken_away_at_connecting() -> None:
    kept = retained(up())
    assert {name: kept["alert/" + name] for name in ALERTS} == dict.fromkeys(ALERTS, b"")


def test_readings_go_out_live_within_the_second() -> None:
    board = up()
    board.peer.published.clear()
    board.second()
    (row,) = board.peer.taken("reading")
    assert (row["seq"], row["ms"], row["boot"], row["oldest"], "late" in row) == (2, 2000, "aa11bb22", 0, False)


def test_readings_and_events_are_never_retained() -> None:
    board = up()
    board.spool.add_event(board.now_ms, "lid_open")
    board.second()
    assert not any(retain for topic, _, retain in board.peer.published if topic.endswith(("/reading", "/event")))


def test_an_ack_of_this_start_empties_the_spool_one_of_another_does_not() -> None:
    board = up()
    board.ack(2, boot="00000000")
    board.second()
    assert board.spool.oldest == 0
    board.ack(2)
    board.second()
    assert board.spool.oldest == 2


def test_after_an_outage_live_rows_come_at_once_and_all_others_late_without_a_gap() -> None:
    board = up()
    board.ack(2)
    board.second()
    with board.outage():
        board.seconds(120)
    board.peer.published.clear()
    rows: list[dict[str, Any]] = []
    for _ in range(60):
        board.second()
        rows += board.peer.taken("reading")
        stored = {row["seq"] for row in rows}
        board.ack(next(seq for seq in range(2, 1000) if seq not in stored))
    late = [row["seq"] for row in rows if row.get("late")]
    live = [row["seq"] for row in rows if not row.get("late")]
    assert live[0] >= 121
    assert live == list(range(live[0], 183))
    assert late == list(range(2, live[0]))
    assert board.spool.oldest >= 182


def test_a_loss_is_told_at_connecting() -> None:
    board = Board(capacity=20)
    board.peer.silent = True
    board.seconds(50)
    board.peer.silent = False
    board.seconds(120)
    lost = [row for row in board.peer.taken("event") if row["kind"] == "lost"]
    assert lost and lost[0]["value"] == 0
    assert lost[0]["text"] == "aa11bb22"


def test_an_order_is_carried_out_and_answered() -> None:
    board = up()
    board.order(n=3, name="lid", args={"open": True})
    board.second()
    assert board.controller.orders == [("lid", {"open": True})]
    (reply,) = board.peer.taken("reply")
    assert (reply["n"], reply["boot"], reply["code"], reply["text"]) == (3, "aa11bb22", "", "")


def test_the_controllers_refusal_is_passed_on() -> None:
    board = up()
    board.controller.answer = ("out_of_range", "target_c: 60 to 350 degC")
    board.order(n=3)
    board.second()
    (reply,) = board.peer.taken("reply")
    assert (reply["code"], reply["text"]) == ("out_of_range", "target_c: 60 to 350 degC")


def test_an_order_that_comes_twice_is_carried_out_once_and_answered_twice() -> None:
    board = up()
    board.order(n=3)
    board.order(n=3)
    board.second()
    assert len(board.controller.orders) == 1
    first, second = board.peer.taken("reply")
    assert first == second
    assert first["code"] == ""


def stop(board: Board, n: int, **changed: Any) -> str:
    """The code with which a stop of this number is answered."""
    board.order(**{"n": n, "name": "mode", "args": {"mode": "bank"}, **changed})
    board.second()
    (reply,) = board.peer.taken("reply")
    assert reply["n"] == n
    return str(reply["code"])


@pytest.mark.parametrize("forged", [7, 8, 2**63, 10**300])
def test_no_number_that_somebody_made_up_keeps_a_fire_from_being_put_out(forged: int) -> None:
    board = up()
    board.order(n=forged)
    board.second()
    board.peer.taken("reply")
    assert stop(board, 7) == ""
    assert board.controller.orders[-1] == ("mode", {"mode": "bank"})


def test_a_stop_that_comes_again_is_answered_and_what_was_ordered_since_goes_on() -> None:
    board = up()
    assert stop(board, 5) == ""
    board.order(n=6)
    board.second()
    board.peer.taken("reply")
    count = len(board.controller.orders)
    assert stop(board, 5) == ""
    assert len(board.controller.orders) == count


def test_another_hosts_stop_with_a_number_that_was_used_is_carried_out() -> None:
    # Seen before: a host that had just begun to count was told "accepted", and the fire went on.
    board = up()
    assert stop(board, 2, until_ms=60000) == ""
    board.order(n=3)
    board.second()
    board.peer.taken("reply")
    assert stop(board, 2, until_ms=60001) == ""
    assert board.controller.orders[-1] == ("mode", {"mode": "bank"})
    assert len(board.controller.orders) == 3


def test_another_hosts_order_with_the_last_number_gets_no_answer_of_that_one() -> None:
    board = up()
    board.order(n=3, until_ms=60000)
    board.order(n=3, until_ms=60001, name="lid", args={"open": True})
    board.second()
    assert [reply["code"] for reply in board.peer.taken("reply")] == ["", "not_newer"]


@pytest.mark.parametrize("changed", [{"boot": "00000000"}, {"until_ms": 100}])
def test_a_stop_of_another_start_or_time_changes_nothing(changed: dict[str, Any]) -> None:
    board = up()
    assert stop(board, 5, **changed) in ("wrong_boot", "late")
    assert board.controller.orders == []


def test_an_order_asked_again_behind_a_stop_gets_no_other_ones_answer() -> None:
    board = up()
    board.order(n=900)
    board.second()
    board.peer.taken("reply")
    stop(board, 5)
    board.order(n=900)
    board.second()
    (reply,) = board.peer.taken("reply")
    assert (reply["n"], reply["code"]) == (900, "not_newer")


@pytest.mark.parametrize(
    ("changed", "code"),
    [
        ({"boot": "00000000"}, "wrong_boot"),
        ({"until_ms": 100}, "late"),
        ({"n": 2}, "not_newer"),
        ({"name": "x"}, "out_of_range"),
        ({"args": {"target_c": "hot"}}, "out_of_range"),
    ],
)
def test_a_refused_order_changes_nothing_and_is_answered(changed: dict[str, Any], code: str) -> None:
    board = up()
    board.order(n=3)
    board.second()
    board.peer.taken("reply")
    board.order(**{"n": 4, **changed})
    board.second()
    assert len(board.controller.orders) == 1
    (reply,) = board.peer.taken("reply")
    assert reply["code"] == code


def test_an_order_that_a_broker_kept_is_not_carried_out() -> None:
    board = up()
    order = {"n": 9, "boot": "aa11bb22", "until_ms": 10**9, "name": "lid", "args": {"open": True}}
    board.peer.send("emberdraft/1/test/order", json.dumps(order).encode(), retain=True)
    board.second()
    assert board.controller.orders == []
    assert board.session.malformed == 1


def test_an_order_of_another_wire_version_is_refused_with_the_remedy_on_its_own_topic() -> None:
    board = up()
    board.peer.send("emberdraft/2/test/order", json.dumps({"n": 9}).encode(), qos=1)
    board.second()
    replies = [(topic, json.loads(payload)) for topic, payload, _ in board.peer.published if topic.endswith("/reply")]
    ((topic, reply),) = replies
    assert topic == "emberdraft/2/test/reply"
    assert (reply["n"], reply["code"]) == (9, "wrong_version")
    assert "version 2" in reply["text"] and "speaks 1" in reply["text"] and "same release" in reply["text"]
    assert board.controller.orders == []


@pytest.mark.parametrize(
    "payload",
    [b"", b"\xff", b"nan", b"[]", b'{"n": 1e999}', b"{" * 500, b'{"n":' + b"9" * 900 + b"}", b'"' + b"\\u0000" * 150],
    ids=range(8),
)
@pytest.mark.parametrize("what", ["order", "ack"])
def test_garbage_is_answered_or_counted_and_the_next_order_still_works(what: str, payload: bytes) -> None:
    board = up()
    board.peer.send(f"emberdraft/1/test/{what}", payload)
    board.order(n=2)
    board.seconds(2)
    assert board.session.up
    assert board.peer.taken("reply")[-1]["code"] == ""


def test_a_refusal_that_quotes_a_long_name_still_fits() -> None:
    board = up()
    board.order(n=2, name="\u00e9" * 120)
    board.order(n=3)
    board.seconds(2)
    assert [reply["code"] for reply in board.peer.taken("reply")] == ["out_of_range", ""]


def test_an_alert_is_kept_with_boot_and_seq_and_taken_away_when_it_goes() -> None:
    board = up()
    board.controller.alerts["pit_over_limit"] = alert()
    board.second()
    assert json.loads(retained(board)["alert/pit_over_limit"]) == {
        "id": "pit_over_limit",
        "kind": "trip",
        "value": 352.0,
        "limit": 350.0,
        "since_ms": 500,
        "acknowledged": False,
        "active": True,
        "boot": "aa11bb22",
        "seq": 3,
    }
    board.controller.alerts["pit_over_limit"].acknowledged = True
    board.second()
    assert json.loads(retained(board)["alert/pit_over_limit"])["acknowledged"] is True
    del board.controller.alerts["pit_over_limit"]
    board.second()
    assert retained(board)["alert/pit_over_limit"] == b""


def test_an_alert_is_told_once_not_every_second() -> None:
    board = up()
    board.peer.published.clear()
    board.controller.alerts["pit_over_limit"] = alert()
    board.seconds(5)
    assert len(board.peer.taken("alert/pit_over_limit")) == 1


def test_standing_alerts_are_told_again_on_a_new_connection() -> None:
    board = up()
    board.controller.alerts["pit_over_limit"] = alert()
    board.second()
    board.peer.published.clear()
    board.peer.wire.error = OSError(104)
    board.seconds(4)
    assert json.loads(retained(board)["alert/pit_over_limit"])["kind"] == "trip"


def test_new_gains_are_published_with_the_order_that_set_them() -> None:
    board = up()
    board.controller.gains = {"kp": 0.02, "ti_s": 500.0}
    board.order(n=8, name="gains", args={"kp": 0.02})
    board.second()
    assert json.loads(retained(board)["tuning"])["n"] == 8
    assert json.loads(retained(board)["tuning"])["kp"] == 0.02


def test_goodbye_says_offline_itself() -> None:
    board = up()
    board.session.goodbye()
    board.peer.run()
    assert json.loads(retained(board)["link"]) == {"state": "offline", "boot": "aa11bb22"}


def test_what_does_not_fit_into_the_buffer_blocks_nothing() -> None:
    board = Board()
    board.session._info = {"firmware": "x" * 5000}
    board.seconds(3)
    assert board.session.oversize == 1
    assert board.peer.taken("reading")


@pytest.mark.parametrize("peer", ["silent", "half-open", "reset", "never reading", "absent", "one byte at a time"])
def test_no_poll_does_more_than_a_bounded_amount_of_work(peer: str) -> None:
    """Work is counted, not timed: calls of the network in one poll, whatever the peer does."""
    board = Board() if peer in ("silent", "absent") else up()
    calls = [0]
    real_open = board.client._open_socket

    def counted_open(host: str, port: int) -> Any:
        calls[0] += 1
        if peer == "absent":
            raise OSError(113)
        return real_open(host, port)

    board.client._open_socket = counted_open
    board.peer.silent = peer in ("silent", "half-open")
    for second in range(60):
        if board.peer.wires:
            wire = board.peer.wire
            wire.takes = {"never reading": 0, "one byte at a time": 1}.get(peer, wire.takes)
            wire.error = OSError(104) if peer == "reset" and second == 3 else None
        board.spool.add_reading(board.now_ms, *_row())
        for _ in range(20):
            calls[0] = 0
            before = board.peer.wires[-1].writes if board.peer.wires else 0
            board.session.poll(board.now_ms)
            writes = board.peer.wires[-1].writes - before if board.peer.wires else 0
            assert calls[0] <= 1 and writes <= 3
            board.peer.run()
            board.now_ms += 50
    assert board.spool.next_seq >= 60  # the board went on recording


def _row() -> tuple[Any, Any]:
    from tests.link.peer import inputs, outputs

    return outputs(), inputs()
