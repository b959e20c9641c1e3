"""Many pieces of food at once: the conduction model behind the pull forecast, vectorised over guesses.

One guess is a body of half size `half_m` between slab and sphere (shape exponent m: 0 slab, 1 long cylinder, 2 sphere),
with heat conduction (Carslaw and Jaeger's equation in one coordinate, finite volumes, implicit in time) and at its
surface convection and radiation lumped in one coefficient, less evaporation by the psychrometric relation (ASHRAE
Fundamentals: wet-bulb depression, psychrometric coefficient about 66 Pa/K at sea level). Wetness below 1 stands for a
surface that dries.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CELLS = 7
PSYCHROMETRIC_PA_PER_K = 66.0
CONVECTIVE_SHARE = 0.6  # of the lumped coefficient; the rest is radiation, which carries no vapour
AIR_VAPOUR_PA = 1500.0  # pit air heated from ordinary outdoor air, with little moisture added
CONDUCTIVITY_W_MK = 0.5  # lean meat at cooking temperatures, Choi and Okos 1986 (0.50-0.56)


def vapour_pressure_pa(temp_c: Array) -> Array:
    """Saturation pressure of water (Magnus form, Alduchov and Eskridge 1996), Pa."""
    return np.asarray(610.94 * np.exp(17.625 * temp_c / (temp_c + 243.04)))


class Slabs:
    """`n` guesses side by side. Arrays of shape (n,), temperatures (n, CELLS) from centre to surface."""

    def __init__(
        self, half_m: Array, shape: Array, alpha_m2s: Array, h_w_m2k: Array, wet: Array, start_c: float
    ) -> None:
        self.half_m, self.shape, self.alpha_m2s = half_m, shape, alpha_m2s
        self.h_w_m2k, self.wet = h_w_m2k, wet
        self.temp_c = np.full((half_m.size, CELLS), start_c)

    def copy(self, keep: NDArray[np.int64] | slice = slice(None)) -> Slabs:
        """The guesses at `keep`, as new arrays."""
        twin = Slabs.__new__(Slabs)
        for name in ("half_m", "shape", "alpha_m2s", "h_w_m2k", "wet", "temp_c"):
            setattr(twin, name, getattr(self, name)[keep].copy())
        return twin

    def at(self, depth: Array) -> Array:
        """Temperature at `depth` (0 centre, 1 surface cell), linear between cell centres; shape (n,)."""
        place = np.clip(depth * CELLS - 0.5, 0.0, CELLS - 1.000001)
        low = place.astype(np.int64)
        rows = np.arange(low.size)
        share = place - low
        return np.asarray(self.temp_c[rows, low] * (1.0 - share) + self.temp_c[rows, low + 1] * share)

    def step(self, dt_s: float, air_c: float) -> None:
        """Advance all guesses by dt_s in air of air_c: one implicit step, evaporation linearised at the old surface."""
        dx = self.half_m / CELLS
        edges = np.arange(CELLS + 1)[None, :] / CELLS
        power = self.shape[:, None]
        area = np.where(edges > 0.0, np.maximum(edges, 1e-9) ** power, np.where(power == 0.0, 1.0, 0.0))
        volume = (edges[:, 1:] ** (power + 1.0) - edges[:, :-1] ** (power + 1.0)) / (power + 1.0) * CELLS
        fourier = (self.alpha_m2s * dt_s / dx**2)[:, None]
        inner = fourier * area[:, 1:-1]
        gain, pull_c = self._surface(air_c, dx)
        outer = (fourier[:, 0] * area[:, -1] * gain)[:, None]
        self._solve(inner, outer, volume, pull_c)

    def _surface(self, air_c: float, dx: Array) -> tuple[Array, Array]:
        """Surface exchange as gain (Biot-like, with the half cell in series) and the temperature it pulls towards."""
        surface_c = self.temp_c[:, -1]
        pressure = vapour_pressure_pa(surface_c)
        slope = pressure * 17.625 * 243.04 / (surface_c + 243.04) ** 2
        wet_gain = self.wet * CONVECTIVE_SHARE / PSYCHROMETRIC_PA_PER_K
        flux = (air_c - surface_c) - wet_gain * np.maximum(pressure - AIR_VAPOUR_PA, 0.0)
        stiff = 1.0 + wet_gain * slope
        pull_c = surface_c + flux / stiff
        conductance = self.h_w_m2k * stiff
        biot = conductance * dx / CONDUCTIVITY_W_MK
        return biot / (1.0 + biot / 2.0), pull_c

    def _solve(self, inner: Array, outer: Array, volume: Array, pull_c: Array) -> None:
        """Thomas' algorithm over the cells, vectorised over the guesses."""
        diag = volume.copy()
        diag[:, :-1] += inner
        diag[:, 1:] += inner
        diag[:, -1:] += outer
        right = volume * self.temp_c
        right[:, -1] += outer[:, 0] * pull_c
        for i in range(1, CELLS):
            ratio = inner[:, i - 1] / diag[:, i - 1]
            diag[:, i] -= ratio * inner[:, i - 1]
            right[:, i] += ratio * right[:, i - 1]
        self.temp_c[:, -1] = right[:, -1] / diag[:, -1]
        for i in range(CELLS - 2, -1, -1):
            self.temp_c[:, i] = (right[:, i] + inner[:, i] * self.temp_c[:, i + 1]) / diag[:, i]
