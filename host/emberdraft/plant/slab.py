"""Food as a conducting slab, heated alike from both faces, with evaporation from the surface.

Half the slab in cells, implicit (any cell size is stable), the flux at the face taken straight about the
old face temperature. Meat properties after Choi & Okos 1986 as printed in ASHRAE Refrigeration 2006 ch. 9.
"""

from __future__ import annotations

from emberdraft.plant.moist import LATENT_J_G, saturated_ratio

CELLS = 8
CP_MOIST = 1.03  # J/gK, moist air
MEAT = {"k": 0.50, "rho": 1055.0, "cp": 3500.0}


class Slab:
    """A piece of food; `core_c` is its middle, `surface_c` its face.

    `wetness` is the share of the face that is wet: a fresh cut starts near 1 and dries as it loses water,
    to `dry_floor` after about `dry_g_m2` grams a square metre. Set it to 0 for conduction alone.
    """

    def __init__(
        self,
        mass_kg: float,
        thickness_m: float,
        initial_c: float,
        meat: dict[str, float] | None = None,
        wet: float = 1.0,
        cells: int = CELLS,
    ) -> None:
        meat = meat or MEAT
        self.area_m2 = 2.0 * mass_kg / (meat["rho"] * thickness_m)  # both faces
        dx = 0.5 * thickness_m / cells
        self.temp_c = [initial_c] * (cells + 1)  # index 0 the middle, the last the face; half cells at both ends
        self.cell_jm2k = meat["rho"] * meat["cp"] * dx
        self.between_wm2k = meat["k"] / dx
        self.wet = wet
        self.lost_g_m2 = 0.0
        self._factored_dt_s = 0.0
        self._lower: list[float] = []
        self._upper: list[float] = []
        self._last = 1.0

    @property
    def core_c(self) -> float:
        """The middle, degC."""
        return self.temp_c[0]

    @property
    def surface_c(self) -> float:
        """The face, degC."""
        return self.temp_c[-1]

    def stored_j(self) -> float:
        """Heat held above 0 degC."""
        t = self.temp_c
        return (sum(t) - 0.5 * (t[0] + t[-1])) * self.cell_jm2k * self.area_m2

    def step(self, dt_s: float, face_wm2: float, eased_wm2k: float = 0.0) -> float:
        """Conduct for `dt_s` with `face_wm2` entering each face; the change of the face in degC.

        `eased_wm2k` is how much the flux falls a degree that the face warms: it is taken at the new
        temperature then, which keeps a boiling face from ringing.
        """
        if dt_s != self._factored_dt_s:
            self._factor(dt_s)
        t = self.temp_c
        lower, upper = self._lower, self._upper
        n = len(t) - 1
        was = t[n]
        r = dt_s * self.between_wm2k / self.cell_jm2k
        to_face = 2.0 * dt_s / self.cell_jm2k
        t[n] += to_face * (face_wm2 + eased_wm2k * was)
        t[0] *= lower[0]
        for i in range(1, n):
            t[i] = (t[i] + r * t[i - 1]) * lower[i]
        t[n] = (t[n] + 2.0 * r * t[n - 1]) / (self._last + to_face * eased_wm2k)
        for i in range(n - 1, -1, -1):
            t[i] += upper[i] * t[i + 1]
        return t[n] - was

    def dry(self, dt_s: float, gone_gm2s: float, dry_g_m2: float, dry_floor: float) -> None:
        """Let the face dry as water leaves it."""
        self.lost_g_m2 += gone_gm2s * dt_s
        left = 1.0 - self.lost_g_m2 / dry_g_m2
        self.wet = left if left > dry_floor else dry_floor

    def _factor(self, dt_s: float) -> None:
        """Thomas' algorithm, its forward half done once for a step length (only the face's row changes)."""
        r = dt_s * self.between_wm2k / self.cell_jm2k
        n = len(self.temp_c) - 1
        self._lower = [1.0 / (1.0 + 2.0 * r)]
        self._upper = [2.0 * r * self._lower[0]]
        for i in range(1, n):
            self._lower.append(1.0 / (1.0 + 2.0 * r - r * self._upper[i - 1]))
            self._upper.append(r * self._lower[i])
        self._last = 1.0 + 2.0 * r - 2.0 * r * self._upper[n - 1]
        self._factored_dt_s = dt_s


def warm_piece(slab: Slab, dt_s: float, h_wm2k: float, around_c: float, ratio: float) -> tuple[float, float]:
    """One step of a piece in the pit: (heat in W it draws from the air, water in g/s it gives off).

    Water leaves the face at h/cp (W_face - W_air), Lewis factor 1, times how wet the face is; dew adds.
    """
    face = slab.temp_c[-1]
    if slab.wet <= 0.0:
        heat = h_wm2k * (around_c - face)
        heat -= h_wm2k * slab.step(dt_s, heat, h_wm2k)
        return heat * slab.area_m2, 0.0
    saturated, slope = saturated_ratio(face)
    leaving = slab.wet * h_wm2k / CP_MOIST
    heat, water = h_wm2k * (around_c - face), leaving * (saturated - ratio)
    eased = h_wm2k + leaving * slope * LATENT_J_G
    change = slab.step(dt_s, heat - water * LATENT_J_G, eased)
    heat -= h_wm2k * change
    water += leaving * slope * change
    return heat * slab.area_m2, water * slab.area_m2


def sear_piece(
    slab: Slab, dt_s: float, h_wm2k: float, around_c: float, ratio: float, contact_wm2k: float, stone_c: float
) -> tuple[float, float, float]:
    """As warm_piece, on a hot stone and turned over again and again: (W from the air, W from the stone, g/s).

    Each face has half its time on the stone; while it lies there it gives off its steam all the same.
    """
    face = slab.temp_c[-1]
    saturated, slope = saturated_ratio(face)
    h, on = 0.5 * h_wm2k, 0.5 * contact_wm2k
    leaving = slab.wet * h_wm2k / CP_MOIST
    air, stone, water = h * (around_c - face), on * (stone_c - face), leaving * (saturated - ratio)
    change = slab.step(dt_s, air + stone - water * LATENT_J_G, h + on + leaving * slope * LATENT_J_G)
    area = slab.area_m2
    return (air - h * change) * area, (stone - on * change) * area, (water + leaving * slope * change) * area
