"""The model of your cooker from a recorded cook, with its own honesty figures and when not to trust it.

Constants are found by Gauss-Newton with a prior on their logs, so that what a cook does not show stays where it was
believed to be, with its full uncertainty. What the rules need is then read off the model as a person would off the
cooker: a bump of the blower around the hold, and a first-order model with dead time fitted to the answer.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from emberdraft.errors import UserError
from emberdraft.tuning.filter import AFTER_LID_S, Followed, Strip, follow, strip_of
from emberdraft.tuning.fopdt import Fopdt, fit_fopdt
from emberdraft.tuning.model import NAMES, STEP_S, Array, State, advance, air, constants
from emberdraft.tuning.record import Cook

MISS_C = 1.0  # what the model misses on the time scale of its memory, 1 sigma
KNEE = 3.0  # misses beyond so many of it count less
ALIKE_S = 300.0  # and for how long it errs the same way
ROUNDS = 8
NUDGE = 0.03
DAMPING = (0.0, 1.0, 5.0, 30.0, 200.0)
BUMP, BUMP_S = 0.05, 1200
DRAWS = 8
SHORTEST_S = 3600.0
# Below these a model is said, but not to be trusted.
LEAST_MOVEMENT = 0.015
MOST_GAIN_SPREAD = 0.35
MOST_AHEAD_C = 6.0
MOST_SATURATED = 0.5


@dataclass(frozen=True)
class Fit:
    """`z` the best guess and `root` a root of its covariance, in prior units; the misses in degC RMS.

    `fit_c`: with the slow corrections of the filter; `ahead_c`: the last third of the cook from the first two thirds
    alone, with the recorded air and nothing corrected.
    """

    z: Array
    root: Array
    fit_c: float
    ahead_c: float
    strip: Strip
    followed: Followed
    first: int
    last: int

    def draw(self, count: int, seed: int = 0) -> Array:
        """`count` guesses, the best first."""
        noise = np.random.default_rng(seed).standard_normal((count, len(NAMES)))
        noise[0] = 0.0
        return np.asarray(np.clip(self.z + noise @ self.root.T, -4.0, 4.0))


@dataclass(frozen=True)
class Model:
    """What a person can use: degC per whole blower, lag and dead time in s, each with 1 sigma; and how far to trust it.

    `around_duty`, `around_c` say where it holds; loss_min is the time in which the pit would lose 63 % of its excess
    over wall and weather without a fire; `noise_c` the probe's, second to second.
    """

    fopdt: Fopdt
    sd: tuple[float, float, float]
    rise_sd_cps: float
    fit: Fit
    around_c: float
    around_duty: float
    from_c: float
    to_c: float
    loss_min: float
    natural_share: float
    noise_c: float
    trusted: bool
    doubts: list[str] = field(default_factory=list)


def identify(cook: Cook, ambient_c: float | None = None, holdout: bool = True) -> Model:
    """From a recorded cook. Raises UserError when there is next to nothing to learn from."""
    first, last = cook.held()
    if last - first < SHORTEST_S:
        raise UserError(f"tune: {(last - first) / 60:.0f} min of holding are too short; an hour or more would be right")
    known = cook["pit_c"][first:last]
    if np.isfinite(known).sum() < 0.5 * len(known):
        raise UserError(
            "tune: more than half of the pit readings are missing; a cook with a healthy probe would be right"
        )
    outside_c = float(np.nanmin(cook["pit_c"][: first + 60])) if ambient_c is None else ambient_c
    fit = fit_cook(cook, first, last, min(outside_c, 40.0), holdout)
    return read_off(cook, fit)


def fit_cook(cook: Cook, first: int, last: int, ambient_c: float, holdout: bool = True) -> Fit:
    """Fit rows first..last; with `holdout` also say how well two thirds foretell the rest."""
    strip = strip_of(cook, first, last, ambient_c)
    z, normal = _search(strip, np.zeros(len(NAMES)))
    root = np.linalg.cholesky(np.linalg.inv(normal))
    found = follow(z, strip)
    ahead = float("nan")
    if holdout:
        part = strip.steps * 2 // 3
        early, _ = _search(strip.until(part), 0.0 * z)
        ahead = _rms(follow(early, strip, until=part).surprise_c[part:])
    return Fit(z, root, _rms(found.surprise_c), ahead, strip, found, first, last)


def _search(strip: Strip, z: Array) -> tuple[Array, Array]:
    size = len(NAMES)
    normal = np.eye(size)
    for _ in range(ROUNDS):
        left = _weighed(np.vstack([z, z + NUDGE * np.eye(size)]), strip)
        jacobian = (left[:, 1:] - left[:, :1]) / NUDGE
        normal, slope = jacobian.T @ jacobian + np.eye(size), jacobian.T @ left[:, 0] + z
        steps = [np.linalg.solve(normal + d * np.eye(size), slope) for d in DAMPING]
        places = np.clip(np.vstack([z, *(z - step for step in steps)]), -3.5, 3.5)
        cost = (_weighed(places, strip) ** 2).sum(axis=0) + (places**2).sum(axis=1)
        best = int(np.argmin(cost))
        gained = cost[0] - cost[best]
        z = places[best]
        if gained < 1e-3 * cost[0]:
            break
    return z, normal


def _weighed(z: Array, strip: Strip) -> Array:
    """Surprises in sigma, thinned for being alike, far ones drawn in (pseudo-Huber)."""
    each = np.sqrt(STEP_S / ALIKE_S) / MISS_C
    miss = np.nan_to_num(follow(z, strip).surprise_c) / (KNEE * MISS_C)
    drawn = np.sign(miss) * np.sqrt(2.0 * (np.sqrt(1.0 + miss**2) - 1.0))
    return np.asarray(drawn * KNEE * MISS_C * each)


def _rms(miss: Array) -> float:
    good = miss[np.isfinite(miss)]
    return float(np.sqrt(np.mean(good**2))) if good.size else float("nan")


def steady_rows(cook: Cook, fit: Fit) -> Array:
    """Which rows of the hold are of use for its working point: near the target, lid shut, blower not at an end."""
    part = slice(fit.first, fit.last)
    near = np.abs(cook["pit_c"][part] - cook["target_c"][part]) < 8.0
    lid = np.convolve(np.nan_to_num(cook["lid_open"][part]), np.ones(int(AFTER_LID_S)))[: fit.last - fit.first]
    return np.asarray(near & (lid == 0.0) & (cook["duty"][part] < 0.98))


def read_off(cook: Cook, fit: Fit) -> Model:
    """Gain, lag and dead time from a bump on the model, with the spread over guesses that fit as well."""
    rows = steady_rows(cook, fit)
    if rows.sum() < 600:
        raise UserError("tune: less than ten minutes near the target with the lid shut; a longer hold would be right")
    part = slice(fit.first, fit.last)
    pit, duty = cook["pit_c"][part][rows], np.clip(cook["duty"][part][rows], 0.0, 1.0)
    around = float(np.median(duty))
    found = [bump(z, around, float(np.median(pit)), fit.strip.ambient_c) for z in fit.draw(DRAWS)]
    spread = np.std([[f.gain, f.tau_s, f.delay_s] for f in found], axis=0)
    rise_sd = float(np.std([f.gain / f.tau_s for f in found]))
    c = constants(fit.z)
    doubts = _doubts(cook, fit, found[0], rise_sd)
    return Model(
        fopdt=found[0],
        rise_sd_cps=rise_sd,
        sd=(float(spread[0]), float(spread[1]), float(spread[2])),
        fit=fit,
        around_c=float(np.median(pit)),
        around_duty=around,
        from_c=float(np.percentile(pit, 2.0)),
        to_c=float(np.percentile(pit, 98.0)),
        loss_min=1.0 / (c["loss_per_s"] + c["wall_per_s"]) / 60.0,
        natural_share=c["draught"],
        noise_c=_noise_c(cook["pit_c"][part]),
        trusted=not doubts,
        doubts=doubts + _remarks(cook, fit),
    )


def bump(z: Array, duty: float, pit_c: float, ambient_c: float) -> Fopdt:
    """Settle the model at `duty` near `pit_c` with the wall as warm as it gets in a cook, step the blower, watch."""
    c = constants(z)
    size = BUMP if duty + BUMP <= 1.0 else -BUMP
    still = _answer(c, duty, 0.0, pit_c, ambient_c)
    moved = _answer(c, duty, size, pit_c, ambient_c)
    t_s: Array = float(STEP_S) * np.arange(len(still) + 1, dtype=float)
    u = np.concatenate(([0.0], np.full(len(still), size)))
    return fit_fopdt(t_s, u, np.concatenate(([0.0], moved - still)))


def _answer(c: dict[str, float], duty: float, size: float, pit_c: float, ambient_c: float) -> Array:
    """Pit after a step of `size`; a constant disturbance makes the start steady, so only the step is seen."""
    before, after = air(c, duty, 1.0), air(c, duty + size, 1.0)
    wall_c = ambient_c + (pit_c - ambient_c) / (1.0 + c["soak_s"] / c["cool_s"])
    losses = c["loss_per_s"] * (pit_c - ambient_c) + c["wall_per_s"] * (pit_c - wall_c)
    state = State(before, before, pit_c, wall_c, losses - c["heat_cps"] * before)
    out = np.empty(BUMP_S // STEP_S)
    for i in range(len(out)):
        waited = (i + 1) * STEP_S - c["delay_s"]
        share = min(max(waited / STEP_S, 0.0), 1.0)
        advance(c, state, before + share * (after - before), ambient_c, float(STEP_S))
        out[i] = state.pit_c
    return out


def _noise_c(pit_c: Array) -> float:
    """The probe's noise, from differences from second to second (white noise: their spread over root two)."""
    steps = np.diff(pit_c[np.isfinite(pit_c)])
    return float(1.4826 * np.median(np.abs(steps - np.median(steps))) / np.sqrt(2.0)) if steps.size else 0.0


