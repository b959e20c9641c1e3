"""What several tests of the daemon begin with."""

from __future__ import annotations

import pytest

from tests.daemon.test_service import Rig


@pytest.fixture
def rig(tmp_path):
    """A service on a board made of rows, whose twin and forecasts work at once and in the test's own thread."""
    made = Rig(tmp_path / "cooks.sqlite")
    live = made.service.live
    live.desk._start = live.pulls._start = live.evenings._start = lambda job: job()
    yield made
    made.store.close()
