"""Many pieces of food at once: the conduction model behind the pull forecast, vectorised over guesses.

One guess is a body of half size `half_m` between slab and sphere (shape exponent m: 0 slab, 1 long cylinder, 2 sphere),
with heat conduction (Carslaw and Jaeger's equation in one coordinate, finite volumes, implicit in time) and at its
surface convection and radiation lumped in one coefficient, less evaporation by the psychrometric relation (ASHRAE
Fundamentals: wet-bulb depression, psychrometric coefficient about 66 Pa/K at sea level) into air of `vapour_pa`.
Wetness below 1 stands for a surface that is partly dry (above 1: more of the coefficient is convection than usual); it
falls as water leaves, to DRY_FLOOR of what it was once `dry_g_m2` grams a square metre are gone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CELLS = 7
PSYCHROMETRIC_PA_PER_K = 66.0
CONVECTIVE_SHARE = 0.6  # of the lumped coefficient; the rest is radiation, which carries no vapour
CONDUCTIVITY_W_MK = 0.5  # lean meat at cooking temperatures, Choi and Okos 1986 (0.50-0.56)
BOILS_C = 99.0
LATENT_J_G = 2380.0  # near 45 degC (2.3 to 2.4 kJ/g at 60 to 70 degC, from memory)
DRY_FLOOR = 0.2
SETS_C, SETS_WIDE_C = 60.0, 7.0  # myosin, collagen and actin unfold between 50 and 80 degC and take heat (from memory)
FIELDS = (
    "half_m", "shape", "alpha_m2s", "h_w_m2k", "wet", "vapour_pa", "dry_g_m2", "dry_floor", "sets", "lost_g_m2",
    "temp_c",
)  # fmt: skip


def vapour_pressure_pa(temp_c: Array) -> Array:
    """Saturation pressure of water (Magnus form, Alduchov and Eskridge 1996), Pa."""
    return np.asarray(610.94 * np.exp(17.625 * temp_c / (temp_c + 243.04)))


class Slabs:
    """`n` guesses side by side. Arrays of shape (n,), temperatures (n, CELLS) from centre to surface."""

    def __init__(
        self, half_m: Array, shape: Array, alpha_m2s: Array, h_w_m2k: Array, wet: Array, start_c: float,
        vapour_pa: Array | None = None, dry_g_m2: Array | None = None, dry_floor: Array | None = None,
        sets: Array | None = None,
    ) -> None:  # fmt: skip
        self.half_m, self.shape, self.alpha_m2s = half_m, shape, alpha_m2s
        self.h_w_m2k, self.wet = h_w_m2k, wet
        # Pit air heated from ordinary outdoor air, with little moisture added, where nothing else is said.
        self.vapour_pa = np.full(half_m.size, 1500.0) if vapour_pa is None else vapour_pa
        self.dry_g_m2 = np.full(half_m.size, np.inf) if dry_g_m2 is None else dry_g_m2
        self.dry_floor = np.full(half_m.size, DRY_FLOOR) if dry_floor is None else dry_floor
        self.sets = np.zeros(half_m.size) if sets is None else sets
        self.lost_g_m2 = np.zeros(half_m.size)
        self.temp_c = np.full((half_m.size, CELLS), start_c)
        self._dt_s = 0.0
        self._inside: tuple[Array, Array, Array] | None = None

    def copy(self, keep: NDArray[np.int64] | slice = slice(None)) -> Slabs:
        """The guesses at `keep`, as new arrays."""
        twin = Slabs.__new__(Slabs)
        for name in FIELDS:
            setattr(twin, name, getattr(self, name)[keep].copy())
        twin._dt_s, twin._inside = 0.0, None
        return twin

    def take(self, other: Slabs, where: NDArray[np.bool_]) -> None:
        """The guesses of `other` in place of one's own."""
        for name in FIELDS:
            getattr(self, name)[where] = getattr(other, name)[where]
        self._inside = None

    def at(self, depth: Array) -> Array:
        """Temperature at `depth` (0 centre, 1 surface cell), linear between cell centres; shape (n,)."""
        place = np.clip(depth * CELLS - 0.5, 0.0, CELLS - 1.000001)
        low = place.astype(np.int64)
        rows = np.arange(low.size)
        share = place - low
        return np.asarray(self.temp_c[rows, low] * (1.0 - share) + self.temp_c[rows, low + 1] * share)

    def step(self, dt_s: float, air_c: float) -> None:
        """Advance all guesses by dt_s in air of air_c: one implicit step, evaporation linearised at the old surface."""
        if self._inside is None or dt_s != self._dt_s:
            self._inside, self._dt_s = self._solved(dt_s), dt_s
        through, answer, outer = self._inside
        gain, pull_c = self._surface(dt_s, air_c)
        free = np.matmul(through, self.temp_c[:, :, None])[:, :, 0]
        push = outer * gain
        push *= (pull_c - free[:, -1]) / (1.0 + push * answer[:, -1])
        self.temp_c = self.temp_c + (free + answer * push[:, None] - self.temp_c) / self._capacity()

    def _capacity(self) -> Array:
        """Heat taken up a degree, of what plain meat takes: more where protein sets."""
        return np.asarray(1.0 + self.sets[:, None] / (1.0 + ((self.temp_c - SETS_C) / SETS_WIDE_C) ** 2))

    def _surface(self, dt_s: float, air_c: float) -> tuple[Array, Array]:
        """Surface exchange as gain (Biot-like, with the half cell in series) and the temperature it pulls towards."""
        surface_c = np.minimum(self.temp_c[:, -1], BOILS_C)
        pressure = vapour_pressure_pa(surface_c)
        slope = pressure * (17.625 * 243.04) / (surface_c + 243.04) ** 2
        left = np.maximum(1.0 - self.lost_g_m2 / self.dry_g_m2, self.dry_floor)
        wet_gain = self.wet * left * (CONVECTIVE_SHARE / PSYCHROMETRIC_PA_PER_K)
        cooled = wet_gain * (pressure - self.vapour_pa)
        self.lost_g_m2 = np.maximum(self.lost_g_m2 + self.h_w_m2k * cooled * (dt_s / LATENT_J_G), 0.0)
        flux = (air_c - self.temp_c[:, -1]) - cooled
        stiff = 1.0 + wet_gain * slope
        biot = self.h_w_m2k * stiff * self.half_m / (CELLS * CONDUCTIVITY_W_MK)
        return biot / (1.0 + biot / 2.0), self.temp_c[:, -1] + flux / stiff

    def _solved(self, dt_s: float) -> tuple[Array, Array, Array]:
        """The inside of one implicit step, solved once: old field to new, answer to a push at the surface, its size."""
        n, power = self.half_m.size, self.shape[:, None]
        edges = np.arange(CELLS + 1)[None, :] / CELLS
        area = np.where(edges > 0.0, np.maximum(edges, 1e-9) ** power, 0.0)
        volume = (edges[:, 1:] ** (power + 1.0) - edges[:, :-1] ** (power + 1.0)) / (power + 1.0) * CELLS
        fourier = self.alpha_m2s * dt_s * (CELLS / self.half_m) ** 2
        inner = fourier[:, None] * area[:, 1:-1]
        system = np.zeros((n, CELLS, CELLS))
        i = np.arange(CELLS)
        system[:, i, i] = volume
        system[:, i[:-1], i[:-1]] += inner
        system[:, i[1:], i[1:]] += inner
        system[:, i[:-1], i[1:]] = -inner
        system[:, i[1:], i[:-1]] = -inner
        solved: Array = np.asarray(np.linalg.inv(system), dtype=np.float64)
        return solved * volume[:, None, :], solved[:, :, -1], fourier * area[:, -1]
