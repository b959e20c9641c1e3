"""Changes of the sample that may live, each with its reason."""

from __future__ import annotations

SURVIVORS: dict[str, str] = {}
