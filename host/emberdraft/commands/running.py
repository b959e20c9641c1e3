"""Where the running host's page is: a small file beside the record, so that other verbs find it."""

from __future__ import annotations

import json
import os
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError
from emberdraft.web.people import own_key_file


def _note(db: Path) -> Path:
    return db.with_name(db.name + ".running")


def note_running(db: Path, url: str, broker: tuple[str, int]) -> None:
    """Written by the host once its page answers. No secret is in it."""
    note = {"url": url, "pid": os.getpid(), "broker": list(broker)}
    _note(db).write_text(json.dumps(note), encoding="utf-8")


def forget_running(db: Path) -> None:
    """Taken away when the host ends."""
    _note(db).unlink(missing_ok=True)


def running_url(db: Path) -> str | None:
    """The page's address, or None when no host has this record open."""
    note = _running(db)
    return None if note is None else str(note["url"])


def running_broker(db: Path) -> tuple[str, int] | None:
    """Where the running host's broker listens, or None when no host has this record open."""
    note = _running(db)
    return None if note is None else (str(note["broker"][0]), int(note["broker"][1]))


def _running(db: Path) -> dict[str, Any] | None:
    try:
        note: dict[str, Any] = json.loads(_note(db).read_text(encoding="utf-8"))
        os.kill(int(note["pid"]), 0)
        return note if "url" in note and "broker" in note else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def call(
    db: Path, path: str, body: dict[str, Any] | None = None, cooker: str | None = None, timeout_s: float = 5.0
) -> Any:
    """GET, or POST `body`, to the running host; `cooker` where it minds several.

    Raises UserError with the host's own words when it refuses.
    """
    url = running_url(db)
    if url is None:
        raise UserError(f"no host has {db} open; start `emberdraft serve` or `emberdraft demo` first")
    if cooker is not None:
        path += f"?{urllib.parse.urlencode({'cooker': cooker})}"
    data = None if body is None else json.dumps(body).encode()
    headers = {"Content-Type": "application/json", "Origin": url.rstrip("/"), **_key(db)}
    request = urllib.request.Request(url.rstrip("/") + path, data=data, headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=timeout_s) as answer:
            return json.load(answer)
    except urllib.error.HTTPError as error:
        raise UserError(_words(error)) from None
    except OSError as error:
        raise UserError(f"the host at {url} does not answer: {error}") from None


def _key(db: Path) -> dict[str, str]:
    """What lets this user's programs in where the page asks for a log-in."""
    try:
        return {"Authorization": f"Bearer {own_key_file(db).read_text(encoding='utf-8')}"}
    except OSError:
        return {}


def _words(error: urllib.error.HTTPError) -> str:
    try:
        said = json.load(error)["error"]
        return f"{said['what']} ({said['value']}); {said['right']}"
    except (ValueError, KeyError, TypeError):
        return f"the host refused: {error.code} {error.reason}"
