"""One cooker, two records: one keeps it, the other says so, acknowledges nothing, orders only to put the fire out.

From outside: Mosquitto's own log says which client acknowledged.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from emberdraft.daemon import keeper
from emberdraft.daemon.keeper import LEASE_S, RENEW_S, SETTLE_S, Claim, Keeper, host_id
from emberdraft.daemon.met import Met
from emberdraft.daemon.order import Order
from emberdraft.errors import UserError
from emberdraft.store import Store
from tests.daemon.ingest_rig import COOKER, BoardThread
from tests.daemon.test_earlier_starts import say
from tests.daemon.test_ingest import SPEED, Embedded, Heard, Outside, stored
from tests.daemon.test_ingest import broker as broker  # the fixture: embedded, then Mosquitto
from tests.daemon.test_ingest_boards import Rig
from tests.proof.fixture import Proof
from tests.waiting import until

SAMPLE, WHOLE = 20, 2000


# ---- one claim ------------------------------------------------------------------------------


def connected(host: str = "b") -> Keeper:
    made = Keeper(host)
    made.connected(0.0)
    return made


def test_alone_it_is_the_keeper_as_soon_as_a_kept_claim_would_have_come() -> None:
    one = connected()
    assert not one.holds(SETTLE_S - 0.01)
    assert one.holds(SETTLE_S)
    assert json.loads(one.due(SETTLE_S) or b"")["term"] == 1
    assert one.due(SETTLE_S + RENEW_S - 0.1) is None
    assert one.due(SETTLE_S + RENEW_S) is not None


def test_a_claim_of_another_is_good_for_its_lease_from_its_arrival() -> None:
    one = connected()
    one.hear(Claim("a", 7), 0.1)
    assert not one.holds(0.1 + LEASE_S - 0.01)
    assert one.other(5.0) == Claim("a", 7)
    assert one.holds(0.1 + LEASE_S)
    assert one.term == 8


def test_its_own_claim_of_an_earlier_start_keeps_nobody_waiting() -> None:
    one = connected()
    one.hear(Claim("b", 7), 0.1)
    assert one.holds(SETTLE_S) and one.term == 8


def test_a_person_takes_over_at_once_and_the_other_gives_way() -> None:
    one, two = connected("a"), connected("b")
    assert one.holds(1.0)
    two.hear(Claim("a", one.term), 1.0)
    two.take_over()
    two.hear(Claim("a", 5), 2.0)  # kept by the broker, and heard only after the person's word
    assert two.holds(2.0)
    said = json.loads(two.due(2.0) or b"")
    one.hear(Claim("b", said["term"]), 2.0)
    assert not one.holds(2.1)
    two.hear(Claim("a", 1), 2.2)  # one that was still under way
    assert two.holds(2.3)


def test_of_two_persons_who_take_over_the_later_one_gets_it() -> None:
    one, two = connected("a"), connected("b")
    for host, other in ((two, one), (one, two), (two, one)):
        host.take_over()
        other.hear(keeper.DECODER.decode(host.due(2.0) or b""), 2.0)
        assert (host.holds(2.0), other.holds(2.0)) == (True, False)


def test_who_was_away_asks_again_before_it_acknowledges() -> None:
    one = connected()
    assert one.holds(1.0)
    one.connected(None)
    assert not one.holds(2.0)
    one.connected(60.0)
    assert not one.holds(60.1)
    one.hear(Claim("a", 2), 60.2)
    assert not one.holds(61.0)


def test_one_record_on_one_machine_has_one_name_and_a_copy_another(tmp_path: Path) -> None:
    assert host_id(tmp_path / "a.sqlite") == host_id(tmp_path / "." / "a.sqlite")
    assert host_id(tmp_path / "a.sqlite") != host_id(tmp_path / "b.sqlite")


class Topic:
    """A broker's one topic: who is connected hears each claim, who connects hears the last."""

    def __init__(self, hosts: list[Keeper]) -> None:
        self.hosts, self.on = hosts, dict.fromkeys((host.host for host in hosts), False)
        self.on_s: dict[str, float] = {}
        self.last: Claim | None = None
        self.ahead = {host.host: random.Random(host.host).uniform(-1e6, 1e6) for host in hosts}

    def switch(self, host: Keeper, on: bool, now_s: float) -> None:
        self.on[host.host] = on
        self.on_s[host.host] = now_s
        host.connected(now_s + self.ahead[host.host] if on else None)
        if on and self.last is not None:
            host.hear(self.last, now_s + self.ahead[host.host])

    def step(self, now_s: float) -> list[str]:
        """Everybody says what is due, everybody hears it; who holds then."""
        said = [host.due(now_s + self.ahead[host.host]) for host in self.hosts]
        for payload in said:
            if payload is not None:
                self.last = keeper.DECODER.decode(payload)
                for host in self.hosts:
                    if self.on[host.host]:
                        host.hear(self.last, now_s + self.ahead[host.host])
        return [host.host for host in self.hosts if host.holds(now_s + self.ahead[host.host])]


