"""Notices: handed over at once, sent on another thread, never fatal."""

from __future__ import annotations

import json
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from emberdraft.daemon.notify import WAITING, Notifier
from emberdraft.errors import UserError

NOTICE = {"cooker": "yard", "kind": "prompt", "title": "Pull the chop (A)", "text": "", "at_s": 0.0, "again": 1}


def test_a_notice_arrives_as_one_json_object():
    got = []

    class Hook(BaseHTTPRequestHandler):
        def do_POST(self):
            body = self.rfile.read(int(self.headers["Content-Length"]))
            got.append((self.headers["Content-Type"], json.loads(body)))
            self.send_response(204)
            self.end_headers()

        def log_message(self, *args):
            return

    server = HTTPServer(("127.0.0.1", 0), Hook)
    thread = threading.Thread(target=server.handle_request)
    thread.start()
    notifier = Notifier(f"http://127.0.0.1:{server.server_port}/hook", page="http://cooker.local/").start()
    notifier.send(NOTICE)
    notifier.stop()
    thread.join(5.0)
    server.server_close()
    assert got == [("application/json", {**NOTICE, "page": "http://cooker.local/"})]
    assert (notifier.sent, notifier.failed) == (1, 0)


def test_a_dead_address_costs_nothing_but_its_message():
    def dead(url, body):
        raise OSError("nobody there")

    notifier = Notifier("http://example.invalid/hook", post=dead).start()
    notifier.send(NOTICE)
    notifier.send(NOTICE)
    notifier.stop()
    assert (notifier.sent, notifier.failed) == (0, 2)
    assert "nobody there" in notifier.trouble


def test_a_slow_address_never_keeps_the_caller_waiting():
    gate = threading.Event()
    notifier = Notifier("http://example.invalid/hook", post=lambda url, body: gate.wait(5.0)).start()
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
    assert "Pull the chop (A)" in caplog.text


@pytest.mark.parametrize("url", ["example.org", "ftp://example.org/x", "http://", "http:/x"])
def test_an_address_that_is_none_is_refused(url):
    with pytest.raises(UserError, match="such as https"):
        Notifier(url)
