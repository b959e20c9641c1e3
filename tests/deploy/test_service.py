"""The service's unit: what systemd itself says of it, where it is there; what it must have, everywhere."""

from __future__ import annotations

import re
import shutil
import subprocess

from emberdraft.deploy.remote import ON_BOARD

UNIT = ON_BOARD.with_name("emberdraft.service")
EXPOSURE_MOST = 2.5  # of 10; systemd 252 calls up to 4.0 OK


def keys():
    return dict(line.split("=", 1) for line in UNIT.read_text().splitlines() if re.match(r"[A-Za-z]+=", line))


def test_it_can_write_to_one_folder_only():
    found = keys()
    assert found["DynamicUser"] == found["NoNewPrivileges"] == "yes"
    assert found["ProtectSystem"] == "strict"
    assert found["CapabilityBoundingSet"] == ""
    assert (
        found["StateDirectory"] == "emberdraft" and "--db" not in found["ExecStart"]
    )  # its record: the usual place there


def test_the_password_comes_as_a_credential_and_stands_in_no_environment():
    assert keys()["LoadCredential"].startswith("broker-password:")
    assert "password" not in keys()["Environment"]


if shutil.which("systemd-analyze"):

    def test_systemd_has_nothing_against_it(tmp_path):
        unit = tmp_path / UNIT.name
        unit.write_text(re.sub(r"ExecStart=\S+", "ExecStart=/bin/true", UNIT.read_text()))
        done = subprocess.run(["systemd-analyze", "verify", str(unit)], check=False, capture_output=True, text=True)
        assert (done.returncode, done.stderr) == (0, "")

    def test_systemd_finds_little_that_is_open(tmp_path):
        command = ["systemd-analyze", "security", "--offline=true", "--no-pager", str(UNIT)]
        said = subprocess.run(command, check=False, capture_output=True, text=True).stdout
        found = re.search(r"exposure level for emberdraft\.service: ([\d.]+)", said)
        assert found and float(found.group(1)) <= EXPOSURE_MOST, said[-300:]
