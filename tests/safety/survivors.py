"""Changes of the safety code that no test notices, each with the reason why it may survive (see mutate.py)."""

from __future__ import annotations

_CHECK = "permit.py: CHECK_MS = const(250)  # together below 3 s: 250 to "

SURVIVORS: dict[str, str] = {
    _CHECK + "275": "a timer of 275 ms keeps the promise as well: 2.7 s and 0.275 s are below 3 s",
    _CHECK + "225": "a timer of 225 ms keeps the promise as well",
    "core/probes.py: self._rose = self._highest_c - self._start_c >= ask.REVERSED_C: GtE to Gt": (
        "a rise of exactly the bound is asked about again, and reversed_probe answers no to it by itself"
    ),
}
