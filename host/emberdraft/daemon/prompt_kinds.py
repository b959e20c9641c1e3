"""The kinds of prompt: what a person may be asked to do. A plan's stand-in script names them."""

from __future__ import annotations

PROMPT_KINDS = (
    "light",
    "look_at_fire",
    "set_vents",
    "move_vent",
    "set_up",
    "put_on",
    "check",
    "pull",
    "open_vent",
    "start_climb",
    "climb_over",
    "come_to_sear",
    "sear_on",
    "flip",
    "take_off",
    "end",
    "shut_vents",
    "go_on",
)
