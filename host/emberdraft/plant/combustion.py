"""Charcoal burning: heat from the oxygen used, limited by a burning surface that grows and starves.

The constants follow from atomic masses (C 12.011, O2 31.998) and standard enthalpies of formation
(CO2 -393.51, CO -110.53 kJ/mol). Huggett's 13.1 MJ per kg of oxygen +-5 % (Fire and Materials 4
(1980) 61) holds for most fuels; pure carbon lies 6 % below it, and it is carbon that burns here.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from math import exp

O2_MASS = 0.2314  # kg O2 per kg of dry air
O2_MOLE = 0.2095
O2_PER_C = 31.998 / 12.011  # kg/kg, to CO2
CO_PER_C = 28.010 / 12.011  # kg CO per kg of carbon that goes to CO
HEAT_PER_C = 393.51e6 / 12.011  # J/kg, to CO2
HEAT_PER_C_CO = 110.53e6 / 12.011  # J/kg, to CO
HEAT_PER_O2 = HEAT_PER_C / O2_PER_C  # J/kg, 12.30e6
CO_PENALTY = (HEAT_PER_C - HEAT_PER_C_CO - 0.5 * HEAT_PER_C) / CO_PER_C  # J per kg CO, 3.08e6
SIGMA = 5.670374e-8  # W/(m2 K4)


def heat_w(o2_gps: float, co_gps: float) -> float:
    """Heat in W from oxygen used and carbon monoxide formed: 12.30 kJ/g O2 less 3.08 kJ/g CO."""
    return (HEAT_PER_O2 * o2_gps - CO_PENALTY * co_gps) * 1e-3


class Fire(ABC):
    """What every fire has: fuel, a lit part, a temperature, and books of the last step.

    A law of fire says in `burn` which share of the oxygen is taken up and how the lit part changes.
    """

    def __init__(self, c: dict[str, float], temp_c: float) -> None:
        self.c = c
        self.fuel_kg = c["fuel_kg"]
        self.lit_kg = min(c["lit_kg"], self.fuel_kg)
        self.temp_c = temp_c
        self.carbon = c["carbon_share"]
        self.co_least = c["co_least"]
        self.co_rich = c["co_rich"]
        self.dark_c = c["dark_c"]
        self.dark_width_c = c["dark_width_c"]
        self.uneven = 1.0
        self.passage = 1.0  # how freely the bed lets air through
        self.uptake = 0.0  # share of the oxygen taken up
        self.heat_w = 0.0
        self.o2_gps = 0.0
        self.co_gps = 0.0
        self.fuel_gps = 0.0
        self.water_gps = 0.0  # boiled out of damp fuel

    @abstractmethod
    def burn(self, dt_s: float, air_gps: float) -> float:
        """Burn for `dt_s` in `air_gps` of air; the heat in W."""

    def add(self, mass_kg: float) -> None:
        """Put unlit charcoal on."""
        self.fuel_kg += mass_kg

    def lose(self, left_kg: float) -> None:
        """Nearly all of the fuel is gone: only `left_kg` is left, as at the end of a bed."""
        self.fuel_kg = min(self.fuel_kg, left_kg)
        self.lit_kg = min(self.lit_kg, self.fuel_kg)

    def glow(self) -> float:
        """Share of the lit surface that is hot enough to react, 0..1."""
        return 1.0 / (1.0 + exp(min(50.0, (self.dark_c - self.temp_c) / self.dark_width_c)))

    def take_up(self, dt_s: float, air_gps: float, uptake: float) -> float:
        """Enter the burning that takes up this share of the air's oxygen; the fuel used in kg/s."""
        co_share = self.co_least + self.co_rich * uptake * uptake
        o2 = air_gps * O2_MASS * uptake
        carbon = o2 / (O2_PER_C * (1.0 - 0.5 * co_share))
        fuel = carbon / self.carbon
        most = self.fuel_kg * 1000.0 / dt_s
        if fuel > most:
            scale = most / fuel
            o2, carbon, fuel, uptake = o2 * scale, carbon * scale, most, uptake * scale
        self.uptake, self.o2_gps, self.fuel_gps = uptake, o2, fuel
        self.co_gps = carbon * co_share * CO_PER_C
        self.heat_w = heat_w(o2, self.co_gps)
        left = self.fuel_kg - fuel * 1e-3 * dt_s
        self.fuel_kg = left if left > 0.0 else 0.0
        return fuel * 1e-3


class Bed(Fire):
    """A bed of lump charcoal of which a part is lit; `lit_kg` grows with burning and starves without.

    * Share of the oxygen taken up: 1 - exp(-NTU), NTU = grasp * lit / sqrt(flow): a packed bed whose
      mass transfer grows with the square root of the flow. The gas takes on the same share of the
      bed's temperature (Lewis number near 1).
    * Below about `dark_c` the surface reacts no more, whatever the air.
    * The lit part tends to fuel rate / `keep_per_s`; it grows with `grow_s` and shrinks with the much
      longer `shrink_s`. That is the two-to-threefold fire on arrival that takes half an hour to die down.
    """

    def __init__(self, c: dict[str, float], temp_c: float) -> None:
        super().__init__(c, temp_c)
        self.grasp = c["grasp"]
        self.grow_s = c["grow_s"]
        self.shrink_s = c["shrink_s"]
        self.keep_per_s = c["keep_per_s"]

    def burn(self, dt_s: float, air_gps: float) -> float:
        """Burn for `dt_s` in `air_gps` of air; the heat in W."""
        ntu = self.grasp * self.uneven * self.lit_kg * self.glow() / (air_gps**0.5 + 1e-6)
        self._spread(dt_s, self.take_up(dt_s, air_gps, 1.0 - exp(-ntu)))
        return self.heat_w

    def _spread(self, dt_s: float, fuel_kgps: float) -> None:
        """Move the lit mass towards what the burning keeps alight; never more than there is."""
        gap = fuel_kgps / self.keep_per_s - self.lit_kg
        if gap > 0.0:
            lit = self.lit_kg + gap * (1.0 - self.lit_kg / (self.fuel_kg + 1e-9)) * dt_s / self.grow_s
        else:
            lit = self.lit_kg + gap * dt_s / self.shrink_s
        self.lit_kg = lit if lit < self.fuel_kg else self.fuel_kg
