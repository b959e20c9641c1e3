"""Who may come in from the network: a person's generated password (hashed), sessions, one pairing code at a time.

All of it is in one file of mode 0600 beside the record. Nothing in it opens the page to who reads it: passwords are
hashed with scrypt (RFC 7914), sessions and the code with SHA-256, enough for what was drawn with 256 and 50 bits.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberdraft.daemon.broker_keys import write_secret
from emberdraft.errors import UserError
from emberdraft.web.slow import Slow

CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # none that are taken for each other; 32, five bits each
CODE_LENGTH = 10
CODE_S = 600.0
CODE_TRIES = 1000  # of all together, of 2**50 codes: few enough, and nobody voids another's code with a few wrong ones
NAME_FREE, NAME_LONGEST_S = 20, 8.0  # wrong tries at one name from anywhere, before they make it wait, and how long
SESSION_S = 90 * 86400.0
MOST_SESSIONS = 50
LONGEST_NAME = 40
LONGEST_LINK_H = 48.0
GUEST = ""  # nobody can be called so: whoever has a link
SCRYPT = {"n": 2**14, "r": 8, "p": 1, "dklen": 32}  # 16 MiB and some 50 ms a try

EMPTY: dict[str, Any] = {"people": {}, "sessions": {}, "code": None}


class TooSoonError(UserError):
    """A try came before its time."""


class People:
    """The file, read again whenever another program has changed it. Safe from several threads."""

    def __init__(self, path: Path, now_s: Callable[[], float] = time.time) -> None:
        self.path = path
        self._now_s = now_s
        self._own = ""
        self._slow, self._slow_name = Slow(), Slow(NAME_FREE, NAME_LONGEST_S)
        self._been: set[tuple[str, str]] = set()  # name and place that were let in: they never wait for the name
        self._lock = threading.Lock()
        self._seen: tuple[int, int] | None = None
        self._kept: dict[str, Any] = json.loads(json.dumps(EMPTY))

    # ---- a person at the computer ------------------------------------------------------------

    def invite(self, look: bool = False) -> str:
        """A new one-time code, good for ten minutes; the one before is void. `look`: for somebody who may look only."""
        code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
        with self._lock:
            kept = self._read()
            kept["code"] = {"hash": _digest(code), "until_s": self._now_s() + CODE_S, "tries": CODE_TRIES, "look": look}
            self._write(kept)
        return code

    def names(self) -> list[str]:
        """Who has a password."""
        with self._lock:
            return sorted(self._read()["people"])

    def looks(self) -> list[str]:
        """Who of them may look only."""
        with self._lock:
            return sorted(name for name, person in self._read()["people"].items() if person.get("look"))

    def link(self, hours: float) -> str:
        """A session for whoever has it, who may look only; it ends by itself. UserError."""
        if not 0.0 < hours <= LONGEST_LINK_H:
            raise UserError(f"hours {hours:g}: more than 0, at most {LONGEST_LINK_H:g} would be right")
        with self._lock:
            kept = self._read()
            token = self._begin(kept, GUEST, 3600.0 * hours, look=True)
            self._write(kept)
        return token

    def unlink(self) -> int:
        """All such links are over now; how many there were."""
        with self._lock:
            kept = self._read()
            staying = {key: each for key, each in kept["sessions"].items() if each["name"] != GUEST}
            gone = len(kept["sessions"]) - len(staying)
            kept["sessions"] = staying
            self._write(kept)
        return gone

    def remove(self, name: str) -> None:
        """Take a person's password and sessions away. UserError if there is no such person."""
        with self._lock:
            kept = self._read()
            if name not in kept["people"]:
                raise UserError(f"person '{name}': known are {', '.join(sorted(kept['people'])) or 'none'}")
            del kept["people"][name]
            kept["sessions"] = {key: each for key, each in kept["sessions"].items() if each["name"] != name}
            self._write(kept)

    def open_to_own_programs(self) -> Callable[[], None]:
        """A key for this user's programs on this machine, in a file beside the record; what takes it away again."""
        self._own = secrets.token_urlsafe(32)
        path = own_key_file(self.path)
        write_secret(path, self._own)
        return lambda: path.unlink(missing_ok=True)

    def is_own(self, authorization: str) -> bool:
        """Whether the header `Authorization` shows that key."""
        return bool(self._own) and hmac.compare_digest(authorization.encode(), f"Bearer {self._own}".encode())

    # ---- a person on the network -------------------------------------------------------------

    def pair(self, code: str, name: str, where: str) -> tuple[str, str]:
        """(password, session) for a new person with the code. UserError, TooSoonError."""
        name = _good_name(name)
        with self._lock:
            self._ready(self._slow.wait_s(where, self._now_s()))
            kept = self._read()
            if not self._fits(kept, code):
                self._write(kept)
                self._slow.failed(where, self._now_s())
                raise UserError("the pairing code is wrong or over; `emberdraft people invite` makes a new one")
            if name in kept["people"]:
                raise UserError(f"there is a {name} already; choose another name, or log in")
            look = bool(kept["code"].get("look"))
            kept["code"] = None
            password = secrets.token_urlsafe(16)
            salt = secrets.token_bytes(16)
            kept["people"][name] = {"salt": salt.hex(), "hash": _hash(password, salt), "look": look}
            token = self._begin(kept, name, look=look)
            self._write(kept)
            self._slow.passed(where)
        return password, token

    def enter(self, name: str, password: str, where: str) -> str:
        """A session for a person with their password. UserError, TooSoonError."""
        with self._lock:
            self._ready(self._wait_s(name, where))
            kept = self._read()
            person = kept["people"].get(name) or {"salt": "00" * 16, "hash": ""}
        right = hmac.compare_digest(_hash(password, bytes.fromhex(person["salt"])), person["hash"])
        with self._lock:
            if not right:
                self._slow.failed(where, self._now_s())
                self._slow_name.failed(name[:LONGEST_NAME], self._now_s())
                raise UserError("name or password is wrong")
            kept = self._read()
            token = self._begin(kept, name, look=bool(person.get("look")))
            self._write(kept)
            self._slow.passed(where)
            self._been.add((name, where))
        return token

    def who(self, token: str) -> str | None:
        """Whose session this is, or None."""
        with self._lock:
            session = self._read()["sessions"].get(_digest(token))
        return session["name"] if session and session["until_s"] > self._now_s() else None

    def looks_only(self, token: str) -> bool:
        """Whether who has this session may look and not touch."""
        with self._lock:
            session = self._read()["sessions"].get(_digest(token))
        return bool(session and session.get("look"))

    def left_s(self, token: str) -> float:
        """How long this session still lasts, s; 0 where there is none."""
        with self._lock:
            session = self._read()["sessions"].get(_digest(token))
        return max(float(session["until_s"]) - self._now_s(), 0.0) if session else 0.0

    def leave(self, token: str) -> None:
        """End a session."""
        with self._lock:
            kept = self._read()
            if kept["sessions"].pop(_digest(token), None):
                self._write(kept)

    # ---- inside ------------------------------------------------------------------------------

    def _wait_s(self, name: str, where: str) -> float:
        """By the place, and by the name where this place was never let in under it."""
        now_s = self._now_s()
        of_name_s = 0.0 if (name, where) in self._been else self._slow_name.wait_s(name[:LONGEST_NAME], now_s)
        return max(self._slow.wait_s(where, now_s), of_name_s)

    @staticmethod
    def _ready(wait_s: float) -> None:
        if wait_s > 0.0:
            raise TooSoonError(f"too many wrong tries; the next one counts in {wait_s:.0f} s")

    def _fits(self, kept: dict[str, Any], code: str) -> bool:
        """Whether the code is right; each wrong try counts, the last one voids it."""
        waiting = kept["code"]
        if waiting is None or waiting["until_s"] < self._now_s():
            kept["code"] = None
            return False
        if hmac.compare_digest(_digest(code.strip().upper().replace("-", "")), waiting["hash"]):
            return True
        waiting["tries"] -= 1
        if waiting["tries"] <= 0:
            kept["code"] = None
        return False

    def _begin(self, kept: dict[str, Any], name: str, lasts_s: float = SESSION_S, look: bool = False) -> str:
        token, now_s = secrets.token_urlsafe(32), self._now_s()
        going_on = {key: each for key, each in kept["sessions"].items() if each["until_s"] > now_s}
        newest = sorted(going_on.items(), key=lambda item: -item[1]["until_s"])[: MOST_SESSIONS - 1]
        kept["sessions"] = {**dict(newest), _digest(token): {"name": name, "until_s": now_s + lasts_s, "look": look}}
        return token

    def _read(self) -> dict[str, Any]:
        try:
            found = self.path.stat()
        except FileNotFoundError:
            self._seen, self._kept = None, json.loads(json.dumps(EMPTY))
            return self._kept
        if (found.st_mtime_ns, found.st_ino) != self._seen:
            try:
                self._kept = {**json.loads(json.dumps(EMPTY)), **json.loads(self.path.read_text(encoding="utf-8"))}
            except (ValueError, TypeError):
                raise UserError(f"{self.path} cannot be read; move it away, and everybody pairs anew") from None
            self._seen = (found.st_mtime_ns, found.st_ino)
        return self._kept

    def _write(self, kept: dict[str, Any]) -> None:
        write_secret(self.path, json.dumps(kept))
        self._kept = kept
        found = self.path.stat()
        self._seen = (found.st_mtime_ns, found.st_ino)


def people_file(db: Path) -> Path:
    """Where the people of a record are kept."""
    return db.with_name("people.json")


def own_key_file(beside: Path) -> Path:
    """Where the key of this user's programs lies while a host with a log-in runs; `beside`: the record."""
    return beside.with_name("page-key")


def _good_name(name: str) -> str:
    name = " ".join(name.split())
    if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
        raise UserError(f"name '{name[:60]}': 1 to {LONGEST_NAME} letters would be right")
    return name


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _hash(password: str, salt: bytes) -> str:
    return hashlib.scrypt(password.encode(), salt=salt, **SCRYPT).hex()
