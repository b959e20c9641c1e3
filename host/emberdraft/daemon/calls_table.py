"""The one table of calls: what may be wanted or wrong, whom it wakes, when a second way out is taken.

Engine (calls.py), words (call_words.py), tests and docs/reference/calls.md are made from these rows. A trip is over
once it is acknowledged, everything else with its cause, its deed, or the cook.
"""

from __future__ import annotations

from typing import NamedTuple

MINUTE_S = 60.0
SOON_S, LATE_S = 15 * MINUTE_S, 90 * MINUTE_S  # unanswered for so long, it goes out by the second way
STANDS_S = 10 * MINUTE_S  # what the house may sleep over for a while

COOKER, HOUSE, ASLEEP = "cooker", "house", "asleep"
WHOM = {
    COOKER: "at the cooker: page, buzzer and light; nothing is sent",
    HOUSE: "in the house: sent, as information",
    ASLEEP: "asleep: sent as urgent",
}


class Call(NamedTuple):
    """One row. `of` is alarm or prompt; `asleep_after_s`: from when on it wakes a sleeper, None = never."""

    of: str
    id: str
    whom: str
    asleep_after_s: float | None
    second_after_s: float | None
    why: str = ""

    def wakes(self, stood_s: float) -> str:
        """Whom it wakes once it has stood for so long."""
        return ASLEEP if self.asleep_after_s is not None and stood_s >= self.asleep_after_s else self.whom


def _cooker(of: str, id: str, why: str) -> Call:
    return Call(of, id, COOKER, None, None, why)


def _house(of: str, id: str, then_asleep_s: float | None = None, second_s: float = LATE_S, why: str = "") -> Call:
    return Call(of, id, HOUSE, then_asleep_s, second_s, why)


def _asleep(of: str, id: str, second_s: float, why: str) -> Call:
    return Call(of, id, ASLEEP, 0.0, second_s, why)


ROWS = (
    # What stops the blower until a person has seen it.
    _asleep("alarm", "pit_over_limit", SOON_S, "a trip"),
    _asleep("alarm", "stone_over_limit", SOON_S, "a trip"),
    _asleep("alarm", "not_answering", SOON_S, "a trip: the fire is lost"),
    _asleep("alarm", "blower_fault", SOON_S, "a trip: the fire will be lost"),
    _asleep("alarm", "runaway", SOON_S, "a trip"),
    _asleep("alarm", "grease_fire", SOON_S, "a trip"),
    _asleep("alarm", "boot_failed", SOON_S, "a trip: the fire will be lost"),
    _asleep("alarm", "settings_bad", SOON_S, "a trip: the fire will be lost"),
    _asleep("alarm", "firmware_bad", SOON_S, "a trip: the fire will be lost"),
    _asleep("alarm", "memory_bad", SOON_S, "a trip: the fire will be lost"),
    # What endangers people or parts with nothing stopped.
    _asleep("alarm", "blower_stuck_on", SOON_S, "the pit may run away"),
    _asleep("alarm", "back_draft", SOON_S, "a hot blower hose"),
    # The fire, the charcoal, the food.
    _asleep("alarm", "fuel_out", SOON_S, "the fire is being lost"),
    _asleep("alarm", "fuel_short", LATE_S, "the charcoal will not last"),
    _asleep("alarm", "food_unsafe", SOON_S, "food about to be unsafe"),
    # What stops the blower and goes on by itself: the fire is lost only when it stays.
    _house("alarm", "pit_sensor", STANDS_S, SOON_S, "the fire is lost when it stays"),
    _house("alarm", "board_hot", STANDS_S, SOON_S, "the fire is lost when it stays"),
    _house("alarm", "supply_low", STANDS_S, SOON_S, "the fire is lost when it stays"),
    _house("alarm", "no_link", STANDS_S, LATE_S, "a board silent for long"),
    _house("alarm", "lid_left_open", STANDS_S, LATE_S, "the fire burns down"),
    _house("alarm", "stone_sensor"),
    _house("alarm", "damper_fault"),
    _cooker("alarm", "starved_hot", "a warning to whoever opens the lid"),
    _cooker("alarm", "pull", "the prompt pull calls for it"),
    _cooker("alarm", "drive_too_long", "the prompt climb_over calls for it"),
    # What the plan wants of a person.
    _asleep("prompt", "pull", LATE_S, "food is ready"),
    _asleep("prompt", "check", LATE_S, "food may be ready"),
    _asleep("prompt", "shut_vents", LATE_S, "the end of the plan"),
    _asleep("prompt", "go_on", SOON_S, "the fire is lost when nobody comes"),
    _house("prompt", "look_at_fire"),
    _house("prompt", "set_vents"),
    _house("prompt", "move_vent"),
    _house("prompt", "set_up"),
    _house("prompt", "put_on"),
    _house("prompt", "open_vent"),
    _house("prompt", "start_climb"),
    _house("prompt", "climb_over"),
    _house("prompt", "come_to_sear"),
    _cooker("prompt", "light", "who begins a cook stands there"),
    _cooker("prompt", "sear_on", "who was called to sear stands there"),
    _cooker("prompt", "flip", "who was called to sear stands there"),
    _cooker("prompt", "take_off", "who was called to sear stands there"),
)
TABLE = {(row.of, row.id): row for row in ROWS}


def row_of(of: str, id: str, kind: str) -> Call:
    """The row of an alarm or prompt; one of a later version of the board is called by its kind."""
    found = TABLE.get((of, id))
    if found is not None:
        return found
    return _asleep(of, id, SOON_S, "a trip") if kind == "trip" else _house(of, id)
