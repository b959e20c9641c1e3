"""The README's moving picture and its three numbers, made: `python -m tests.readme_page` writes both, a test compares.

The picture is a rehearsal of the plan two_chops with seed 0. The numbers are read from the record of the proof.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.rehearse import rehearse
from tests.moving_picture import cook_of, draw
from tests.proof.record import README, RECORD, load

PICTURE = README.parent / "docs" / "pictures" / "cook.svg"
BEGIN, END = "<!-- from the proof: python -m tests.readme_page -->", "<!-- end -->"
SHARE = "on validation: hold: share within 2.8 degC"


def picture() -> str:
    """The moving picture of one cook; the same each time."""
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "cooks.sqlite"
        rehearse(load_plan("two_chops"), None, record, None, 0)
        return draw(cook_of(record))


def numbers(record: dict[str, Any]) -> str:
    """The table of by hand, on-off and with it, as the record of the proof has them."""
    bench, coach = record["bench"]["figures"], record["vent coach"]["figures"]
    held = int(coach["cookers held within 8 degC for 80 % of the hold, of 20"]["value"])
    moves = coach["vent moves an hour, the most"]["value"]
    rows = [
        "| who moves the air | how well the pit is held |",
        "| --- | --- |",
        f"| by hand, each vent moved when Emberdraft's coach asks (up to {moves:.0f} moves an hour) | "
        f"**{held} of 20** cookers stay within 8 °C (14 °F) for four fifths of the hold |",
        *(
            f"| {who} | **{_percent(bench[f'{name} {SHARE}: mean'])}** of the hold within 2.8 °C (5 °F); "
            f"{_percent(bench[f'{name} {SHARE}: worst'])} on the worst cooker |"
            for who, name in (
                ("a blower that is switched on below the target and off above it", "onoff"),
                ("Emberdraft with blower and damper", "emberdraft"),
            )
        ),
    ]
    return "\n".join(rows)


def _percent(figure: dict[str, Any]) -> str:
    return f"{100.0 * figure['value']:.1f} %"


def readme_with(table: str, text: str) -> str:
    """The README with this table in the place of the old one."""
    return re.sub(f"({re.escape(BEGIN)}\n).*?(?=\n{re.escape(END)})", lambda found: found[1] + table, text, flags=re.S)


def write_numbers() -> None:
    """The table in the README from the record of the proof."""
    README.write_text(readme_with(numbers(load(RECORD)), README.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    write_numbers()
    PICTURE.write_text(picture(), encoding="utf-8")
