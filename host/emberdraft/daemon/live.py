"""The live readings of one board: the view for the conductor, rates, and when each piece will be there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from emberdraft.daemon.conductor import Conductor, View
from emberdraft.daemon.face_book import FaceBook
from emberdraft.daemon.fuel_watch import FuelWatch
from emberdraft.daemon.history import History
from emberdraft.daemon.stone_watch import StoneWatch
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.vents_watch import VentsWatch
from emberdraft.daemon.wanted import target_of
from emberdraft.food.forecast import PullForecast

Row = dict[str, Any]
SILENT_S, SILENT_REAL_S = 10.0, 2.0
FORECAST_EVERY_S = 20.0
PEAK_EVERY_S = 120.0
LATE_S = 60.0

# (since_s, names) -> the running cook's readings since then.
Past = Callable[[float, tuple[str, ...]], dict[str, list[Any]]]


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
        self.past: Past | None = None
        self._models: dict[str, tuple[int, PullForecast]] = {}
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
        self.view.stone_due_s = self.stone.due_s(target_of(conductor.plan, conductor.run, "climb"))
        if now_s - self._forecast_s < FORECAST_EVERY_S:
            return
        self._forecast_s = now_s
        inside = conductor.stage.letters("in")
        self.forecasts = {letter: kept for letter, kept in self.forecasts.items() if letter in inside}
        for letter in inside:
            self._forecast_piece(conductor, letter, now_s)

    def forecast_anew(self, conductor: Conductor, now_s: float) -> None:
        """A person has changed what is forecast: it is said anew at once."""
        self._forecast_s = 0.0
        self._peak_s.clear()
        self.peaks.clear()
        if self.view.fresh(now_s):
            self.forecast(conductor, now_s)

    def look_deeper(self, conductor: Conductor, now_s: float, store: Any, cooker: str) -> None:
        """What is asked less often: charcoal and vents, after the stone has had its turn."""
        self.fuel.look(conductor, now_s, self.forecasts)
        self.vents.look(conductor, now_s, store, cooker)

    def _forecast_piece(self, conductor: Conductor, letter: str, now_s: float) -> None:
        plan = conductor.stage.plan_pieces[letter]
        if plan.probe is None:
            return
        model = self._model(conductor, letter, plan.probe, now_s)
        if model is None:
            self.forecasts.pop(letter, None)
            return
        model.aim(float(plan.pull_c))
        core_c, pit_c = conductor.stage.core_c(letter), self.view.pit_c
        answer = model.update(now_s, core_c, pit_c)
        eta_s, low_s, high_s = answer["eta_s"], answer["low_s"], answer["high_s"]
        self.forecasts[letter] = {"eta_s": eta_s, "low_s": low_s, "high_s": high_s}
        if eta_s is not None and now_s - self._peak_s.get(letter, 0.0) >= PEAK_EVERY_S:
            self._peak_s[letter] = now_s
            self.peaks[letter] = model.peak_after_pull_c()

    def _model(self, conductor: Conductor, letter: str, probe: int, now_s: float) -> PullForecast | None:
        """The forecast of this piece by this probe. One that begins late lives through the past first, in a thread."""
        kept = self._models.get(letter)
        if kept is not None and kept[0] == probe:
            return kept[1]
        plan, on_s = conductor.stage.plan_pieces[letter], conductor.stage.piece(letter).on_s
        thickness_m = None if plan.thickness_m is None else float(plan.thickness_m)
        mass_kg = None if plan.mass_kg is None else float(plan.mass_kg)
        model = PullForecast(float(plan.pull_c), thickness_m, mass_kg)
        self.peaks.pop(letter, None)
        if on_s is None or now_s - on_s < LATE_S or self.past is None:
            self._models[letter] = (probe, model)
            return model
        since_s, past = on_s, self.past
        self.desk.do(lambda: self._live_through(past, model, letter, probe, since_s), lambda: None)
        return None

    def _live_through(self, past: Past, model: PullForecast, letter: str, probe: int, since_s: float) -> None:
        core = f"core{probe + 1}_c"
        columns = past(since_s, ("at_s", "pit_c", core))
        last_s = -FORECAST_EVERY_S
        for at_s, pit_c, core_c in zip(columns["at_s"], columns["pit_c"], columns[core], strict=True):
            if at_s - last_s >= FORECAST_EVERY_S:
                last_s = at_s
                model.read(at_s, core_c, pit_c)
        self._models[letter] = (probe, model)
