"""The host for `tests.bench.load`, held to one core, a cook on every cooker; a line of input asks for its CPU time."""

from __future__ import annotations

import json
import os
import resource
import sys
import time
from pathlib import Path
from typing import Any

import psutil

from emberdraft.commands.host import Host
from emberdraft.daemon.plan import load_plan


def usage() -> dict[str, Any]:
    """CPU seconds of this process and of the broker beside it, and this process's memory."""
    own = resource.getrusage(resource.RUSAGE_SELF)
    children = psutil.Process().children(recursive=True)
    broker_s = sum(sum(child.cpu_times()[:2]) for child in children)
    memory = psutil.Process().memory_info().rss / 1e6
    return {"at_s": time.monotonic(), "cpu_s": own.ru_utime + own.ru_stime, "broker_s": broker_s, "mb": memory}


def main() -> None:
    """Print the addresses, then answer until the input ends."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
    plan = load_plan("hold")
    with Host(Path(sys.argv[1]), sys.argv[2:]) as host:
        for service in host.services.values():
            service.start_cook(plan)
        address = host.address
        broker = {"host": address.host, "port": address.port, "user": address.user, "password": address.password}
        print(json.dumps({"url": host.page.url, "broker": broker}), flush=True)
        for _ in sys.stdin:
            print(json.dumps(usage()), flush=True)


if __name__ == "__main__":
    main()
