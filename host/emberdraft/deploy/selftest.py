"""The board's own look at its parts, and what it said: expected, saw, verdict.

What it cannot show stays for hardware/bench_checks.md: that the hand switch cuts the blower, that a flap falls shut,
that the second switch opens without pulses, and whether a number is the true temperature.
"""

from __future__ import annotations

import contextlib
import json
from dataclasses import dataclass

from emberdraft.deploy.remote import LinkLostError, Remote, get_in

SCRIPT = "selftest.upy"


@dataclass(frozen=True)
class Verdict:
    """One part."""

    what: str
    expected: str
    saw: str
    good: bool


def run_selftest(remote: Remote, *, ask: bool = False, bite: bool = False, settle_s: float = 4.0) -> list[Verdict]:
    """Run it on the board. `ask`: a person stands beside it and does what the light says; `bite`: the watchdog too."""
    if bite:
        _let_it_bite(remote, settle_s)
    remote.call("exec", f"ASK = {ask}")
    return verdicts_of(remote.run(SCRIPT))


def _let_it_bite(remote: Remote, settle_s: float) -> None:
    """The script hangs on purpose; the board goes away in the middle, and what it finds afterwards is its verdict."""
    remote.call("exec", "BITE = True")
    with contextlib.suppress(LinkLostError):
        remote.run(SCRIPT)
    get_in(remote, settle_s=settle_s)


def verdicts_of(said: str) -> list[Verdict]:
    """The verdicts in what the script printed; none at all means that it never came that far."""
    found = [Verdict(**json.loads(line)) for line in said.splitlines() if line.startswith("{")]
    if not found:
        raise LinkLostError(f"the self-test said nothing of a part: {said.strip()[-200:] or 'nothing at all'}")
    return found
