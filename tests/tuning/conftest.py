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
    """On the heavy ceramic cooker: light, hold, a lid, a lower target; and half an hour more that nothing is shown."""
    return run(HEAVY, story(145.0))


@pytest.fixture(scope="session")
def heavy_cook(heavy_run: Run) -> Cook:
    """The first 115 minutes, as recorded."""
    return heavy_run.cook(115.0)


@pytest.fixture(scope="session")
def heavy_fit(heavy_cook: Cook) -> Fit:
    """The model of it, without the hold-out."""
    return fit_cook(heavy_cook, *heavy_cook.held(), ambient_c=20.0, holdout=False)
