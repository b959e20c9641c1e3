"""One cook that several checks learn from: made once."""

from __future__ import annotations

import pytest

from emberdraft.bench.cookers import COOKERS
from emberdraft.tuning.identify import Fit, fit_cook
from emberdraft.tuning.record import Cook
from tests.tuning.cooks import Run, run, story

HEAVY = next(cooker for cooker in COOKERS if cooker.name == "heavy_ceramic")


@pytest.fixture(scope="session")
def heavy_run() -> Run:
    """Nearly two hours on the heavy ceramic cooker: light, hold, a lid, a lower target."""
    return run(HEAVY, story(115.0))


@pytest.fixture(scope="session")
def heavy_cook(heavy_run: Run) -> Cook:
    """As recorded."""
    return heavy_run.cook()


@pytest.fixture(scope="session")
def heavy_fit(heavy_cook: Cook) -> Fit:
    """The model of it, without the hold-out."""
    return fit_cook(heavy_cook, *heavy_cook.held(), ambient_c=20.0, holdout=False)
