"""Whether a request is of this machine to itself."""

from __future__ import annotations

import ipaddress

from starlette.datastructures import Headers
from starlette.types import Scope

FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-real-ip", "via")


def at_home(scope: Scope) -> bool:
    """True for a request of this machine to itself, with no proxy that could carry somebody else's."""
    ends = (scope.get("client"), scope.get("server"))
    if any(name in Headers(scope=scope) for name in FORWARDED):
        return False
    return all(end is not None and _is_loopback(end[0]) for end in ends)


def _is_loopback(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
