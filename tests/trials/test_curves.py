"""The curves of a trial's report: each piece's own, from its going on, drawn where they belong."""

from __future__ import annotations

import itertools
import re
from typing import Any

import pytest

from emberdraft.trials.answer import answer_of
from emberdraft.trials.curves import MOST_POINTS, curves_of, curves_svg
from emberdraft.trials.report import report_html
from emberdraft.trials.report_words import curves_caption
from tests.trials.making import PULL_C, START_C, KnownRecord


@pytest.fixture
def known() -> KnownRecord:
    return KnownRecord(6, 3, (0.0, -600.0))


def test_each_cook_has_the_curves_of_its_own_pieces(known: KnownRecord) -> None:
    curves = curves_of(known, answer_of(known, 1))
    assert [cook["cook"] for cook in curves] == [1, 2, 3, 4, 5, 6]
    for cook in curves:
        assert {piece["name"].split(".")[0] for piece in cook["pieces"]} == {str(cook["cook"] - 1)}
        assert {piece["treatment"] for piece in cook["pieces"]} == {0, 1}
        for piece in cook["pieces"]:
            time_s = known.times_s[cook["cook"]]["AB".index(piece["letter"])]
            assert len(piece["minutes"]) <= 2 * MOST_POINTS
            for minute, core_c in zip(piece["minutes"], piece["core_c"], strict=True):
                assert core_c == pytest.approx(START_C + (PULL_C - START_C) * 60.0 * minute / time_s)


def test_a_line_rises_and_the_quicker_piece_is_above(known: KnownRecord) -> None:
    cook = curves_of(known, answer_of(known, 1))[0]
    lines = [[tuple(map(float, p.split(","))) for p in text.split()] for text in _polylines(curves_svg(cook))]
    assert len(lines) == 2
    for line in lines:
        assert line[0][0] < line[-1][0] and line[0][1] > line[-1][1], "to the right and up"
    quick, slow = sorted(range(2), key=lambda k: -cook["pieces"][k]["core_c"][-1])
    assert lines[quick][-1][1] < lines[slow][-1][1]


def test_names_beside_the_lines_never_lie_on_each_other() -> None:
    crowd = [
        {"name": f"{k}a", "letter": "A", "treatment": 0, "minutes": [0.0, 60.0], "core_c": [5.0, 57.0]}
        for k in range(8)
    ]
    svg = curves_svg({"cook": 1, "to_c": 57.0, "pieces": crowd})
    heights = sorted(float(y) for y in re.findall(r'<text x="\d+" y="([\d.]+)">\da<', svg))
    assert len(heights) == 8 and all(b - a > 13.9 for a, b in itertools.pairwise(heights))


def test_a_piece_that_was_never_on_has_no_curve(known: KnownRecord, monkeypatch: pytest.MonkeyPatch) -> None:
    found = known.pieces
    monkeypatch.setattr(known, "pieces", lambda cook_id: [{**row, "probe": None} for row in found(cook_id)])
    assert curves_of(known, answer_of(known, 1)) == []


def test_the_report_carries_the_curves_and_says_which_is_which(known: KnownRecord) -> None:
    answer = answer_of(known, 1)
    curves = curves_of(known, answer)
    text = report_html(answer, (), curves)
    assert text.count('<svg class="curves"') == 6
    assert "t0: drawn through; t1: dashed. Line across: 57 °C." in curves_caption(answer["trial"], curves[0])


def _polylines(svg: str) -> list[Any]:
    return re.findall(r'<polyline [^>]*points="([^"]+)"', svg)
