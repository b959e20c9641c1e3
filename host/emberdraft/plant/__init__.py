"""Simulated cookers: fire, air, shell, stone, food, sensors, weather and the person's acts.

All of it is simulation; no real fire has been burned with this code. docs/explain/plant.md says what
each cooker is, what it is not, and where its numbers come from.

For tuning a controller: heavy_ceramic, leaky_ceramic, small_ceramic, muffle, as their files describe them
or drawn widely by `draw(name, seed)`. For validation only, never to be tuned on: two_zone, thin_steel.
"""

from emberdraft.plant.catalogue import CATALOGUE, TUNING, VALIDATION, draw, make
from emberdraft.plant.load import load_plant
from emberdraft.plant.world import World

__all__ = ["CATALOGUE", "TUNING", "VALIDATION", "World", "draw", "load_plant", "make"]
