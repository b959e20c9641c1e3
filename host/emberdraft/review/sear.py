"""The sides of a piece on the stone, from the marks: how long each took, and how hot the stone was.

The text of such a mark is the letters of the pieces it is about: A, or AB when two were laid down together.
"""

from __future__ import annotations

from emberdraft.review.columns import Columns, Row, last_before

# A reading this old still says how hot the stone was.
STONE_WITHIN_S = 10.0
ON_STONE = ("on_stone", "flipped", "off_stone")


def sides(columns: Columns, marks: list[Row], letter: str) -> list[Row]:
    """Each side: at_s, duration_s (None: never taken off) and stone_c when it was laid down (None: not known)."""
    own = [mark for mark in marks if mark["kind"] in ON_STONE and letter in mark["text"]]
    found = []
    for k, mark in enumerate(own):
        later = own[k + 1] if k + 1 < len(own) else None
        if mark["kind"] == "off_stone":
            continue
        found.append(
            {
                "at_s": mark["at_s"],
                "duration_s": None if later is None else later["at_s"] - mark["at_s"],
                "stone_c": _stone_c(columns, mark),
            }
        )
    return found


def _stone_c(columns: Columns, mark: Row) -> float | None:
    """As the mark says, else as the stone's probe read just before: the mark comes with the deed, the lid open."""
    if mark["value"] is not None:
        return float(mark["value"])
    measured = last_before(columns, "stone_c", mark["at_s"], STONE_WITHIN_S)
    return None if measured is None else float(measured)
