"""What the forecasts add to prompts, slots and headings, in words; nothing is decided here."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.sentence import clock
from emberdraft.quantities import say_temperature
from emberdraft.ready.stone import crust_s
from emberdraft.ready.why import Why

Row = dict[str, Any]


def stone_slots(live: LiveView, now_s: float) -> list[Row]:
    """Where the stone is heading on the time axis, when that can be said and is still to come."""
    said = live.stone.said
    if said is None or said["eta_s"] <= now_s:
        return []
    return [
        {
            "key": "stone",
            "value_c": said["value_c"],
            "text": "stone",
            "at_s": said["eta_s"],
            "low_s": said["low_s"],
            "high_s": said["high_s"],
        }
    ]


def stone_about(live: LiveView, now_s: float) -> str:
    """'about 18:53; 8 times in 10 between 18:47 and 19:02', or nothing."""
    said = live.stone.said
    if said is None or said["eta_s"] <= now_s:
        return ""
    between = f"8 times in 10 between {clock(said['low_s'])} and {clock(said['high_s'])}"
    return f"about {clock(said['eta_s'])}; {between}" + ("" if said["measured"] else " (estimated, no stone probe)")


def stone_to_come(conductor: Conductor, live: LiveView, now_s: float) -> list[Row]:
    """In the climb: when the stone is hot, among what is to come."""
    about = stone_about(live, now_s)
    if conductor.step != "climb" or live.stone.said is None or not about:
        return []
    return [{"at_s": live.stone.said["eta_s"], "text": f"The stone is hot: {about}"}]


def more_for(prompt: Prompt, live: LiveView, now_s: float) -> str:
    """What a prompt is told besides its own words; '' for most."""
    if prompt.kind == "pull" and prompt.letters:
        return _peak(live, prompt.letters[0])
    if prompt.kind in ("open_vent", "start_climb"):
        about = stone_about(live, now_s)
        return f"With all air from now the stone is there {about}." if about else ""
    if prompt.kind == "climb_over" and live.stone.why is not None:
        return why_words(live.stone.why)
    if prompt.kind == "sear_on" and live.view.stone_c is not None:
        return f"A brown crust takes about {round(crust_s(live.view.stone_c), -1):.0f} s a side (a rule of thumb)."
    return ""


def _peak(live: LiveView, letter: str) -> str:
    if letter not in live.peaks:
        return ""
    low_c, mid_c, high_c = live.peaks[letter]
    band = f"8 times in 10 between {say_temperature(low_c)} and {say_temperature(high_c)}"
    return f"In the rest it rises to about {say_temperature(mid_c)}; {band}."


def why_words(why: Why) -> str:
    """Which limit binds and what to do, with the figures that the twin gives."""
    names = {"air": "too little air goes through", "fuel": "too little burns", "loss": "too much heat is lost",
             "time": "it has only had too little time"}  # fmt: skip
    tried = f"In 15 min that would be {say_temperature(why.with_advice_c)} instead of {say_temperature(why.as_it_is_c)}"
    first = f"{why.ask_first} If so: it seems that {names[why.limit]}."
    return f"{first} {why.advice}. {tried}, by a model of this cooker."
