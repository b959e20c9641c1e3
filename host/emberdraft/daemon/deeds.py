"""What follows from each deed: marks, orders, and the next step. A deed is a prompt's button, pressed."""

from __future__ import annotations

from collections.abc import Callable

from emberdraft.daemon import sear
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.stage import Stage


def _light(stage: Stage, prompt: Prompt) -> None:
    stage.run.started_s = stage.now_s
    stage.mark("lit")
    stage.vent("bottom", prompt.vents.get("bottom", float(stage.plan.light.vent_bottom)))
    stage.vent("top", prompt.vents.get("top", float(stage.plan.light.vent_top)))
    stage.go("lit")


def _look_at_fire(stage: Stage, prompt: Prompt) -> None:
    stage.run.look_s = stage.now_s


def _set_vents(stage: Stage, prompt: Prompt) -> None:
    slow = stage.plan.slow
    if slow is not None and slow.vent_bottom is not None:
        stage.vent("bottom", float(slow.vent_bottom))
    if slow is not None and slow.vent_top is not None:
        stage.vent("top", float(slow.vent_top))


def _move_vent(stage: Stage, prompt: Prompt) -> None:
    for which, opening in prompt.vents.items():
        stage.vent(which, opening)


def _set_up(stage: Stage, prompt: Prompt) -> None:
    stage.lid(False)
    stage.mark("set_up")
    stage.go("set_in")


def _put_on(stage: Stage, prompt: Prompt) -> None:
    stage.lid(False)
    for letter in prompt.letters:
        piece = stage.piece(letter)
        piece.state, piece.on_s, piece.due_count = "in", stage.now_s, 0
        stage.mark("piece_on", text=letter)
        stage.do("piece", letter, on_s=stage.now_s)
    stage.send_pieces()


def pull(stage: Stage, prompt: Prompt) -> None:
    """A piece is out: its alarm ends, here and on the board; the other pieces cook on."""
    stage.lid(False)
    for letter in prompt.letters:
        piece = stage.piece(letter)
        # The probe is drawn before the button is pressed: what it read last in the piece counts, not what it reads now.
        at_c = piece.highest_c if piece.highest_c is not None else stage.core_c(letter)
        piece.state, piece.pulled_s, piece.pulled_c = "resting", stage.now_s, at_c
        stage.mark("pulled", piece.pulled_c, letter)
        stage.do("piece", letter, pulled_s=stage.now_s)
        probe = stage.plan_pieces[letter].probe
        if probe is not None:
            stage.order("pulled", index=probe)
    out = set(stage.letters("resting", "searing", "done"))
    food = ("pull", "check")
    stage.run.prompts = [p for p in stage.run.prompts if p.kind not in food or not set(p.letters) <= out]


def _open_vent(stage: Stage, prompt: Prompt) -> None:
    if stage.run.by_hand:
        stage.vent("bottom", 1.0)
    stage.vent("top", 1.0)
    stage.go("vent_open")


def _start_climb(stage: Stage, prompt: Prompt) -> None:
    stage.run.climb_start_s = stage.now_s
    stage.lid(False)
    stage.go("yes")


def _climb_over(stage: Stage, prompt: Prompt) -> None:
    stage.acknowledge("drive_too_long")
    stage.go("stone_ready")


def _come_to_sear(stage: Stage, prompt: Prompt) -> None:
    stage.go("there")


def _sear_on(stage: Stage, prompt: Prompt) -> None:
    stage.lid(False)
    for letter in prompt.letters:
        stage.piece(letter).state = "searing"
    stage.mark("on_stone", stage.view.stone_c, "".join(prompt.letters))
    sear.begin_side(stage, 0)


def _flip(stage: Stage, prompt: Prompt) -> None:
    stage.lid(False)
    stage.mark("flipped", stage.view.stone_c, "".join(prompt.letters))
    sear.begin_side(stage, stage.run.sear.side + 1)


def _take_off(stage: Stage, prompt: Prompt) -> None:
    stage.lid(False)
    for letter in prompt.letters:
        piece = stage.piece(letter)
        piece.state, piece.off_s = "done", stage.now_s
    stage.mark("off_stone", stage.view.stone_c, "".join(prompt.letters))
    sear.end_group(stage)


def _end(stage: Stage, prompt: Prompt) -> None:
    stage.go("put_out")


def _shut_vents(stage: Stage, prompt: Prompt) -> None:
    stage.vent("top", 0.0)
    stage.vent("bottom", 0.0)


def _go_on(stage: Stage, prompt: Prompt) -> None:
    stage.send()


DEEDS: dict[str, Callable[[Stage, Prompt], None]] = {
    "light": _light,
    "look_at_fire": _look_at_fire,
    "set_vents": _set_vents,
    "move_vent": _move_vent,
    "set_up": _set_up,
    "put_on": _put_on,
    "check": pull,
    "pull": pull,
    "open_vent": _open_vent,
    "start_climb": _start_climb,
    "climb_over": _climb_over,
    "come_to_sear": _come_to_sear,
    "sear_on": _sear_on,
    "flip": _flip,
    "take_off": _take_off,
    "end": _end,
    "shut_vents": _shut_vents,
    "go_on": _go_on,
}
