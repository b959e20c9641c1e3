"""Changes of the sample that may live, each with its reason."""

from __future__ import annotations

_BLOCKED = "host/emberdraft/trials/blocked.py: "
SURVIVORS: dict[str, str] = {
    _BLOCKED + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to 1": "the list is filled over before it is read",
    _BLOCKED
    + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to -1": "every p-value is above either: max is the same",
}
