"""Changes of the sample that may live, each with its reason."""

from __future__ import annotations

_BLOCKED = "host/emberdraft/trials/blocked.py: "
_TASTING = "host/emberdraft/trials/tasting.py: "
_ALARMS = "host/emberdraft/daemon/alarms.py: "
SURVIVORS: dict[str, str] = {
    "host/emberdraft/food/brine.py: TERMS = 400: 400 to 440": "from the eighth on a term adds less than 1e-13",
    "host/emberdraft/food/brine.py: for _ in range(60):: 60 to 54": "54 halvings of 5 are 3e-16 as well",
    _BLOCKED
    + "as_far = np.count_nonzero(_score(totals, counts) >= seen * (1.0 - 1e-9) - 1e-12): GtE to Gt": "no score is ever "
    "that very number, a billionth below the one that was seen",
    _TASTING
    + "return float(scipy.optimize.brentq(lambda d: share_right(method, d) - share, 0.0, 12.0)): "
    + "12.0 to 13.2": "the root is the same from wherever above it the search begins",
    _BLOCKED + "totals[:, treatment] += (dealt == treatment) @ centred: Add to Sub": "a total counts by its square",
    _ALARMS + "at_s: float = 0.0: 0.0 to 1": "an alarm that was never raised is not shown, and a raise sets its time",
    _ALARMS + "at_s: float = 0.0: 0.0 to -1": "an alarm that was never raised is not shown, and a raise sets its time",
    _ALARMS
    + "TABLE = {(state, event): target for state, row in _ROWS.items() "
    + "for event, target in zip(EVENTS, row, strict=True)}: True to False": "every row is as long as the events",
    _BLOCKED + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to 1": "the list is filled over before it is read",
    _BLOCKED
    + "adjusted, highest = [0.0] * len(p_values), 0.0: 0.0 to -1": "every p-value is above either: max is the same",
}
