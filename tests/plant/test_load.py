"""`--plant FILE.py:Class`: found, or refused in one sentence."""

from __future__ import annotations

import pytest

from emberdraft.errors import UserError
from emberdraft.plant.heavy_ceramic import HeavyCeramic
from emberdraft.plant.load import load_plant

OWN = """
class Pot:
    def __init__(self, seed=0, **overrides):
        self.seed, self.overrides = seed, overrides
    def step(self, dt_s, u): return {}
    def add_food(self, mass_kg, thickness_m, initial_c): return 0
    def remove_food(self, index): pass

class Bucket:
    def __init__(self, seed=0): pass
"""


@pytest.fixture
def own(tmp_path):
    path = tmp_path / "own.py"
    path.write_text(OWN)
    return path


def test_no_name_is_the_heavy_ceramic_one_with_its_overrides():
    plant = load_plant(None, 3, fuel_kg=2.5)
    assert isinstance(plant, HeavyCeramic)
    assert plant.bed.fuel_kg == 2.5


def test_a_class_in_a_file_is_made_with_its_seed(own):
    plant = load_plant(f"{own}:Pot", 9, wall=2.0)
    assert (plant.seed, plant.overrides) == (9, {"wall": 2.0})


@pytest.mark.parametrize(
    ("spec", "says"),
    [
        ("nonsense", "neither one of heavy_ceramic"),
        ("gone.py:Pot", "is not there"),
        ("{own}:Pan", "has no class 'Pan'; it has Pot, Bucket"),
        ("{own}:Bucket", "lacks step, add_food, remove_food"),
    ],
)
def test_a_wrong_plant_is_refused_in_one_sentence(own, spec, says):
    with pytest.raises(UserError) as refused:
        load_plant(spec.format(own=own))
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_plant_that_cannot_take_an_override_is_refused(own):
    with pytest.raises(UserError, match="could not be made: TypeError"):
        load_plant(f"{own}:Bucket", 0, wall=2.0)


def test_a_file_that_does_not_run_is_refused(tmp_path):
    path = tmp_path / "bad.py"
    path.write_text("1 / 0")
    with pytest.raises(UserError, match="does not run: ZeroDivisionError"):
        load_plant(f"{path}:Pot")
