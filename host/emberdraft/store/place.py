"""Where the database lives when nobody says otherwise."""

from __future__ import annotations

import os
from pathlib import Path

FILE_NAME = "cooks.sqlite"
DEMO_NAME = "demo.sqlite"  # beside it: a demonstration never gets among real cooks


def default_path() -> Path:
    """The service's state folder under systemd (`StateDirectory=`), else the user's data folder."""
    state_folder = os.environ.get("STATE_DIRECTORY", "").split(":")[0]
    if state_folder:
        return Path(state_folder) / FILE_NAME
    import platformdirs

    return platformdirs.user_data_path("emberdraft", appauthor=False) / FILE_NAME
