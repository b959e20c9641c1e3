"""The evening of the running cook, beside the service: what this cooker's record knows of its habits."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.evening_of import habits_from
from emberdraft.evening.habits import Habit


class EveningWatch:
    """The habits are read once: a cook that is running does not change them."""

    def __init__(self) -> None:
        self._known: dict[str, Habit] | None = None

    def known(self, store: Any, cooker: str) -> dict[str, Habit]:
        """How long this cooker takes, by its earlier cooks."""
        if self._known is None:
            self._known = habits_from(store, cooker)
        return self._known
