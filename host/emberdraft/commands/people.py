"""`emberdraft people`: who may see the page from another machine."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_db, db_path
from emberdraft.web.people import People, people_file


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    acts = parser.add_subparsers(dest="act", metavar="WHAT", required=True)
    listed = acts.add_parser("list", help="who has a password")
    invite = acts.add_parser("invite", help="a new pairing code, for one person; the one before is void")
    invite.add_argument("--look", action="store_true", help="... who may look and not touch")
    link = acts.add_parser("link", help="a link for one evening, for whoever has it, to look and not touch")
    link.add_argument("--hours", type=float, default=8.0, metavar="H", help="how long it lasts (8)")
    unlink = acts.add_parser("unlink", help="all such links are over at once")
    remove = acts.add_parser("remove", help="take a person's password away; they are logged out at once")
    remove.add_argument("name", metavar="NAME")
    for each in (listed, invite, link, unlink, remove):
        add_db(each)


def main(args: argparse.Namespace) -> int:
    """Works on the file; a running host sees the change at the next request."""
    people = People(people_file(db_path(args)))
    if args.act == "invite":
        code = people.invite(args.look)
        print(f"Pairing code, good once and for ten minutes: {code[:5]}-{code[5:]}")
    elif args.act == "link":
        print(
            f"Behind the page's address, good for {args.hours:g} h, to look only: /enter#look={people.link(args.hours)}"
        )
    elif args.act == "unlink":
        print(f"Links that are over now: {people.unlink()}.")
    elif args.act == "remove":
        people.remove(args.name)
        print(f"{args.name} is no longer let in.")
    else:
        looks = set(people.looks())
        print("\n".join(name + (", looks only" if name in looks else "") for name in people.names()) or "Nobody yet.")
    return 0
