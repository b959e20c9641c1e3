"""The cooker's body and the searing stone as conducting layers, in degC, J/K and W/K."""

from __future__ import annotations


class Shell:
    """A wall of equal layers between the pit and the open air; index 0 faces the fire."""

    def __init__(self, mass_kg: float, area_m2: float, k_wmk: float, c: dict[str, float], start_c: float) -> None:
        layers = int(c["shell_layers"])
        thick = mass_kg / (c["shell_rho"] * area_m2)
        self.temp_c = [start_c] * layers
        self.layer_jk = mass_kg * c["shell_cp"] / layers
        self.between_wk = k_wmk * area_m2 / (thick / layers)

    def step(self, dt_s: float, inner_w: float, outer_w: float) -> None:
        """Heat `inner_w` enters the first layer, `outer_w` leaves the last, for `dt_s`."""
        t = self.temp_c
        g, per = self.between_wk, dt_s / self.layer_jk
        flow = inner_w
        last = len(t) - 1
        for i in range(last):
            onward = g * (t[i] - t[i + 1])
            t[i] += per * (flow - onward)
            flow = onward
        t[last] += per * (flow - outer_w)

    def stored_j(self) -> float:
        """Heat held above 0 degC."""
        return sum(self.temp_c) * self.layer_jk


class Stone:
    """A searing stone of three layers: underside to the fire, core, face. The bead sits under the face.

    `face_c` is the surface itself, extrapolated by the flux through the last half layer; `bead_c` is
    where a thermocouple in a 2 mm hole from the edge sits. They differ by tens of degC in a climb.
    """

    def __init__(self, c: dict[str, float], start_c: float) -> None:
        self.area_m2 = c["stone_area_m2"]
        thick = c["stone_kg"] / (c["stone_rho"] * self.area_m2)
        self.under_c = self.core_c = self.bead_c = self.face_c = start_c
        self.layer_jk = c["stone_kg"] * c["stone_cp"] / 3.0
        self.between_wk = c["stone_k"] * self.area_m2 / (thick / 3.0)
        self.drawn_w = 0.0  # by food on the face

    def step(self, dt_s: float, under_w: float, face_w: float) -> None:
        """Heat into the underside and into the face, in W."""
        g, per = self.between_wk, dt_s / self.layer_jk
        up = g * (self.under_c - self.core_c)
        on = g * (self.core_c - self.bead_c)
        self.under_c += per * (under_w - up)
        self.core_c += per * (up - on)
        face_w -= self.drawn_w
        self.bead_c += per * (on + face_w)
        self.face_c = self.bead_c + face_w / (2.0 * g)

    def stored_j(self) -> float:
        """Heat held above 0 degC."""
        return (self.under_c + self.core_c + self.bead_c) * self.layer_jk


class Part:
    """A cold part set in (deflector, grate): one lump that the pit warms."""

    def __init__(self, mass_kg: float, temp_c: float, cp: float, wk_per_kg: float) -> None:
        self.temp_c = temp_c
        self.heat_jk = mass_kg * cp
        self.pit_wk = mass_kg * wk_per_kg
