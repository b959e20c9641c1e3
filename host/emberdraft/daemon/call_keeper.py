"""The calls of one cooker between what stands, the ways out and the store. Not thread-safe: the service takes turns."""

from __future__ import annotations

import json
import logging
from typing import Any

from emberdraft.daemon.alarm_texts import HOST_ALERTS
from emberdraft.daemon.call_words import Telling, prompt_key
from emberdraft.daemon.calls import Calls, Standing
from emberdraft.errors import UserError

log = logging.getLogger(__name__)
SURE_S = 15.0  # after a silence: until then the board's alerts may not all have come


class CallKeeper:
    """`look` about once a second, after every turn of a person `settle`."""

    def __init__(self, service: Any) -> None:
        self._service = service
        self._key = f"calls {service.cooker}"
        self.calls = self._kept()
        self._heard_since_s: float | None = None
        self._saved: Any = None

    def look(self, now_s: float) -> None:
        """Send what is to be sent, and remember it before that: a restart must not send it again."""
        self._hear(now_s)
        telling = Telling(self._service, now_s)
        pushes = self.calls.step(now_s, telling.standing(), lambda one: self._unsure(one, now_s))
        self._keep()
        for push in pushes:
            self._service.notifier.send(telling.notice(push), push.ways)

    def settle(self) -> None:
        """A person has acted: what is asked no more since then has been answered."""
        cook = self._service.cook
        asked = {prompt_key(cook.cook_id, p.id) for p in (cook.conductor.prompts if cook.conductor else ())}
        before = [key for key, call in self.calls.calls.items() if call.standing.of == "prompt" and call.over_s is None]
        self.calls.answered(*(key for key in before if key not in asked))
        self._keep()

    def seen(self, *alarms: str) -> None:
        """A person has acknowledged these: the board may let go of them before the next look."""
        self.calls.answered(*(f"alarm:{name}" for name in alarms))
        self._keep()

    def _hear(self, now_s: float) -> None:
        if not self._service.live.view.fresh(now_s):
            self._heard_since_s = None
        elif self._heard_since_s is None:
            self._heard_since_s = now_s

    def _unsure(self, one: Standing, now_s: float) -> bool:
        """An alarm of a board that is not heard, or only just: it may stand, though nothing says so."""
        if one.of != "alarm" or one.id in HOST_ALERTS or not (one.kind == "trip" or self._service.cook.running):
            return False
        return self._heard_since_s is None or now_s - self._heard_since_s < SURE_S

    def _kept(self) -> Calls:
        text = self._service.store.kept(self._key)
        return Calls.restore(json.loads(text)) if text else Calls()

    def _keep(self) -> None:
        """Written when something was said, answered, or ended; not for a figure in a title."""
        mark = [(key, c.said, c.answered, c.over_s, c.standing.quiet, c.open) for key, c in self.calls.calls.items()]
        if mark == self._saved:
            return
        self._saved = mark
        try:
            self._service.store.keep(self._key, json.dumps(self.calls.state()))
        except UserError as error:
            log.warning("a call was not recorded: %s", error)
