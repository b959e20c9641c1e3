"""Which law holds the pit: the one that ships, or one that stands beside it to be judged. Guard and sensing stay."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from emberboard.core.controller import Controller

from .law.onelaw import OneLaw


def _shipped(controller: Controller, settings: dict[str, Any]) -> None:
    """As the controller is made."""


def _models(controller: Controller, settings: dict[str, Any]) -> None:
    """The bank of models in the place of observer, limiter, schedule, trust, learning and time scale."""
    controller.hold = OneLaw(settings)  # type: ignore[assignment, no-untyped-call]
    controller.drive.hold = controller.hold


LAWS: dict[str, Callable[[Controller, dict[str, Any]], None]] = {"shipped": _shipped, "models": _models}
