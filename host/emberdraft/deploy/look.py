"""What a board is and whether the firmware can go onto it: facts first, then a verdict for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from emberdraft.deploy.build import compiler_version
from emberdraft.deploy.remote import Remote
from emberdraft.errors import UserError

OLDEST = (1, 24)  # asyncio, PWM with duty_u16 in the constructor; tests run 1.29
KNOWN = {"rp2": "a Raspberry Pi Pico W or Pico 2 W", "esp32": "an ESP32", "linux": "a stand-in on a computer"}
BLOCK = 4096  # what littlefs gives a file at least, on both kinds of board
HEAP_LINKED = 150_000  # what the firmware takes with its link up: docs/reference/budgets.md, the larger figure
HEAP_LEFT = 50_000


@dataclass(frozen=True)
class Facts:
    """What look.upy said."""

    platform: str
    machine: str
    micropython: tuple[int, ...]
    mpy: tuple[int, int]
    flash_free: int | None
    heap_free: int
    files: int
    converter: str
    old: bool
    settings: bool
    flash_goes: int = 0  # blocks that the tree before the present one gives back at a deploy, about
    flash_records: int = 0  # blocks of records that the host has not fetched
    on_trial: bool = False  # the tree in use has not run for a minute, and the one before it is kept for it
    failed: bool = False
    damaged: Sequence[str] = ()

    @property
    def takes_compiled(self) -> bool:
        """Whether the mpy-cross of this computer makes what this board loads."""
        return compiler_version() == self.mpy


@dataclass(frozen=True)
class Finding:
    """`state`: good, look or bad; `todo` says what would mend it."""

    what: str
    state: str
    saw: str
    todo: str = ""


def look(remote: Remote) -> Facts:
    """Ask the board."""
    said: dict[str, Any] = remote.ask("look.upy")
    return Facts(
        **{**said, "micropython": tuple(said["micropython"]), "mpy": (int(said["mpy"][0]), int(said["mpy"][1]))}
    )


def judge(facts: Facts, need_blocks: int) -> list[Finding]:
    """Every finding; `need_blocks` is what the new tree takes beside the one in use."""
    return [_kind(facts), _version(facts), _compiled(facts), _flash(facts, need_blocks), _heap(facts), *_there(facts)]


def refuse_if_bad(findings: list[Finding]) -> None:
    """One line for the first thing that stands in the way."""
    for finding in findings:
        if finding.state == "bad":
            raise UserError(f"{finding.what}: {finding.saw}; {finding.todo}")


def _kind(facts: Facts) -> Finding:
    if facts.platform in KNOWN:
        return Finding("board", "good", f"{facts.machine or facts.platform}: {KNOWN[facts.platform]}")
    todo = "write a pin map for it beside firmware/emberboard/boards/pico_w.py"
    return Finding("board", "bad", f"'{facts.platform}' is not known", todo)


def _version(facts: Facts) -> Finding:
    told = ".".join(str(part) for part in facts.micropython)
    if tuple(facts.micropython[:2]) >= OLDEST:
        return Finding("MicroPython", "good", told)
    return Finding("MicroPython", "bad", told, f"put {OLDEST[0]}.{OLDEST[1]} or newer onto it")


def _compiled(facts: Facts) -> Finding:
    mine, theirs = compiler_version(), facts.mpy
    if mine == theirs:
        return Finding("compiler", "good", f"mpy {theirs[0]}.{theirs[1]} on both sides")
    saw = f"the board loads mpy {theirs[0]}.{theirs[1]}, here is {'none' if mine is None else f'{mine[0]}.{mine[1]}'}"
    return Finding("compiler", "look", saw, "sources will be sent instead; they start slower and need more memory")


def _flash(facts: Facts, need_blocks: int) -> Finding:
    if facts.flash_free is None:
        return Finding("flash", "look", "free space not known")
    free = facts.flash_free // BLOCK
    saw = f"{free} blocks of 4 kB free, {need_blocks} needed"
    if facts.flash_goes:
        saw += f", about {facts.flash_goes} come free when the tree before this one goes"
    short = need_blocks - free - facts.flash_goes
    return Finding("flash", "good", saw) if short <= 0 else Finding("flash", "bad", saw, _in_the_way(facts, short))


def _in_the_way(facts: Facts, short: int) -> str:
    """What takes the room, and what would give it back."""
    if facts.on_trial:
        return "a tree on trial and the one before it are both there: let the board run for a minute, then deploy again"
    if facts.flash_records >= short:
        return (
            f"{facts.flash_records} blocks hold records that the host has not fetched: "
            "let the board speak with its host, then deploy again"
        )
    return "files that are not the firmware's take the rest: remove them from the board"


def _heap(facts: Facts) -> Finding:
    left = facts.heap_free - HEAP_LINKED
    saw = f"{facts.heap_free // 1000} kB of memory, {max(0, left) // 1000} kB left with the firmware running"
    if left >= HEAP_LEFT:
        return Finding("memory", "good", saw)
    return Finding("memory", "look", saw, f"{HEAP_LEFT // 1000} kB were wanted; a Pico 2 W has more")


def _there(facts: Facts) -> list[Finding]:
    firmware = "no firmware of this kind listed"
    if facts.files:
        firmware = f"{facts.files} files of this firmware for a {facts.converter or 'converter that it does not name'}"
    old = ", and the one before it" if facts.old else ""
    if facts.failed:
        old = "; a newer one failed three starts and gave way to it: deploy again"
    if facts.damaged:
        old += f"; not as it was put there: {', '.join(facts.damaged)}: deploy again"
    sound = facts.files and not facts.failed and not facts.damaged
    settings = "there" if facts.settings else "missing: `emberdraft board settings` writes them"
    return [
        Finding("firmware", "good" if sound else "look", firmware + old),
        Finding("settings", "good" if facts.settings else "look", settings),
    ]
