"""A set of guesses of one piece, weighed by what its probe has read since it was put in.

Iterated batch importance sampling (Chopin 2002, Biometrika 89): the guesses live through the cook side by side and are
weighed by each reading; when few carry most of the weight they are drawn anew, and each of the drawn tries other
numbers and lives through the whole past with them (Metropolis moves along the differences of the others: ter Braak
2006, Statistics and Computing 16). So a guess is always a body that explains all that was read, never one whose numbers
were changed on the way.

Each guess has an error of its own as well: what it reads is off by an amount that wanders (an Ornstein-Uhlenbeck
process), and how far it wanders is guessed with the rest. Where no body fits, that grows, and the bands with it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from emberdraft.food.past import Past
from emberdraft.food.slabs import Array, Slabs

COUNT = 300
STEP_S = 20.0
READ_C = 0.15  # probe noise and rounding, 1 sigma
WANDER_S = 900.0  # how long an error of the model lasts
LEAST_FIT = -8.0  # heavy tails: one wild reading must not throw away all that was learnt
MOVES, MOST_MOVES = 2, 5
WALK = 0.03
FIRST_PLACE = 10  # column of the probe's first place; one more for each time that it was moved
SPREAD_ALPHA, SPREAD_H, H_W_M2K, SHAPE = 0.07, 0.45, 17.0, 1.6
WET, VAPOUR_PA, DRY_G_M2, DRY_FLOOR = (0.01, 1.6), (800.0, 9000.0), (250.0, 4000.0), (0.03, 0.4)
SETS = 0.25  # most that setting protein adds to the heat capacity at its peak
WANDER_C, WANDER_SPREAD = 0.35, 0.7
DEPTH, DEPTH_MOVED, DEEPEST = 0.33, 0.45, 0.9
TRIES = 12

Indices = NDArray[np.int64]


def between(ends: tuple[float, float], z: Array) -> Array:
    """Log-uniform between two ends for a standard normal z (to 0.01 of the logistic's approximation)."""
    return np.asarray(np.exp(np.log(ends[0]) + np.log(ends[1] / ends[0]) / (1.0 + np.exp(-1.702 * z))))


class Lived:
    """The bodies of some guesses and their errors, as they are after what they have lived through."""

    def __init__(self, z: Array, half_m: float, half_spread: float, start_c: float) -> None:
        self.slabs = Slabs(
            half_m=half_m * np.exp(half_spread * z[:, 0]),
            shape=SHAPE / (1.0 + np.exp(-1.702 * z[:, 1])),
            alpha_m2s=1.38e-7 * np.exp(SPREAD_ALPHA * z[:, 2]),
            h_w_m2k=H_W_M2K * np.exp(SPREAD_H * z[:, 3]),
            wet=between(WET, z[:, 4]),
            start_c=start_c,
            vapour_pa=between(VAPOUR_PA, z[:, 5]),
            dry_g_m2=between(DRY_G_M2, z[:, 6]),
            dry_floor=between(DRY_FLOOR, z[:, 7]),
            sets=SETS / (1.0 + np.exp(-1.702 * z[:, 9])),
        )
        self.wander_c = WANDER_C * np.exp(WANDER_SPREAD * z[:, 8])
        spread = np.where(np.arange(z.shape[1] - FIRST_PLACE) > 0, DEPTH_MOVED, DEPTH)
        self.depths = np.minimum(np.abs(z[:, FIRST_PLACE:]) * spread, DEEPEST)
        self.log_fit = np.zeros(z.shape[0])
        self.forget_error()

    def forget_error(self) -> None:
        """The probe is in a new place: what it was off by in the old one says nothing."""
        self.error_c, self.error_var = np.zeros_like(self.wander_c), self.wander_c**2

    def advance(self, dt_s: float, pit_c: float) -> None:
        """Let time pass at a pit of `pit_c`."""
        self.slabs.step(dt_s, pit_c)
        kept = math.exp(-dt_s / WANDER_S)
        self.error_c = self.error_c * kept
        self.error_var = self.error_var * kept**2 + self.wander_c**2 * (1.0 - kept**2)

    def miss_c(self, core_c: float, place: int = -1) -> Array:
        """The reading less what each guess's probe would read in that place."""
        return np.asarray(core_c - self.slabs.at(self.depths[:, place]) - self.error_c)

    def read(self, core_c: float, place: int = -1) -> Array:
        """Enter a reading (a Kalman step of the error); the log of how well each guess foretold it."""
        miss_c, total = self.miss_c(core_c, place), self.error_var + READ_C**2
        fit = np.maximum(-0.5 * miss_c**2 / total, LEAST_FIT) - 0.5 * np.log(total / READ_C**2)
        gain = self.error_var / total
        self.error_c = self.error_c + gain * miss_c
        self.error_var = self.error_var * (1.0 - gain)
        self.log_fit = self.log_fit + fit
        return np.asarray(fit)

    def live(self, past: Past) -> None:
        """From the start to now."""
        before = 0
        for pit_c, core_c, place in past:
            if place != before:
                self.forget_error()
                before = place
            self.advance(past.step_s, pit_c)
            if core_c == core_c:
                self.read(core_c, place)

    def keep(self, index: Indices) -> None:
        """Only the guesses at `index`."""
        self.slabs = self.slabs.copy(index)
        for name in ("wander_c", "depths", "log_fit", "error_c", "error_var"):
            setattr(self, name, getattr(self, name)[index])

    def take(self, other: Lived, where: NDArray[np.bool_]) -> None:
        """The guesses of `other` in place of one's own."""
        self.slabs.take(other.slabs, where)
        for name in ("wander_c", "depths", "log_fit", "error_c", "error_var"):
            getattr(self, name)[where] = getattr(other, name)[where]


class Guesses:
    """`lived` and the log of the weights, with what is needed to live through it all again."""

    def __init__(self, rng: np.random.Generator, half_m: float, half_spread: float, start_c: float) -> None:
        self.rng = rng
        self._begins = half_m, half_spread, start_c
        self._z = rng.standard_normal((COUNT, FIRST_PLACE + 1))
        self.lived = Lived(self._z, *self._begins)
        self.log_w = np.zeros(COUNT)
        self.past = Past(STEP_S)

    @property
    def slabs(self) -> Slabs:
        """The bodies as they are now."""
        return self.lived.slabs

    @property
    def depth(self) -> Array:
        """Where the probe sits now: 0 centre, 1 surface."""
        return np.asarray(self.lived.depths[:, -1])

    def advance(self, pit_c: float) -> None:
        """One step of `past.step_s` at a pit of `pit_c`; the next may be longer."""
        self.past.add(pit_c)
        self.lived.advance(self.past.step_s, pit_c)
        self.past.halve()

    def weigh(self, core_c: float) -> None:
        """Enter the reading at the end of the last step."""
        self.past.read(core_c)
        self.log_w = self.log_w + self.lived.read(core_c)
        self.log_w -= self.log_w.max()
        if self.spread_count() < COUNT / 2.0:
            self._renew()

    def spread_count(self) -> float:
        """How many guesses carry the weight."""
        return 1.0 / float(np.sum(self.weights() ** 2))

    def weights(self) -> Array:
        """Weights that add up to 1."""
        weight = np.exp(self.log_w)
        return np.asarray(weight / weight.sum())

    def mean(self, values: Array) -> float:
        """The weighed mean of a value a guess."""
        return float(np.sum(self.weights() * values))

    def draw(self, count: int) -> Indices:
        """Systematic resampling: `count` indices in proportion to the weights."""
        places = (np.arange(count) + self.rng.uniform()) / count
        return np.minimum(np.searchsorted(np.cumsum(self.weights()), places), COUNT - 1)

    def replace_probe(self, core_c: float) -> None:
        """Keep what is known of the piece, guess the probe's place anew: of some tries the one that reads right."""
        tries = self.rng.standard_normal((TRIES, COUNT))
        depth = np.minimum(np.abs(tries) * DEPTH_MOVED, DEEPEST)
        miss_c = np.array([core_c - self.slabs.at(d) for d in depth])
        fit = np.cumsum(np.exp(-0.5 * miss_c**2 / (self.lived.wander_c**2 + 1.0)) + 1e-9, axis=0)
        which = np.sum(fit < self.rng.uniform(size=COUNT) * fit[-1], axis=0)
        at = np.minimum(which, TRIES - 1), np.arange(COUNT)
        self._z = np.column_stack([self._z, tries[at]])
        self.lived.depths = np.column_stack([self.lived.depths, depth[at]])
        self.lived.forget_error()
        self.past.places += 1
        self.log_w = self.log_w + np.log(fit[-1])
        self.log_w -= self.log_w.max()

    # ---- drawn anew

    def _renew(self) -> None:
        drawn = self.draw(COUNT)
        self._z = self._z[drawn]
        self.lived = Lived(self._z, *self._begins)
        self.lived.live(self.past)
        self.log_w = np.zeros(COUNT)
        moved = 0.0
        for turn in range(MOST_MOVES):
            moved += self._move()
            if turn + 1 >= MOVES and moved > 0.3:
                break

    def _move(self) -> float:
        """One Metropolis move of each guess; the share that took it."""
        one, two = self.rng.permutation(COUNT), self.rng.permutation(COUNT)
        far = 2.38 / math.sqrt(2.0 * self._z.shape[1]) * self.rng.uniform(0.3, 1.2, (COUNT, 1))
        tried = self._z + far * (self._z[one] - self._z[two]) + WALK * self.rng.standard_normal(self._z.shape)
        other = Lived(tried, *self._begins)
        other.live(self.past)
        gain = other.log_fit - self.lived.log_fit + 0.5 * np.sum(self._z**2 - tried**2, axis=1)
        taken = np.log(self.rng.uniform(size=COUNT)) < gain
        self._z = np.where(taken[:, None], tried, self._z)
        self.lived.take(other, taken)
        return float(np.mean(taken))
