"""Passwords at the broker: one for the host, one for each board, made here, in a file that only this user reads."""

from __future__ import annotations

import json
import os
import secrets
from pathlib import Path

from emberdraft.errors import UserError

HOST_USER = "host"
BROKER_PORT = 1883


class BrokerKeys:
    """user -> password (128 bit), made at the first asking. They must be kept as they are: both ends need them."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def password(self, user: str) -> str:
        """The password of `user`, the same for ever."""
        kept = self._read()
        if user not in kept:
            kept[user] = secrets.token_urlsafe(16)
            self._write(kept)
        return kept[user]

    def _read(self) -> dict[str, str]:
        try:
            return dict(json.loads(self.path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return {}
        except (ValueError, TypeError, OSError) as error:
            raise UserError(f"{self.path}: {error}; move it away, and new passwords are made") from None

    def _write(self, kept: dict[str, str]) -> None:
        write_secret(self.path, json.dumps(kept, indent=1) + "\n")


def keys_file(db: Path) -> Path:
    """Where the passwords beside a record are kept."""
    return db.with_name("broker-keys.json")


def write_secret(path: Path, text: str) -> None:
    """A file of mode 0600 from its first byte on, written beside and renamed over; its folder is made."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(path.name + ".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
