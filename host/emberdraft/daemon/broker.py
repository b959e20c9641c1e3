"""The broker that comes along: one process start, no installation, for one cooker or a yard of them.

Two implementations behind one small interface. `iotcore` (rumqttd in a wheel) is the first choice:
it passes every probe of tests/daemon/test_broker.py. `amqtt` is the way back where iotcore has no
wheel; its limits are in docs/reference/wire.md. Any other MQTT 3.1.1 broker is a BrokerAddress.
"""

from __future__ import annotations

import importlib.util
import json
import secrets
import socket
import subprocess
import sys
import tempfile
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any, Protocol

from emberdraft.errors import UserError

LARGEST_MESSAGE = 16 * 1024  # bytes; our largest is below 2 kB
READY_S = 60.0  # a process of its own: on a computer with a long queue it takes many seconds to come up
START_TRIES = 5


@dataclass(frozen=True)
class BrokerAddress:
    """Where a broker listens and how to be let in. The password is kept out of every print."""

    host: str
    port: int = 1883
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    ca_file: str = ""  # PEM; with one the connection is TLS and the broker must prove itself by it
    more: dict[str, str] = field(default_factory=dict, repr=False)  # further users of an embedded one


class _Engine(Protocol):
    def start(self, address: BrokerAddress) -> None: ...

    def stop(self) -> None: ...


class EmbeddedBroker:
    """A broker of our own on `host` (loopback unless asked otherwise); port 0 takes a free one."""

    def __init__(
        self,
        host: str = "127.0.0.1",
        port: int = 0,
        user: str = "emberdraft",
        password: str | None = None,
        kind: str | None = None,
        more: dict[str, str] | None = None,
    ) -> None:
        self.kind = kind or best_kind()
        self._wanted = BrokerAddress(host, port, user, password or secrets.token_urlsafe(16), more=more or {})
        self._engine: _Engine | None = None

    def start(self) -> BrokerAddress:
        """Listen, and say where. UserError if the port is taken."""
        wanted, tries = self._wanted, 1 if self._wanted.port else START_TRIES
        for left in reversed(range(tries)):
            address = replace(wanted, port=wanted.port or free_port(wanted.host))
            engine = ENGINES[self.kind]()
            try:
                engine.start(address)
            except OSError as error:
                if left:
                    continue  # somebody took the free port in between
                raise UserError(f"port {address.port} on {address.host}: {error}; choose another port") from None
            self._engine, self._wanted = engine, address
            return address
        raise AssertionError("unreachable")

    def stop(self) -> None:
        """Stop listening and free the port; safe to call twice. The next start uses the same port."""
        if self._engine is not None:
            self._engine.stop()
        self._engine = None


def best_kind() -> str:
    """The better of the engines that are installed here."""
    for kind in ("iotcore", "amqtt"):
        if importlib.util.find_spec(kind) is not None:
            return kind
    raise UserError("no broker in this installation: add iotcore or amqtt, or name a broker in the settings")


def free_port(host: str) -> int:
    """A port that nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind((host, 0))
        port: int = probe.getsockname()[1]
        return port


# Segments bound the memory: rumqttd keeps the last messages of each topic in them.
_IOTCORE = """
id = 0
[router]
id = 0
max_connections = 200
max_outgoing_packet_count = 200
max_segment_size = 262144
max_segment_count = 4
[v4.1]
name = "v4"
listen = "{host}:{port}"
next_connection_delay_ms = 1
[v4.1.connections]
connection_timeout_ms = 5000
max_payload_size = {largest}
max_inflight_count = 100
dynamic_filters = true
auth = {{ {auth} }}
"""


class IotcoreEngine:
    """rumqttd in a child process that ends with us."""

    def start(self, address: BrokerAddress) -> None:
        from iotcore import Broker

        text = _IOTCORE.format(
            host=address.host,
            port=address.port,
            auth=", ".join(f'"{_toml(user)}" = "{_toml(word)}"' for user, word in _users(address).items()),
            largest=LARGEST_MESSAGE,
        )
        # The password must not be seen in the process list: it goes through a file of mode 0700
        # that is gone as soon as the broker listens.
        with tempfile.TemporaryDirectory(prefix="emberdraft-") as folder:
            path = Path(folder, "broker.toml")
            path.write_text(text)
            self._broker: Any = Broker(config_path=str(path))
            try:
                self._broker.start(timeout=READY_S)
            except RuntimeError as error:
                raise UserError(f"{error}: this computer may be too busy just now; start again") from None

    def stop(self) -> None:
        self._broker.stop()


def _users(address: BrokerAddress) -> dict[str, str]:
    return {address.user or "": address.password or "", **address.more}


def _toml(text: str) -> str:
    """Text for the inside of a basic TOML string."""
    return text.replace("\\", "\\\\").replace('"', '\\"')


class AmqttEngine:
    """amqtt in a child process that ends with us: see amqtt_child."""

    def start(self, address: BrokerAddress) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "emberdraft.daemon.amqtt_child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.write(json.dumps(asdict(address)).encode() + b"\n")
        self._process.stdin.flush()
        trouble = self._process.stdout.readline().decode()
        if trouble != "\n":
            self.stop()
            raise OSError(trouble.strip() or "the broker's process ended at once")

    def stop(self) -> None:
        self._process.communicate(timeout=10)


ENGINES: dict[str, type[IotcoreEngine] | type[AmqttEngine]] = {"iotcore": IotcoreEngine, "amqtt": AmqttEngine}
