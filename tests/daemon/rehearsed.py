"""Sixty short rehearsals, each second of which is heard and each eleventh read.

Faults, lids, late persons, a hand on the vents in the place of a blower, climb and sear, degC and degF.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

from emberdraft.daemon.plan import example_text
from tests.daemon.nights import FAULTS, HOLD, HOUR_S, Night
from tests.daemon.series import Series
from tests.daemon.shown import Line, as_sent, lines
from tests.daemon.truth import Look, found

REHEARSALS = 60
LOOK_S = 11
KEEP_S = 240  # a look in so many is kept, to plant falsehoods in
MOST_H = 4.5
COOKS = ("hold", "chops", "hand")
# What the nights have, and what only a cook that is awake for it can tell.
KINDS = ("", "lids", "pit over limit", "stone probe out", *FAULTS)
DELAYS = ("25 s", "6 min", "15 min")


def plan_text(cook: str, delay: str) -> str:
    """The plan, with a person who takes so long for each prompt."""
    if cook == "hold":
        return HOLD.format(h=2).replace('delay = "40 s"', f'delay = "{delay}"')
    if cook == "hand":
        text = example_text("by_hand").replace('for = "3h"', 'for = "2h"')
        return text.replace('delay = "30 s"', f'delay = "{delay}"')
    return example_text("two_chops").replace('[stand_in]\ndelay = "25 s"', f'[stand_in]\ndelay = "{delay}"')


class Rehearsed(Night):
    """A cook whose every word is read beside the plain readings: `wrong` has what is said and is not so."""

    def __init__(self, folder: Path, seed: int) -> None:
        draw = random.Random(f"rehearsed {seed}")
        self.cook, self.kind = COOKS[seed % len(COOKS)], KINDS[seed // len(COOKS) % len(KINDS)]
        self.delay, self.unit = draw.choice(DELAYS), draw.choice("cf")
        self.series = Series()
        self.wrong: list[str] = []
        self.looks: list[Look] = []
        self.said = 0
        self._told = 0
        super().__init__(folder, seed, self.kind, text=plan_text(self.cook, self.delay))
        self.fault_s = draw.uniform(0.9, 2.2) * HOUR_S

    @property
    def name(self) -> str:
        """For the record of the proof."""
        return f"{self.cook}, {self.kind or 'no fault'}, after {self.delay}, °{self.unit.upper()}"

    def _serve(self) -> None:
        super()._serve()
        live = self.service.live
        self.service.unit = self.unit
        if self.cook == "chops":  # forecasts and the twin answer at once, where a host has threads
            live.desk._start = live.pulls._start = lambda job: job()

    def _heard(self, out: Any) -> None:
        super()._heard(out)
        row = self.service.live.row
        assert row is not None
        self.series.add(row)

    def _second(self) -> None:
        super()._second()
        since_s = self.seq - self.fault_s
        if self.kind == "lids" and since_s >= 0.0 and since_s % 1500.0 < 1.0:
            self.world.open_lid()
        elif self.kind == "lids" and since_s >= 60.0 and since_s % 1500.0 - 60.0 < 1.0:
            self.world.shut_lid()
        if self.series.rows:
            self._read_notices()
        if self.series.rows and self.seq % LOOK_S == 0:
            self._read_page()

    def _sense(self, fault: str, since_s: float) -> None:
        super()._sense(fault, since_s)
        if fault == "pit over limit":
            self.inputs.pit_c += max(
                0.0, min(3.0 * since_s, 200.0, 3.0 * (240.0 - since_s))
            )  # no jump: heat can do that
        if fault == "stone probe out" and since_s < HOUR_S:
            self.inputs.stone_c, self.inputs.stone_fault = None, "open"
        else:
            self.inputs.stone_fault = ""

    def _asleep(self) -> bool:
        return False

    def _read_page(self) -> None:
        state = as_sent(self.service.now())
        look = Look(lines(state, self.unit), state, self.series, self.unit)
        self._note(look)
        if self.seq % KEEP_S < LOOK_S:
            self.looks.append(look._replace(series=self.series.last()))

    def _read_notices(self) -> None:
        """What is sent is words already, in the unit of the house."""
        for notice in self.sent[self._told :]:
            said = f"{notice['title']}\n{notice['text']}".replace("\u00a0", " ").split("\n")
            told = [Line(f"notice {notice['calls'][0].rpartition(':')[2]}", line) for line in said]
            state = as_sent(self.service.now())
            self._note(Look([*told, *lines(state, self.unit)], state, self.series, self.unit))
        self._told = len(self.sent)

    def _note(self, look: Look) -> None:
        self.wrong += [f"{self.seq} s: {one}" for one in found(look)]
        self.said += len(look.lines)