def _doubts(cook: Cook, fit: Fit, found: Fopdt, rise_sd_cps: float) -> list[str]:
    """Reasons not to trust the model, in words."""
    part = slice(fit.first, fit.last)
    rows = steady_rows(cook, fit)
    movement = float(np.std(_smooth(cook["drive"][part])[rows]))
    full = float(np.mean(cook["duty"][part] > 0.98))
    doubts = []
    if movement < LEAST_MOVEMENT:
        doubts.append(
            f"too little movement: the blower moved by {movement:.3f} only; what does not move teaches nothing"
        )
    if full > MOST_SATURATED:
        doubts.append(
            f"saturated: the blower was full for {full:.0%} of the time, and what does not move teaches nothing"
        )
    unsure = rise_sd_cps * found.tau_s / abs(found.gain)
    if unsure > MOST_GAIN_SPREAD:
        doubts.append(f"the blower's effect is known to {unsure:.0%} only")
    if fit.ahead_c > MOST_AHEAD_C:
        doubts.append(f"two thirds of the cook foretell the rest to {fit.ahead_c:.1f} degC only")
    return doubts


def _remarks(cook: Cook, fit: Fit) -> list[str]:
    """What to keep in mind, without doubting the whole."""
    part = slice(fit.first, fit.last)
    lid, remarks = float(np.mean(fit.strip.follow)), []
    if lid > 0.0:
        remarks.append(f"lid open, or just shut: {lid:.0%} of the time is left out")
    if cook.food is not None and np.mean(cook.food[part]) > 0.2:
        remarks.append("food was on: the heat it took counts as the cooker's loss")
    if not np.isfinite(cook["pit_c"][part]).all():
        remarks.append("readings are missing; nothing is put in their place")
    return remarks


def _smooth(values: Array) -> Array:
    """Mean over two minutes: portions of a low duty are no movement."""
    return np.convolve(values, np.full(120, 1.0 / 120.0), mode="same")
