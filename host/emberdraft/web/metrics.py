"""GET /metrics: the present state in the text format that Prometheus scrapes (version 0.0.4). Reading only.

Names and units as prometheus.io/docs/practices/naming asks: a prefix, base units (celsius, ratio, seconds). What is not
known is not there: a scraper must not take an old number for a new one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.daemon.plain import Fact, facts

MEDIA_TYPE = "text/plain; version=0.0.4; charset=utf-8"
# Metric, its help, and the kind of fact it takes.
FAMILIES = (
    ("emberdraft_temperature_celsius", "Present temperature by place", "c"),
    ("emberdraft_share_ratio", "Blower, damper and vents, 0 shut to 1 full", "share"),
    ("emberdraft_state", "1: it is so", "bool"),
    ("emberdraft_word_info", "The word of a state; 1 for the one in force", "word"),
    ("emberdraft_alarms", "Alarms that a person has to act on", "count"),
)


async def metrics(request: Request) -> Response:
    """GET /metrics"""
    states = await run_in_threadpool(lambda: [service.now() for service in request.app.state.yard])
    return Response(metrics_text(states), media_type=MEDIA_TYPE)


def metrics_text(states: list[dict[str, Any]]) -> str:
    """The whole page, over the states of all cookers."""
    told = [(str(state["cooker"]), facts(state)) for state in states]
    lines: list[str] = []
    for family, words, kind in FAMILIES:
        lines += [f"# HELP {family} {words}", f"# TYPE {family} gauge"]
        lines += [
            line for cooker, all_ in told for fact in all_ if fact.kind == kind for line in _line(family, cooker, fact)
        ]
    lines += [
        "# HELP emberdraft_heard_seconds Age of the board's last reading",
        "# TYPE emberdraft_heard_seconds gauge",
    ]
    for state in states:
        if state["link"]["heard_s"] is not None:
            lines.append(
                f'emberdraft_heard_seconds{{cooker="{_safe(state["cooker"])}"}} {state["link"]["heard_s"]:.3f}'
            )
    return "\n".join(lines) + "\n"


def _line(family: str, cooker: str, fact: Fact) -> Iterator[str]:
    if fact.value is None:
        return
    labels = f'cooker="{_safe(cooker)}",what="{_safe(fact.key)}"'
    if fact.kind == "word":
        yield f'{family}{{{labels},word="{_safe(str(fact.value))}"}} 1'
    else:
        yield f"{family}{{{labels}}} {float(fact.value):g}"


def _safe(text: str) -> str:
    """A label's value: backslash, quote and line end are escaped."""
    return str(text).replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
