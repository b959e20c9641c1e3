"""`emberdraft show COOK`: phases, pieces and figures of one cook."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from emberdraft.commands.common import add_cook, add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.record import cook_number, open_record
from emberdraft.commands.running import call, running_url
from emberdraft.daemon.sentence import clock
from emberdraft.errors import UserError
from emberdraft.quantities import say_temperature
from emberdraft.review.figures import figures_of
from emberdraft.review.morning import morning_of, morning_words
from emberdraft.review.summary import summary_text
from emberdraft.review.why import why_of, why_words
from emberdraft.said import render


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    add_db(parser)
    add_units(parser)
    add_json(parser)


def forecasts(db: Path, cook_id: int, figures: dict[str, Any]) -> list[dict[str, Any]] | None:
    """When each piece and the stone will be there, of a cook that a running host minds now; None of any other."""
    cook = figures["cook"]
    if running_url(db) is None:
        return None
    try:
        state = call(db, "/api/now", cooker=cook["cooker"])
    except UserError:
        return None  # a host that has just gone: the record is shown all the same
    if (state["cook"] or {}).get("id") != cook_id:
        return None
    names = {line["key"]: line["label"] for line in state["ledger"]}
    return [{**row, "name": names.get(row["key"], row["key"])} for row in state["forecasts"]]


def forecast_words(row: dict[str, Any], of: str) -> str:
    """'Tempered chop at 57 °C: about 16:01, probably 15:59 to 16:05'."""
    between = f"probably {clock(row['low_s'])} to {clock(row['high_s'])}"
    return f"{row['name']} at {say_temperature(row['value_c'], of)}: about {clock(row['at_s'])}, {between}"


def main(args: argparse.Namespace) -> int:
    """Print the figures as text, or the same figures as one object."""
    with open_record(db_path(args)) as reader:
        cook_id = cook_number(reader, args.cook)
        figures, why, morning = figures_of(reader, cook_id), why_of(reader, cook_id), morning_of(reader, cook_id)
    coming = forecasts(db_path(args), cook_id, figures)
    if args.json:
        print_json(figures | {"why_not_hotter": why, "forecasts": coming, "morning": morning})
        return 0
    print(summary_text(figures, unit(args)), end="")
    of, said = unit(args), morning_words(morning)
    _block("To come, as it looks now", [forecast_words(row, of) for row in coming or ()])
    _block("Late", [render(line, of) for line in said["late"]])
    _block("The next time", said["otherwise"])
    _block("Planned and done", said["differences"])
    _block("Why was the stone not hotter?", [] if why is None else [render(line, of) for line in why_words(why)])
    return 0


def _block(head: str, lines: list[str]) -> None:
    if lines:
        print("\n".join(["", head, *(f"  {line}" for line in lines)]))
