"""The live readings of one board: the view for the conductor, rates, and when each piece will be there."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.conductor import Conductor, View
from emberdraft.daemon.evening_watch import EveningWatch
from emberdraft.daemon.face_book import FaceBook
from emberdraft.daemon.fuel_watch import FuelWatch
from emberdraft.daemon.history import History
from emberdraft.daemon.liveness import silent_after_s
from emberdraft.daemon.pull_watch import Peak, PullWatch, Said
from emberdraft.daemon.stone_watch import StoneWatch
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.vents_watch import VentsWatch
from emberdraft.daemon.wanted import target_of

Row = dict[str, Any]
OLD_SHARE = 0.5  # of what is called silence: older is not said as of now


class LiveView:
    """`take` a reading; everything else is read from here."""

    def __init__(self, speed: float = 1.0) -> None:
        self.view = View()
        self.view.silent_after_s = silent_after_s(speed)
        self.history = History()
        self.row: Row | None = None
        self.link: Any = None
        self.info: Row | None = None
        self.pulls = PullWatch()
        self.desk = TwinDesk()
        self.stone = StoneWatch(self.desk, speed)
        self.fuel = FuelWatch(self.desk, speed)
        self.vents = VentsWatch(self.desk, speed)
        self.face = FaceBook()
        self.evenings = EveningWatch(speed)

    @property
    def forecasts(self) -> dict[str, Said]:
        """Seconds to the pull of each piece that is in, by letter, as was answered last."""
        return self.pulls.said

    @property
    def peaks(self) -> dict[str, Peak]:
        """What each of them rises to in the rest, degC."""
        return self.pulls.peaks

    def take(self, row: Row, heard_s: float) -> bool:
        """A live reading that arrived at `heard_s`, by the record's clock; False when it is a repeat."""
        if self.row is not None and row["boot"] == self.row["boot"] and row["seq"] <= self.row["seq"]:
            return False
        self.row = row
        self.view.read(row, heard_s)
        self.history.add(row["at_s"], row)
        self.desk.take(row)
        return True

    def reading(self, now_s: float) -> Row | None:
        """The last row while it is of now, at most 5 s old (a demonstration allows more); else None: it is of then."""
        young = self.view.heard_s is not None and now_s - self.view.heard_s <= OLD_SHARE * self.view.silent_after_s
        return self.row if young and self.view.fresh(now_s) else None

    def moment_s(self, alert: Row | None) -> float | None:
        """When an alert came, by the board's own count of ms; None where no reading of that start is known."""
        row = self.row
        if alert is None or row is None or alert.get("boot") != row["boot"]:
            return None
        return float(row["at_s"] - (row["ms"] - alert["since_ms"]) / 1000.0)

    def hear_link(self, link: Any) -> None:
        """What is judged of the link: its end is the end at once, however young the last reading is."""
        self.link = link
        self.view.gone = link.state == "offline"

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
        heard_s = None if self.view.heard_s is None else max(0.0, now_s - self.view.heard_s)
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
        """Hand over what the forecasts are made of, and take what was answered last: nothing is worked out here."""
        self.desk.note(conductor, now_s)
        self.stone.look(conductor, now_s)
        said = self.stone.said
        self.view.stone_in_s = None if said is None else float(said["eta_s"] - said["at_s"])
        self.view.stone_due_s = self.stone.due_s(target_of(conductor.plan, conductor.run, "climb"))
        self.pulls.look(conductor, now_s, self.view.pit_c, self.view.fresh(now_s))

    def forecast_anew(self, conductor: Conductor, now_s: float) -> None:
        """A person has changed what is forecast: the old answer is gone at once, the new one is told a moment later."""
        self.pulls.hurry()
        self.evenings.hurry()
        if self.view.fresh(now_s):
            self.forecast(conductor, now_s)

    def look_deeper(self, conductor: Conductor, now_s: float, store: Any, cooker: str) -> None:
        """What is asked less often: charcoal and vents, after the stone has had its turn."""
        self.fuel.look(conductor, now_s, self.forecasts)
        self.vents.look(conductor, now_s, store, cooker)
        self.evenings.look(conductor.stage, self.forecasts, self.stone.said, now_s, store, cooker)
