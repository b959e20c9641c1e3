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
    """One row. `of` is alarm or prompt; `asleep_after_s`: from when on it wakes a sleeper, None = never.

    `alone`: it calls without a cook as well, as a trip does.
    """

    of: str
    id: str
    what: str
    whom: str
    asleep_after_s: float | None = None
    second_after_s: float | None = None
    trip: bool = False
    alone: bool = False

    def wakes(self, stood_s: float) -> str:
        """Whom it wakes once it has stood for so long."""
        return ASLEEP if self.asleep_after_s is not None and stood_s >= self.asleep_after_s else self.whom


def _cooker(of: str, id: str, what: str) -> Call:
    return Call(of, id, what, COOKER)


def _house(of: str, id: str, what: str, then_asleep_s: float | None = None, second_s: float = LATE_S) -> Call:
    return Call(of, id, what, HOUSE, then_asleep_s, second_s)


def _trip(id: str, what: str) -> Call:
    return Call("alarm", id, what, ASLEEP, 0.0, SOON_S, trip=True, alone=True)


def _asleep(of: str, id: str, what: str, second_s: float) -> Call:
    return Call(of, id, what, ASLEEP, 0.0, second_s)


ROWS = (
    # What stops the blower until a person has seen it.
    _trip("pit_over_limit", "The pit is over its limit"),
    _trip("stone_over_limit", "The stone is over its limit"),
    _trip("not_answering", "The fire is lost: the pit does not answer to air"),
    _trip("blower_fault", "The blower does not turn"),
    _trip("runaway", "The pit rises by itself"),
    _trip("grease_fire", "Grease may be burning"),
    _trip("boot_failed", "The board does not start"),
    _trip("settings_bad", "The board's settings cannot be read"),
    _trip("firmware_bad", "The board's program is damaged"),
    _trip("memory_bad", "The board's memory is disturbed"),
    # What endangers people or parts with nothing stopped.
    _asleep("alarm", "blower_stuck_on", "The blower does not stop", SOON_S),
    _asleep("alarm", "back_draft", "Hot gas in the blower", SOON_S),
    # The fire, the charcoal, the food.
    _asleep("alarm", "fuel_out", "The fire is being lost", SOON_S),
    _asleep("alarm", "air_off", "The board started again: no air", SOON_S)._replace(alone=True),
    _asleep("alarm", "fuel_short", "The charcoal will not last", LATE_S),
    _asleep("alarm", "food_unsafe", "Food about to be unsafe", SOON_S),
    # What stops the blower and goes on by itself: the fire is lost only when it stays.
    _house("alarm", "pit_sensor", "No pit probe", STANDS_S, SOON_S),
    _house("alarm", "board_hot", "The board is too hot", STANDS_S, SOON_S),
    _house("alarm", "supply_low", "The board's supply is low", STANDS_S, SOON_S),
    _house("alarm", "no_link", "The board is silent", STANDS_S, LATE_S),
    _house("alarm", "not_recorded", "Nothing more is recorded", STANDS_S, LATE_S),
    _house("alarm", "lid_left_open", "The lid has been left open", STANDS_S, LATE_S),
    _house("alarm", "stone_sensor", "No stone probe"),
    _house("alarm", "damper_fault", "The damper does not move"),
    _cooker("alarm", "starved_hot", "A starved fire: beware of the lid"),
    _cooker("alarm", "pull", "A piece is ready, says the board: the prompt pull calls"),
    _cooker("alarm", "drive_too_long", "The climb has run its time: the prompt climb_over calls"),
    # What the plan wants of a person.
    _asleep("prompt", "pull", "Food is ready", LATE_S),
    _asleep("prompt", "check", "Food may be ready", LATE_S),
    _asleep("prompt", "end", "The plan's end, where it asks", SOON_S),
    _asleep("prompt", "shut_vents", "The end of the plan", LATE_S),
    _asleep("prompt", "go_on", "The board does not do what the plan wants", SOON_S),
    _house("prompt", "look_at_fire", "The fire does not come up"),
    _house("prompt", "set_vents", "Vents to be set"),
    _house("prompt", "move_vent", "A vent to be moved"),
    _house("prompt", "set_up", "Parts to be set in"),
    _house("prompt", "put_on", "Food to be put on"),
    _house("prompt", "open_vent", "The top vent to be opened"),
    _house("prompt", "start_climb", "The climb to be agreed to"),
    _house("prompt", "climb_over", "The climb has run its time"),
    _house("prompt", "come_to_sear", "The stone is ready"),
    _cooker("prompt", "light", "The fire to be lit"),
    _cooker("prompt", "sear_on", "A piece for the stone"),
    _cooker("prompt", "flip", "A piece to be flipped"),
    _cooker("prompt", "take_off", "A piece to be taken off"),
)
TABLE = {(row.of, row.id): row for row in ROWS}


def row_of(of: str, id: str, kind: str) -> Call:
    """The row of an alarm or prompt; one of a later version of the board is called by its kind."""
    found = TABLE.get((of, id))
    if found is not None:
        return found
    return _trip(id, id) if kind == "trip" else _house(of, id, id)
