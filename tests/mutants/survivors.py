"""Changes of the sample that may live, each with its reason."""

from __future__ import annotations

_BLOCKED = "host/emberdraft/trials/blocked.py: "
_ALARMS = "host/emberdraft/daemon/alarms.py: "
SURVIVORS: dict[str, str] = {
    _ALARMS + "at_s: float = 0.0: 0.0 to 1": "an alarm that was never raised is not shown, and a raise sets its time",
    _ALARMS + "at_s: float = 0.0: 0.0 to -1": "an alarm that was never raised is not shown, and a raise sets its time",
    _ALARMS
    + "TABLE = {(state, event): target for state, row in _ROWS.items() "
    + "for event, target in zip(EVENTS, row, strict=True)}: True to False": "every row is as long as the events",
    _BLOCKED + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to 1": "the list is filled over before it is read",
    _BLOCKED
    + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to -1": "every p-value is above either: max is the same",
}
