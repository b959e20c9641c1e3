"""The lid: told first, felt second; every field of the table in docs/explain/lid.md."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

from emberboard.core.interlocks import DOUBT_S
from emberboard.core.lid import Lid
from tests.core.cooker import Cooker, Run

PAGE = Path(__file__).parents[2] / "docs/explain/lid.md"
SEEN_LATE_MS = 1000


def settled(pit_c: float = 121.0) -> Lid:
    lid = Lid()
    for _ in range(300):
        lid.step(pit_c, 1.0)
    return lid


def test_a_told_lid_is_open_at_once_and_until_told_shut():
    lid = settled()
    lid.press()
    assert lid.is_open
    for k in range(900):
        lid.step(121.0 - min(k, 40), 1.0)
    assert lid.is_open
    lid.shut()
    assert not lid.is_open


def test_a_fall_of_a_degree_a_second_is_felt_within_fifteen_seconds():
    lid = settled()
    opened = [lid.step(121.0 - k, 1.0) for k in range(15)]
    assert opened[-1]


def test_the_turn_upwards_is_felt_as_shut():
    lid = settled()
    for k in range(60):
        lid.step(121.0 - k, 1.0)
    for k in range(12):
        lid.step(61.0 + k, 1.0)
    assert not lid.is_open


def test_a_down_step_of_three_degrees_a_minute_is_no_lid():
    lid = settled()
    assert not any(lid.step(121.0 - 0.05 * k, 1.0) for k in range(600))


def fall(cps: float, seconds: int, has_air: bool, calm_s: int = 300) -> int | None:
    """Seconds until a pit that falls so fast is felt as an open lid."""
    lid = Lid()
    lid.press()
    lid.shut()
    for _ in range(calm_s):
        lid.step(121.0, 1.0)
    for k in range(1, seconds + 1):
        if lid.step(121.0 - cps * k, 1.0, 0.0, has_air):
            return k
    return None


def test_a_slow_fall_for_a_minute_is_an_open_lid_where_the_air_was_not_cut():
    """0.2 degC a second behind an average of 60 s: 8 after 60 ln(1 / (1 - 8 / 12)) = 66 s, and the quick one's 3."""
    felt_s = fall(0.2, 300, True)
    assert felt_s is not None
    assert 63 <= felt_s <= 75
    assert fall(0.2, 300, False) is None


def test_a_fall_of_an_eighth_of_a_degree_a_second_is_none_with_its_air_either():
    assert fall(0.125, 600, True) is None


def test_soon_after_the_lid_was_shut_a_slow_fall_is_none():
    assert fall(0.2, 100, True, calm_s=130) is None
    assert fall(0.2, 100, True, calm_s=240) is not None


def test_a_lid_felt_in_a_slow_fall_is_in_doubt_until_most_of_it_has_come_back():
    lid = settled()
    for k in range(80):
        lid.step(121.0 - 0.3 * k, 1.0, 0.0, True)
    assert lid.felt
    for k in range(240):
        lid.step(97.0 - 0.02 * k, 1.0, 0.0, True)
    assert (lid.is_open, lid.in_doubt) == (False, True)
    for _ in range(20):
        lid.step(100.0, 1.0, 0.0, True)
    assert lid.in_doubt
    for _ in range(20):
        lid.step(115.0, 1.0, 0.0, True)
    assert not lid.in_doubt


# ---- the table


def rows() -> tuple[list[str], dict[str, list[str]]]:
    """The events and, for each state, what it becomes."""
    lines = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("| ---")]
    return cells[0][1:], {row[0]: row[1:] for row in cells[1:]}


EVENTS, TABLE = rows()


class Yard:
    """A hold at 121 degC whose pit is what the test says."""

    def __init__(self) -> None:
        self.run = Run(Cooker(121.0)).hold()
        self.pit_c = 121.0
        self.flat(400)

    def flat(self, seconds: int) -> None:
        self.slope(0.0, seconds)

    def slope(self, cps: float, seconds: int) -> None:
        """The last digit moves: a hot probe that stands still under an open lid would be called frozen."""
        for k in range(seconds):
            self.pit_c += cps
            self.run.seconds(1, pit_c=self.pit_c + 0.02 * (k % 2))

    def press(self) -> None:
        self.run.seconds(1, pit_c=self.pit_c, lid_button=True)

    def long_press(self) -> None:
        self.press()
        self.flat(2)
        self.run.seconds(1, pit_c=self.pit_c, lid_held=True)
        self.run.inputs.lid_held = False

    def page(self, is_open: bool, **more: object) -> str:
        return self.run.order("lid", open=is_open, **more)[0]

    def there(self) -> str:
        """Shut, by somebody at the cooker whose page has seen the newest reading."""
        return self.page(False, at_cooker=True, seen_ms=self.run.now_ms)

    def falls(self) -> None:
        self.slope(-2.0, 20)

    def rises(self) -> None:
        self.slope(0.5, 60)
        self.flat(70)

    def state(self) -> str:
        """As the table names it."""
        lid = self.run.controller.lid
        pit = "felt" if lid.felt else "doubt" if lid._doubt else ""
        if lid.there:
            return "cooker"
        return ("page and " + pit if pit else "page") if lid.page else pit or "shut"


