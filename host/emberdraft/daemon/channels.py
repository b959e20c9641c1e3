"""Ways out for a notice: a plain webhook, and whatever Apprise reaches (the extra `notify`, imported when it is used).

An address of either may be a key to somebody's account: it is shown nowhere and logged nowhere, and what a library
says of a failure is told without it.
"""

from __future__ import annotations

import json
import logging
import re
import urllib.request
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from emberdraft.errors import UserError

Notice = Mapping[str, Any]
Post = Callable[[str, bytes], None]

LONGEST_WAIT_S = 5.0
SHORTEST_SECRET = 4
MISSING = "notify.apprise_file needs Apprise, which is not installed: `pip install 'emberdraft[notify]'` brings it"


@dataclass(frozen=True)
class Channel:
    """`send` delivers or raises; `secrets` are the texts that nobody may see."""

    name: str
    send: Callable[[Notice], None]
    secrets: tuple[str, ...] = ()

    def trouble(self, error: Exception) -> str:
        """What went wrong, without any part of an address."""
        said = f"{type(error).__name__}: {error}"
        for secret in sorted(_parts(self.secrets), key=len, reverse=True):
            said = said.replace(secret, "…")
        return f"{self.name}: {said[:200]}"


def _parts(secrets: tuple[str, ...]) -> set[str]:
    """The addresses themselves, and every piece of them that is long enough to be a key."""
    pieces = {piece for secret in secrets for piece in re.split(r"[/:?&=@]+", secret) if len(piece) >= SHORTEST_SECRET}
    return pieces - {"http", "https"} | set(secrets)


def post_json(url: str, body: bytes) -> None:
    """POST, with a deadline."""
    request = urllib.request.Request(url, body, {"Content-Type": "application/json"}, method="POST")
    urllib.request.urlopen(request, timeout=LONGEST_WAIT_S).close()  # what it says is no matter, and may come slowly


def webhook(url: str, post: Post = post_json, of: str = "notify.webhook") -> Channel:
    """One JSON object by POST. `of` names the setting in a refusal."""
    if urlsplit(url).scheme not in ("http", "https") or not urlsplit(url).hostname:
        raise UserError(f"{of}: not an address; one such as https://example.org/hook would be right")
    return Channel("webhook", lambda notice: post(url, json.dumps(dict(notice)).encode()), (url,))


def apprise(addresses: Sequence[tuple[str, str]]) -> Channel:
    """All (place, address) through Apprise; UserError without it, or for one that it knows not, named by its place."""
    library = _library()
    reach = library.Apprise()
    for place, address in addresses:
        if not reach.add(address):
            kind = address.partition(":")[0] if "://" in address else "no kind"
            raise UserError(f"{place}: Apprise knows no such address ({kind[:20]}); see the list in its documentation")

    def send(notice: Notice) -> None:
        body = "\n".join(str(notice[key]) for key in ("text", "page") if notice.get(key)) or str(notice["title"])
        kind = urgency(notice)
        if not reach.notify(body=body, title=f"{notice['cooker']}: {notice['title']}", notify_type=kind):
            raise OSError(f"not all of {len(addresses)} addresses took it")

    return Channel("apprise", send, tuple(address for _, address in addresses))


def urgency(notice: Notice) -> str:
    """Apprise's word: a trip that stands is a failure, what wakes a sleeper a warning, what is over a success."""
    if notice.get("over"):
        return "success"
    if notice.get("kind") == "trip":
        return "failure"
    return "warning" if notice.get("wakes") == "asleep" or notice.get("kind") == "pause" else "info"


def addresses_in(path: Path, of: str = "notify.apprise_file") -> list[tuple[str, str]]:
    """(place, address) of each line of a file; empty lines and those that begin with # are none."""
    try:
        text = path.expanduser().read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "not a text"
        raise UserError(f"{of} {path}: {why}; name a file this user can read") from None
    numbered = [(f"{of} {path}, line {number}", line.strip()) for number, line in enumerate(text.splitlines(), 1)]
    found = [(place, line) for place, line in numbered if line and not line.startswith("#")]
    if not found:
        raise UserError(f"{of} {path}: no address in it; one a line would be right")
    return found


def _library() -> Any:
    """Apprise, silenced with what it speaks through: at some levels both log whole addresses."""
    try:
        library = import_module("apprise")
    except ImportError:
        raise UserError(MISSING) from None
    logger = logging.getLogger("apprise")
    logger.handlers, logger.propagate = [logging.NullHandler()], False
    logging.getLogger("urllib3").setLevel(logging.CRITICAL)
    return library


def channels(url: str, apprise_file: str, second: bool = False) -> list[Channel]:
    """What the settings file asks for; `second`: it is the second way out."""
    of = "notify.second_" if second else "notify."
    made = [webhook(url, of=f"{of}webhook")] if url else []
    return made + ([apprise(addresses_in(Path(apprise_file), f"{of}apprise_file"))] if apprise_file else [])
