"""The books of a simulated cooker: energy in J, oxygen and carbon in g, for tests that they close."""

from __future__ import annotations


class Ledger:
    """Running sums since the start; `stored_j` at the start is kept to compare with."""

    def __init__(self, stored_j: float) -> None:
        self.start_j = stored_j
        self.released_j = 0.0  # by the fire
        self.brought_j = 0.0  # with food, cold parts and the lighter; negative when food is taken out
        self.flue_j = 0.0  # carried off by the air
        self.shell_j = 0.0  # through the walls
        self.lid_j = 0.0  # through the open lid
        self.vapour_j = 0.0  # water evaporated
        self.o2_in_g = 0.0
        self.o2_used_g = 0.0
        self.o2_out_g = 0.0
        self.carbon_g = 0.0
        self.co_g = 0.0
        self.air_g = 0.0

    def missing_j(self, stored_j: float) -> float:
        """Energy that the books cannot account for, in J; rounding only."""
        gone = self.flue_j + self.shell_j + self.lid_j + self.vapour_j
        return self.released_j + self.brought_j - gone - (stored_j - self.start_j)
