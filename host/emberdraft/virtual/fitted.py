"""What is soldered to a virtual board: which converter, how the blower is wired, what hangs on the analogue pins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from emberdraft.errors import UserError

CONVERTERS = ("max31856", "max31855", "mcp9600", "mcp9601")


@dataclass(frozen=True)
class Fitted:
    """`three_wire`: the blower's supply is chopped. `feedback`: 'none', 'pot' or 'switches' at the damper."""

    converter: str = "max31856"
    three_wire: bool = False
    mux: bool = False
    feedback: str = "none"
    supply: bool = False

    def __post_init__(self) -> None:
        if self.converter not in CONVERTERS:
            raise UserError(f"converter '{self.converter}': one of {', '.join(CONVERTERS)} would be right")


def as_set(settings: dict[str, Any]) -> Fitted:
    """Parts as a person fits them who then writes these settings of a board."""
    return Fitted(
        three_wire=settings.get("tach_way", "four_wire") != "four_wire",
        mux=bool(settings.get("probe_mux")),
        feedback=str(settings.get("damper_feedback", "none")),
        supply=bool(settings.get("supply_probe")),
    )
