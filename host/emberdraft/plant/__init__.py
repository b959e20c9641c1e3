"""Simulated cookers: fire, air, shell, stone, food, sensors, weather and the person's acts.

All of it is simulation; no real fire has been burned with this code. docs/explain/plant.md says what
each cooker is, what it is not, and where its numbers come from.
"""

from emberdraft.plant.load import load_plant
from emberdraft.plant.world import World

__all__ = ["World", "load_plant"]
