"""What a tree takes of a flash, measured on MicroPython's own littlefs of a stock Pico W's size (212 blocks of 4 kB).

848 kB is what ports/rp2 leaves for files on a Pico W (from memory); progsize 256 is rp2's, 32 is esp32's (from memory).
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from emberdraft.commands.board import NEED_BLOCKS
from emberdraft.deploy.look import Facts, judge
from emberdraft.deploy.update import SPARE_BLOCKS
from emberdraft.virtual.interpreter import find_micropython
from tests.deploy.built import built
from tests.virtual.conftest import interpreter_or_skip

SCRIPT = Path(__file__).with_name("on_littlefs.py")
PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "budgets.md").read_text()
PICO_BLOCKS, LARGE_BLOCKS = 212, 512
ROOM_FOR_RECORDS = 36  # pages that are there at each deploy


@pytest.fixture(scope="module")
def trees():
    return {platform: built(platform, "max31855") for platform in ("rp2", "esp32")}


def measured(tree, progsize, blocks, pages, free_first):
    """(words and numbers that the script printed, in order)."""
    interpreter_or_skip()
    command = [find_micropython() or "", "-X", "heapsize=16m", str(SCRIPT), str(tree.folder)]
    command += [str(number) for number in (progsize, blocks, pages, int(free_first))]
    run = subprocess.run(command, check=False, capture_output=True, encoding="utf-8", timeout=120)
    assert run.returncode == 0, run.stdout + run.stderr
    return [(word, int(number)) for word, number in (line.split() for line in run.stdout.splitlines())]


@pytest.mark.parametrize(("platform", "progsize"), [("rp2", 256), ("esp32", 32)])
def test_a_tree_takes_no_more_blocks_than_are_reckoned_and_what_the_page_says(trees, platform, progsize):
    said = dict(measured(trees[platform], progsize, LARGE_BLOCKS, 0, True))
    assert 0.7 * trees[platform].blocks() <= said["tree"] <= trees[platform].blocks()
    (told,) = re.findall(rf"^\| {platform}, progsize {progsize} \| (\d+) \|", PAGE, re.MULTILINE)
    assert said["tree"] == pytest.approx(int(told), rel=0.06)


def test_the_check_of_a_board_asks_for_at_least_what_a_deploy_asks_for(trees):
    assert max(tree.blocks() for tree in trees.values()) + SPARE_BLOCKS <= NEED_BLOCKS


def test_a_pico_w_takes_one_deploy_after_the_other_with_records_there(trees):
    said = measured(trees["rp2"], 256, PICO_BLOCKS, ROOM_FOR_RECORDS, True)
    assert [word for word, _ in said].count("deployed") == 4


def test_with_the_tree_before_it_kept_as_well_it_would_not(trees):
    said = measured(trees["rp2"], 256, PICO_BLOCKS, ROOM_FOR_RECORDS, False)
    assert said[-1] == ("failed", 28)  # ENOSPC


def board(**more):
    known = {"heap_free": 200_000, "files": 0, "converter": "", "old": True, "settings": True}
    return Facts("rp2", "", (1, 27, 0), (6, 3), **{"flash_free": 4096 * 50, **known, **more})


def flash_of(facts):
    return next(finding for finding in judge(facts, 102) if finding.what == "flash")


def test_room_that_the_tree_before_this_one_gives_back_counts():
    assert flash_of(board(flash_goes=60)).state == "good"


@pytest.mark.parametrize(
    ("more", "cause"),
    [
        ({"on_trial": True, "flash_records": 60}, "let the board run for a minute"),
        ({"flash_records": 52}, "52 blocks hold records that the host has not fetched"),
        ({"flash_records": 51}, "not the firmware's"),
    ],
)
def test_a_flash_that_is_too_full_is_told_by_its_true_cause(more, cause):
    finding = flash_of(board(**more))
    assert finding.state == "bad"
    assert cause in finding.todo
    assert "50 blocks of 4 kB free, 102 needed" in finding.saw