def search(chance: random.Random) -> list[str]:
    """Three hosts come, go and take over; moments with two keepers, and long ones without any."""
    topic = Topic([Keeper(name) for name in "abc"])
    wrong, held_s = [], 0.0
    for tick in range(600):
        now_s = tick * 0.5
        host = chance.choice(topic.hosts)
        what = chance.random()
        if what < 0.03:
            topic.switch(host, not topic.on[host.host], now_s)
        elif what < 0.035 and topic.on[host.host]:
            host.take_over()
        topic.step(now_s)
        holds = topic.step(now_s)
        waited_s = max((now_s - topic.on_s[name] for name, on in topic.on.items() if on), default=0.0)
        wrong += [f"{holds} at {now_s}"] if len(holds) > 1 else []
        held_s = now_s if holds else held_s
        wrong += [f"nobody at {now_s}"] if min(waited_s, now_s - held_s) > LEASE_S + 1.0 else []
    return wrong


def test_there_are_never_two_keepers_and_never_long_none() -> None:
    assert [each for n in range(SAMPLE) for each in search(random.Random(n))] == []


@pytest.mark.prove("two records")
def test_two_thousand_stories(proof: Proof) -> None:
    wrong = [each for n in range(WHOLE) for each in search(random.Random(n))]
    what = f"{WHOLE} stories of three hosts on one broker: moments with two keepers, or a lease and a second with none"
    proof.promise(what, len(wrong), equals=0)


# ---- two hosts on a broker ------------------------------------------------------------------


@pytest.fixture
def stores(tmp_path: Path) -> Iterator[list[Store]]:
    made = [Store(tmp_path / name / "cooks.sqlite") for name in ("first", "second")]
    yield made
    for store in made:
        store.close()


def test_the_second_record_listens_says_so_and_may_only_put_the_fire_out(
    broker: Embedded | Outside, stores: list[Store]
) -> None:
    with Heard(broker.address, stores[0]) as one, BoardThread(broker.board, SPEED, capacity=6000) as board:
        until(lambda: board.spool.oldest > 20)
        with Heard(broker.address, stores[1]) as two:
            until(lambda: "Another host keeps test" in " ".join(two.ingest.troubles()))
            assert str(stores[0].path) in two.ingest.troubles()[0]
            assert one.ingest.troubles() == []
            with pytest.raises(UserError, match=r"nothing was sent\. Another host keeps test"):
                two.ingest.send_order(COOKER, Order("target", {"target_c": 150.0}))
            until(two.online)
            n = one.ingest.send_order(COOKER, Order("target", {"target_c": 130.0}))
            assert one.ingest.wait_reply(COOKER, n, 5.0)["code"] == ""  # type: ignore[index]
            until(lambda: two.ingest._orders._heard_n)
            out = two.ingest.send_order(COOKER, Order("mode", {"mode": "bank"}))
            reply = two.ingest.wait_reply(COOKER, out, 5.0)
            assert reply is not None and reply["code"] == "" and out > n
            board.rest()
            until(board.settled)
    assert stored(stores[0]) == list(range(board.spool.next_seq))
    if isinstance(broker, Outside):
        log = (broker.folder / "log").read_text()
        who = set(re.findall(r"Received PUBLISH from (\S+) \(d\d, q\d, r\d, m\d+, 'emberdraft/1/test/ack'", log))
        assert len(who) == 1, who


def test_when_the_keeper_is_gone_the_other_takes_over_and_says_so_to_who_comes_back(
    broker: Embedded | Outside, stores: list[Store], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeper, "LEASE_S", 2.0)
    monkeypatch.setattr(keeper, "RENEW_S", 0.5)
    with BoardThread(broker.board, SPEED, capacity=6000) as board, Heard(broker.address, stores[1]) as two:
        until(lambda: board.spool.oldest > 0)
        with Heard(broker.address, stores[0]) as one:
            until(lambda: "Another host keeps test" in " ".join(one.ingest.troubles()))
            one.ingest.take_over(COOKER)
            until(lambda: "Another host keeps test" in " ".join(two.ingest.troubles()))
            assert one.ingest.troubles() == []
        until(lambda: two.ingest.troubles() == [])
        before = board.spool.oldest
        until(lambda: board.spool.oldest > before)
        with Heard(broker.address, stores[0]) as one:
            until(lambda: "Another host keeps test" in " ".join(one.ingest.troubles()))
        board.rest()
        until(board.settled)


# ---- which board is it ----------------------------------------------------------------------


def test_two_boards_of_one_name_are_said_and_one_that_starts_again_is_not() -> None:
    met = Met("yard")
    for second, boot in enumerate(["a", "a", "b", "b", "c"]):
        met.live(boot, float(second))
    assert met.news() == [] and met.trouble(5.0) == ""
    met.live("b", 5.0)
    met.live("c", 6.0)
    met.live("b", 7.0)
    assert len(met.news()) == 1
    assert "Two boards call themselves yard" in met.trouble(8.0)
    assert met.trouble(70.0) == ""


def test_a_board_put_in_the_place_of_another_in_mid_cook_is_said_with_its_offsets(tmp_path: Path) -> None:
    with Store(tmp_path / "cooks.sqlite") as store:
        board = Rig(store).host
        pit = {"pit": "MAX31856 type K", "offsets": {"pit": {"k": 0.5, "date": "2026-05-01"}}}
        say(board, "info", 1.0, boot="aa", sensors=pit)
        say(board, "info", 2.0, boot="bb", sensors=pit)
        assert board.news() == []
        say(board, "info", 3.0, boot="cc", sensors={**pit, "offsets": {"pit": {"k": -1.25, "date": "2026-05-02"}}})
        (told,) = board.news()
        assert "offsets changed" in told and "pit -1.25 K" in told
