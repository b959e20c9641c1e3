"""Orders on their way: sent again with the same number, answered once, given up in words."""

from __future__ import annotations

from emberdraft.daemon.dispatch import Dispatch


def test_an_order_without_an_answer_is_sent_again_each_second_until_it_is_void() -> None:
    dispatch = Dispatch()
    dispatch.add("a", 1, b"x", 100.0, 3.0)
    sent = [second / 2 for second in range(200, 220) if dispatch.due(second / 2)]
    assert sent == [101.0, 102.0, 103.0]


def test_an_answer_ends_it() -> None:
    dispatch = Dispatch()
    pending = dispatch.add("a", 1, b"x", 100.0, 10.0)
    assert dispatch.answered("a", 1, {"code": ""})
    assert pending.answered.is_set() and pending.reply == {"code": ""}
    assert dispatch.due(105.0) == []
    assert dispatch.given_up(1000.0) == []


def test_an_answer_to_something_else_is_nobodys() -> None:
    dispatch = Dispatch()
    dispatch.add("a", 1, b"x", 100.0, 10.0)
    assert not dispatch.answered("a", 2, {})
    assert not dispatch.answered("b", 1, {})
    assert dispatch.answered("a", 1, {})
    assert not dispatch.answered("a", 1, {})


def test_a_void_order_is_given_up_once_after_its_answer_had_time() -> None:
    dispatch = Dispatch()
    dispatch.add("a", 1, b"x", 100.0, 10.0)
    assert dispatch.given_up(112.0) == []
    (over,) = dispatch.given_up(112.1)
    assert over.reply is not None and (over.reply["n"], over.reply["code"]) == (1, "no_reply")
    assert "did not answer" in over.reply["text"]
    assert dispatch.given_up(113.0) == []


def test_who_asks_late_still_learns_the_answer_of_the_last_64() -> None:
    dispatch = Dispatch()
    for n in range(100):
        dispatch.add("a", n, b"x", 0.0, 10.0)
        dispatch.answered("a", n, {"n": n})
    assert dispatch.find("a", 35) is None
    found = dispatch.find("a", 36)
    assert found is not None and found.reply == {"n": 36}


def test_at_sixty_times_the_pauses_are_real_seconds() -> None:
    dispatch = Dispatch(speed=60.0)
    dispatch.add("a", 1, b"x", 0.0, 600.0)
    assert dispatch.due(59.0) == []
    assert len(dispatch.due(60.0)) == 1
