"""From no state is a connection that a broker accepts not up within 30 s: searched by hypothesis, and what it found."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test

from emberboard.core.words import ALERTS
from emberboard.link import packets
from emberboard.link.client import INBOX
from tests.link.hostile import KINDS, HostileBoard, message, order
from tests.proof.fixture import Proof

WANTED_S = 30.0
MOST_WAITING = 20_000  # bytes at the broker for the board: it takes about 20 messages a second
STEPS_OF_A_RUN = 50
SECTION = "Link: always comes back"

BYTES = st.sampled_from([0, 1, 3, 100, 1 << 20])
RAW = st.sampled_from(
    [
        b"\x30\xff\xff\xff\x7f",  # a message of 268 MB, begun
        b"\x32\xf0\x07\x00\x17emberdraft/1/test/order",  # one of 1,008 bytes, begun
        b"\x30\xff\xff\xff\xff\x7f",
        b"HTTP/1.1 400 Bad Request\r\n\r\n",
        bytes(packets.connack(0)),
        bytes(packets.suback(1, [0, 1])),
        bytes(packets.puback(7)),
        packets.PONG,
        b"\x00",
    ]
)


def messages_of(count: int, size: int, first_n: int, qos: int, retain: bool = False) -> bytes:
    """So many orders, of about so many bytes more than they need."""
    return b"".join(order(first_n + k, "target" + "x" * size, qos, retain) for k in range(count))


def trouble_coming_back(board: HostileBoard) -> str:
    """'' if the board is heard and hears within 30 s of a broker that behaves."""
    board.broker.behave()
    rows = board.broker.rows
    since = board.now_ms
    if not board.until(lambda: board.session.up and board.broker.rows > rows, WANTED_S, lambda: None):
        return f"not up {WANTED_S:.0f} s after {since} ms: state {board.client.state}, {board.client.trouble}"
    n = board.next_n() + 1_000_000
    waiting_s = len(board.broker.line.incoming) / 1000.0 if board.broker.line else 0.0
    heard = board.until(lambda: n in board.broker.replies, WANTED_S + waiting_s, lambda: board.broker.say(order(n)))
    return "" if heard else f"up and deaf after {since} ms: state {board.client.state}, {board.client.trouble}"


class Hostile(RuleBasedStateMachine):
    """Each rule turns a switch or lets time pass; at the end the broker behaves."""

    taken = 0  # steps in all runs of this process

    def __init__(self) -> None:
        super().__init__()
        self.board = HostileBoard()
        self.broker = self.board.broker

    def _step(self, polls: int = 1) -> None:
        Hostile.taken += 1
        self.board.poll(polls)

    @rule(polls=st.sampled_from([1, 3, 10, 30, 100, 160]))
    def time_passes(self, polls: int) -> None:
        self._step(polls)

    @rule()
    def it_behaves_for_two_seconds(self) -> None:
        self.broker.behave()
        self._step(20)

    @rule(count=st.sampled_from([1, 7, 8, 9, 13, 60]), size=st.sampled_from([0, 200, 900, 3000]), qos=st.integers(0, 1))
    def orders_come_at_once(self, count: int, size: int, qos: int) -> None:
        line = self.broker.live
        if line is not None and len(line.incoming) < MOST_WAITING:
            self.broker.say(messages_of(count, size, self.board.n + 1, qos)[:MOST_WAITING])
            self.board.n += count
        self._step()

    @rule(n=st.integers(-3, 10**18), name=st.text(max_size=150), boot=st.sampled_from(["aa11bb22", "00000000"]))
    def an_order_is_odd(self, n: int, name: str, boot: str) -> None:
        self.broker.say(order(n, name, boot=boot))
        self._step()

    @rule(payload=st.binary(max_size=60) | st.just(b"[" * 900), version=st.sampled_from([1, 2, 10**6]))
    def something_is_no_order(self, payload: bytes, version: int) -> None:
        self.broker.say(message(payload, version=version))
        self._step()

    @rule(raw=RAW)
    def bytes_come(self, raw: bytes) -> None:
        self.broker.say(raw)
        self._step()

    @rule(on=st.booleans())
    def it_reads_nothing(self, on: bool) -> None:
        self.broker.deaf = on
        self._step()

    @rule(kinds=st.frozensets(st.sampled_from(KINDS)))
    def it_leaves_unanswered(self, kinds: frozenset[int]) -> None:
        self.broker.unanswered = kinds
        self._step()

    @rule(code=st.sampled_from([0, 1, 3, 5, 200]), grant=st.sampled_from([0, 1, 0x80]))
    def it_refuses(self, code: int, grant: int) -> None:
        self.broker.code, self.broker.grant = code, grant
        self._step()

    @rule(absent=st.booleans(), silent=st.booleans())
    def it_lets_nobody_connect(self, absent: bool, silent: bool) -> None:
        self.broker.refuses_to_open, self.broker.never_connects = absent, silent
        self._step()

    @rule(takes=BYTES, gives=BYTES)
    def the_network_splits(self, takes: int, gives: int) -> None:
        self.broker.takes, self.broker.gives = takes, max(1, gives)
        self._step()

    @rule(count=st.sampled_from([1, 8, 9, 30]), size=st.sampled_from([0, 900]), where=st.sampled_from(["hello", "ask"]))
    def it_sends_before_its_turn(self, count: int, size: int, where: str) -> None:
        kept = messages_of(count, size, 1, 1, retain=True)
        if where == "hello":
            self.broker.before_connack = kept
        else:
            self.broker.before_suback = kept
        self._step()

    @rule(how=st.sampled_from(["reset", "end", "dead"]))
    def the_connection_breaks(self, how: str) -> None:
        line = self.broker.live
        if line is not None:
            line.error = OSError(104) if how == "reset" else None  # ECONNRESET
            line.ended, line.dead = how == "end", how == "dead"
        self._step()

    @rule(id=st.sampled_from(ALERTS), on=st.booleans())
    def an_alert_changes(self, id: str, on: bool) -> None:
        self.board.raise_alert(id, on)
        self._step()

    @rule(length=st.sampled_from([0, 240]))
    def the_controller_answers(self, length: int) -> None:
        self.board.controller.answer = ("not_now", "\u20ac" * length) if length else ("", "")
        self._step()

    def teardown(self) -> None:
        trouble = trouble_coming_back(self.board)
        assert trouble == "", trouble


def search(number: int, examples: int) -> int:
    """One run of the search; how many steps it took. A failure shows the shortest way to it."""
    before = Hostile.taken
    run_state_machine_as_test(
        seed(number)(Hostile),
        settings=settings(
            max_examples=examples,
            stateful_step_count=STEPS_OF_A_RUN,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    return Hostile.taken - before


def test_a_broker_that_behaves_finds_the_board_within_30_s_whatever_it_did_before() -> None:
    assert search(1, 40) > 100


@pytest.mark.prove(SECTION)
@pytest.mark.parametrize("part", range(1, 5))
def test_a_million_steps(part: int, proof: Proof) -> None:
    """Each part begins at its own seed, so that one that failed, or was stopped, is run again alone."""
    steps, number = 0, part * 10_000
    while steps < 250_000:
        number += 1
        steps += search(number, 200)
    name = f"part {part} of 4: steps of client and hostile broker, each run of them up and heard within 30 s of peace"
    proof.promise(name, steps, at_least=250_000)


# ---- what the search found, one by one ---------------------------------------------------------


def up() -> HostileBoard:
    board = HostileBoard()
    board.poll(20)
    assert board.session.up
    return board


def answered(board: HostileBoard, first: int, count: int) -> bool:
    return board.broker.replies == list(range(first, first + count))


@pytest.mark.parametrize("count", [12, 13, 60])
def test_a_burst_of_orders_is_answered_whole_on_the_same_connection(count: int) -> None:
    board = up()
    board.broker.say(messages_of(count, 0, 1, 1))
    assert board.until(lambda: answered(board, 1, count), 5.0, lambda: None)
    assert board.client.epoch == 1


def test_a_broker_that_acknowledges_nothing_gets_every_answer_on_one_connection() -> None:
    board = up()
    board.broker.unanswered = frozenset({packets.PUBLISH})
    for n in range(1, 31):
        board.broker.say(order(n))
        board.poll(10)
    assert answered(board, 1, 30)
    assert board.client.epoch == 1


def test_orders_that_waited_when_the_connection_broke_do_not_stop_the_next_one() -> None:
    board = up()
    for _ in range(INBOX):
        board.client._inbox.append(("emberdraft/1/test/order", b"{}", False))
    assert board.broker.line
    board.broker.line.error = OSError(104)
    assert trouble_coming_back(board) == ""


def test_what_a_broker_kept_may_come_before_the_suback() -> None:
    board = HostileBoard()
    board.broker.before_suback = messages_of(3 * INBOX, 0, 1, 0, retain=True)
    board.poll(20)
    assert board.session.up


def test_a_full_decoder_is_not_taken_for_the_end_of_the_connection() -> None:
    """A read into no room gives 0 bytes, which is also what a closed connection gives."""
    board = up()
    for _ in range(5):
        board.broker.say(bytes(packets.publish("a", b"", 0)) * 500)
        board.poll(10)
    assert board.client.epoch == 1 and board.session.up


def test_four_long_answers_to_be_said_again_do_not_fill_the_buffer_for_ever() -> None:
    board = up()
    board.controller.answer = ("not_now", "\u20ac" * 240)
    board.broker.unanswered = frozenset({packets.PUBLISH})
    for n in range(1, 5):
        board.broker.say(order(n))
        board.poll(10)
    assert board.broker.line and sum(len(packet) for _, packet in board.client._in_flight) > 2048
    board.broker.line.error = OSError(104)
    assert trouble_coming_back(board) == ""


def test_a_message_that_never_ends_is_no_sign_of_life() -> None:
    board = up()
    board.broker.say(b"\x30\xff\xff\xff\x7f")
    board.poll(1)
    assert trouble_coming_back(board) == ""
    assert board.client.epoch == 2


def test_a_full_buffer_does_not_break_the_connection_when_an_order_comes() -> None:
    board = up()
    board.broker.takes = 0
    board.poll(60)
    assert not board.client._outbox.takes(4 + 256)
    board.broker.say(order(1))
    board.poll(10)
    board.broker.behave()
    board.poll(20)
    assert board.client.epoch == 1 and answered(board, 1, 1)
