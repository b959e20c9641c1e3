"""Where notices go, as a person has set it on the page: one file of mode 0600 beside the record, or none.

Once it is there it holds in the place of `[notify]` in the settings file. An address may be a key to somebody's
account: none is given back, only what kind it is and how many.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import urlsplit

import msgspec
from msgspec import Struct, field

from emberdraft.daemon.broker_keys import write_secret
from emberdraft.daemon.channels import Channel, apprise, webhook
from emberdraft.errors import UserError

MOST_ADDRESSES = 20


class Ways(Struct, forbid_unknown_fields=True):
    """The addresses of the first and of the second way, and the one at which a phone finds this page."""

    webhook: str = ""
    apprise: list[str] = field(default_factory=list)
    second_webhook: str = ""
    second_apprise: list[str] = field(default_factory=list)
    page: str = ""

    def first(self) -> list[Channel]:
        """The channels of the first way; UserError for an address that is none."""
        return _channels(self.webhook, self.apprise, "")

    def second(self) -> list[Channel]:
        """The channels of the second way."""
        return _channels(self.second_webhook, self.second_apprise, "second way, ")

    def masked(self) -> dict[str, str]:
        """What may be shown of it: kinds and numbers, no address."""
        lists = {"apprise": self.apprise, "second_apprise": self.second_apprise}
        hooks = {"webhook": self.webhook, "second_webhook": self.second_webhook}
        said = {name: f"{urlsplit(url).scheme}://…" if url else "" for name, url in hooks.items()}
        return said | {name: _kinds(addresses) for name, addresses in lists.items()} | {"page": self.page}


class Change(Struct, forbid_unknown_fields=True):
    """What the form sends: None leaves a field as it is, an empty one takes it away."""

    webhook: str | None = None
    apprise: str | None = None
    second_webhook: str | None = None
    second_apprise: str | None = None
    page: str | None = None


def changed(ways: Ways, change: Change) -> Ways:
    """The ways with the change; UserError when an address in it is none."""
    new = Ways(
        webhook=_text(change.webhook, ways.webhook),
        apprise=_lines(change.apprise, ways.apprise),
        second_webhook=_text(change.second_webhook, ways.second_webhook),
        second_apprise=_lines(change.second_apprise, ways.second_apprise),
        page=_page(_text(change.page, ways.page)),
    )
    new.first(), new.second()
    return new


def read(path: Path) -> Ways | None:
    """What the file holds; None without one. UserError when it cannot be read."""
    try:
        return msgspec.json.decode(path.read_bytes(), type=Ways)
    except FileNotFoundError:
        return None
    except (OSError, msgspec.DecodeError) as error:
        raise UserError(f"notices {path}: {error}; move it away, and fill in the form anew") from None


def notices_file(db: Path) -> Path:
    """Where the form's settings are kept, beside a record."""
    return db.with_name("notices.json")


def write(path: Path, ways: Ways) -> None:
    """Keep it, readable by its owner alone."""
    write_secret(path, json.dumps(msgspec.to_builtins(ways)))


def _channels(url: str, addresses: Sequence[str], of: str) -> list[Channel]:
    made = [webhook(url, of=f"{of}webhook")] if url else []
    placed = [(f"{of}Apprise, line {number}", address) for number, address in enumerate(addresses, 1)]
    return made + ([apprise(placed)] if placed else [])


def _kinds(addresses: Sequence[str]) -> str:
    kinds = sorted({address.partition(":")[0][:20] for address in addresses})
    return f"{len(addresses)}: {', '.join(kinds)}" if addresses else ""


def _text(new: str | None, old: str) -> str:
    return old if new is None else new.strip()


def _lines(new: str | None, old: list[str]) -> list[str]:
    if new is None:
        return old
    found = [line.strip() for line in new.splitlines() if line.strip() and not line.strip().startswith("#")]
    if len(found) > MOST_ADDRESSES:
        raise UserError(f"Apprise: {len(found)} addresses; at most {MOST_ADDRESSES} would be right")
    return found


def _page(address: str) -> str:
    if address and (urlsplit(address).scheme not in ("http", "https") or not urlsplit(address).hostname):
        raise UserError("page: not an address; one such as http://192.168.1.20:8018/ would be right")
    return address if not address or address.endswith("/") else f"{address}/"
