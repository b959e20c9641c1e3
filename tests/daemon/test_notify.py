"""Notices: handed over at once, sent on another thread, never fatal; no address is ever shown."""

from __future__ import annotations

import json
import logging
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.daemon import channels
from emberdraft.daemon.channels import Channel, apprise, webhook
from emberdraft.daemon.notify import WAITING, Notifier
from emberdraft.errors import UserError

NOTICE = {"cooker": "yard", "kind": "trip", "title": "Too hot", "text": "No air.", "at_s": 0.0, "again": 1}
KEY = "canary-4711-key"


class Hook(HTTPServer):
    """A web server here that keeps what it is sent, and answers `status`."""

    def __init__(self) -> None:
        self.got: list[tuple[str, str, Any]] = []
        self.status = 204
        hook = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                hook.got.append((self.path, self.headers["Content-Type"], json.loads(body)))
                self.send_response(hook.status)
                self.end_headers()

            def log_message(self, *_args: Any) -> None:
                return

        super().__init__(("127.0.0.1", 0), Handler)

    @property
    def place(self) -> str:
        return f"127.0.0.1:{self.server_port}"


@pytest.fixture
def hook() -> Iterator[Hook]:
    made = Hook()
    thread = threading.Thread(target=made.serve_forever, args=(0.01,))
    thread.start()
    yield made
    made.shutdown()
    thread.join(5.0)
    made.server_close()


def of(deed: Any, secret: str = "") -> Channel:
    return Channel("webhook", deed, (secret,) if secret else ())


def test_a_notice_arrives_as_one_json_object(hook: Hook):
    notifier = Notifier([webhook(f"http://{hook.place}/hook")], page="http://cooker.local/").start()
    notifier.send(NOTICE)
    notifier.stop()
    assert hook.got == [("/hook", "application/json", {**NOTICE, "page": "http://cooker.local/"})]
    assert (notifier.sent, notifier.failed) == (1, 0)


def test_a_dead_address_costs_nothing_but_its_message_and_not_the_other_channels():
    def dead(_notice: Any) -> None:
        raise OSError("nobody there")

    got: list[Any] = []
    notifier = Notifier([of(dead), Channel("other", got.append)]).start()
    notifier.send(NOTICE)
    notifier.send(NOTICE)
    notifier.stop()
    assert (notifier.sent, notifier.failed, len(got)) == (2, 2, 2)
    assert notifier.trouble == "webhook: OSError: nobody there"


def test_a_slow_address_never_keeps_the_caller_waiting():
    gate = threading.Event()
    notifier = Notifier([of(lambda _notice: gate.wait(5.0))]).start()
    for _ in range(WAITING + 10):
        notifier.send(NOTICE)
    assert notifier.dropped >= 9
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
    notifier = Notifier([apprise(path)], page="http://cooker.local/").start()
    for kind in ("trip", "pause", "notice"):
        notifier.send({**NOTICE, "kind": kind})
    notifier.stop(10.0)
    assert [(got["title"], got["message"], got["type"]) for _, _, got in hook.got] == [
        ("yard: Too hot", "No air. http://cooker.local/", kind) for kind in ("failure", "warning", "info")
    ]
    assert (notifier.sent, notifier.failed) == (3, 0)


def test_an_apprise_address_that_fails_is_counted_and_never_shown(hook: Hook, tmp_path: Path, caplog):
    hook.status = 500
    notifier = Notifier([apprise(addresses(tmp_path, f"json://{hook.place}/{KEY}"))])
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
        apprise(addresses(tmp_path, *lines))
    assert said in str(refused.value)
    assert KEY not in str(refused.value)


def test_a_file_that_is_not_there_is_named(tmp_path: Path):
    with pytest.raises(UserError, match="none: No such file"):
        apprise(tmp_path / "none")


def configured(folder: Path, monkeypatch: pytest.MonkeyPatch, notify: str) -> None:
    (folder / "host.toml").write_text(f'cooker = "yard"\n[notify]\n{notify}\n')
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(folder / "host.toml"))


def test_without_the_extra_it_is_refused_in_one_clear_line(tmp_path: Path, monkeypatch, capsys):
    configured(tmp_path, monkeypatch, f'apprise_file = "{addresses(tmp_path, "json://localhost")}"')
    monkeypatch.setitem(sys.modules, "apprise", None)  # as if it were not installed
    for words in (["doctor", "--test-notice"], ["serve", "--port", "0", "--db", str(tmp_path / "cooks.sqlite")]):
        assert main(words) == 1
        assert capsys.readouterr().err == f"emberdraft: {channels.MISSING}\n"
    assert not (tmp_path / "cooks.sqlite").exists()


def test_a_test_notice_from_the_command_line(hook: Hook, tmp_path: Path, monkeypatch, capsys):
    lines = addresses(tmp_path, f"json://{hook.place}/a")
    configured(tmp_path, monkeypatch, f'webhook = "http://{hook.place}/{KEY}"\napprise_file = "{lines}"')
    assert main(["doctor", "--test-notice"]) == 0
    assert capsys.readouterr().out == "Test notice sent by webhook, apprise\n"
    assert [(path, got.get("kind", got.get("type"))) for path, _, got in hook.got] == [
        (f"/{KEY}", "test"),
        ("/a", "info"),
    ]
    hook.status = 500
    assert main(["doctor", "--test-notice"]) == 1
    said = capsys.readouterr()
    assert said.err.startswith("emberdraft: test notice: webhook: HTTPError: HTTP Error 500")
    assert KEY not in said.err + said.out


def test_a_test_notice_where_none_is_set_says_what_would_be_right(tmp_path: Path, monkeypatch, capsys):
    configured(tmp_path, monkeypatch, "")
    assert main(["doctor", "--test-notice"]) == 1
    assert "notify.webhook or notify.apprise_file in the settings file would be right" in capsys.readouterr().err


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
