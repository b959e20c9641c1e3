"""Which host keeps a cooker's record, when more than one listens: one claim, kept at the broker, with a lease.

Two records that both acknowledge tear holes into each other: the board forgets what one of them has. So only the
keeper acknowledges and orders; another host records what it hears, and may put the fire out. A claim is good for
`LEASE_S` from its arrival, by the listener's own steady clock: no clock is compared with another's. Pure: time is
passed in.
"""

from __future__ import annotations

import hashlib
import json
import socket
from dataclasses import dataclass
from pathlib import Path

import msgspec

TOPIC = "keeper"
LEASE_S = 15.0  # real seconds
RENEW_S = 5.0
SETTLE_S = 0.5  # after connecting: a claim that the broker keeps is there by then


class Claim(msgspec.Struct):
    """`host` names one record on one machine (see `host_id`); `term` rises each time the cooker passes to another."""

    host: str
    term: int
    name: str = ""


DECODER = msgspec.json.Decoder(Claim)


def host_id(record: Path) -> str:
    """One record on one machine: its lock lets one program write it, so that two hosts are never called the same."""
    machine = Path("/etc/machine-id")
    known = machine.read_text("ascii").strip() if machine.is_file() else ""
    told = f"{known}\n{socket.gethostname()}\n{record.resolve()}"
    return hashlib.sha256(told.encode()).hexdigest()[:16]


@dataclass
class Keeper:
    """One cooker's claim as this host sees it. `host`: our own id, `name` for people."""

    host: str
    name: str = ""
    term: int = 0
    _other: Claim | None = None
    _heard_s: float = 0.0
    _since_s: float | None = None  # connected; None: not
    _said_s: float | None = None  # our own claim was last published
    _ours: bool = False
    _wanted: bool = False  # by a person, and not said yet

    def connected(self, now_s: float | None) -> None:
        """Connected since `now_s`; None: not connected. What was ours may have passed to another meanwhile."""
        self._since_s, self._said_s = now_s, None

    def hear(self, claim: Claim | None, now_s: float) -> None:
        """A claim came, or was taken away (None)."""
        if claim is None:
            self._other = None
        elif claim.host == self.host:
            self.term = max(self.term, claim.term)  # of an earlier start of this host, or our own again
        else:
            self._other, self._heard_s = claim, now_s
            self._answer(claim)

    def _answer(self, claim: Claim) -> None:
        if not self._ours:
            self.term = max(self.term, claim.term)
        elif (claim.term, claim.host) < (self.term, self.host):
            self._said_s = None  # ours is the better one: say it again
        elif self._wanted:
            self._claim()  # it does not know yet what a person wants
        else:
            self._ours, self.term = False, claim.term

    def other(self, now_s: float) -> Claim | None:
        """The other host that keeps it now, or None."""
        live = self._other is not None and not self._ours and now_s - self._heard_s < LEASE_S
        return self._other if live else None

    def settling(self, now_s: float) -> bool:
        """Just connected: whether another keeps it is not known yet."""
        return self._since_s is not None and now_s - self._since_s < SETTLE_S

    def holds(self, now_s: float) -> bool:
        """May this host acknowledge and order? A claim is made when nobody else's is in force."""
        if self._since_s is None or self.settling(now_s) or self.other(now_s) is not None:
            return False
        if not self._ours:
            self._claim()
        return True

    def take_over(self) -> None:
        """A person wants it kept here; whoever does gives way when it hears so."""
        self._wanted = True
        self._claim()

    def _claim(self) -> None:
        other_term = 0 if self._other is None else self._other.term
        self._ours, self.term, self._said_s = True, max(self.term, other_term) + 1, None

    def due(self, now_s: float) -> bytes | None:
        """Our claim, if it is time to say it."""
        if not self.holds(now_s) or (self._said_s is not None and now_s - self._said_s < RENEW_S):
            return None
        self._said_s, self._wanted = now_s, False
        return json.dumps({"host": self.host, "term": self.term, "name": self.name}).encode()
