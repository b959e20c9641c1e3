"""The words of the stand-in service, in the patterns the real one keeps to."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from tests.web import invented_cook as cook

Row = dict[str, Any]


def _clock(minute: float) -> str:
    return time.strftime("%H:%M", time.localtime(cook.START_S + minute * 60.0))


def sentence_of(row: Row, before: Row, quiet_min: float) -> Row:
    name, pit, stone, target = row["phase"], row["pit_c"], row["stone_c"], row["target_c"]
    if quiet_min > 0.2:
        first = f"No word from the board since {_clock(cook.phase_at(0)[1])}. It goes on alone with its last order."
        return {"sentence": first, "detail": "Look at its light; check its power and the Wi-Fi."}
    if row["lid_open"]:
        return {"sentence": "The lid is open: the blower waits.", "detail": "Shut it and say so, and it goes on."}
    if row["why"] == "paused":
        return {
            "sentence": "Stopped the blower: pit probe open. It goes on by itself when the probe is back.",
            "detail": "Check the plug of the pit probe.",
        }
    if name == "bank":
        return {"sentence": f"Starving the fire: air shut, {pit:.0f} °C, falling 3 a minute.", "detail": "Do not open."}
    if name in ("climb", "sear"):
        gap = target - stone
        rate = stone - before["stone_c"]
        return {
            "sentence": f"Driving the stone to {target:.0f} °C with all air: "
            f"{gap:.0f} °C to go, rising {rate:.1f} a minute.",
            "detail": f"Blower 100 %, damper wide open. The pit may go to 340 °C; it is at {pit:.0f} °C.",
        }
    gap, rate = pit - target, pit - (before["pit_c"] or pit)
    side, way = ("over" if gap > 0 else "under"), ("rising" if rate > 0 else "falling")
    return {
        "sentence": f"Holding {target:.0f} °C: {abs(gap):.1f} °C {side}, {way} {abs(rate):.1f} a minute, easing off.",
        "detail": f"Blower {row['duty'] * 100:.0f} %, down from 47 % ten minutes ago: "
        "the chops take less heat as they warm.",
    }


def number_of(row: Row) -> Row:
    of = "stone" if row["phase"] in ("climb", "sear") else "pit"
    return {"label": of, "value_c": row[f"{of}_c"], "wanted_c": row["target_c"], "of": of}


def ledger_of(row: Row, before: Row, vent: Callable[[str], tuple[float, float] | None]) -> list[Row]:
    def line(key: str, label: str, kind: str, value: float | None, unit: str, **more: Any) -> Row:
        return {"key": key, "label": label, "kind": kind, "value": value, "unit": unit, "per_min": None, **more}

    def rate(column: str) -> float | None:
        now, then = row[column], before[column]
        return None if now is None or then is None else round(now - then, 2)

    target, drive = row["target_c"], row["phase"] in ("climb", "sear")
    pit_to = "limit 340 °C" if drive else f"{target:.0f} ± 3 °C" if target else ""
    lines = [
        line("pit", "Pit", "pit", row["pit_c"], "c", per_min=rate("pit_c"), heading=pit_to, stroke=0),
        line(
            "stone", "Stone", "stone", row["stone_c"], "c", per_min=rate("stone_c"), heading="260 °C, climb", stroke=0
        ),
    ]
    for k, (_letter, name, _, pull, out) in enumerate(cook.PIECES):
        heading = f"{pull:.0f} °C at {_clock(out)}"
        at, slope = row[f"core{k + 1}_c"], rate(f"core{k + 1}_c")
        lines.append(line(f"core{k + 1}", name, "piece", at, "c", per_min=slope, heading=heading, stroke=k))
    lines.append(line("blower", "Blower", "blower", row["duty"], "share", heading="by the board", stroke=0))
    lines.append(line("damper", "Damper", "damper", row["opening"], "share", heading="by the board", stroke=0))
    for key, label in (("vent_top", "Top vent"), ("vent_bottom", "Bottom vent")):
        moved = vent(key)
        if moved:
            when = f"by hand at {_clock((moved[1] - cook.START_S) / 60.0)}"
            lines.append(line(key, label, "vent", moved[0], "share", heading=when, stroke=0))
    return lines


PROMPTS = (
    (
        "soak",
        30.0,
        41.0,
        "Set the deflector and the grate in",
        "The lid open as short as it goes.",
        "They are in",
        False,
    ),
    (
        "pull-a",
        60.0,
        104.5,
        "Pull the tempered chop",
        "At 57 °C, about {a}; 8 times in 10 between {b} and {c}.",
        "It is out",
        False,
    ),
    (
        "climb",
        112.0,
        118.0,
        "Start the climb to 260 °C",
        "Pieces out, top vent open, lid shut.",
        "Start the climb",
        True,
    ),
    (
        "vent",
        118.0,
        136.0,
        "Open the top vent fully",
        "At one quarter since {d}, it holds the stone back.",
        "It is open",
        False,
    ),
)


def next_of(minute: float, answered: set[str]) -> Row | None:
    for key, first, last, title, text, deed, at_cooker in PROMPTS:
        if first <= minute < last and key not in answered:
            times = {"a": _clock(104), "b": _clock(98), "c": _clock(110), "d": _clock(17)}
            caution = (
                ["57 °C is below the USDA figure for whole pork, 63 °C and a 3 min rest."] if key == "pull-a" else []
            )
            if at_cooker:
                caution = ["Fresh air makes a hot fire flare: stand aside, nobody over the lid."]
            return {
                **{"id": key, "title": title, "text": text.format(**times), "deed": deed, "at_cooker": at_cooker},
                **{"caution": caution, "since_s": cook.START_S + first * 60.0, "other": []},
            }
    return None


def upcoming_of(minute: float) -> list[Row]:
    plan = (
        (41.0, "Set up: cold parts in"),
        (104.0, "Tempered chop out"),
        (111.0, "Fridge-cold chop out"),
        (113.0, "Start the climb, if you agree then"),
        (137.0, "Sear"),
        (144.0, "Put the fire out"),
    )
    return [{"at_s": cook.START_S + at * 60.0, "text": text, "deed": True} for at, text in plan if at > minute][:5]


def forecasts_of(minute: float) -> list[Row]:
    """When each piece will be at its pull temperature: a middle, and 8 times in 10 between two moments."""
    return [
        {
            **{"key": f"core{k + 1}", "value_c": pull, "text": "out", "at_s": cook.START_S + out * 60.0},
            **{"low_s": cook.START_S + (out - 6.0) * 60.0, "high_s": cook.START_S + (out + 8.0) * 60.0},
        }
        for k, (_letter, _name, _, pull, out) in enumerate(cook.PIECES)
        if cook.ON_MIN < minute < out
    ]


CAUTIONS = {
    "light": ["Charcoal makes carbon monoxide: outdoors only, never in a garage or a tent."],
    "slow": ["57 °C is below the USDA figure for whole pork, 63 °C and a 3 min rest. Measure again before you serve."],
    "climb": ["Before you open: say so, the blower stops. Crack it two fingers, wait ten seconds, stand aside."],
    "sear": ["Fresh air makes a hot fire flare. Crack the lid, wait ten seconds, stand aside."],
    "bank": ["A starved hot fire flares when air reaches it: do not open above 150 °C."],
}


def caution_of(phase: str) -> list[str]:
    return CAUTIONS.get(phase, [])


PULLS = [
    {"letter": letter, "name": name, "pull_c": pull, "low_c": 20.0, "high_c": 110.0, "caution": "USDA advises 63 °C."}
    for letter, name, _, pull, _ in cook.PIECES
]


def deeper_of() -> dict[str, Any]:
    """What a service says one tap deeper, with words of its own making."""
    fuel = {"low_kg": 0.5, "kg": 0.8, "high_kg": 1.2, "burnt_kg": 0.3, "have_kg": None}
    return {
        "why": None,
        "pull": {"lines": ["A is to end at 63 °C."], "pieces": PULLS},
        "fuel": fuel
        | {"lines": ["All of it takes about 0.8 kg of charcoal; 8 times in 10 between 0.5 kg and 1.2 kg."]},
        "vents": {"lines": ["To hold 121 °C. Bottom vent 1/4 open:", "top vent 12 % open (4.1 cm2, a slit wide)"]},
        "stone_face": None,
        "probes": None,
    }
