"""The lid: told first, felt second."""

from __future__ import annotations

from emberboard.core.lid import Lid


def settled(pit_c: float = 121.0) -> Lid:
    lid = Lid()
    for _ in range(300):
        lid.step(pit_c, 1.0)
    return lid


def test_a_told_lid_is_open_at_once_and_until_told_shut():
    lid = settled()
    lid.tell(True)
    assert lid.is_open
    for k in range(900):
        lid.step(121.0 - min(k, 40), 1.0)
    assert lid.is_open
    lid.tell(False)
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
    lid.tell(True)
    lid.tell(False)
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


def falling(lid: Lid, first_c: float, seconds: int) -> bool:
    """A hold that has its air and loses a fifth of a degree a second; was the lid felt open?"""
    return any([lid.step(first_c - 0.2 * k, 1.0, has_air=True) for k in range(seconds)])


def test_who_says_that_it_is_shut_is_believed_over_the_fall_before():
    """A minute of falling is felt as an open lid. Said to be shut half-way, it is judged by what comes after alone."""
    assert falling(settled(), 121.0, 90)
    lid = settled()
    assert not falling(lid, 121.0, 40)
    lid.tell(False)
    assert not falling(lid, 113.0, 40)
