"""What `emberdraft trial` prints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from emberdraft.trials.answer import day
from emberdraft.trials.words import p_words

Row = dict[str, Any]


def list_lines(rows: Sequence[Row]) -> list[str]:
    """Every trial, newest first."""
    if not rows:
        return ["No trial yet: emberdraft trial new."]
    return [
        f"{row['id']:>3}  {day(row['start_s'])}  {row['name']}  ({row['piece_count']} pieces, {_state(row)})"
        f"{'  (invented)' if row['invented'] else ''}"
        for row in rows
    ]


def _state(row: Row) -> str:
    if row["end_s"] is not None:
        return f"ended {day(row['end_s'])}"
    return "not assigned" if row["assigned_s"] is None else "going on"


def trial_lines(trial: Row) -> list[str]:
    """One trial with its days."""
    lines = [f"{trial['name']} (trial {trial['id']}, {_state(trial)})", trial["question"], ""]
    for piece in trial["pieces"]:
        masses = [w for w in trial["weighings"] if w["trial_piece_id"] == piece["id"]]
        weighed = ", ".join(f"{w['step']} {1000 * w['mass_kg']:g} g" for w in masses)
        cooked = "" if piece["cook_id"] is None else f"; {piece['letter']} of cook {piece['cook_id']}"
        given = piece["treatment"] or "not assigned"
        lines.append(f"  {piece['name']} (block {piece['block']}): {given}{cooked}{'; ' + weighed if weighed else ''}")
    lines += [f"  {day(look['at_s'])}: {look['words']}{_photo(look)}" for look in trial["looks"]]
    if trial["fridge"]:
        air = [row["air_c"] for row in trial["fridge"]]
        lines.append(f"  Fridge: {min(air):g} to {max(air):g} °C in {len(air)} looks.")
    return [*lines, *tasting_lines(trial["tastings"])]


def _photo(look: Row) -> str:
    return f" (photo, {look['photo_bytes'] / 1000:.0f} kB)" if look["photo_bytes"] else ""


def tasting_lines(rows: Sequence[Row]) -> list[str]:
    """Tastings: how many have answered; what came of it only of a closed one."""
    lines = []
    for row in rows:
        head = f"  Tasting {row['id']}: {row['method']}, {row['a']} and {row['b']}, {row['answered']} of {row['total']}"
        if row["servings"] is None:
            lines.append(f"{head} answered; still open, so nothing is told of them.")
        else:
            hits = sum(s["counts"] or 0 for s in row["servings"])
            lines.append(f"{head} answered, closed: {hits} {'right' if 'tri' in row['method'] else 'for ' + row['a']}.")
    return lines


def sheet_lines(rows: Sequence[Row]) -> list[str]:
    """For who serves."""
    lines = ["For the one who serves. Who reads this does not taste."]
    for row in rows:
        plates = "   ".join(
            f"{plate['code']} {plate['treatment']}{' (reference)' if plate['reference'] else ''}"
            for plate in row["plates"]
        )
        lines.append(f"{row['place']:>3}.  {plates}")
    return lines


def answer_lines(answer: Row) -> list[str]:
    """The whole answer."""
    trial = answer["trial"]
    lines = [trial["name"], trial["question"], "", answer["verdict"], "", "How it was made", *_listed(answer["design"])]
    for row in answer["measures"]:
        lines += ["", f"{row['words'][0].upper()}{row['words'][1:]}{', which decides' if row['decides'] else ''}"]
        for contrast in row["contrasts"]:
            lines += _contrast_lines(contrast, row["decides"])
        lines += _omnibus_lines(row["omnibus"] if len(row["contrasts"]) > 1 else None)
    for row in answer["tastings"]:
        lines += ["", f"Tasting: {row['method']}, {row['a']} and {row['b']}", f"  {row['words']}"]
    return [*lines, "", "Limits", *_listed(answer["limits"])]


def _contrast_lines(contrast: Row, decides: bool) -> list[str]:
    lines = [f"  {pair['words']}" for pair in contrast["pairs"]]
    if contrast["p_t"] is not None:
        lines.append(
            f"  Paired t {p_words(contrast['p_t'])}; Wilcoxon's ranks {p_words(contrast['p_wilcoxon'])}; "
            f"swaps within pairs {p_words(contrast['p_permutation'])}."
        )
    return [*lines, f"  {contrast['words']}"] if not decides else lines


def _omnibus_lines(omnibus: Row | None) -> list[str]:
    if omnibus is None:
        return []
    friedman = "" if omnibus["p_friedman"] is None else f"; Friedman's ranks {p_words(omnibus['p_friedman'])}"
    return [f"  Swaps within {omnibus['blocks']} blocks {p_words(omnibus['p_blocked'])}{friedman}."]


def _listed(lines: Sequence[str]) -> list[str]:
    return [f"  {line}" for line in lines]
