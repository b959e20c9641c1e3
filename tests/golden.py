"""What a person reads, in both units, before and after a change.

    python -m tests.golden --keep       # before
    python -m tests.golden              # after: what differs is printed, and each line of it must be wanted

A cook of rows (tests/daemon/test_service.py) goes through its phases, prompts and alarms; each text of its states is
shown by the page's own units.js, run by node. The kitchen's pages are read in a browser, its JSON and CSV over HTTP.
All of it lands in `build/golden`, a line a text.
"""

from __future__ import annotations

import argparse
import difflib
import json
import subprocess
import tempfile
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Any

import msgspec

from emberdraft.daemon import alarm_texts
from emberdraft.web.pages import STATIC
from tests.daemon.test_service import Rig
from tests.web import conftest

ROOT = Path(__file__).parents[1]
KEPT, NOW = ROOT / "build" / "golden" / "kept.txt", ROOT / "build" / "golden" / "now.txt"
PAGES = ("", "cooks/1", "cooks/2", "calls", "health", "plans")
READ = ("api/now", "api/cooks/1", "api/cooks/1/safety", "api/cooks/1/why", "api/calls", "api/health")
SHOWN = """
globalThis.document = { documentElement: { dataset: {} } };
const { words } = await import(process.argv[1]);
const both = (text) => ["C", "F"].map((u) => { document.documentElement.dataset.unit = u; return words(text, u); });
let all = ""; for await (const part of process.stdin) all += part;
console.log(JSON.stringify(JSON.parse(all).map(both)));
"""


def texts(value: Any, at: str = "") -> Iterator[tuple[str, Any]]:
    """(place, text) of all in a JSON value that the page may show: strings, and texts with quantities in them."""
    if isinstance(value, str) or (isinstance(value, dict) and set(value) == {"parts"}):
        yield at, value
    elif isinstance(value, dict):
        for key in sorted(value):
            yield from texts(value[key], f"{at}.{key}")
    elif isinstance(value, list):
        for place, each in enumerate(value):
            yield from texts(each, f"{at}[{place}]")


def both(found: list[Any]) -> list[list[str]]:
    """Each text in degC and degF, as the page writes it."""
    command = ["node", "--input-type=module", "-e", SHOWN, str(STATIC / "js" / "units.js")]
    done = subprocess.run(command, input=json.dumps(found), capture_output=True, text=True, check=True)
    said: list[list[str]] = json.loads(done.stdout)
    return said


def states() -> Iterator[tuple[str, Any]]:
    """The state at each turn of a cook of rows, its notices at the end; nothing is worked out beside it."""
    with tempfile.TemporaryDirectory() as folder:
        rig = Rig(Path(folder) / "cooks.sqlite")
        for desk in (rig.service.live.desk, rig.service.live.pulls):
            desk._start = lambda _job: None
        for name in chain(["no_cook"], _turns(rig)):
            yield name, rig.service.now()
        yield "notices", rig.notices
        rig.store.close()


def _turns(rig: Rig) -> Iterator[str]:
    service = rig.service
    yield "nothing_heard"
    rig.to_slow()
    for name, row in {
        "slow": {"pit_c": 121.4, "core_c": [22.35, 20.75]},
        "under": {"pit_c": 118.6, "why": "more_air", "p": 0.1, "duty": 0.3},
        "low": {"pit_c": 97.0, "why": "full_air", "duty": 1.0},
        "open": {"lid_open": True, "why": "lid"},
    }.items():
        rig.run(40, **row)
        yield name
    rig.run(5, lid_open=False, why="steady")
    for kind, value in (("stone_face", 262.0), ("vent_top", 0.375), ("fuel", 0.8), ("pull_at", 58.0)):
        service.mark(kind, value, "A" if kind == "pull_at" else "")
        yield kind
    service.command("target", target_c=115.0)
    yield "target"
    for alert in alarm_texts.TEXTS:
        kind = "trip" if alert.endswith("over_limit") else "notice"
        service.on_alert("yard", alert, {"kind": kind, "value": 240.0, "limit": 232.0})
        rig.run(6)
        yield f"alarm_{alert}"
        service.on_alert("yard", alert, None)
        service.alarms.desk.alarms.clear()
    rig.run(60, core_c=[60.0, 61.0], pit_c=115.2)
    yield "pull"
    for kind in ("pull", "pull", "open_vent", "start_climb"):
        if any(prompt.kind == kind for prompt in service.prompts()):
            rig.answer(kind)
        rig.run(700 if kind == "pull" else 3)
        yield f"after_{kind}"
    for stone_c in (150.0, 231.0, 262.0):
        rig.run(60, stone_c=stone_c, pit_c=240.5, why="drive", mode="drive", target_c=260.0, duty=1.0)
        yield f"stone_{stone_c:.0f}"
    for kind in ("come_to_sear", "sear_on"):
        if any(prompt.kind == kind for prompt in service.prompts()):
            rig.answer(kind)
        yield kind
    service.command("bank")
    rig.run(90, mode="bank", pit_c=212.0)
    yield "bank"


def kitchen() -> Iterator[str]:
    """Pages, JSON and CSV of the kitchen's two cooks, a line a text."""
    from playwright.sync_api import sync_playwright

    made = conftest.larder.__wrapped__()  # type: ignore[attr-defined]
    with tempfile.TemporaryDirectory() as folder, conftest.open_kitchen(Path(folder), made) as host:
        for path in READ:
            yield from lines(path, host.http.get(f"/{path}").json())
        yield from (f"csv {line}" for line in host.http.get("/api/cooks/1/export.csv").text.splitlines()[::600])
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=conftest.BROWSER, args=["--no-sandbox"])
            for unit in "CF":
                yield from _pages(browser, host, unit)


def _pages(browser: Any, host: Any, unit: str) -> Iterator[str]:
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    context.add_init_script(f"localStorage.setItem('unit', '{unit}')")
    for path in PAGES:
        page = context.new_page()
        page.goto(f"{host.url}{path}")
        page.wait_for_selector("body.ready")
        page.wait_for_timeout(1500)
        for line in page.inner_text("body").splitlines():
            if line.strip():
                yield f"/{path} {unit} {line.strip()}"
        page.close()
    context.close()


def lines(name: str, value: Any) -> Iterator[str]:
    """A line a text: where it stands, and both units."""
    found = list(texts(msgspec.to_builtins(value)))
    for (place, _), said in zip(found, both([text for _, text in found]), strict=True):
        yield f"{name}{place} " + " | ".join(said if said[0] != said[1] else said[:1]).replace("\u00a0", " ")


def collected() -> str:
    """All of it."""
    found = [line for name, state in states() for line in lines(name, state)]
    return "\n".join([*found, *kitchen()]) + "\n"


def main() -> int:
    """Write what is read now; with --keep it is what later ones are held against."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--keep", action="store_true", help="hold later ones against this one")
    keep = parser.parse_args().keep
    NOW.parent.mkdir(parents=True, exist_ok=True)
    NOW.write_text(collected(), encoding="utf-8")
    if keep:
        KEPT.write_text(NOW.read_text(encoding="utf-8"), encoding="utf-8")
        return 0
    before, after = (path.read_text(encoding="utf-8").splitlines() for path in (KEPT, NOW))
    print("\n".join(difflib.unified_diff(before, after, "kept", "now", lineterm="", n=0)))
    return int(before != after)


if __name__ == "__main__":
    raise SystemExit(main())
