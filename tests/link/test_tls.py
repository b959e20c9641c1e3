"""TLS on the board, under the interpreter it is made for, at a real Mosquitto: nothing less than right will do."""

from __future__ import annotations

import datetime as dt
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from emberdraft.deploy.certificates import BROKER_NAME, make_authority, make_broker
from emberdraft.virtual.interpreter import FIRMWARE, find_micropython
from tests.mosquitto import HOST, Mosquitto
from tests.virtual.conftest import interpreter_or_skip

USER = "test"
SCRIPT = Path(__file__).with_name("on_tls.py")


@pytest.fixture(scope="module")
def broker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mosquitto]:
    broker = Mosquitto(tmp_path_factory.mktemp("tls") / "broker")
    broker.start()
    yield broker
    broker.stop()


def connect(
    broker: Mosquitto, folder: Path, authority: bytes | None, *, name: str = BROKER_NAME, port: int | None = None
) -> list[str]:
    """What the board's client says; `authority` is the file it trusts (DER)."""
    interpreter_or_skip()
    if authority is not None:
        (folder / "broker.der").write_bytes(authority)
    words = [FIRMWARE, port or broker.port, name, USER, broker.keys[USER], 20]
    command = [find_micropython() or "", "-X", "heapsize=384k", str(SCRIPT), *map(str, words)]
    run = subprocess.run(command, check=False, capture_output=True, encoding="utf-8", timeout=600, cwd=folder)
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout.splitlines()


def other_certificate(broker: Mosquitto, **changed: object) -> None:
    """Give the broker another certificate of an authority made here; its DER goes to `mine.der`."""
    authority = make_authority()
    pair = make_broker(authority, HOST, **changed)  # type: ignore[arg-type]
    for name, content in (("broker.pem", pair.pem), ("broker-key.pem", pair.key_pem), ("mine.der", authority.der)):
        (broker.folder / name).write_bytes(content)


def test_the_right_authority_and_name_let_the_board_in(broker: Mosquitto, tmp_path: Path) -> None:
    told = connect(broker, tmp_path, (broker.folder / "broker.der").read_bytes())
    assert told[0] == "up"
    assert "sent 200" in told


def test_another_name_is_refused(broker: Mosquitto, tmp_path: Path) -> None:
    told = connect(broker, tmp_path, (broker.folder / "broker.der").read_bytes(), name="another-broker")
    assert "does not match with the expected CN" in told[0]
    assert "sent 0" in told


def test_another_authority_is_refused(broker: Mosquitto, tmp_path: Path) -> None:
    told = connect(broker, tmp_path, make_authority().der)
    assert "not correctly signed by the trusted CA" in told[0]
    assert "sent 0" in told


@pytest.mark.parametrize("authority", [None, b"", b"not a certificate", b"-----BEGIN CERTIFICATE-----"])
def test_without_a_good_authority_nothing_is_sent(broker: Mosquitto, tmp_path: Path, authority: bytes | None) -> None:
    before = (broker.folder / "log").read_text().count("as tls-test")
    told = connect(broker, tmp_path, authority)
    assert told[0].startswith("the connection broke: no TLS:")
    assert "sent 0" in told
    assert (broker.folder / "log").read_text().count("as tls-test") == before


def test_a_broker_that_speaks_plainly_is_not_spoken_to(broker: Mosquitto, tmp_path: Path) -> None:
    authority = (broker.folder / "broker.der").read_bytes()
    told = connect(broker, tmp_path, authority, port=broker.plain_port)
    assert told[0] != "up"
    assert "sent 0" in told


@pytest.mark.parametrize(
    ("changed", "good"),
    [
        ({}, True),
        ({"end": dt.datetime.now(dt.UTC) - dt.timedelta(days=1)}, False),
        ({"name": "another-broker"}, False),
    ],
    ids=["a new certificate", "one that has expired", "one of another name"],
)
def test_a_certificate_is_looked_at_whole(tmp_path: Path, changed: dict[str, object], good: bool) -> None:
    broker = Mosquitto(tmp_path / "broker")
    other_certificate(broker, **changed)
    broker.start()
    told = connect(broker, tmp_path, (broker.folder / "mine.der").read_bytes())
    broker.stop()
    assert (told[0] == "up") is good, told


def test_no_context_in_the_firmware_asks_for_less() -> None:
    texts = [path.read_text(encoding="utf-8") for path in FIRMWARE.rglob("*.py") if "typings" not in path.parts]
    made = [text for text in texts if re.search(r"SSLContext\(|wrap_socket\(", text)]
    assert len(made) == 1
    assert "CERT_REQUIRED" in made[0] and "server_hostname=name" in made[0]
    assert not any("CERT_NONE" in text or "CERT_OPTIONAL" in text for text in texts)
