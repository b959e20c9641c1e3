"""Notices: handed over at once, sent on another thread, never fatal; no address is ever shown."""

from __future__ import annotations

import logging
import socket
import sys
import threading
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.daemon import channels, way_out
from emberdraft.daemon.calls import FIRST, SECOND
from emberdraft.daemon.channels import Channel, addresses_in, apprise, webhook
from emberdraft.daemon.notify import Notifier
from emberdraft.daemon.way_out import AGAIN_S, WAITING, WayOut
from emberdraft.errors import UserError
from tests.receiver import Hook, receiving, until

NOTICE = {"cooker": "yard", "kind": "trip", "title": "Too hot", "text": "No air.", "at_s": 0.0, "again": 1}
DOCTOR = ["doctor", "--test-notice"]
KEY = "canary-4711-key"


@pytest.fixture
def hook() -> Iterator[Hook]:
    with receiving() as made:
        yield made


def of(deed: Any, secret: str = "") -> Channel:
    return Channel("webhook", deed, (secret,) if secret else ())


def test_a_notice_arrives_as_one_json_object(hook: Hook):
    notifier = Notifier([webhook(f"http://{hook.place}/hook")]).start()
    notifier.send(NOTICE)
    notifier.stop()
    assert hook.got == [("/hook", "application/json", NOTICE)]
    assert (notifier.sent, notifier.failed) == (1, 0)


def test_a_dead_address_costs_nothing_but_its_message_and_not_the_other_channels():
    def dead(_notice: Any) -> None:
        raise OSError("nobody there")

    got: list[Any] = []
    notifier = Notifier([of(dead), Channel("other", got.append)]).start()
    notifier.send(NOTICE)
    notifier.send(NOTICE)
    notifier.stop()
    assert (notifier.sent, len(got)) == (2, 2)
    assert notifier.failed >= 2
    assert notifier.trouble == "webhook: OSError: nobody there"


def test_a_slow_address_never_keeps_the_caller_waiting():
    gate, got = threading.Event(), []
    notifier = Notifier([of(lambda notice: gate.wait(5.0) and got.append(notice))]).start()
    for _ in range(WAITING + 10):
        notifier.send(NOTICE)
    assert notifier.dropped >= 9
    assert len(got) == 0
    gate.set()
    notifier.stop()


def test_without_an_address_there_is_only_the_log(caplog):
    notifier = Notifier().start()
    with caplog.at_level("INFO"):
        notifier.send(NOTICE)
    notifier.stop()
    assert "Too hot" in caplog.text


@pytest.mark.parametrize("url", ["example.org/KEY", "ftp://example.org/KEY", "http://", "http:/KEY"])
def test_an_address_that_is_none_is_refused_without_being_shown(url):
    with pytest.raises(UserError, match="such as https") as refused:
        webhook(url.replace("KEY", KEY))
    assert KEY not in str(refused.value)


@pytest.mark.parametrize(
    "shown", ["http://example.invalid/canary-4711-key?to=me", "…canary-4711-key…", "canary-4711-key"]
)
def test_what_a_library_says_of_a_failure_is_told_without_the_address(shown, caplog):
    def dead(_notice: Any) -> None:
        raise ValueError(f"could not reach {shown}")

    notifier = Notifier([of(dead, f"http://example.invalid/{KEY}?to=me")])
    with caplog.at_level("DEBUG"), pytest.raises(UserError) as refused:
        notifier.test("yard")
    assert "ValueError: could not reach" in str(refused.value)
    assert KEY not in str(refused.value) + caplog.text + notifier.trouble


def addresses(folder: Path, *lines: str) -> Path:
    path = folder / "apprise"
    path.write_text("\n".join(lines) + "\n")
    return path


def test_apprise_carries_title_text_page_and_how_urgent_it_is(hook: Hook, tmp_path: Path):
    path = addresses(tmp_path, "# mine", "", f"json://{hook.place}/{KEY}")
    notifier = Notifier([apprise(addresses_in(path))]).start()
    page = "http://cooker.local/cookers/yard?asked=pull-7"
    for more in ({}, {"kind": "prompt", "wakes": "asleep"}, {"kind": "notice"}, {"over": True}):
        notifier.send({**NOTICE, "page": page, **more})
    notifier.stop(10.0)
    assert [(got["title"], got["message"], got["type"]) for _, _, got in hook.got] == [
        ("yard: Too hot", f"No air.\n{page}", kind) for kind in ("failure", "warning", "info", "success")
    ]
    assert (notifier.sent, notifier.failed) == (4, 0)


