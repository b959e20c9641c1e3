"""The live readings of one board: the view for the conductor, rates, and when each piece will be there."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.conductor import Conductor, View
from emberdraft.daemon.face_book import FaceBook
from emberdraft.daemon.fuel_watch import FuelWatch
from emberdraft.daemon.history import History
from emberdraft.daemon.stone_watch import StoneWatch
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.vents_watch import VentsWatch
from emberdraft.food.forecast import PullForecast

Row = dict[str, Any]
SILENT_S, SILENT_REAL_S = 10.0, 2.0
FORECAST_EVERY_S = 20.0
PEAK_EVERY_S = 120.0


class LiveView:
    """`take` a reading; everything else is read from here."""

    def __init__(self, speed: float = 1.0) -> None:
        self.view = View()
        self.view.silent_after_s = max(SILENT_S, SILENT_REAL_S * speed)
        self.history = History()
        self.row: Row | None = None
        self.link: Any = None
        self.info: Row | None = None
        self.forecasts: dict[str, dict[str, float | None]] = {}
        self.peaks: dict[str, tuple[float, float, float]] = {}
        self.desk = TwinDesk()
        self.stone = StoneWatch(self.desk, speed)
        self.fuel = FuelWatch(self.desk, speed)
        self.vents = VentsWatch(self.desk, speed)
        self.face = FaceBook()
        self._models: dict[str, PullForecast] = {}
        self._forecast_s = 0.0
        self._peak_s: dict[str, float] = {}

    def take(self, row: Row) -> bool:
        """A live reading; False when it is not newer than the last (a repeat)."""
        if self.row is not None and row["at_s"] <= self.row["at_s"]:
            return False
        self.row = row
        self.view.read(row, row["at_s"])
        self.history.add(row["at_s"], row)
        self.desk.take(row)
        return True

    def know(self, info: Row) -> None:
        """What the board says of itself: what is fitted decides who holds the heat."""
        self.info = info
        sensors = info.get("sensors") or {}
        self.view.blower = sensors.get("blower") is not False

    def link_state(self) -> str:
        """online, silent, offline or never; judged from readings where no link has been reported."""
        if self.link is not None:
            return str(self.link.state)
        return "never" if self.row is None else "online"

    def link_row(self, now_s: float) -> Row:
        """The link as the page takes it. The age is that of the last reading, never of the connection."""
        heard_s = None if self.row is None else max(0.0, now_s - self.row["at_s"])
        fresh = self.view.fresh(now_s)
        state = "online" if fresh else ("never" if heard_s is None else "silent")
        if not fresh and self.link is not None and self.link.state == "offline":
            state = "offline"
        texts = {
            "online": "The board is heard",
            "never": "The board has not been heard yet",
            "silent": "No word from the board",
            "offline": "The board is off, or its link is down",
        }
        return {"state": state, "heard_s": heard_s, "boot": self.view.boot or None, "text": texts[state]}

    def forecast(self, conductor: Conductor, now_s: float) -> None:
        """Bring the forecasts of the pieces that are in up to date, every 20 s: they cost milliseconds."""
        self.desk.note(conductor, now_s)
        self.stone.look(conductor, now_s)
        said = self.stone.said
        self.view.stone_in_s = None if said is None else float(said["eta_s"] - said["at_s"])
        if now_s - self._forecast_s < FORECAST_EVERY_S:
            return
        self._forecast_s = now_s
        inside = conductor.stage.letters("in")
        self.forecasts = {letter: kept for letter, kept in self.forecasts.items() if letter in inside}
        for letter in inside:
            self._forecast_piece(conductor, letter, now_s)

    def look_deeper(self, conductor: Conductor, now_s: float, store: Any, cooker: str) -> None:
        """What is asked less often: charcoal and vents, after the stone has had its turn."""
        self.fuel.look(conductor, now_s, self.forecasts)
        self.vents.look(conductor, now_s, store, cooker)

    def _forecast_piece(self, conductor: Conductor, letter: str, now_s: float) -> None:
        plan = conductor.stage.plan_pieces[letter]
        if plan.probe is None:
            return
        if letter not in self._models:
            thickness_m = None if plan.thickness_m is None else float(plan.thickness_m)
            mass_kg = None if plan.mass_kg is None else float(plan.mass_kg)
            self._models[letter] = PullForecast(float(plan.pull_c), thickness_m, mass_kg)
        core_c, pit_c = conductor.stage.core_c(letter), self.view.pit_c
        answer = self._models[letter].update(now_s, core_c, pit_c)
        eta_s, low_s, high_s = answer["eta_s"], answer["low_s"], answer["high_s"]
        self.forecasts[letter] = {"eta_s": eta_s, "low_s": low_s, "high_s": high_s}
        if eta_s is not None and now_s - self._peak_s.get(letter, 0.0) >= PEAK_EVERY_S:
            self._peak_s[letter] = now_s
            self.peaks[letter] = self._models[letter].peak_after_pull_c()
