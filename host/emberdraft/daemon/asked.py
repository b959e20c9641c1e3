"""Everything that is asked of a person now, the most pressing first: one list for Next, for counts, and for links.

What stops the blower stands before the plan's prompts: while it stands the plan does not go on, and nothing is
promised. Once somebody has seen it, food and what is on the stone come before it. Then what is only a notice.
"""

from __future__ import annotations

from typing import Any

from emberdraft.daemon import foretold
from emberdraft.daemon.alarms import BELIEVED, Alarm
from emberdraft.daemon.prompt_values import told
from emberdraft.daemon.prompts import SAYS_THERE, THERE, UNDER_LID, at_cooker
from emberdraft.daemon.run import Prompt
from emberdraft.said import Text, first_upper, joined, said

Row = dict[str, Any]
ALARM = "alarm-"
SEEN = "I have seen it"
# What the board says of the same thing that a prompt of a plan asks for: one is enough, and the board is a second late.
TWINS = ("pull", "drive_too_long")
STOPS = ("tripped", "paused", "wait_sensor")
FOOD = ("pull", "check", "flip", "take_off")
# What else may be done about a prompt: a command, and whether it raises heat.
OTHERS: dict[str, list[Row]] = {
    "climb_over": [{"deed": "Renew the climb", "command": "renew", "args": {}, "at_cooker": True}],
    "end": [
        {"deed": "Ask again in an hour", "command": "hold_on", "args": {"for_s": 3600.0}, "at_cooker": False},
        {"deed": "Hold until I say", "command": "hold_on", "args": {}, "at_cooker": False},
    ],
}


def stopped(service: Any) -> bool:
    """Whether the blower is stopped by a pause or a trip: then no forecast holds."""
    row = service.live.row
    return service.alarms.stopping() is not None or (row is not None and row["why"] in STOPS)


def asked_rows(service: Any, now_s: float) -> list[Row]:
    """Each as the page takes it in `next`."""
    conductor = service.cook.conductor
    prompts = [] if conductor is None else conductor.prompts
    alarms = [alarm for alarm in service.alarms.desk.shown() if _asks(alarm, conductor is not None)]
    stops = [alarm for alarm in alarms if alarm.kind != "notice"]
    new, seen = [a for a in stops if _new(a)], [a for a in stops if not _new(a)]
    notices = [alarm for alarm in alarms if alarm.kind == "notice" and _new(alarm)]
    food, rest = [p for p in prompts if p.kind in FOOD], [p for p in prompts if p.kind not in FOOD]
    one_by_one: list[Alarm | Prompt] = [*new, *food, *seen, *rest, *notices]
    return [_asked(one, service, now_s) for one in one_by_one]


def _asked(one: Alarm | Prompt, service: Any, now_s: float) -> Row:
    return _of_alarm(one, service, now_s) if isinstance(one, Alarm) else _of_prompt(one, service, now_s)


def _new(alarm: Alarm) -> bool:
    return alarm.state == "unacknowledged" or (alarm.state == "returned" and alarm.kind == "trip")


def _asks(alarm: Alarm, planned: bool) -> bool:
    return not (planned and alarm.id in TWINS) and alarm.state != "shelved"


def _of_alarm(alarm: Alarm, service: Any, now_s: float) -> Row:
    words = alarm.words(now_s, service.live.reading(now_s))
    clauses = (words.cause, words.consequence, first_upper(words.more))
    text = joined(" ", (said("{clause}.", clause=clause) for clause in clauses if clause))
    deed = SEEN if _new(alarm) else ""
    row = _row("alarm", alarm.id, f"{ALARM}{alarm.id}", words.deed, text, deed, alarm.at_s)
    return row | {"at_cooker": alarm.id in BELIEVED}


def _of_prompt(prompt: Prompt, service: Any, now_s: float) -> Row:
    conductor = service.cook.conductor
    more = foretold.more_for(prompt, service.live, now_s, conductor, promised=not stopped(service))
    heard = service.live.reading(now_s) is not None
    text = joined(" ", (told(prompt, conductor.stage, heard), more))
    row = _row("prompt", prompt.kind, prompt.id, prompt.title, text, prompt.deed, prompt.since_s)
    other, there = OTHERS.get(prompt.kind, []), at_cooker(prompt, service.live.view.why)
    where = {"at_cooker": there, "under_lid": prompt.kind in UNDER_LID}
    return row | where | {"caution": prompt.caution, "other": other}


def _row(of: str, kind: str, id: str, title: Text, text: Text, deed: str, since_s: float) -> Row:
    """`deed` is '' where there is nothing to answer; `other`: what else may be done about it."""
    row: Row = {"of": of, "kind": kind, "id": id, "title": title, "text": text, "deed": deed, "since_s": since_s}
    there = deed if kind in SAYS_THERE else f"{THERE}: {deed}"
    return row | {"deed_there": there, "at_cooker": False, "under_lid": False, "caution": [], "other": []}
