"""Which of this machine's addresses other machines shall find: one, named, never all of them."""

from __future__ import annotations

import ipaddress
import socket

import psutil

from emberdraft.errors import UserError


def lan_address(wanted: str) -> str:
    """The IPv4 address of the interface named `wanted`, or `wanted` itself; '' takes the only one there is."""
    found = addresses()
    if wanted in found.values():
        return wanted
    if wanted:
        if wanted in found:
            return found[wanted]
        raise UserError(f"--lan {wanted}: no such interface or address here; there are {_listed(found)}")
    if len(found) != 1:
        raise UserError(f"--lan: say which, this machine has {_listed(found)}")
    return next(iter(found.values()))


def addresses() -> dict[str, str]:
    """interface -> its first IPv4 address, of those that are up and lead to other machines."""
    up = {name for name, state in psutil.net_if_stats().items() if state.isup}
    found: dict[str, str] = {}
    for name, each in psutil.net_if_addrs().items():
        ours = [one.address for one in each if one.family == socket.AF_INET and _leads_out(one.address)]
        if ours and name in up:
            found[name] = ours[0]
    return found


def _leads_out(address: str) -> bool:
    one = ipaddress.IPv4Address(address)
    return not (one.is_loopback or one.is_link_local or one.is_unspecified)


def _listed(found: dict[str, str]) -> str:
    return ", ".join(f"{name} ({address})" for name, address in sorted(found.items())) or "none"
