"""Whether a request is of this machine to itself."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.types import Scope

from emberdraft.web.connections import is_loopback

FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


def at_home(scope: Scope) -> bool:
    """True for a request of this machine to itself, with no proxy that could carry somebody else's."""
    ends = (scope.get("client"), scope.get("server"))
    if any(name in Headers(scope=scope) for name in FORWARDED):
        return False
    return all(end is not None and is_loopback(end[0]) for end in ends)
