"""Two more laws of fire beside the bed of combustion.py: cookers differ in equations, not only in numbers."""

from __future__ import annotations

from math import exp

from emberdraft.plant.combustion import Fire

GAS = 8.314  # J/(mol K)


class FrontFire(Fire):
    """Damp charcoal in which a front creeps on; ash smothers it and clogs the grate.

    The front's speed goes with the lit part's outline (lit^2/3), with the root of the air, and with the
    oxygen the lit part leaves over; the lit part loses what burns, and fades when it burns too little to
    stay lit. Water slows the front, and each gram newly lit boils its own off first. Ash stays, covers,
    and narrows the way of the air; new charcoal put on knocks half of it through the grate.
    """

    def __init__(self, c: dict[str, float], temp_c: float) -> None:
        super().__init__(c, temp_c)
        self.ash_kg = c["ash_kg"]
        self.passage = 1.0 / (1.0 + self.ash_kg / c["ash_clog_kg"])

    def burn(self, dt_s: float, air_gps: float) -> float:
        """Burn for `dt_s` in `air_gps` of air; the heat in W."""
        c, outline = self.c, self.lit_kg ** (2.0 / 3.0)
        glow = self.glow()
        bare = 1.0 / (1.0 + self.ash_kg / c["ash_cover_kg"])
        root = air_gps**0.5
        uptake = 1.0 - exp(-c["grasp"] * self.uneven * outline * glow * bare / (root + 1e-6))
        used = self.take_up(dt_s, air_gps, uptake)
        fresh = c["front"] * outline * root * (1.0 - uptake) * glow * max(0.1, 1.0 - 1.5 * c["damp_share"])
        fresh *= max(0.0, 1.0 - self.lit_kg / (self.fuel_kg + 1e-9))
        self.water_gps = 1000.0 * fresh * c["damp_share"]
        self.ash_kg += used * c["ash_share"] * dt_s
        self.passage = 1.0 / (1.0 + self.ash_kg / c["ash_clog_kg"])
        fading = max(0.0, self.lit_kg - used / c["least_per_s"]) / c["fade_s"]
        self.lit_kg = min(self.fuel_kg, max(0.0, self.lit_kg + (fresh - used - fading) * dt_s))
        return self.heat_w

    def add(self, mass_kg: float) -> None:
        """Charcoal put on shakes half of the ash through the grate."""
        self.fuel_kg += mass_kg
        self.ash_kg *= 0.5


class PieceFire(Fire):
    """Pieces that shrink, catch fire from hot neighbours, and react by Arrhenius' law under a film of gas.

    Oxygen meets two resistances in series, the gas film (root of the air) and the reaction at the surface
    (rate * exp(-E/RT)); the surface is lit^2/3. Unlit pieces catch fire in proportion to how far the bed
    is above the temperature of ignition; below it the lit ones go out one by one, and so do those that the
    others leave no oxygen (with the third power of the uptake).
    """

    def burn(self, dt_s: float, air_gps: float) -> float:
        """Burn for `dt_s` in `air_gps` of air; the heat in W."""
        c = self.c
        kelvin = max(200.0, self.temp_c + 273.15)
        film = c["film"] * air_gps**0.5 + 1e-9
        reaction = c["reaction"] * exp(-c["activation_j"] / (GAS * kelvin))
        surface = self.uneven * self.lit_kg ** (2.0 / 3.0)
        ntu = surface * film * reaction / (film + reaction) / (air_gps + 1e-6)
        used = self.take_up(dt_s, air_gps, 1.0 - exp(-min(ntu, 40.0)))
        over = self.temp_c - c["ignition_c"]
        if over > 0.0:
            unlit = max(0.0, self.fuel_kg - self.lit_kg)
            caught = c["catch_per_sk"] * over * min(unlit, 2.0 * self.lit_kg)
        else:
            caught = self.lit_kg * over / (c["ignition_c"] * c["out_s"])
        shaded = self.lit_kg * self.uptake**3 / c["shade_s"]
        self.lit_kg = min(self.fuel_kg, max(0.0, self.lit_kg + (caught - used - shaded) * dt_s))
        return self.heat_w
