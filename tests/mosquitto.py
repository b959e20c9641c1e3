"""A real Mosquitto on a folder that `emberdraft broker write` makes; where there is none, the test says so."""

from __future__ import annotations

import getpass
import os
import shutil
import socket
import subprocess
from pathlib import Path

import pytest

from emberdraft.daemon.broker import BrokerAddress, free_port
from emberdraft.deploy import mosquitto as written
from tests.waiting import until

HOST = "127.0.0.1"
COOKERS = ["test", "barn"]


def program() -> str:
    """Where Mosquitto is; without one the test is passed over, in CI it fails."""
    found = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("CI must have Mosquitto (apt install mosquitto)")
        pytest.skip("no mosquitto on this computer")
    return found


class Mosquitto:
    """Start, stop, kill: the same port each time. `pid` while it runs."""

    def __init__(self, folder: Path, cookers: list[str] | None = None, discovery: str = "") -> None:
        self._program = program()
        self.folder = folder
        self.port, self.plain_port = free_port(HOST), free_port(HOST)
        self.keys = written.write_folder(folder, HOST, cookers or COOKERS, self.port, self.plain_port, discovery)
        self.conf = folder / "mosquitto.conf"
        # Started by root it would go on as a user who cannot see a folder of the tests.
        self.conf.write_text(f"user {getpass.getuser()}\n" + self.conf.read_text())
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    def start(self) -> BrokerAddress:
        """Where the host finds it, without TLS."""
        log = (self.folder / "log").open("ab")
        self._process = subprocess.Popen([self._program, "-c", str(self.conf), "-v"], stdout=log, stderr=log)
        log.close()
        until(lambda: self._answers() or self._process.poll() is not None, what=self.said)
        assert self._process.poll() is None, self.said()
        return self.as_user("host")

    def stop(self) -> None:
        """End it as the system would; harmless if it is gone."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait()
        self._process = None

    def as_user(self, user: str, tls: bool = False) -> BrokerAddress:
        """As a user of the folder."""
        ca_file = str(self.folder / "ca.pem") if tls else ""
        port = self.port if tls else self.plain_port
        return BrokerAddress(HOST, port, user, self.keys.get(user), ca_file=ca_file)

    def said(self) -> str:
        """The end of its log."""
        return (self.folder / "log").read_text()[-2000:]

    def _answers(self) -> bool:
        try:
            socket.create_connection((HOST, self.plain_port), 0.2).close()
        except OSError:
            return False
        return True
