"""One section run: from a clean tree, on a commit that is known, written down whether it passes or not."""

from __future__ import annotations

import datetime
import json
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from tests.proof.closure import ROOT, digest
from tests.proof.record import Section

# What a run writes itself, and no section is proved by.
WRITTEN = (":!docs/reference/proof.*", ":!docs/reference/stale.json", ":!docs/reference/misses.json", ":!README.md")


def _git(*words: str) -> str:
    return subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()


def refuse_dirty() -> None:
    """A proof names a commit: it must be of what the commit holds."""
    changed = _git("status", "--porcelain", "--untracked-files=all", "--", ".", *WRITTEN)
    if changed:
        raise SystemExit(f"not committed, so no commit could be named for the proof:\n{changed}")


def commit() -> str:
    """The commit that the tree stands at; without git there is none to name."""
    try:
        return _git("rev-parse", "--short=10", "HEAD")
    except (OSError, subprocess.CalledProcessError) as error:
        raise SystemExit("no git repository here: a proof must name its commit") from error


def known(name: str) -> bool:
    """Whether this commit is in the history of what is checked out."""
    ask = ["git", "merge-base", "--is-ancestor", name, "HEAD"]
    return subprocess.run(ask, cwd=ROOT, capture_output=True, check=False).returncode == 0


def cpu_min() -> float:
    """Processor time of all children so far, in minutes."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (used.ru_utime + used.ru_stime) / 60.0


def run(name: str, checks: list[str], starts: dict[str, list[str]], head: str, old: Section | None) -> Section:
    """The section as it is written down; the digest is taken before the run and looked at again after it."""
    places = starts["tests"] + starts["proves"]
    before, began = digest(places), cpu_min()
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pytest", "-q", "-n", "2" if len(checks) > 1 else "0", "-m", "prove", *checks]
        env = {**os.environ, "EMBERDRAFT_PROOF": folder}
        code = subprocess.run(command, cwd=ROOT, env=env, check=False).returncode
        rows = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(Path(folder).glob("*.json"))]
    section = written(name, checks, code, rows)
    if digest(places) != before:
        section["failed"].append("its code was changed while it ran")
    today = datetime.date.today().isoformat()
    used = round(cpu_min() - began, 1)
    return {**section, **starts, "digest": before, "commit": head, "date": today, "cpu_min": used,
            "failed_before": failures(old, before)}  # fmt: skip


def written(name: str, checks: list[str], code: int, rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Figures by name, and what broke down: a check that wrote no end, or a run that ended badly without a word."""
    mine = [row for row in rows if row["section"] == name]
    ended = {row["check"] for row in mine if row["kind"] == "passed"}
    figures = {
        row["name"]: {key: row[key] for key in ("value", "bound", "note", "tries")}
        for row in mine
        if row["kind"] == "figure"
    }
    failed = [check for check in checks if check not in ended]
    if code not in (0, 1) and not failed:
        failed = [f"pytest ended with {code}"]
    return {"figures": figures, "passed": len(ended), "failed": failed}


def failures(old: Section | None, now: str) -> list[str]:
    """Earlier breakdowns on the very same code: what passes at the second try is not sound."""
    if old is None or old["digest"] != now:
        return []
    return [*old["failed_before"], *(f"{old['date']}: {what}" for what in old["failed"])]
