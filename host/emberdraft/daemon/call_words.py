"""What a call says: the piece, the value now in the unit of the house, the deed, and the link to the page at it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from emberdraft.daemon.alarm_texts import then_of, words_of
from emberdraft.daemon.alarms import Alarm
from emberdraft.daemon.asked import stopped
from emberdraft.daemon.calls import FIRST, Push, Standing
from emberdraft.daemon.calls_table import row_of
from emberdraft.daemon.foretold import more_for
from emberdraft.daemon.prompt_values import told
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.sentence import clock
from emberdraft.quantities import say_duration
from emberdraft.said import joined, render, said

Row = dict[str, Any]


class Telling:
    """Makes the object of a notice from what stands. `page`: the address at which a phone finds the page, or ''."""

    def __init__(self, service: Any, now_s: float) -> None:
        self._service = service
        self._live, self._cook, self._alarms = service.live, service.cook, service.alarms
        self._unit, self._cooker, self._page = service.unit, service.cooker, service.notifier.page
        self._now_s = now_s

    def notice(self, push: Push) -> Row:
        """The object as every way out gets it; docs/reference/calls.md has its keys."""
        first = push.calls[0]
        return {
            "cooker": self._cooker,
            "kind": first.kind,
            "title": self._title(push),
            "text": self._text(push),
            "at_s": self._now_s,
            "again": push.again,
            "page": self.link("" if push.over else first.key.rpartition(":")[2]),
            "wakes": push.whom,
            "calls": [one.key for one in push.calls],
            "over": push.over,
        }

    def link(self, asked: str = "") -> str:
        """The page of this cooker at what is asked; '' when no address of the page is known."""
        at = f"?asked={quote(asked)}" if asked else ""
        return f"{self._page}cookers/{quote(self._cooker)}{at}" if self._page else ""

    def _title(self, push: Push) -> str:
        first, more = push.calls[0].title, len(push.calls) - 1
        before = "Over: " if push.over else "" if FIRST in push.ways else "Nobody has answered: "
        return f"{before}{first}" + (f", and {more} more" if more else "")

    def _text(self, push: Push) -> str:
        if push.over:
            ended = "" if self._cook.running else " The cook has ended."
            return f"Since {clock(self._now_s)} nothing is asked of you for it.{ended}"
        if len(push.calls) == 1:
            return self._body(push.calls[0])
        return "\n".join(f"{one.title}. {self._body(one)}" for one in push.calls)

    def _body(self, one: Standing) -> str:
        alarm = self._alarms.desk.alarms.get(one.id) if one.of == "alarm" else None
        if alarm is not None:
            return self._of_alarm(alarm)
        stage = self._cook.conductor.stage
        prompt = stage.find(one.key.rpartition(":")[2])
        more = more_for(prompt, self._live, self._now_s, self._cook.conductor, not stopped(self._service))
        waits_s = self._now_s - prompt.since_s
        asked = f" Asked {say_duration(waits_s)} ago." if waits_s >= 60.0 else ""
        heard = self._live.reading(self._now_s) is not None
        return render(joined(" ", (told(prompt, stage, heard), more)), self._unit) + asked

    def _of_alarm(self, alarm: Alarm) -> str:
        words = words_of(alarm.id, alarm.value, alarm.limit)
        then = f" Since {clock(alarm.at_s)}." if self._now_s - alarm.at_s >= 60.0 else ""
        return render(said("{what}. {do}.", what=words.consequence, do=words.action), self._unit) + then

    def standing(self) -> list[Standing]:
        """All that asks for a person now; without a cook only what the table says."""
        alarms = [self._alarm(alarm) for alarm in self._alarms.desk.shown() if self._calls(alarm)]
        return alarms + [self._prompt(prompt) for prompt in self._asked()]

    def _asked(self) -> Sequence[Prompt]:
        return self._cook.conductor.prompts if self._cook.conductor is not None else ()

    def _calls(self, alarm: Alarm) -> bool:
        """A trip stands until it is acknowledged, else it stands as long as its cause, and most as the cook."""
        alone = self._cook.running or row_of("alarm", alarm.id, alarm.kind).alone
        return alarm.kind == "trip" or (alarm.state != "returned" and alone)

    def _alarm(self, alarm: Alarm) -> Standing:
        then = then_of(alarm.id, alarm.read_s or alarm.at_s, self._now_s, self._live.reading(self._now_s))
        cause = render(words_of(alarm.id, alarm.value, alarm.limit, then).cause, self._unit)
        quiet = alarm.state in ("acknowledged", "shelved")
        return Standing(f"alarm:{alarm.id}", "alarm", alarm.id, alarm.kind, cause, quiet)

    def _prompt(self, prompt: Prompt) -> Standing:
        return Standing(
            prompt_key(self._cook.cook_id, prompt.id), "prompt", prompt.kind, "prompt", render(prompt.title, self._unit)
        )


def prompt_key(cook_id: int | None, prompt_id: str) -> str:
    """Numbers of prompts begin anew with each cook."""
    return f"prompt:{cook_id}:{prompt_id}"