def at(state: str) -> Yard:
    """A yard in this state."""
    yard = Yard()
    if state.endswith(("felt", "doubt")):
        yard.falls()
    if state.endswith("doubt"):
        yard.flat(250)
    if state.startswith("page"):
        yard.page(True)
    if state == "cooker":
        yard.press()
    yard.flat(1)
    assert yard.state() == state
    return yard


def happens(yard: Yard, event: str) -> str:
    """The refusal, if there is one."""
    if event == "page: open":
        return yard.page(True)
    if event == "page: shut":
        return yard.page(False)
    if event == "page: shut, at the cooker":
        return yard.there()
    deeds = {"press": yard.press, "long press": yard.long_press, "pit falls": yard.falls}
    deeds |= {"pit rises, for a minute and more": yard.rises, "4 min without a rise": lambda: yard.flat(250)}
    deeds[event]()
    return ""


@pytest.mark.parametrize(("state", "event"), list(product(TABLE, EVENTS)))
def test_every_field_of_the_table(state: str, event: str) -> None:
    yard = at(state)
    wanted = TABLE[state][EVENTS.index(event)]
    refused = happens(yard, event)
    yard.flat(1)
    lid = yard.run.controller.lid
    if wanted == "refused":
        assert (refused, yard.state()) == ("not_now", state)
        return
    assert (refused, yard.state()) == ("", wanted.removesuffix(", asks"))
    asks = wanted.endswith(("asks", "doubt")) and not lid.felt
    if wanted.endswith("doubt") and not lid.told:
        yard.flat(int(DOUBT_S))
    if event.startswith("pit rises") or not lid.told:
        assert lid.in_doubt == asks
        assert not (lid.told and asks) or yard.run.alert("lid_left_open") == "notice"
    assert yard.run.out.lid_open == lid.is_open == (not wanted.endswith(("shut", "doubt")) or "page" in wanted)
    if lid.is_open:
        assert yard.run.out.drive == 0.0


def test_the_table_has_every_state_and_the_states_are_closed() -> None:
    assert len(TABLE) == 7
    assert {cell.removesuffix(", asks") for row in TABLE.values() for cell in row} - {"refused"} == set(TABLE)


def test_a_press_on_a_felt_lid_gives_no_air_for_half_an_hour() -> None:
    """Felt after 11 s, then pressed: it used to count as shut, and the fire was fed under the open lid."""
    yard = at("felt")
    yard.press()
    drives = []
    for _ in range(1800):
        yard.flat(1)
        drives.append(yard.run.out.drive)
    assert max(drives) == 0.0


def test_a_word_is_not_taken_back_by_one_that_was_given_before_it() -> None:
    yard = at("cooker")
    pressed_ms = yard.run.controller.pressed_ms
    for seen_ms in (pressed_ms - SEEN_LATE_MS, yard.run.now_ms + 1, None, float(pressed_ms), "now"):
        assert yard.page(False, at_cooker=True, seen_ms=seen_ms) == "not_now"
    assert yard.page(False, seen_ms=pressed_ms) == "not_now"
    yard.flat(301)
    assert yard.page(False, at_cooker=True, seen_ms=pressed_ms) == "not_now"  # five minutes are over
    yard.press()
    assert yard.there() == ""


def test_a_press_is_later_than_the_long_press_that_ended_in_the_same_second() -> None:
    yard = at("cooker")
    yard.run.seconds(1, pit_c=yard.pit_c, lid_button=True, lid_held=True)
    assert yard.state() == "cooker"


def test_a_page_resets_nothing_that_the_guard_waits_by() -> None:
    """Shut every 15 s used to reset the slow mean; open and shut every ten minutes the waits of the watch."""
    yard = Yard()
    lid = yard.run.controller.lid
    yard.long_press()
    yard.slope(0.2, 60)
    before = (lid.slow_c, lid.minute_c, lid.shut_s)
    for is_open in (False, True, True, False, False):
        yard.page(is_open)
        yard.there()
    assert (lid.slow_c, lid.minute_c, lid.shut_s) == before
    yard.page(True)
    yard.flat(100)
    assert lid.shut_s == before[2] + 100.0
    assert not lid.lifted


def test_under_a_word_there_is_no_pulse_and_under_a_felt_lid_one_every_two_minutes() -> None:
    for state, least in (("cooker", 0), ("page", 0), ("felt", 5)):
        yard = at(state)
        drives = [0.0]
        for _ in range(200):
            yard.flat(1)
            drives.append(yard.run.out.drive)
        assert least <= sum(drive > 0.0 for drive in drives) <= 2 * 7 * (least > 0)


def falling(lid: Lid, first_c: float, seconds: int) -> bool:
    """A hold that has its air and loses a fifth of a degree a second; was the lid felt open?"""
    return any([lid.step(first_c - 0.2 * k, 1.0, has_air=True) for k in range(seconds)])


def test_who_says_that_it_is_shut_is_believed_over_the_fall_before():
    """A minute of falling is felt as an open lid. Said to be shut half-way, it is judged by what comes after alone."""
    assert falling(settled(), 121.0, 90)
    lid = settled()
    assert not falling(lid, 121.0, 40)
    lid.press()
    lid.shut()
    assert not falling(lid, 113.0, 40)
