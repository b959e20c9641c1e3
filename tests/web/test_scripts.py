"""The page's scripts by themselves, in a real browser without any host: clock, units, scales, columns, tones."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import emberdraft.web

STATIC = Path(emberdraft.web.__file__).parent / "static"
HOME = "http://page.test/"
BLANK = "<!doctype html><title>empty</title><div id=home></div><button>tap</button>"


@pytest.fixture(scope="module")
def page(chromium: Any) -> Iterator[Any]:
    """An empty page beside the scripts, which are read from their folder."""
    context = chromium.new_context()
    context.route(HOME, lambda route: route.fulfill(body=BLANK, content_type="text/html"))
    context.route(HOME + "js/*", lambda route: route.fulfill(path=STATIC / "js" / route.request.url.rpartition("/")[2]))
    made = context.new_page()
    made.goto(HOME)
    yield made
    context.close()


def test_every_name_that_a_script_imports_is_exported() -> None:
    """One that is not leaves the whole page empty."""
    texts = {path.name: path.read_text(encoding="utf-8") for path in (STATIC / "js").glob("*.js")}
    missing = [
        (name, wanted, source)
        for name, text in texts.items()
        for names, source in re.findall(r"^import \{([^}]*)\} from \"\./([\w.]+)\"", text, re.MULTILINE)
        for wanted in (one.split(" as ")[0].strip() for one in names.split(","))
        if not re.search(rf"^export (?:async )?(?:function\*?|const|let|class) {wanted}\b", texts[source], re.MULTILINE)
    ]
    assert missing == []


def run(page: Any, module: str, body: str, *values: Any) -> Any:
    """What `body` returns, with the module as `m` and the values as `v`."""
    script = f"async (v) => {{ const m = await import('/js/{module}'); {body} }}"
    return page.evaluate(script, list(values))


@pytest.mark.parametrize(
    ("offset_h", "clock", "day"),
    [(0.0, "22:15", "Thu 1 Jan 1970"), (5.5, "03:45", "Fri 2 Jan 1970"), (-3.5, "18:45", "Thu 1 Jan 1970")],
)
def test_the_clock_is_ahead_east_of_greenwich(page: Any, offset_h: float, clock: str, day: str) -> None:
    """22:15 UTC of the first day of 1970 in Greenwich, in India and in Newfoundland."""
    body = "m.setClock(0, 1, v[0]); return [m.clock(v[1]), m.day(v[1])];"
    assert run(page, "time.js", body, offset_h * 3600.0, 22.25 * 3600.0) == [clock, day]


def test_a_difference_has_its_own_conversion(page: Any) -> None:
    """NIST SP 811, B.9: t/degF = 1.8 t/degC + 32; a difference is 1.8 times as large."""
    assert run(page, "units.js", "return [m.toUnit(100, 'F'), m.diffToUnit(100, 'F'), m.diffToUnit(7, 'C')];") == [
        212,
        180,
        7,
    ]
    assert run(page, "units.js", "return m.fromUnit(212, 'F');") == pytest.approx(100.0)


def test_the_ends_of_each_scale_lie_on_the_ends_of_its_lane(page: Any) -> None:
    """The scale runs over the whole height, top first: a value lies at height (high - value) / (high - low)."""
    body = """const lane = m.layout(420), y = ([low, high], value) => lane.height * (high - value) / (high - low);
    const air = m.airScale(lane), temps = m.tempScale(lane, [0, 225]);
    return [y(air, 0) - lane.airEnd, y(air, 1) - lane.airTop,
            y(temps, 0) - lane.tempEnd, y(temps, 225) - lane.tempTop];"""
    assert run(page, "lanes.js", body) == pytest.approx([0.0] * 4, abs=1e-6)


def test_a_row_of_the_past_is_not_added_and_time_only_grows(page: Any) -> None:
    body = """const c = new m.Columns(), took = v.map((at_s) => c.add({ at_s, pit_c: at_s }, 10));
    return [took, c.at, c.by.pit_c];"""
    took, at, pit = run(page, "columns.js", body, 5, 6, 6, 4, 7)
    assert took == [True, True, False, False, True]
    assert at == pit == [5, 6, 7]


def test_the_graver_an_alarm_the_more_and_the_higher_its_tones(page: Any) -> None:
    """A pause stops the blower: it must be heard, between a notice and a trip (IEC 60601-1-8 ranks bursts likewise)."""
    page.evaluate("""() => { window.tones = []; const make = AudioContext.prototype.createOscillator;
    AudioContext.prototype.createOscillator = function () { const made = make.call(this);
      const start = made.start.bind(made); made.start = (at) => { window.tones.push(made.frequency.value); start(at); };
      return made; }; }""")
    body = """document.querySelector('#home').replaceChildren(); localStorage.setItem('sound', 'on');
    const sound = new m.Sound(document.querySelector('#home')); window.sound = sound; return sound.state;"""
    run(page, "sound.js", body)
    page.click("button >> text=tap")  # a browser gives no sound before somebody has tapped
    heard = {}
    for kind in ("notice", "pause", "trip"):
        page.wait_for_function("window.sound.state === 'on'")
        show = """(kind) => { window.tones = []; sound.lastMs = -Infinity;
        sound.show([{ kind, state: 'unacknowledged' }]); return window.tones; }"""
        heard[kind] = page.evaluate(show, kind)
    assert [len(heard[kind]) for kind in ("notice", "pause", "trip")] == [1, 2, 3]
    assert heard["notice"][0] < heard["pause"][0] < heard["trip"][0]
