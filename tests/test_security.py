"""What listens, and where secrets are not."""

from __future__ import annotations

import json
import logging
import re
import signal
import sqlite3
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import psutil
import pytest

from emberdraft.cli import main
from emberdraft.commands.host import Host
from emberdraft.commands.lan import addresses
from emberdraft.daemon.broker_keys import HOST_USER, keys_file, write_secret
from emberdraft.daemon.channels import channels
from emberdraft.web.people import own_key_file
from tests.one_at_a_time import BROKER_PORT, alone
from tests.proof.fixture import Proof
from tests.waiting import CAP_S, until
from tests.web.test_door import lan as lan  # the fixture

ROOT = Path(__file__).parents[1]
TABLE = (ROOT / "SECURITY.md").read_text(encoding="utf-8").split("## What listens")[1].split("##")[0]


def listening_of(process: psutil.Process) -> set[tuple[str, int]]:
    """(address, port) of every listening socket of a process and all that it started."""
    found = set()
    for each in (process, *process.children(recursive=True)):
        found |= {tuple(one.laddr) for one in each.net_connections("inet") if one.status == psutil.CONN_LISTEN}
    return found


def started(folder: Path, *words: str) -> tuple[set[tuple[str, int]], str]:
    """What listens once `emberdraft serve` says that it is ready, and what it said."""
    command = [sys.executable, "-m", "emberdraft", "serve", "--db", str(folder / "cooks.sqlite"), "--port", "0", *words]
    with alone(BROKER_PORT), subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8") as serve:
        assert serve.stdout is not None
        told = ""
        while "Stop with Ctrl-C" not in told:
            line = serve.stdout.readline()
            assert line, told
            told += line
        found = listening_of(psutil.Process(serve.pid))
        serve.send_signal(signal.SIGINT)
        serve.stdout.read()
    return found, told


def test_serve_listens_at_two_ports_of_this_machine_and_nowhere_else(tmp_path: Path) -> None:
    found, told = started(tmp_path)
    assert TABLE.count("127.0.0.1") == 2
    page = int(re.findall(r"Page: http://127\.0\.0\.1:(\d+)/", told)[0])
    broker = int(re.findall(r"Broker: 127\.0\.0\.1:(\d+)", told)[0])
    assert found == {("127.0.0.1", page), ("127.0.0.1", broker)}


def test_with_lan_one_named_address_is_added_and_the_broker_is_there(tmp_path: Path, lan: str) -> None:
    found, told = started(tmp_path, "--lan", lan)
    page = int(re.findall(r"Page: http://127\.0\.0\.1:(\d+)/", told)[0])
    assert found == {("127.0.0.1", page), (lan, page), (lan, 1883)}
    assert TABLE.count("the named address") == 2 and "1883" in TABLE
    assert re.search(r"good once and for ten minutes: [A-Z2-9]{5}-[A-Z2-9]{5}\n", told)


def test_a_wrong_interface_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--lan", "nothing0", "--db", str(tmp_path / "c.sqlite"), "--port", "0"]) == 1
    err = capsys.readouterr().err
    assert err.count("\n") == 1 and all(name in err for name in addresses())


# ---- canaries -------------------------------------------------------------------------------

CANARY = "canary0of0the0test"
KEYS = {HOST_USER: f"{CANARY}host", "yard": f"{CANARY}board"}


class Hook(BaseHTTPRequestHandler):
    """A webhook that refuses, so that the host has something to complain of."""

    def do_POST(self) -> None:
        self.send_error(500)

    def log_message(self, format: str, *args: Any) -> None:
        """Keep quiet."""


@pytest.fixture
def hook() -> Iterator[str]:
    server = HTTPServer(("127.0.0.1", 0), Hook)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/{CANARY}hook"
    server.shutdown()
    server.server_close()


def post(url: str, body: dict[str, Any], cookie: str = "") -> Any:
    headers = {"content-type": "application/json", "cookie": cookie}
    request = urllib.request.Request(url, json.dumps(body).encode(), headers)
    with urllib.request.urlopen(request, timeout=CAP_S) as answer:
        return json.load(answer), answer.headers.get("set-cookie", "")


def planted(tmp_path: Path, lan: str, hook: str, caplog: Any, capfd: Any) -> tuple[dict[str, str], dict[str, str]]:
    """Secrets of each kind, by name, and the text of every place where none may be."""
    caplog.set_level(logging.DEBUG)
    db = tmp_path / "cooks.sqlite"
    write_secret(keys_file(db), json.dumps(KEYS))
    with Host(db, "yard", lan=lan, channels=channels(hook, "")) as host:
        assert host.people is not None
        code = host.people.invite()
        made, cookie = post(f"http://{lan}:{host.page.port}/api/pair", {"code": code, "name": "Ada"})
        token = cookie.partition("=")[2].partition(";")[0]
        with pytest.raises(urllib.error.HTTPError) as refused:
            post(f"http://{lan}:{host.page.port}/api/enter", {"name": "Ada", "password": f"{CANARY}typed"})
        refused.value.close()
        cook = host.store.begin_cook("yard", "A cook", None, time.time())
        notifier = host.service.notifier
        notifier.send({"title": "A notice", "text": "to the hook", "cooker": "yard"})
        until(lambda: notifier.failed > 0)
        key = own_key_file(db).read_text()
        asked = urllib.request.Request(host.page.url + "api/health", headers={"authorization": f"Bearer {key}"})
        with urllib.request.urlopen(asked, timeout=CAP_S) as answer:
            health = answer.read().decode()
        note = db.with_name(db.name + ".running").read_text()
        with closing(sqlite3.connect(db)) as source, closing(sqlite3.connect(tmp_path / "copy.sqlite")) as copy:
            source.backup(copy)
        shown = repr(host.address)
    for words in (["export", str(cook), "--format", "csv"], ["export", str(cook), "--format", "json"], ["doctor"]):
        main([*words, "--db", str(db)])
    main(["report", str(cook), "-o", str(tmp_path / "cook.html"), "--db", str(db)])
    out = capfd.readouterr()
    places = {"log": caplog.text, "console": out.out + out.err, "health": health, "note": note, "shown": shown}
    places |= {path.name: path.read_bytes().decode("latin-1") for path in tmp_path.iterdir() if path.is_file()}
    assert {"cooks.sqlite", "copy.sqlite", "people.json", "cook.html"} <= set(places)
    assert "webhook:" in places["log"]  # it had something to say of the address
    assert CANARY in places.pop("broker-keys.json")  # where it belongs, and nowhere else
    return {"key": CANARY, "password": made["password"], "session": token, "code": code, "key of programs": key}, places


def test_a_secret_of_each_kind_is_in_no_log_address_export_report_or_copy(
    tmp_path: Path, lan: str, hook: str, caplog: Any, capfd: Any
) -> None:
    secrets, places = planted(tmp_path, lan, hook, caplog, capfd)
    assert min(map(len, secrets.values())) >= 10
    assert [f"{kind} in {place}" for kind, word in secrets.items() for place in places if word in places[place]] == []


@pytest.mark.prove("Security: planted secrets", proves=["host/emberdraft/commands", "host/emberdraft/web/static"])
def test_planted_secrets_that_turn_up(
    tmp_path: Path, lan: str, hook: str, caplog: Any, capfd: Any, proof: Proof
) -> None:
    secrets, places = planted(tmp_path, lan, hook, caplog, capfd)
    hits = sum(word in text for word in secrets.values() for text in places.values())
    name = f"planted secrets found, {len(secrets)} kinds in {len(places)} places (logs, addresses, exports, copies)"
    proof.promise(name, hits, equals=0)
