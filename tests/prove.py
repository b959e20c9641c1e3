"""`make prove`: run the slow checks at full size, section by section, and write their figures into the docs.

    python -m tests.prove [WORD ...]               sections whose name has a WORD; none: all that are not current
    python -m tests.prove --stale "WHY" [WORD ...] sign for sections whose code changed and that wait for their renewal
    python -m tests.prove --page                   page and README anew, after a change of a signed list

A section that is proved on the code as it stands is skipped, and each is written as soon as it ends: a run that is
stopped goes on where it was. The exit code is 0 only if every section is current or signed for, and every miss signed.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.proof import record as records
from tests.proof.closure import ROOT
from tests.proof.page import page_text
from tests.proof.plan import Plan
from tests.proof.record import MISSES, PAGE, README, RECORD, STALE, is_current, load, save
from tests.proof.run import commit, cpu_min, known, refuse_dirty, run
from tests.readme_page import write_numbers

BUDGET_CPU_MIN = 12 * 60.0


def collected() -> Plan:
    """The sections of all checks that are marked, asked of pytest itself."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "plan.json"
        ask = [sys.executable, "-m", "pytest", "-q", "--collect-only", "-m", "prove", "-p", "tests.proof.plan"]
        env = {**os.environ, "EMBERDRAFT_PLAN": str(file)}
        subprocess.run(ask, cwd=ROOT, env=env, check=True, stdout=subprocess.DEVNULL)
        plan: Plan = json.loads(file.read_text(encoding="utf-8"))
    return dict(sorted(plan.items()))


def write() -> None:
    """Page and README from the record; who is current again needs no signature."""
    record = load(RECORD)
    stale = [row for row in load(STALE) if row["section"] not in record or not is_current(record[row["section"]])]
    save(STALE, stale)
    PAGE.write_text(page_text(record, load(MISSES), stale), encoding="utf-8")
    line = records.counts(record, stale)
    README.write_text(records.readme_with(line, README.read_text(encoding="utf-8")), encoding="utf-8")
    write_numbers()


def sign_stale(plan: Plan, why: str, words: list[str]) -> None:
    """One row for each section that is not current and has none yet."""
    record, stale = load(RECORD), load(STALE)
    signed = {row["section"] for row in stale}
    for name in _chosen(plan, words):
        if name not in signed and not (name in record and is_current(record[name])):
            old = record.get(name, {"digest": "", "date": "never"})
            since = f"{old['date']}, commit {old['commit']}" if "commit" in old else "never"
            stale.append({"section": name, "digest": old["digest"], "since": since, "why": why})
    save(STALE, sorted(stale, key=lambda row: str(row["section"])))


def prove(plan: Plan, words: list[str]) -> None:
    """Run what is not current, until the budget is spent."""
    refuse_dirty()
    head, spent = commit(), 0.0
    save(RECORD, {name: section for name, section in load(RECORD).items() if name in plan})
    for name in _chosen(plan, words):
        old = load(RECORD).get(name)
        starts = {"tests": plan[name]["tests"], "proves": plan[name]["proves"]}
        if old and is_current({**old, **starts}) and known(old["commit"]):
            continue
        if spent >= BUDGET_CPU_MIN:
            print(f"{BUDGET_CPU_MIN / 60:.0f} CPU-hours are spent; the next run goes on at {name!r}")
            return
        began = cpu_min()
        print(f"== {name}", flush=True)
        section = run(name, plan[name]["checks"], starts, head, old)
        spent += cpu_min() - began
        save(RECORD, {**load(RECORD), name: section})
        write()


def left(plan: Plan) -> list[str]:
    """What keeps the exit code from 0."""
    record, misses, signed = load(RECORD), load(MISSES), {row["section"] for row in load(STALE)}
    rows = [f"missed and not signed in {MISSES.name}: {m}" for m in records.missed(record) if not m.signed(misses)]
    current = {name for name in plan if name in record and is_current(record[name])}
    rows += [f"not proved on this code: {name}" for name in plan if name not in current | signed]
    return rows + [f"failed: {name}: {what}" for name in record for what in record[name]["failed"]]


def _chosen(plan: Plan, words: list[str]) -> list[str]:
    return [name for name in plan if not words or any(word.lower() in name.lower() for word in words)]


def main() -> int:
    """Run, sign or write."""
    parser = argparse.ArgumentParser(prog="python -m tests.prove")
    parser.add_argument("--stale", metavar="WHY")
    parser.add_argument("--page", action="store_true")
    parser.add_argument("words", nargs="*")
    asked = parser.parse_args()
    plan = collected()
    if asked.stale:
        sign_stale(plan, asked.stale, asked.words)
    elif not asked.page:
        prove(plan, asked.words)
    write()
    problems = left(plan)
    print("\n".join(problems) or "every section is current or signed for, every miss is signed")
    return bool(problems)


if __name__ == "__main__":
    sys.exit(main())
