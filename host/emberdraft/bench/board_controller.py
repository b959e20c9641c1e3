"""The board's own control core behind the interface that any bench can drive.

controller = BoardController()
air = controller.update(t_s, {"pit_c": 20.0, "stone_c": None, "core_c": [], "fault": ""}, 121.0, "light")
# air["blower"], air["intake"]: 0..1
"""

from __future__ import annotations

import math
from typing import Any

from emberboard.core.controller import Controller, Inputs
from emberboard.core.limits import DRIVE_LONG_S, STONE_HIGH_C, STONE_LOW_C, TARGET_HIGH_C, TARGET_LOW_C

from .laws import LAWS

MODE_OF = {"light": "hold", "soak": "hold", "slow": "hold", "climb": "drive", "sear": "drive", "bank": "bank"}
CORE_PROBES = 8


class BoardController:
    """Adapts `emberboard.core` for a bench: counts as at the cooker, with the top vent marked open.

    `period_s` is the period the bench intends; times are taken from `t_s`, which may start anywhere.
    `tuning` are the gains `kp`, `ti_s`, `td_s`, `b` and the switches of docs/explain/control.md; `law`: of `LAWS`.
    """

    def __init__(self, period_s: float = 1.0, law: str = "shipped", **tuning: Any) -> None:
        self.period_s = period_s
        self.controller = Controller(n_core=CORE_PROBES, settings=tuning)
        LAWS[law](self.controller, tuning)
        self._inputs = Inputs(CORE_PROBES)
        self._t0_s: float | None = None
        self._wanted: tuple[str, float | None] | None = None
        self._intake = 1.0
        self.controller.order("vent", {"vent": "top", "opening": 1.0}, 0)

    def update(self, t_s: float, meas: dict[str, Any], setpoint_c: float | None, phase: str) -> dict[str, Any]:
        """One control step at `t_s` seconds; return blower and intake 0..1, trips, notices, estimate."""
        if self._t0_s is None:
            self._t0_s = t_s - self.period_s
        now_ms = round((t_s - self._t0_s) * 1000.0)
        self._follow(phase, setpoint_c, now_ms)
        self._fill(meas)
        out = self.controller.tick(now_ms, self._inputs)
        self.controller.events.clear()
        if out.opening is not None:
            self._intake = float(out.opening)
        trips, notices = self._alerts()
        if out.lid_open:
            notices.append("lid_open")
        return {
            "blower": float(out.drive),
            "intake": self._intake,
            "trips": trips,
            "notices": notices,
            "estimate": self._estimate(out),
        }

    def acknowledge(self) -> None:
        """Acknowledge everything: what is healthy again is cleared, and the cook goes on as it was ordered."""
        self.controller.order("acknowledge", {"id": "all", "at_cooker": True}, 0)
        if self.controller.mode in ("bank", "off"):
            self._wanted = None

    def _follow(self, phase: str, setpoint_c: float | None, now_ms: int) -> None:
        """Turn a change of phase or set-point into the order that a person would have given."""
        wanted = (phase, setpoint_c)
        if wanted == self._wanted:
            return
        order = self._order(phase, setpoint_c)
        code, _ = self.controller.order("mode", order, now_ms)
        if not code:
            self._wanted = wanted

    @staticmethod
    def _order(phase: str, setpoint_c: float | None) -> dict[str, Any]:
        mode = MODE_OF.get(phase, "off")
        order: dict[str, Any] = {"mode": mode, "phase": phase if phase in MODE_OF else "", "at_cooker": True}
        if setpoint_c is None or not math.isfinite(setpoint_c):
            return order
        if mode == "drive":
            order["stone_c"] = min(max(setpoint_c, STONE_LOW_C), STONE_HIGH_C)
            order["longest_s"] = DRIVE_LONG_S
        elif mode == "hold":
            order["target_c"] = min(max(setpoint_c, TARGET_LOW_C), TARGET_HIGH_C)
        return order

    def _fill(self, meas: dict[str, Any]) -> None:
        inputs = self._inputs
        inputs.pit_c = meas.get("pit_c")
        inputs.pit_fault = meas.get("fault") or ""
        inputs.stone_c = meas.get("stone_c")
        cores = list(meas.get("core_c") or [])[:CORE_PROBES]
        inputs.core_c = cores + [None] * (CORE_PROBES - len(cores))

    def _alerts(self) -> tuple[list[str], list[str]]:
        trips: list[str] = []
        notices: list[str] = []
        for name, alert in self.controller.alerts.items():
            (notices if alert.kind == "notice" else trips).append(name)
        return trips, notices

    @staticmethod
    def _estimate(out: Any) -> dict[str, Any]:
        shown = {"duty": out.duty, "ref_c": out.ref_c, "pit_f_c": out.pit_f_c, "slope_cps": out.slope_cps}
        shown.update(p=out.p, i=out.i, d=out.d, ff=out.ff, fire=out.fire, why=out.why)
        shown.update(out.estimate)
        return shown
