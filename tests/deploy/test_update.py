"""Onto a board and back, through the real mpremote and the real interpreter, with a cable that is pulled half-way."""

from __future__ import annotations

import pytest

from emberdraft.deploy import build as building
from emberdraft.deploy import update
from emberdraft.deploy.look import look
from emberdraft.deploy.remote import LinkLostError
from emberdraft.errors import UserError
from tests.deploy.built import built
from tests.deploy.stand_in import StandIn, firmware
from tests.virtual.conftest import interpreter_or_skip


@pytest.fixture
def board(tmp_path):
    interpreter_or_skip()
    flash = tmp_path / "flash"
    flash.mkdir()
    made = StandIn(flash)
    yield made
    made.pull()


@pytest.fixture
def deploy(board, tmp_path):
    """`deploy(version)` puts a small firmware of that version onto the board; gives how many files were sent."""

    def run(version: str, converter: str = "max31856") -> int:
        source = firmware(tmp_path / version, version, extra=14)
        return update.deploy(board.remote, look(board.remote), converter, lambda _: None, source=source)

    return run


def version_on(board):
    said = board.remote.call(
        "exec", "import sys; sys.path[:] = ['', 'lib']; import emberboard; print(emberboard.__version__)"
    )
    return said.strip()


def test_a_new_version_sends_only_what_differs_and_keeps_the_old_one(board, deploy):
    assert deploy("one") == 20
    assert version_on(board) == "one"
    first = board.files("emberboard")
    assert deploy("two") == 4  # boot.py, main.py, __init__ and the list of sums
    assert "next" not in {path.name for path in board.flash.iterdir()}
    assert board.files("lib/emberboard") == first
    assert (board.flash / "main.py").read_text() == "# two\n"
    assert not any("max31855" in name or "mcp9600" in name for name in board.files("emberboard"))
    update.restore(board.remote)
    assert board.files("emberboard") == first
    assert (board.flash / "main.py").read_text() == "# one\n"


def test_the_first_deploy_speaks_of_no_earlier_tree_and_the_second_does(board, tmp_path, monkeypatch):
    said = []
    for version in ("one", "two"):
        source = firmware(tmp_path / version, version)
        update.deploy(board.remote, look(board.remote), "max31856", said.append, source=source)
    ends = [line for line in said if line.startswith("verified")]
    assert ends == [
        "verified by hash and switched",
        "verified by hash and switched; the tree before it is kept in lib/",
    ]


def run_for_a_minute(board):
    (board.flash / "emberboard" / "trial").unlink()


def versions_at_staging(board, deploy, version, monkeypatch):
    """Which trees are there when the first file of a deploy travels."""
    seen, stage = [], update.stage

    def look_first(remote, tree):
        seen.extend(place for place in ("emberboard", "lib/emberboard", "failed") if (board.flash / place).is_dir())
        return stage(remote, tree)

    monkeypatch.setattr(update, "stage", look_first)
    deploy(version)
    return seen


def test_the_tree_before_a_proven_one_makes_room_for_the_next(board, deploy, monkeypatch):
    deploy("one")
    run_for_a_minute(board)
    deploy("two")
    run_for_a_minute(board)
    assert versions_at_staging(board, deploy, "three", monkeypatch) == ["emberboard"]
    assert b"two" in board.files("lib/emberboard")["__init__.mpy"]


def test_a_tree_on_trial_and_the_one_before_it_both_stay(board, deploy, monkeypatch):
    deploy("one")
    run_for_a_minute(board)
    deploy("two")
    assert look(board.remote).on_trial
    assert versions_at_staging(board, deploy, "three", monkeypatch) == ["emberboard", "lib/emberboard"]
    assert b"one" in board.files("lib/emberboard")["__init__.mpy"]


