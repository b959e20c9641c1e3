"""What `serve` does for other programs when asked: the Homie bridge, and telling the local network where things are."""

from __future__ import annotations

import argparse
import ipaddress
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

from emberdraft.commands.host import Host
from emberdraft.daemon.homie import HomieBridge, prefix_trouble
from emberdraft.errors import UserError

WORD = "emberdraft"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments that `serve` takes for it."""
    parser.add_argument(
        "--homie", action="store_true", help="also tell the state by the Homie 5 convention (read only)"
    )
    parser.add_argument("--discovery", metavar="PREFIX", help="with --homie: discovery messages for hubs, below PREFIX")
    parser.add_argument(
        "--mdns", action="store_true", help="with --lan: tell the local network where page and broker are"
    )


def check(args: argparse.Namespace) -> None:
    """Raises UserError for what does not go together, before anything is started."""
    if args.discovery and not args.homie:
        raise UserError("--discovery: the values come by --homie; give it as well")
    if args.discovery is not None and (trouble := prefix_trouble(args.discovery)):
        raise UserError(f"--discovery {trouble}")
    if args.mdns and args.lan is None:
        raise UserError("--mdns: the page is for this machine only; give --lan as well")
    if args.mdns:
        _zeroconf()


@contextmanager
def neighbours(args: argparse.Namespace, host: Host) -> Iterator[list[str]]:
    """Started while the host runs; what to print of it."""
    with ExitStack() as stack:
        lines = []
        if args.homie:
            for name, service in host.services.items():
                bridge = HomieBridge(host.address, name, service.now, args.discovery or "").start()
                stack.callback(bridge.stop)
            lines.append("Homie 5: homie/5/emberdraft-... at the broker, read only.")
        if args.mdns:
            names = announce(stack, host.lan, host.page.port, host.address.port if host.address.host == host.lan else 0)
            lines.append(f"On the local network as {', '.join(names)}.")
        yield lines


def announce(stack: ExitStack, address: str, page_port: int, broker_port: int) -> list[str]:
    """Register page, and a broker of ours (port 0: none), by DNS-SD (RFC 6763) until the stack ends; their names."""
    zeroconf = _zeroconf()
    net = zeroconf.Zeroconf(interfaces=[address])
    stack.callback(net.close)
    names = []
    for kind, port in (("_http._tcp", page_port), ("_mqtt._tcp", broker_port)):
        if port:
            info = service_info(zeroconf, kind, address, port)
            net.register_service(info, allow_name_change=True)
            stack.callback(net.unregister_service, info)
            names.append(info.name.rstrip("."))
    return names


def service_info(zeroconf: Any, kind: str, address: str, port: int) -> Any:
    """One service as it is told; its text record names the program and, of the page, the path."""
    told = {"program": WORD, "path": "/"} if kind == "_http._tcp" else {"program": WORD}
    packed = ipaddress.ip_address(address).packed
    full = f"Emberdraft on {socket.gethostname()}.{kind}.local."
    return zeroconf.ServiceInfo(
        f"{kind}.local.", full, addresses=[packed], port=port, properties=told, server=f"{WORD}-{port}.local."
    )


def _zeroconf() -> Any:
    try:
        import zeroconf  # late: it is an extra
    except ImportError:
        raise UserError("--mdns needs zeroconf, which is not installed: pip install 'emberdraft[mdns]'") from None
    return zeroconf
