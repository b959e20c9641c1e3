"""What an import may cost the host: one at a time, bounded, and whatever stands in the file it is an answer."""

from __future__ import annotations

import csv
import io
import itertools
import json
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from emberdraft.store.records import READING_COLUMNS
from emberdraft.web import acts, bring
from tests.web.real_host import Host, real_host

TEXTS = ("mode", "phase", "why")
MADE = {"late": 0, "mode": "hold", "phase": "slow", "pit_c": 120.531, "target_c": 121.0, "duty": 0.25, "lid_open": 0}


def row(k: int, cooker: str) -> list[Any]:
    made = {**MADE, "cooker": cooker, "at_s": 1.79e9 + k, "boot": "b1", "seq": k, "ms": 1000 * k}
    return [made.get(name, "" if name.endswith("fault") else None) for name in READING_COLUMNS]


def csv_text(rows: list[list[Any]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([READING_COLUMNS, *rows])
    return out.getvalue()


def json_text(rows: list[list[Any]], cooker: str) -> str:
    cook = {"cooker": cooker, "name": "x", "start_s": 1.79e9, "end_s": 1.79e9 + len(rows)}
    return json.dumps({"cook": cook, "reading_columns": READING_COLUMNS, "readings": rows})


def test_while_one_import_is_under_way_another_is_refused_and_told_so(host: Host) -> None:
    body = json.dumps({"file": "a.csv", "text": csv_text([row(0, "yard")])}).encode()
    head = (
        f"POST /api/cooks/import HTTP/1.1\r\nHost: 127.0.0.1:{host.server.port}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    ).encode()
    with socket.create_connection(("127.0.0.1", host.server.port)) as slow:
        slow.sendall(head + body[:10])
        other = {"file": "b.csv", "text": csv_text([row(0, "shed")])}
        answers = (host.http.post("/api/cooks/import", json=other) for _ in range(100))
        refused = next(answer for answer in answers if answer.status_code != 200)
        assert (refused.status_code, refused.json()["error"]["what"]) == (409, "Another import is under way")
        slow.sendall(body[10:])
        assert b" 200 " in slow.recv(100)


def test_a_body_that_does_not_come_is_given_up(host: Host, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(acts, "PATIENCE_S", 0.2)
    monkeypatch.setattr(acts, "SLOWEST_BPS", 1e9)
    with socket.create_connection(("127.0.0.1", host.server.port)) as slow:
        slow.settimeout(5.0)
        head = f"POST /api/cooks/import HTTP/1.1\r\nHost: 127.0.0.1:{host.server.port}\r\n"
        slow.sendall(f"{head}Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{{".encode())
        assert b" 408 " in slow.recv(100)
    assert not bring._ONE_AT_A_TIME.locked()


def test_more_than_is_allowed_is_refused_before_it_is_all_there(host: Host, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bring, "LONGEST", 100_000)
    answer = host.http.post("/api/cooks/import", json={"file": "a.csv", "text": "x" * 200_000})
    assert answer.status_code == 413


ROWS = 25_000


def peak_growth_mb(folder: Path, kind: str) -> float:
    """What one import adds to the host's largest memory, measured in a process of its own, MB."""
    code = f"from tests.web.test_imports import imported; imported({str(folder)!r}, {kind!r})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(done.stdout.split()[-1])


def imported(folder: str, kind: str) -> None:
    import resource

    path = Path(folder, "body")
    with real_host(Path(folder)) as host:
        host.http.get("/cooks")
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        url = f"{host.server.url}api/cooks/import"
        sent = ["curl", "-sS", "-H", "content-type: application/json", "--data-binary", f"@{path}", url]
        answer = subprocess.run(sent, capture_output=True, text=True, check=True).stdout
        assert json.loads(answer) == {"cook_id": 1}, answer
        print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024.0)


@pytest.mark.parametrize(
    ("kind", "why"), [("csv", "hold"), ("json", "\U0001f525")], ids=["csv", "json with wide letters"]
)
def test_an_import_takes_a_few_times_its_text(tmp_path: Path, kind: str, why: str) -> None:
    """The unit allows 512 MB; the host has 220 at rest, and eight times LONGEST fits beside that."""
    rows = [row(k, "yard") for k in range(ROWS)]
    rows[0][READING_COLUMNS.index("why")] = why
    text = csv_text(rows) if kind == "csv" else json_text(rows, "yard")
    body = json.dumps({"file": f"a.{kind}", "text": text}, ensure_ascii=False)
    (tmp_path / "body").write_text(body, encoding="utf-8")
    grown_mb = peak_growth_mb(tmp_path, kind)
    assert grown_mb < 15.0 + 8.0 * len(body) / 1e6
    assert bring.LONGEST * 8.0 / 1e6 + 15.0 + 220.0 < 512.0


nasty = st.sampled_from([
    None, "", "x", "nan", "inf", "1e999", "99999999999999999999", "-1", "0", "1", "1e300", "\x00", "\ud800", "'", [],
    {}, 2**63, 2**64, -(2**63), 1e308, -0.0, True, "=1", "1_0", "\u0661",
])  # fmt: skip


cookers = (f"c{k}" for k in itertools.count())


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    changes=st.dictionaries(st.sampled_from(READING_COLUMNS), nasty, min_size=1, max_size=3),
    kind=st.sampled_from(["csv", "json"]),
    ascii_only=st.booleans(),
)
def test_whatever_stands_in_a_row_it_is_kept_or_refused_in_a_line(
    host: Host, changes: dict[str, Any], kind: str, ascii_only: bool
) -> None:
    cooker = next(cookers)
    rows = [row(0, cooker), row(1, cooker)]
    for name, value in changes.items():
        rows[1][READING_COLUMNS.index(name)] = value
    text = csv_text(rows) if kind == "csv" else json_text(rows, cooker)
    try:
        content = json.dumps({"file": f"a.{kind}", "text": text}, ensure_ascii=ascii_only).encode()
    except UnicodeEncodeError:
        return
    answer = host.http.post("/api/cooks/import", content=content, headers={"content-type": "application/json"})
    assert answer.status_code in (200, 400, 409), answer.text
    assert answer.status_code == 200 or "\n" not in answer.json()["error"]["what"]
