"""The sides of a piece on the stone."""

from __future__ import annotations

from typing import Any

from emberdraft.review.sear import sides
from tests.review.making import START_S, columns


def _mark(second: float, kind: str, text: str = "A", value: float | None = None) -> dict[str, Any]:
    return {"at_s": START_S + second, "kind": kind, "text": text, "value": value}


def test_two_sides_with_their_times_and_the_stone_under_them() -> None:
    trace = columns([250.0] * 300, stone_c=[270.0] * 100 + [255.0] * 200)
    marks = [_mark(10, "on_stone"), _mark(85, "flipped"), _mark(170, "off_stone")]
    assert [(side["duration_s"], side["stone_c"]) for side in sides(trace, marks, "A")] == [
        (75.0, 270.0),
        (85.0, 270.0),
    ]


def test_a_temperature_in_the_mark_goes_before_the_probes() -> None:
    trace = columns([250.0] * 300, stone_c=[270.0] * 300)
    (side,) = sides(trace, [_mark(10, "on_stone", value=262.0), _mark(90, "off_stone")], "A")
    assert side["stone_c"] == 262.0


def test_another_pieces_marks_are_not_its_own() -> None:
    trace = columns([250.0] * 300)
    marks = [_mark(10, "on_stone"), _mark(20, "on_stone", "B"), _mark(50, "off_stone"), _mark(95, "off_stone", "B")]
    assert [side["duration_s"] for side in sides(trace, marks, "A")] == [40.0]
    assert [side["duration_s"] for side in sides(trace, marks, "B")] == [75.0]


def test_pieces_laid_down_together_share_a_mark() -> None:
    marks = [_mark(10, "on_stone", "AB"), _mark(50, "off_stone", "AB")]
    assert [sides(columns([250.0] * 99), marks, letter)[0]["duration_s"] for letter in "AB"] == [40.0, 40.0]


def test_a_piece_still_on_the_stone_has_an_open_side() -> None:
    trace = columns([250.0] * 30)
    (side,) = sides(trace, [_mark(10, "on_stone")], "A")
    assert (side["duration_s"], side["stone_c"]) == (None, None)


def test_a_piece_never_seared_has_none() -> None:
    assert sides(columns([]), [_mark(1, "pulled")], "A") == []
