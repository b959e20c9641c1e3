"""What the forecasts add to prompts, slots and headings, in words; nothing is decided here."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon import sear
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.face_book import crust_words, face_words
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.timeline import NO_SLOT
from emberdraft.daemon.watch import climb_from_s, rest_ends_s
from emberdraft.quantities import say_duration
from emberdraft.ready.why import Why
from emberdraft.said import Temperature, Text, joined, said

Row = dict[str, Any]
LATE_S = 120.0
FALLS_C_PER_MIN = 0.15  # slower than that is called steady (sentence.py)


def stone_slots(live: LiveView, now_s: float) -> list[Row]:
    """Where the stone is heading on the time axis, when that can be said and is still to come."""
    told = live.stone.said
    if told is None or told["eta_s"] <= now_s:
        return []
    return [
        {
            "key": "stone",
            "value_c": told["value_c"],
            "text": "stone",
            "at_s": told["eta_s"],
            "low_s": told["low_s"],
            "high_s": told["high_s"],
        }
    ]


def stone_about(live: LiveView, now_s: float) -> str:
    """'about 18:53, probably 18:47 to 19:02', or nothing."""
    told = live.stone.said
    if told is None or told["eta_s"] <= now_s:
        return ""
    between = f"probably {clock(told['low_s'])} to {clock(told['high_s'])}"
    return f"about {clock(told['eta_s'])}, {between}{_how(told)}"


def stone_to_come(conductor: Conductor, live: LiveView, now_s: float) -> list[Row]:
    """When the stone is hot, hot again before the next pieces, or when its climb is best started."""
    offer = _climb_offer(conductor, live, now_s)
    told = live.stone.said
    if offer or told is None or told["eta_s"] <= now_s or conductor.step not in ("climb", "sear"):
        return offer
    template = "The stone is hot{how}" if conductor.step == "climb" else "The stone is back at {value}{how}"
    text = said(template, value=Temperature(told["value_c"]), how=_how(told))
    return [{"at_s": told["eta_s"], "kind": "stone", "text": text, "low_s": told["low_s"], "high_s": told["high_s"]}]


def _how(told: Row) -> str:
    return "" if told["measured"] else " (estimated, no stone probe)"


def _climb_offer(conductor: Conductor, live: LiveView, now_s: float) -> list[Row]:
    stage = conductor.stage
    if conductor.step != "ask_vent" or stage.asked("open_vent") or live.view.stone_in_s is None:
        return []
    starts_s, ends_s = climb_from_s(stage, live.view), rest_ends_s(stage)
    if starts_s is None or ends_s is None or starts_s <= now_s:
        return []
    text = f"Start the climb, if you agree then: the stone is ready as the rest ends at {clock(ends_s)}"
    return [{"at_s": starts_s, "kind": "start_climb", "text": text, **NO_SLOT}]


def more_for(prompt: Prompt, live: LiveView, now_s: float, conductor: Conductor, promised: bool = True) -> Text:
    """What a prompt is told besides its own words; '' for most. `promised` false: the blower is stopped."""
    if prompt.kind == "pull" and prompt.letters:
        return _peak(live, prompt.letters[0])
    if prompt.kind in ("open_vent", "start_climb"):
        return _climb_now(live, now_s, conductor) if promised else ""
    if prompt.kind == "climb_over" and live.stone.why is not None:
        return why_words(live.stone.why)
    row = live.reading(now_s)
    if prompt.kind in ("come_to_sear", "sear_on") and row is not None and row["stone_c"] is not None:
        stone_c = row["stone_c"]
        crust = crust_words(live.face.face_c(stone_c)[1]) if prompt.kind == "sear_on" else ""
        lines = (_hot_for(stone_c, live, now_s, conductor), face_words(live.face.over, stone_c), crust)
        return joined(" ", lines)
    if prompt.kind == "come_to_sear":
        return _stone_estimated(live)
    return ""


def _stone_estimated(live: LiveView) -> Text:
    """What stands for the stone's reading where there is no probe: never called measured."""
    told = live.stone.said
    if told is None or told["measured"]:
        return ""
    low, mid, high = (Temperature(c) for c in told["now_c"])
    template = "No stone probe: it is estimated at about {mid}, probably {low} to {high}."
    return said(template, low=low, mid=mid, high=high)


def _hot_for(stone_c: float, live: LiveView, now_s: float, conductor: Conductor) -> Text:
    """How long a stone that falls stays hot enough: by its pace of now, the least, since a cooling stone slows down."""
    enough_c, pace = sear.recover_c(conductor.stage), live.history.rate_per_min("stone_c", now_s)
    if enough_c is None:
        return ""
    if stone_c < enough_c:
        return said("For this sear {enough} is wanted: it is not hot enough now.", enough=Temperature(enough_c))
    if pace is None or pace > -FALLS_C_PER_MIN:
        return ""
    lasts = say_duration(60.0 * (stone_c - enough_c) / -pace)
    template = "It cools: hot enough, at {enough} or more, for about {lasts}."
    return said(template, enough=Temperature(enough_c), lasts=lasts)


def _climb_now(live: LiveView, now_s: float, conductor: Conductor) -> str:
    about = stone_about(live, now_s)
    if not about or live.stone.said is None:
        return ""
    ends_s = rest_ends_s(conductor.stage)
    late_s = 0.0 if ends_s is None else live.stone.said["eta_s"] - ends_s
    late = f" Your meat will wait {say_duration(late_s)} after its rest." if late_s >= LATE_S else ""
    return f"With all air from now the stone is there {about}.{late}"


def _peak(live: LiveView, letter: str) -> Text:
    peak = live.peaks.get(letter)
    if peak is None:
        return ""
    low, mid, high = (Temperature(c) for c in peak)
    template = "In the rest it rises to about {mid}, probably {low} to {high}."
    return said(template, low=low, mid=mid, high=high)


def why_words(why: Why) -> Text:
    """Which limit binds and what to do, with the figures that the twin gives."""
    return joined(" ", why_lines(why))


def why_lines(why: Why) -> list[Text]:
    """The same, a sentence each."""
    names = {"air": "too little air goes through", "fuel": "too little burns", "loss": "too much heat is lost",
             "time": "it has only had too little time"}  # fmt: skip
    would, now = Temperature(why.with_advice_c), Temperature(why.as_it_is_c)
    return [
        why.ask_first,
        f"If so: it seems that {names[why.limit]}.",
        f"{why.advice}.",
        said("In 15 min that would be {would} instead of {now}, by a model of this cooker.", would=would, now=now),
    ]