def test_an_apprise_address_that_fails_is_counted_and_never_shown(hook: Hook, tmp_path: Path, caplog):
    hook.status = 500
    notifier = Notifier([apprise(addresses_in(addresses(tmp_path, f"json://{hook.place}/{KEY}")))])
    with caplog.at_level(logging.DEBUG), pytest.raises(UserError, match="not all of 1 addresses took it") as refused:
        notifier.test("yard")
    assert hook.got
    assert notifier.failed == 1
    assert KEY not in str(refused.value) + caplog.text


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["# nothing"], "no address in it"),
        (["json://localhost", f"nonsense://{KEY}"], "line 2: Apprise knows no such address (nonsense)"),
        ([KEY], "line 1: Apprise knows no such address (no kind)"),
    ],
)
def test_a_wrong_file_of_addresses_is_one_line_without_the_address(tmp_path: Path, lines: list[str], said: str):
    with pytest.raises(UserError) as refused:
        apprise(addresses_in(addresses(tmp_path, *lines)))
    assert said in str(refused.value)
    assert KEY not in str(refused.value)


def test_a_file_that_is_not_there_is_named(tmp_path: Path):
    with pytest.raises(UserError, match="none: No such file"):
        addresses_in(tmp_path / "none")


def configured(folder: Path, monkeypatch: pytest.MonkeyPatch, notify: str) -> None:
    (folder / "host.toml").write_text(f'cooker = "yard"\n[notify]\n{notify}\n')
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(folder / "host.toml"))


def test_without_the_extra_it_is_refused_in_one_clear_line(tmp_path: Path, monkeypatch, capsys):
    configured(tmp_path, monkeypatch, f'apprise_file = "{addresses(tmp_path, "json://localhost")}"')
    monkeypatch.setitem(sys.modules, "apprise", None)  # as if it were not installed
    for words in (
        [*DOCTOR, "--db", str(tmp_path / "cooks.sqlite")],
        ["serve", "--port", "0", "--db", str(tmp_path / "cooks.sqlite")],
    ):
        assert main(words) == 1
        assert capsys.readouterr().err == f"emberdraft: {channels.MISSING}\n"
    assert not (tmp_path / "cooks.sqlite").exists()


def test_a_test_notice_from_the_command_line(hook: Hook, tmp_path: Path, monkeypatch, capsys):
    lines = addresses(tmp_path, f"json://{hook.place}/a")
    configured(tmp_path, monkeypatch, f'webhook = "http://{hook.place}/{KEY}"\napprise_file = "{lines}"')
    assert main([*DOCTOR, "--db", str(tmp_path / "cooks.sqlite")]) == 0
    assert capsys.readouterr().out == "Test notice sent by webhook, apprise\n"
    assert [(path, got.get("kind", got.get("type"))) for path, _, got in hook.got] == [
        (f"/{KEY}", "test"),
        ("/a", "info"),
    ]
    hook.status = 500
    assert main([*DOCTOR, "--db", str(tmp_path / "cooks.sqlite")]) == 1
    said = capsys.readouterr()
    assert said.err.startswith("emberdraft: test notice: webhook: HTTPError: HTTP Error 500")
    assert KEY not in said.err + said.out


def test_a_test_notice_where_none_is_set_says_what_would_be_right(tmp_path: Path, monkeypatch, capsys):
    configured(tmp_path, monkeypatch, "")
    assert main([*DOCTOR, "--db", str(tmp_path / "cooks.sqlite")]) == 1
    assert "fill in the form under Calls on the page, or notify in the settings file" in capsys.readouterr().err


def test_one_test_at_a_time():
    gate, inside = threading.Event(), threading.Event()

    def slow(_notice: Any) -> None:
        inside.set()
        gate.wait(5.0)

    notifier = Notifier([of(slow)])
    first = threading.Thread(target=notifier.test, args=("yard",))
    first.start()
    assert inside.wait(5.0)
    with pytest.raises(UserError, match="under way"):
        notifier.test("yard")
    gate.set()
    first.join(5.0)
    assert notifier.sent == 1


