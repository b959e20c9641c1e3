"""`make prove`: run the slow checks at full size and write their figures, with date and commit, into the docs.

A check marked `prove` records figures by the fixture `proof` (tests/conftest.py). Each section names the folders that
it proves; their content is hashed into the record, and `tests/test_proof.py` fails when the code has changed since.
With PATHS or `-k` only a part is run: a section keeps its other figures as long as its code has not changed.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
RECORD = ROOT / "docs" / "reference" / "proof.json"
PAGE = ROOT / "docs" / "reference" / "proof.md"


def digest(covers: list[str]) -> str:
    """One hash over every Python file below the named folders or files: names and contents."""
    total = hashlib.sha256()
    for cover in sorted(covers):
        top = ROOT / cover
        for path in sorted(top.rglob("*.py")) if top.is_dir() else [top]:
            total.update(str(path.relative_to(ROOT)).encode())
            total.update(path.read_bytes())
    return total.hexdigest()


def _commit() -> str:
    out = subprocess.run(["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True)
    return out.stdout.strip()


def collect(folder: Path) -> dict[str, Any]:
    """Sections by name, from the files that the checks wrote (one a figure: the checks run in parallel)."""
    sections: dict[str, Any] = {}
    for path in sorted(folder.glob("*.json")):
        row = json.loads(path.read_text(encoding="utf-8"))
        section = sections.setdefault(row["section"], {"covers": [], "figures": {}})
        section["covers"] = sorted({*section["covers"], *row["covers"]})
        section["figures"][row["name"]] = {"value": row["value"], "wanted": row["wanted"]}
    return sections


def still_true(old: dict[str, Any] | None, new: dict[str, Any]) -> dict[str, Any]:
    """Figures of an earlier run of the same section, if its code is unchanged: a run of a part keeps them."""
    if old is None or old["covers"] != new["covers"] or old["digest"] != digest(new["covers"]):
        return {}
    figures: dict[str, Any] = old["figures"]
    return figures


def page_text(record: dict[str, Any]) -> str:
    """The record as a page for people."""
    lines = [
        "# Proof",
        "",
        "Written by `make prove`; simulated cookers only: no real fire has been burned with this code.",
        "",
    ]
    for name, section in sorted(record.items()):
        covers = ", ".join(f"`{cover}`" for cover in section["covers"])
        lines += [f"## {name}", "", f"{section['date']}, commit {section['commit']}; proves {covers}.", ""]
        lines += ["| figure | measured | wanted |", "| --- | --- | --- |"]
        lines += [f"| {key} | {fig['value']} | {fig['wanted']} |" for key, fig in sorted(section["figures"].items())]
        lines.append("")
    return "\n".join(lines)


def main() -> int:
    """Run, then write both files only if every check passed."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pytest", "-q", "-n", "2", "-m", "prove", *sys.argv[1:]]
        code = subprocess.run(command, cwd=ROOT, env={**os.environ, "EMBERDRAFT_PROOF": folder}, check=False).returncode
        if code:
            return code
        sections = collect(Path(folder))
    record = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.exists() else {}
    today = datetime.date.today().isoformat()
    for name, section in sections.items():
        if sys.argv[1:]:
            section["figures"] = still_true(record.get(name), section) | section["figures"]
        record[name] = {**section, "date": today, "commit": _commit(), "digest": digest(section["covers"])}
    RECORD.write_text(json.dumps(record, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    PAGE.write_text(page_text(record), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
