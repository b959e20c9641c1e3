"""`emberdraft serve`: the host for real boards. Broker or your own, record, plan, page; --lan for other machines."""

from __future__ import annotations

import argparse
import signal
import sys
import threading

import segno

from emberdraft.commands import neighbours
from emberdraft.commands.common import add_db, db_path
from emberdraft.commands.host import Host
from emberdraft.commands.lan import lan_address
from emberdraft.config import Config, load_config, read_ca_file, read_password
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.channels import channels
from emberdraft.daemon.food_words import below_lines
from emberdraft.daemon.plan import load_plan
from emberdraft.errors import UserError
from emberdraft.said import render


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--plan", default=None, metavar="PLAN", help="begin a cook with this plan at once")
    parser.add_argument(
        "--cooker", action="append", metavar="NAME", help="which cooker; once for each (default: the settings file)"
    )
    parser.add_argument(
        "--port", type=int, default=None, metavar="N", help="of the page; 0 takes any free one (default: settings file)"
    )
    parser.add_argument(
        "--lan", nargs="?", const="", default=None, metavar="WHERE", help="also for other machines, at this interface"
    )
    parser.add_argument(
        "--trust-this-machine", action="store_true", help="with --lan: no log-in from here; nothing here forwards to it"
    )
    parser.add_argument(
        "--take-over", action="store_true", help="keep the cookers here, though another host on this broker does"
    )
    neighbours.add_arguments(parser)
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Run until Ctrl-C, or until the system says stop."""
    neighbours.check(args)
    config = load_config()
    plan = load_plan(args.plan) if args.plan else None
    cookers = args.cooker or [config.cooker, *config.more_cookers]
    if len(set(cookers)) < len(cookers):
        raise UserError(f"--cooker {' '.join(cookers)}: the same name twice; each cooker has its own")
    notify = config.notify
    host = Host(
        db_path(args),
        cookers,
        broker=_broker(config),
        channels=channels(notify.webhook, notify.apprise_file),
        second=channels(notify.second_webhook, notify.second_apprise_file, second=True),
        page_at=notify.page,
        port=config.page_port if args.port is None else args.port,
        unit=config.units.lower(),
        lan="" if args.lan is None else lan_address(args.lan),
        home=args.trust_this_machine,
    )
    with host, neighbours.neighbours(args, host) as told:
        print(f"Page: {host.page.url}")
        if host.people is not None:
            _say_the_way_in(f"http://{host.lan}:{host.page.port}/enter", host.people.invite())
        print(f"Broker: {host.address.host}:{host.address.port}, user {host.address.user or 'none'}")
        print(f"Cooker{'s' if len(cookers) > 1 else ''}: {', '.join(cookers)}")
        for cooker in cookers if args.take_over else ():
            host.ingest.take_over(cooker)
        print("".join(f"{line}\n" for line in told), end="")
        if host.service.now()["cook"] is not None:
            print("Going on with the cook that was running.")
        elif plan is not None:
            host.service.start_cook(plan)
            below = [render(line, config.units.lower()) for line in below_lines(plan)]
            print("\n".join([f"Begun: {plan.name}", *below]))
        print("Stop with Ctrl-C. The board goes on alone with its last order.", flush=True)
        _wait()
    return 0


def _say_the_way_in(url: str, code: str) -> None:
    """Address, code, and both as a picture. The code stands behind #: a browser sends that to nobody."""
    print(f"For other machines: {url}")
    print("Not encrypted, no rights by topic: only for a network you trust. For any other: docs/howto/mosquitto.md")
    print(f"Pairing code, good once and for ten minutes: {code[:5]}-{code[5:]}")
    segno.make(f"{url}#{code}", error="m").terminal(out=sys.stdout, compact=True)


def _broker(config: Config) -> BrokerAddress | None:
    broker = config.broker
    if not broker.host:
        return None
    password = read_password(config) or None
    return BrokerAddress(broker.host, broker.port, broker.user or None, password, ca_file=read_ca_file(config))


def _wait() -> None:
    """Until a person or the system ends it."""
    stop = threading.Event()
    signal.signal(signal.SIGTERM, lambda *_: stop.set())
    while not stop.wait(1.0):
        pass