# ---- a way out that fails: refused, slow, hangs, 500


class Moved:
    """A clock that a test moves; the way out waits for nothing."""

    def __init__(self) -> None:
        self.s = 0.0

    def __call__(self) -> float:
        return self.s


def work(way: WayOut, clock: Moved, until_s: float) -> None:
    """What the thread does, without its waiting: each second what is due."""
    while clock.s <= until_s:
        while any(one.due_s <= clock.s for one in way._waiting):
            one = way._next()
            assert one is not None
            if way.attempt(one.notice):
                way._later(one)
            else:
                way._overtaken(one)
        clock.s += 1.0


def test_what_failed_is_tried_again_with_back_off_and_given_up_after_twenty_minutes():
    clock, tries = Moved(), []

    def dead(_notice: Any) -> None:
        tries.append(clock.s)
        raise OSError("refused")

    way = WayOut(of(dead), clock)
    way.hand(NOTICE)
    work(way, clock, 2000.0)
    waits = [b - a for a, b in pairwise(tries)]
    assert waits == list(AGAIN_S)
    assert (way.failed, way.dropped, way.trouble) == (7, 1, "webhook: OSError: refused")


def test_a_notice_that_arrived_later_is_not_followed_by_the_old_one_that_says_no_more():
    clock, got, dead = Moved(), [], [True]

    def send(notice: Any) -> None:
        if dead[0]:
            raise OSError("refused")
        got.append(notice["title"])

    way = WayOut(of(send), clock)
    way.hand({**NOTICE, "title": "old", "calls": ["a"]})
    way.hand({**NOTICE, "title": "another", "calls": ["b"]})
    work(way, clock, 1.0)
    dead[0] = False
    way.hand({**NOTICE, "title": "new", "calls": ["a", "c"]})
    work(way, clock, 60.0)
    assert got == ["new", "another"]


def test_an_address_that_hangs_holds_up_neither_the_caller_nor_the_other_way(monkeypatch):
    monkeypatch.setattr(way_out, "DEADLINE_S", 0.2)
    gate, got = threading.Event(), []
    notifier = Notifier([of(lambda _notice: gate.wait(20.0)), Channel("other", got.append)]).start()
    for _ in range(3):
        notifier.send(NOTICE)
    until(lambda: len(got) == 3)
    until(lambda: "no answer within" in notifier.trouble)
    gate.set()
    notifier.stop()


def test_a_receiver_that_answers_500_and_then_recovers_gets_it(hook: Hook, monkeypatch):
    monkeypatch.setattr(way_out, "AGAIN_S", (0.05,) * 6)
    hook.status = 500
    notifier = Notifier([webhook(f"http://{hook.place}/hook")]).start()
    notifier.send(NOTICE)
    until(lambda: notifier.failed > 0)
    assert "HTTP Error 500" in notifier.trouble
    hook.status = 204
    until(lambda: notifier.sent == 1)
    assert notifier.trouble == ""
    notifier.stop()


def test_nobody_at_the_address_is_shown_and_tried_again(monkeypatch):
    monkeypatch.setattr(way_out, "AGAIN_S", (0.05,) * 6)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    notifier = Notifier([webhook(f"http://127.0.0.1:{port}/hook")]).start()
    notifier.send(NOTICE)
    until(lambda: notifier.dropped == 1)
    assert "refused" in notifier.trouble
    assert notifier.failed == 7
    notifier.stop()


def test_the_second_way_gets_what_is_for_it_and_without_one_the_first_does():
    first, second = [], []
    both = Notifier([Channel("first", first.append)], [Channel("second", second.append)]).start()
    both.send(NOTICE, [FIRST])
    both.send({**NOTICE, "title": "unanswered"}, [SECOND])
    both.send({**NOTICE, "title": "over"}, [FIRST, SECOND])
    both.stop()
    assert [n["title"] for n in first] == ["Too hot", "over"]
    assert [n["title"] for n in second] == ["unanswered", "over"]
    alone = Notifier([Channel("first", first.append)]).start()
    alone.send({**NOTICE, "title": "unanswered"}, [SECOND])
    alone.send({**NOTICE, "title": "both"}, [FIRST, SECOND])
    alone.stop()
    assert [n["title"] for n in first[2:]] == ["unanswered", "both"]
