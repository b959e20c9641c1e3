"""The page of all calls, made from their one table: `python -m tests.calls_page` writes it, a test compares."""

from __future__ import annotations

import re
from pathlib import Path

from emberdraft.daemon.alarm_texts import FIXED, TEXTS
from emberdraft.daemon.calls import COMES_BACK_S, EVERY_S, FIRST_HOUR_S, MOST_FIRST, MOST_LATER, THEN_S
from emberdraft.daemon.calls_table import ASLEEP, COOKER, ROWS, Call
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.prompts import make_prompt
from emberdraft.daemon.way_out import AGAIN_S, DEADLINE_S, WAITING
from emberdraft.said import said

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "calls.md"
BEGIN, END = "<!-- made from the table: python -m tests.calls_page -->", "<!-- end -->"
OF_A_PIECE = ("put_on", "check", "pull", "sear_on", "flip", "take_off")


def alarm_words(alert: str) -> tuple[str, str, str]:
    """Cause, consequence, action with the places for value and limit still open, in degC."""
    cause, consequence, deed, more = (
        str(said(text, value="{value}", limit="{limit}", **FIXED)).replace("\u00a0", " ") for text in TEXTS[alert]
    )
    return cause, consequence, f"{deed}; {more}" if more else deed


def says(row: Call) -> tuple[str, str]:
    """Title and deed as a notice has them, with the plan two_chops where they depend on a plan."""
    if row.of == "alarm":
        cause, _, action = alarm_words(row.id)
        return cause, action
    vents = {"top": 0.25} if row.id == "move_vent" else None
    letters = ["A"] if row.id in OF_A_PIECE else []
    prompt = make_prompt(load_plan("two_chops"), row.id, 1, letters, 0.0, None, vents, "it comes too fast")
    return prompt.title, prompt.deed


def ends(row: Call) -> str:
    """When it is over besides an answer and the end of the cook."""
    if row.of == "prompt":
        return "the plan asks no more"
    return "acknowledged" if row.trip else "its cause is over"


def _row(row: Call) -> str:
    title, deed = says(row)
    stays = row.asleep_after_s if row.whom not in (ASLEEP, COOKER) else None
    whom = row.whom if stays is None else f"{row.whom}, {ASLEEP} after {stays / 60:.0f} min"
    second = "" if row.second_after_s is None else f"{row.second_after_s / 60:.0f} min"
    return f"| {row.of} | `{row.id}` | {row.what} | {title} | {deed} | {whom} | {second} | {ends(row)} |"


def made() -> str:
    """What stands between the marks of the page."""
    times, again = ", ".join(f"{s / 60:.0f}" for s in FIRST_HOUR_S), ", ".join(f"{s:.0f}" for s in AGAIN_S)
    head = (
        "| of | id | what | says | deed | wakes | second way after | over when |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    )
    figures = (
        f"A call is said at {times} and {THEN_S / 60:.0f} min, then every {EVERY_S / 60:.0f} min: at most {MOST_FIRST} "
        f"pushes of one call in its first hour and {MOST_LATER} in any hour after, whatever comes and goes. What comes "
        f"back within {COMES_BACK_S / 60:.0f} min, with no answer in between, is the same call. A try is over after "
        f"{DEADLINE_S:.0f} s; what failed is tried again after {again} s, then given up; at most {WAITING} wait."
    )
    return "\n".join([*head, *(_row(row) for row in ROWS), "", figures])


def page_text() -> str:
    """The page with its made part anew."""
    text = PAGE.read_text(encoding="utf-8")
    whole = f"{BEGIN}\n\n{made()}\n\n{END}"
    return re.sub(f"{re.escape(BEGIN)}.*{re.escape(END)}", lambda _: whole, text, flags=re.DOTALL)


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
