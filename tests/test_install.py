"""What pip installs: the wheel alone, without a checkout, has everything that the demonstration runs."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from emberdraft.cli import main
from emberdraft.commands import service
from emberdraft.commands.service import unit_text

ROOT = Path(__file__).parents[1]
ASK = """
import json, site, sys
site.addsitedir(sys.argv[1])
from emberdraft.deploy.build import firmware_folder
from emberdraft.virtual.interpreter import FIRMWARE
import emberdraft, emberboard
names = sorted(path.relative_to(FIRMWARE).as_posix() for path in FIRMWARE.rglob("*.py"))
print(json.dumps([str(firmware_folder()), str(FIRMWARE), names, emberdraft.__file__]))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, made here and unpacked as pip does."""
    folder = tmp_path_factory.mktemp("wheel")
    made = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder / "site")
    return folder / "site"


def test_an_installed_copy_carries_the_firmware_whole(installed: Path, tmp_path: Path) -> None:
    """In a process that sees this environment's libraries, but neither the checkout nor its editable install."""
    plain = [path for path in sys.path if path and not path.startswith(str(ROOT / "host"))]
    libraries = [path for path in plain if path.endswith("site-packages")]
    code = f"import sys; sys.path[:] = {[p for p in plain if not p.startswith(str(ROOT)) or p in libraries]!r}\n{ASK}"
    command = [sys.executable, "-I", "-S", "-c", code, str(installed)]
    asked = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert asked.returncode == 0, asked.stderr
    folder, firmware, names, package = json.loads(asked.stdout)
    assert package.startswith(str(installed)) and folder == firmware == str(installed / "emberdraft" / "firmware")
    here = ROOT / "firmware"
    listed = subprocess.run(["git", "ls-files", "*.py"], cwd=here, capture_output=True, text=True, check=True).stdout
    assert names == sorted(listed.split())


def test_the_plans_the_page_and_the_unit_come_along(installed: Path) -> None:
    for name in ("plans/two_chops.toml", "web/static/js/units.js", "deploy/emberdraft.service"):
        assert (installed / "emberdraft" / name).exists(), name


def test_a_unit_names_this_installation_and_only_a_password_that_is_there() -> None:
    unit = unit_text("/usr/local/emberdraft/bin/emberdraft", False)
    assert "ExecStart=/usr/local/emberdraft/bin/emberdraft serve\n" in unit
    assert "LoadCredential" not in unit and "LoadCredential=broker-password:" in unit_text("/x", True)


def test_an_installation_that_the_service_could_not_see_is_refused(monkeypatch, capsys) -> None:
    monkeypatch.setattr(sys, "executable", "/home/me/.venv/bin/python")
    assert main(["service"]) == 1
    assert "the service sees no home" in capsys.readouterr().err


def test_the_unit_is_written_where_systemd_looks_or_refused(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(sys, "executable", "/opt/emberdraft/.venv/bin/python")
    monkeypatch.setattr(service, "UNIT", tmp_path / "emberdraft.service")
    assert main(["service", "--install"]) == 0
    assert "systemctl daemon-reload && systemctl enable --now emberdraft" in capsys.readouterr().out
    assert "/opt/emberdraft/.venv/bin/emberdraft serve" in (tmp_path / "emberdraft.service").read_text()
    monkeypatch.setattr(service, "UNIT", tmp_path / "none" / "emberdraft.service")
    assert main(["service", "--install"]) == 1
    assert "run it as root" in capsys.readouterr().err
