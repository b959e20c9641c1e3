"""What vent opening holds a temperature on this cooker: from stretches of its own cooks in which nothing was moved.

In a steady pit the fire's heat pays for the walls and for what the gas carries off. Heat goes with the air, air with
the openings and the stack draft, so that every steady stretch tells one thing: how much opening for how much rise over
the weather. What the next bit of opening adds is hardly seen in a held pit, because whoever holds it moves the vent
against the drift; it comes from the fire's law: more air is also a larger fire, which takes up more of that air.
Guesses of vents, leak, fire and loss are weighed by those stretches; the answer is their weighed middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from emberdraft.ready.trace import STEP_S, Array, Trace
from emberdraft.ready.twin import CP_J_GK, DRAFT_PA_K_M, G_FUEL_PER_KJ, HEIGHT_M, KW_PER_GPS, PRIOR

GUESSES = 30_000
HEAT_J_G = 1000.0 * KW_PER_GPS * 0.96  # of air whose oxygen is all taken up; some carbon goes to CO only
UPTAKES = np.linspace(1e-3, 0.999, 400)
REACHES = -np.log1p(-UPTAKES) / UPTAKES  # of the steady fire that takes up that share: see `_uptake`
LOSS_W_K, LOSS_SPREAD = 9.0, 0.6
DOOR, DOOR_SPREAD = 4.0, 0.5  # g/s at 1 Pa through an open bottom vent without a blower in it
STRETCH_S, MEAN_S = 1200.0, 600.0
STEEPEST_CPS = 0.35 / 60.0
SETTLES_S = 900.0  # a slow pit goes on by about its rate times this
LEAST_MISS_C = 6.0  # a fire goes on drifting for hours: twenty quiet minutes are not yet where it will stand
NAMED_C = 8.0  # where its own stretches or the guesses are further off, the opening is called a first step
FINGER_M = 0.019  # common practice
CONDUCTANCE_PER_M2 = 1000.0 * 0.61 * sqrt(2.0 * 1.204)  # g/s at 1 Pa of a sharp opening (Cd 0.61) at 20 degC


@dataclass(frozen=True)
class Steady:
    """One steady stretch: openings and blower 0..1, where the pit stands or goes (degC) and how sure (1 sigma)."""

    vent_top: float
    vent_bottom: float
    speed: float
    pit_c: float
    ambient_c: float
    miss_c: float


@dataclass(frozen=True)
class VentSaid:
    """Opening of the top vent, 0..1: low, middle, high (80 %); None: no opening does it. Area, finger widths."""

    low: float | None
    opening: float | None
    high: float | None
    area_cm2: float | None
    fingers: float | None
    shut_is_too_hot: float  # share of the guesses in which even a shut top vent is too much
    open_is_too_cold: float
    stretches: int
    off_c: float | None = None  # larger of the pit's spread (80 %) at the middle and the RMS miss of the stretches


def steady_stretches(trace: Trace) -> list[Steady]:
    """Stretches of at least 20 min with lid shut and vents and blower left alone, the pit hardly moving."""
    still = _still(trace)
    ends = [i for i in range(trace.length) if still[i] >= STRETCH_S and (i + 1 == trace.length or still[i + 1] == 0.0)]
    found = [_steady(trace, i) for i in ends]
    return [steady for steady in found if steady is not None]


def _still(trace: Trace) -> Array:
    """For how long, in s, nothing has been moved at each step."""
    still: Array = np.zeros(trace.length)
    for i in range(1, trace.length):
        same = trace.vent_top[i] == trace.vent_top[i - 1] and abs(trace.opening[i] - trace.opening[i - 1]) < 0.02
        calm = trace.lid[i] == 0.0 and abs(trace.speed[i] - trace.speed[i - 1]) < 0.1 and trace.food_kg[i] < 3.0
        still[i] = still[i - 1] + STEP_S if same and calm else 0.0
    return still


def _steady(trace: Trace, last: int) -> Steady | None:
    rows = slice(max(0, last - round(MEAN_S / STEP_S)), last + 1)
    pit, t = trace.pit_c[rows], trace.t_s[rows]
    good = np.isfinite(pit)
    if np.count_nonzero(good) < 10:
        return None
    slope = float(np.polyfit(t[good], pit[good], 1)[0])
    if abs(slope) > STEEPEST_CPS or float(np.mean(pit[good])) < trace.ambient_c + 40.0:
        return None
    goes_c = slope * SETTLES_S
    return Steady(
        float(trace.vent_top[last]), float(np.mean(trace.opening[rows])), float(np.mean(trace.speed[rows])),
        float(np.mean(pit[good])) + goes_c, trace.ambient_c, LEAST_MISS_C + 0.5 * abs(goes_c),
    )  # fmt: skip


class Vents:
    """Guesses of one cooker weighed by its steady stretches. `blower`: one is fitted in the bottom vent."""

    def __init__(self, points: Sequence[Steady], blower: bool, seed: int = 0) -> None:
        rng = np.random.default_rng(seed)
        self.count = len(points)
        self._c = {
            name: PRIOR[name][0] * np.exp(PRIOR[name][1] * rng.standard_normal(GUESSES))
            for name in ("blower_pa", "in_on", "in_off", "leak", "vent", "bed", "grasp", "keep_per_s")
        }
        self._loss = LOSS_W_K * np.exp(LOSS_SPREAD * rng.standard_normal(GUESSES))
        self._reach = self._c["grasp"] * HEAT_J_G * 1e-6 * G_FUEL_PER_KJ / self._c["keep_per_s"]
        self._door = DOOR * np.exp(DOOR_SPREAD * rng.standard_normal(GUESSES))
        self._blower = blower
        missed = [self._pit_c(point) - point.pit_c for point in points]
        log_w: Array = np.zeros(GUESSES)
        for point, miss in zip(points, missed, strict=True):
            log_w -= 0.5 * (miss / point.miss_c) ** 2
        weight = np.exp(log_w - log_w.max())
        self._weight = weight / weight.sum()
        means = [float(np.sum(self._weight * miss)) for miss in missed]
        self._wanders_c = sqrt(sum(mean**2 for mean in means) / max(1, len(means)))

    def opening_for(self, pit_c: float, vent_bottom: float, ambient_c: float = 20.0, speed: float = 0.0) -> VentSaid:
        """The top vent that holds `pit_c` with the bottom vent (or damper) and the blower as said."""
        need = self._needed(pit_c, ambient_c, speed)
        rest = 1.0 / need**2 - 1.0 / self._inlet(vent_bottom, speed) ** 2 - 1.0 / self._c["bed"] ** 2
        cold = rest <= 0.0
        hot_gas = np.sqrt((ambient_c + 273.15) / (pit_c + 273.15))
        top = 1.0 / np.sqrt(np.where(cold, 1.0, rest)) / hot_gas
        share = (top - self._c["leak"]) / self._c["vent"]
        cold |= share > 1.0
        hot = ~cold & (share < 0.0)
        too_hot, too_cold = float(self._weight[hot].sum()), float(self._weight[cold].sum())
        if too_hot + too_cold > 0.8 or max(too_hot, too_cold) > 0.5:
            return VentSaid(None, None, None, None, None, too_hot, too_cold, self.count)
        low, mid, high = (_quantile(np.clip(share, 0.0, 1.0), self._weight, q) for q in (0.1, 0.5, 0.9))
        area_m2 = float(np.sum(self._weight * self._c["vent"])) / CONDUCTANCE_PER_M2
        fingers = mid * sqrt(area_m2) / FINGER_M
        middle = Steady(mid, vent_bottom, speed, pit_c, ambient_c, LEAST_MISS_C)
        off_c = max(self._wanders_c, _quantile(np.abs(self._pit_c(middle) - pit_c), self._weight, 0.8))
        return VentSaid(low, mid, high, mid * area_m2 * 1e4, fingers, too_hot, too_cold, self.count, off_c)

    def _inlet(self, opening: float, speed: float) -> Array:
        if not self._blower:
            return np.asarray(np.maximum(opening, 1e-3) * self._door)
        lifted = min(1.0, 12.0 * speed)
        inside = self._c["in_off"] + (self._c["in_on"] - self._c["in_off"]) * lifted
        return np.asarray(np.maximum(opening, 1e-3) * inside)

    def _needed(self, pit_c: float, ambient_c: float, speed: float) -> Array:
        """The conductance of the whole way, g/s at 1 Pa, that pays for `pit_c`."""
        flow = self._flow(pit_c - ambient_c)
        push = self._push(np.full(GUESSES, pit_c), ambient_c, speed)
        return np.asarray(flow / np.sqrt(push))

    def _uptake(self, flow_gps: Array) -> Array:
        """Share of the oxygen that a steady fire takes up of so much air.

        The lit part tends to fuel rate / `keep_per_s` and takes up 1 - exp(-grasp lit / sqrt(flow)), as in the twin: so
        u = 1 - exp(-reach sqrt(flow) u). More air is a larger fire that takes more of it; below a reach of 1 it dies.
        """
        return np.asarray(np.interp(self._reach * np.sqrt(flow_gps), REACHES, UPTAKES, left=0.0))

    def _flow(self, rise_c: float) -> Array:
        """Air in g/s whose heat pays for walls and gas so much over the weather, by bisection of its logarithm."""
        low, high = np.full(GUESSES, log(1e-2)), np.full(GUESSES, log(1e2))
        for _ in range(16):
            mid = 0.5 * (low + high)
            flow = np.exp(mid)
            gains = self._gains(flow, rise_c)
            low, high = np.where(gains, low, mid), np.where(gains, mid, high)
        return np.asarray(np.exp(0.5 * (low + high)))

    def _gains(self, flow_gps: Array, rise_c: Array | float) -> NDArray[np.bool_]:
        """Whether the fire of so much air gives more than walls and gas carry off."""
        return np.asarray(flow_gps * (HEAT_J_G * self._uptake(flow_gps) - CP_J_GK * rise_c) > self._loss * rise_c)

    def _push(self, pit_c: Array, ambient_c: float, speed: float) -> Array:
        draft = DRAFT_PA_K_M * HEIGHT_M * (1.0 / (ambient_c + 273.15) - 1.0 / (pit_c + 333.15))
        return np.asarray(np.maximum(draft, 0.02) + speed**2 * self._c["blower_pa"] * (1.0 if self._blower else 0.0))

    def _pit_c(self, point: Steady) -> Array:
        """The pit that every guess would hold with these openings: heat in meets heat out, by bisection."""
        low, high = np.full(GUESSES, point.ambient_c + 1.0), np.full(GUESSES, point.ambient_c + 450.0)
        inlet, bed = self._inlet(point.vent_bottom, point.speed), self._c["bed"]
        for _ in range(18):
            mid = 0.5 * (low + high)
            hot_gas = np.sqrt((point.ambient_c + 273.15) / (mid + 273.15))
            top = (self._c["vent"] * point.vent_top + self._c["leak"]) * hot_gas
            way = 1.0 / np.sqrt(1.0 / inlet**2 + 1.0 / top**2 + 1.0 / bed**2)
            flow = way * np.sqrt(self._push(mid, point.ambient_c, point.speed))
            gains = self._gains(flow, mid - point.ambient_c)
            low, high = np.where(gains, mid, low), np.where(gains, high, mid)
        return np.asarray(0.5 * (low + high))


def _quantile(values: Array, weight: Array, share: float) -> float:
    order = np.argsort(values)
    total = np.cumsum(weight[order])
    return float(values[order][min(values.size - 1, int(np.searchsorted(total, share * total[-1])))])
