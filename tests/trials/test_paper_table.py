"""A table on paper: every cell is there, nothing runs over the edge or into its neighbour."""

from __future__ import annotations

from typing import Any

import pytest

from emberdraft.trials.paper_table import RIGHT, table_pages

HEADS = ["piece", "block", "treatment", "cook", "time to pull, min", "rate, °C/min", "cooking loss, %"]


def made(rows: int, block: str = "cook 1, first roast") -> tuple[list[list[str]], list[Any]]:
    table = [[f"{k}a", block, "tempered", "1 A", "65.0 ± 3.0", "0.401 ± 0.008", f"{k}.1 ± 0.2"] for k in range(rows)]
    return table, list(table_pages("Every piece", "what ± is", HEADS, table, left=4))


def test_every_cell_is_there_under_its_head_on_each_page() -> None:
    table, pages = made(120)
    assert len(pages) > 1
    said = [text.get_text() for page in pages for text in page.texts]
    assert all(said.count(row[-1]) == 1 and row[0] in said for row in table)
    assert said.count("time to\npull, min") == len(pages)
    assert said.count("Every piece") == 1 and said.count("Every piece, continued") == len(pages) - 1


@pytest.mark.parametrize("block", ["all", "cook 1, first roast", "the second roast of the neighbour's long name"])
def test_no_cell_runs_over_the_edge_or_into_its_neighbour(block: str) -> None:
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    _, (page,) = made(4, block)
    draw = FigureCanvasAgg(page).get_renderer()
    boxes = [text.get_window_extent(draw) for text in page.texts]
    assert max(box.x1 for box in boxes) <= (RIGHT + 0.01) * page.bbox.width
    assert min(box.y0 for box in boxes) > 0.0
    assert not any(one.overlaps(two) for k, one in enumerate(boxes) for two in boxes[:k])
