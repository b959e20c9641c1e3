"""A plant's constants: defaults, overrides by name, and wide draws by seed for tuning sets."""

from __future__ import annotations

from difflib import get_close_matches
from random import Random

from emberdraft.errors import UserError


def with_overrides(name: str, defaults: dict[str, float], overrides: dict[str, float]) -> dict[str, float]:
    """The defaults with the overrides put in; an unknown name or a value that is no number is refused."""
    for key, value in overrides.items():
        if key not in defaults:
            near = get_close_matches(key, defaults, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"it takes: {', '.join(sorted(defaults))}"
            raise UserError(f"{name} has no constant '{key}'; {hint}")
        if isinstance(value, bool) or not isinstance(value, int | float) or value != value:
            raise UserError(f"{name}: {key} = {value!r} is not a number")
    return {**defaults, **{key: float(value) for key, value in overrides.items()}}


def drawn(spread: dict[str, tuple[float, float]], seed: int) -> dict[str, float]:
    """One value between low and high for each name, evenly spread in the logarithm, the same for a seed."""
    chance = Random(f"emberdraft plant {seed}")
    values = {}
    for key in sorted(spread):
        low, high = spread[key]
        values[key] = low * (high / low) ** chance.random()
    return values
