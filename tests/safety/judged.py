"""The guard, the notices and the watch before plain numbers: a calm hold at 120 degC, an hour under way."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from emberboard.core.agreed import Agreed
from emberboard.core.alerts import AlertBook
from emberboard.core.guard import Guard, Verdict
from emberboard.core.notices import Notices
from emberboard.core.probes import Probes
from emberboard.core.reading import Reading
from emberboard.core.watch import Watch

HOUR_S = 3600.0


class See:
    """What guard, notices and watch are shown, to be set as one likes; `step` lets a second pass."""

    def __init__(self, settings: dict[str, Any] | None = None) -> None:
        self.told: list[tuple[Any, ...]] = []
        self.book = AlertBook(lambda *row: self.told.append(row))
        self.agreed = Agreed(settings or {})
        self.guard = Guard(self.book)
        self.notices, self.watch = Notices(self.book), Watch(self.book)
        self.pit = Reading((-40.0, 700.0), 12.0)
        self.stone = SimpleNamespace(value_c=200.0, raw_c=200.0, fault="")
        self.pit_line = SimpleNamespace(level=120.0, slope=0.0)
        self.lid = SimpleNamespace(is_open=False, told=False, open_s=0.0, shut_s=HOUR_S, in_doubt=False)
        self.wish = SimpleNamespace(duty=0.2, opening=1.0)
        self.short_c = 0.0
        self.hold = SimpleNamespace(
            held_once=True, see=SimpleNamespace(scale=1.0, x2=0.2), slow=SimpleNamespace(coast=1.0)
        )
        self.blower = self.out = SimpleNamespace(drive=0.2, opening=None)
        self.air_shut = False
        self.inputs = SimpleNamespace(tach_rpm=None, damper_watched=True, damper_pos=None, board_c=None, supply_v=None)
        self.now_s = 0
        self.target_c, self.mode = 120.0, "hold"
        self.at(120.0).step()
        self.guard._run.s = HOUR_S
        self.guard.probes = Probes()
        self.now_s = 0
        self.guard._elapsed.step(0)

    @property
    def mode(self) -> str:
        return str(self.agreed.mode)

    @mode.setter
    def mode(self, mode: str) -> None:
        self.agreed.enter(mode)

    @property
    def target_c(self) -> Any:
        return self.agreed.target_c

    @target_c.setter
    def target_c(self, target_c: float) -> None:
        self.agreed.put("target_c", target_c)

    @property
    def asked(self) -> float:
        return float(self.wish.duty)

    @asked.setter
    def asked(self, duty: float) -> None:
        self.wish.duty = duty
        self.out.drive = duty

    @property
    def verdict(self) -> Verdict:
        return self.guard.verdict

    @property
    def stop(self) -> bool:
        """Whether nothing is left of the air."""
        return bool(self.verdict.most_duty == 0.0)

    def step(self, seconds: int = 1) -> See:
        """So many seconds."""
        for _ in range(seconds):
            self.now_s += 1
            self.watch.step(self, 1.0, 1000 * self.now_s)
            self.notices.step(self, self.inputs, 1.0, 1000 * self.now_s)
            self.guard.tick(1000 * self.now_s, self.samples(), self.wish, self.agreed)
        return self

    def samples(self) -> Any:
        lid = self.lid
        self.agreed.lid_told = lid.told
        return SimpleNamespace(
            pit=self.pit, stone=self.stone, inputs=self.inputs, is_open=lid.is_open, lifted=lid.is_open,
            open_s=lid.open_s, drive=self.out.drive,
        )  # fmt: skip

    def kind(self, name: str) -> str:
        """Kind of an alert, '' when there is none."""
        alert = self.book.alerts.get(name)
        return alert.kind if alert else ""

    def first_s(self, name: str, most: int = 4000) -> int | None:
        """How many seconds until that alert is there."""
        for k in range(1, most + 1):
            if self.step().kind(name):
                return k
        return None

    def at(self, pit_c: float) -> See:
        """Put the pit there, and all that follows from it after a while."""
        self.pit.value_c = self.pit.raw_c = self.pit_line.level = pit_c
        self.short_c = self.target_c - pit_c
        levels = self.guard.levels
        levels.quick_c = levels.slow_c = levels.mean_c = pit_c
        return self

    def reads(self, pit_c: float) -> See:
        """This is the next sample, as it is."""
        self.pit.value_c = self.pit.raw_c = pit_c
        return self

    def age(self, quick_c: float, slow_c: float, mean_c: float) -> See:
        """Three means as they are, the next sample the quickest."""
        self.at(quick_c)
        levels = self.guard.levels
        levels.slow_c, levels.mean_c = slow_c, mean_c
        return self
