"""Air of a cooker from its constants: blower and damper below, leaks, bed, top vent, wind, open lid."""

from __future__ import annotations

from typing import Any

from emberdraft.plant.combustion import Fire
from emberdraft.plant.flow import AirPath, Blower, conductance, stack_draft_pa


class Draught:
    """Flow through the fire in g/s; `seam` and `leak` are conductances that a plant may let drift.

    A blower sits in the bottom vent and fills it but for its duct; with `blower_pa` 0 none is fitted, and the
    intake is the whole vent (`door_m2`) set by hand.
    """

    def __init__(self, c: dict[str, float]) -> None:
        self.path = AirPath()
        self.blower = Blower(c["blower_pa"], c["blower_gps"], c["flap_m2"])
        self.duct = conductance(c["duct_m2"] if c["blower_pa"] > 0.0 else c["door_m2"])
        self.leak = conductance(c["low_leak_m2"])
        self.seam = conductance(c["seam_m2"])
        self.vent = conductance(c["vent_m2"])
        self.bed_pass = conductance(c["bed_m2"])  # of a clean bed
        self.wind_share = c["wind_share"]
        self.lid_air_gps = c["lid_air_gps"]

    def flow(self, u: dict[str, Any], pit_c: float, bed: Fire, height_m: float) -> float:
        """Air in g/s through the fire, under stack draft of `height_m`, blower and wind."""
        ambient, speed = u["ambient_c"], u["blower"]
        wind = self.wind_share * 0.6 * u["wind_mps"] ** 2  # share of rho v2 / 2
        duct = self.blower.duct(self.duct * u["intake"], speed)
        boost = self.blower.boost_pa(speed) + 0.5 * wind
        bed_pass = self.bed_pass * bed.passage
        if u["lid_open"]:
            draft = stack_draft_pa(0.25 * height_m, pit_c, ambient)
            return max(self.path.settle(boost, draft, duct, self.leak, bed_pass), 0.0) + self.lid_air_gps
        draft = stack_draft_pa(height_m, 0.8 * pit_c + 0.2 * bed.temp_c, ambient) + wind
        hot = ((ambient + 273.15) / (pit_c + 273.15)) ** 0.5  # thin gas passes less mass
        top = (self.vent * u["exhaust"] + self.seam) * hot
        out = top * bed_pass / (top * top + bed_pass * bed_pass) ** 0.5
        return max(self.path.settle(boost, draft, duct, self.leak, out), 0.0)
