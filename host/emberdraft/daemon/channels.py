"""Ways out for a notice: a plain webhook, and whatever Apprise reaches (the extra `notify`, imported when it is used).

An address of either may be a key to somebody's account: it is shown nowhere and logged nowhere, and what a library
says of a failure is told without it.
"""

from __future__ import annotations

import json
import logging
import re
import urllib.request
from collections.abc import Callable, Mapping
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
URGENT = {"trip": "failure", "pause": "warning"}  # Apprise's words for how urgent; all else is its 'info'


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
    with urllib.request.urlopen(request, timeout=LONGEST_WAIT_S) as answer:
        answer.read(1024)


def webhook(url: str, post: Post = post_json) -> Channel:
    """One JSON object by POST."""
    if urlsplit(url).scheme not in ("http", "https") or not urlsplit(url).hostname:
        raise UserError("notify.webhook: not an address; one such as https://example.org/hook would be right")
    return Channel("webhook", lambda notice: post(url, json.dumps(dict(notice)).encode()), (url,))


def apprise(path: Path) -> Channel:
    """Every address in the file, one a line, through Apprise; UserError without it, or for a line that it knows not."""
    addresses = _lines(path)
    library = _library()
    reach = library.Apprise()
    for number, address in addresses:
        if not reach.add(address):
            kind = address.partition(":")[0] if "://" in address else "no kind"
            raise UserError(
                f"notify.apprise_file {path}, line {number}: Apprise knows no such address ({kind[:20]}); "
                "see the list in its documentation"
            )

    def send(notice: Notice) -> None:
        body = " ".join(str(notice[key]) for key in ("text", "page") if notice.get(key)) or str(notice["title"])
        kind = URGENT.get(str(notice.get("kind")), "info")
        if not reach.notify(body=body, title=f"{notice['cooker']}: {notice['title']}", notify_type=kind):
            raise OSError(f"not all of {len(addresses)} addresses took it")

    return Channel("apprise", send, tuple(address for _, address in addresses))


def _lines(path: Path) -> list[tuple[int, str]]:
    """Numbered addresses; empty lines and those that begin with # are none."""
    try:
        text = path.expanduser().read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "not a text"
        raise UserError(f"notify.apprise_file {path}: {why}; name a file this user can read") from None
    numbered = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1)]
    found = [(number, line) for number, line in numbered if line and not line.startswith("#")]
    if not found:
        raise UserError(f"notify.apprise_file {path}: no address in it; one a line would be right")
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


def channels(url: str, apprise_file: str) -> list[Channel]:
    """What the settings ask for."""
    made = [webhook(url)] if url else []
    return made + ([apprise(Path(apprise_file))] if apprise_file else [])
