"""How deep what came from outside may be nested: what walks down by calling itself breaks on what has no end."""

from __future__ import annotations

from typing import Any

DEEPEST = 20  # our own exports have eight levels


def too_deep(value: Any) -> bool:
    """Whether lists and objects of decoded JSON lie deeper in each other than DEEPEST."""
    level = [value]
    for _ in range(DEEPEST):
        level = [inner for each in level for inner in _inside(each)]
        if not level:
            return False
    return True


def _inside(value: Any) -> list[Any]:
    """The lists and objects directly in a value."""
    found = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [each for each in found if isinstance(each, (dict, list))]