def test_a_tree_that_failed_makes_room_once_boot_has_put_the_earlier_one_back(board, deploy, monkeypatch):
    deploy("one")
    run_for_a_minute(board)
    deploy("two")
    (board.flash / "emberboard").rename(board.flash / "failed")
    for name in ("boot.py", "main.py"):
        (board.flash / "lib" / f"{name}.old").rename(board.flash / name)
    assert versions_at_staging(board, deploy, "three", monkeypatch) == ["lib/emberboard"]


def test_a_cable_pulled_half_way_leaves_the_old_tree_and_is_taken_up_again(board, deploy, monkeypatch):
    deploy("one")
    before = board.files("emberboard")
    put, calls = board.remote.put, []

    def pulled(files):
        files = list(files)
        calls.append(len(files))
        if len(calls) == 2:
            put(files[:1])
            board.pull()
        put(files)

    monkeypatch.setattr(board.remote, "put", pulled)
    with pytest.raises(LinkLostError):
        deploy("two")
    assert board.files("emberboard") == before
    assert (board.flash / "main.py").read_text() == "# one\n"
    board.plug()
    assert version_on(board) == "one"
    assert deploy("two") == 3  # the fourth was there already
    board.pull()
    board.plug()  # a restart: nothing stands in its memory
    assert version_on(board) == "two"


def test_a_file_that_arrived_wrong_is_never_switched_to(board, deploy, monkeypatch):
    deploy("one")
    before = board.files("emberboard")
    stage = update.stage

    def spoilt(remote, tree):
        sent = stage(remote, tree)
        (board.flash / "next/emberboard/more3.mpy").write_bytes(b"M\x06")
        return sent

    monkeypatch.setattr(update, "stage", spoilt)
    with pytest.raises(UserError, match=r"not as sent on the board: emberboard/more3\.mpy"):
        deploy("two")
    assert board.files("emberboard") == before


def test_without_an_earlier_firmware_there_is_nothing_to_go_back_to(board):
    with pytest.raises(UserError, match="nothing to go back to"):
        update.restore(board.remote)


def test_the_real_firmware_is_built_for_each_board_with_its_one_converter():
    sizes = {}
    for platform in ("rp2", "esp32"):
        for converter in building.CONVERTERS:
            tree = built(platform, converter)
            drivers = {name for name in tree.hashes if "/max31" in name or "/mcp" in name}
            assert drivers == {f"emberboard/drivers/{converter}.mpy"}
            assert ("emberboard/drivers/its90.mpy" in tree.hashes) == (converter == "max31855")
            assert ("emberboard/boards/pico_w.mpy" in tree.hashes) == (platform == "rp2")
            assert "emberboard/boards/virtual.mpy" not in tree.hashes
            sizes[platform, converter] = tree.total_bytes()
    assert max(sizes.values()) < 100_000  # 92 kB compiled, boot.py, main.py and the list of sums


def test_two_builds_are_the_same_to_the_byte(tmp_path):
    source = firmware(tmp_path / "source", "one")
    first = building.build(tmp_path / "a", "rp2", "max31855", compiled=True, source=source)
    second = building.build(tmp_path / "b", "rp2", "max31855", compiled=True, source=source)
    assert first.hashes == second.hashes


def test_an_unknown_converter_is_named(tmp_path):
    with pytest.raises(UserError, match="converter 'max6675': one of max31856"):
        building.build(tmp_path, "rp2", "max6675", compiled=False)


@pytest.mark.prove("Deployment", proves=["firmware", "host/emberdraft/deploy"])
def test_the_whole_firmware_goes_onto_the_stand_in_and_runs_there(board):
    sent = update.deploy(board.remote, look(board.remote), "max31856", lambda _: None)
    assert sent > 50
    again = update.deploy(board.remote, look(board.remote), "max31856", lambda _: None)
    assert again == 0
    said = board.remote.call(
        "exec",
        "import sys; sys.path[:] = ['', 'lib', '.frozen']; from emberboard.core.controller import Controller, Inputs;"
        "print(Controller().tick(0, Inputs()).why)",
    )
    assert said.strip() == "off"
