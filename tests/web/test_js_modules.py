"""The page's pure modules, each function by itself in a browser: units, time, columns, lanes.

Temperatures are hand calculations (degF = degC x 9/5 + 32, a difference x 9/5 alone), moments are Python's zoneinfo,
places on the strip follow from a straight line through the two ends that the lane has.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Callable, Iterator
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from emberdraft.quantities import say_opening
from emberdraft.web.pages import STATIC, static_root
from tests.web.conftest import Kitchen

NBSP, MINUS, DASH = "\u00a0", "\u2212", "\u2013"
Run = Callable[..., Any]


@pytest.fixture(scope="module")
def js(chromium: Any, shared: Kitchen) -> Iterator[Run]:
    """js(module, body, argument): what the body returns; `m` is the module, `x` the argument."""
    page = chromium.new_page()
    page.goto(f"{shared.url}plans")

    def run(module: str, body: str, x: object = None, unit: str = "C") -> Any:
        script = f"""async ([path, unit, x]) => {{ document.documentElement.dataset.unit = unit;
          const m = await import(path); {body} }}"""
        return page.evaluate(script, [f"{static_root()}/js/{module}.js", unit, x])

    yield run
    page.close()


# ---- units ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "in_c", "in_f"),
    [
        ("m.toUnit(100)", 100, 212),
        ("m.toUnit(-40)", -40, -40),
        ("m.fromUnit(212)", 212, 100),
        ("m.diffToUnit(10)", 10, 18),
        ("m.diffToUnit(0)", 0, 0),
        ("m.degrees(57.04)", "57.0", "135"),
        ("m.degrees(199.94)", "199.9", "392"),
        ("m.degrees(200)", "200", "392"),
        ("m.degrees(-200)", f"{MINUS}200", f"{MINUS}328"),
        ("m.degrees(-0.04)", "0.0", "32"),
        ("m.degrees(57.04, 2)", "57.04", "134.67"),
        ("m.degrees(undefined)", DASH, DASH),
        ("m.withUnit(63)", f"63.0{NBSP}°C", f"145{NBSP}°F"),
        ("m.rate(null)", "", ""),
        ("m.rate(0.04)", "0.0", "+0.1"),
        ("m.rate(0.05)", "+0.1", "+0.1"),
        ("m.rate(-1)", f"{MINUS}1.0", f"{MINUS}1.8"),
        ("m.share(undefined)", DASH, DASH),
        ("m.share(1)", f"100{NBSP}%", f"100{NBSP}%"),
        ("m.kilograms(0.85)", f"0.8{NBSP}kg", f"0.8{NBSP}kg"),
        ("m.words('')", "", ""),
        ("m.words('kept as 4 °C')", *[f"kept as 4{NBSP}°C"] * 2),
        ("m.words('in 20 min, 2 h, 9 s')", *[f"in 20{NBSP}min, 2{NBSP}h, 9{NBSP}s"] * 2),
    ],
)
def test_units(js: Run, call: str, in_c: object, in_f: object) -> None:
    assert js("units", f"return {call};", unit="C") == in_c
    assert js("units", f"return {call};", unit="F") == in_f


@pytest.mark.parametrize("name", ["sheets", "tuning_parts"])
def test_an_opening_to_choose_is_called_as_the_host_says_it(name: str) -> None:
    text = (STATIC / "js" / f"{name}.js").read_text(encoding="utf-8")
    (pairs,) = re.findall(r"^const OPENINGS = (.*);$", text, re.MULTILINE)
    assert all(say_opening(value) == word for value, word in json.loads(pairs))


# ---- time -----------------------------------------------------------------------------------

ZONES = ["America/Los_Angeles", "Asia/Tokyo", "Asia/Kolkata", "Europe/Berlin", "Pacific/Chatham"]
MOMENTS = [1791655383.0, 1774745999.0, 1774746000.0, 1792889999.0, 1792890000.0, 1798761599.0]  # both nights of 2026


@pytest.mark.parametrize("zone", ZONES)
def test_a_moment_is_shown_by_the_hosts_clock(js: Run, zone: str) -> None:
    for at_s in MOMENTS:
        local = datetime.datetime.fromtimestamp(at_s, ZoneInfo(zone))
        offset_s = local.utcoffset().total_seconds()  # type: ignore[union-attr]
        shown = js(
            "time",
            "m.setClock(0, 1, x[1]); return [m.clock(x[0]), m.clock(x[0], true), m.day(x[0])];",
            [at_s, offset_s],
        )
        assert shown == [f"{local:%H:%M}", f"{local:%H:%M:%S}", f"{local:%a} {local.day} {local:%b %Y}"]


def test_the_pages_clock_runs_as_fast_as_the_hosts(js: Run) -> None:
    body = """const from = performance.now(); m.setClock(1000, x, 3600); const first = m.nowS();
      await new Promise(done => setTimeout(done, 50)); const last = m.nowS();
      return [first, last - first, (performance.now() - from) / 1000, m.speed(), m.offsetS()];"""
    first, ran_s, passed_s, speed, offset_s = js("time", body, 60)
    assert (speed, offset_s) == (60, 3600)
    assert first == pytest.approx(1000.0, abs=60.0 * passed_s)
    assert 60.0 * 0.05 * 0.9 <= ran_s <= 60.0 * passed_s + 1e-6
    assert js("time", "m.setClock(5, 0, undefined); return [m.speed(), m.offsetS()];") == [1, 3600]


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0, "0 s"), (89, "89 s"), (90, "2 min"), (5969, "99 min"), (5970, "1 h 40 min"), (7230, "2 h 01 min")],
)
def test_a_length_of_time(js: Run, seconds: float, said: str) -> None:
    assert js("time", "return m.span(x);", seconds) == said.replace(" ", NBSP)


@pytest.mark.parametrize(
    ("hours", "width_px", "step_s"),
    [(1, 620, 600), (3, 620, 1200), (3, 320, 3600), (24, 620, 10800 + 3600), (0.01, 620, 5), (2000, 100, 172800)],
)
@pytest.mark.parametrize("offset_s", [0, -25200, 19800])
def test_ticks_stand_at_round_times_of_the_hosts_clock(
    js: Run, hours: float, width_px: int, step_s: int, offset_s: int
) -> None:
    from_s, to_s = 1791650405.0, 1791650405.0 + hours * 3600.0
    body = "m.setClock(0, 1, x[3]); return m.ticks(x[0], x[1], x[2]);"
    found = js("time", body, [from_s, to_s, width_px, offset_s])
    assert found["step"] == step_s
    assert found["at"] == [at_s for at_s in range(int(from_s), int(to_s) + 1) if (at_s + offset_s) % step_s == 0]


# ---- columns --------------------------------------------------------------------------------

FILLED = "const c = new m.Columns(); c.fill({t: [10, 11, 12], pit_c: [20, null, 22], lid_open: [0, 1, 0]});"


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ("return [c.at, c.by.pit_c, c.by.stone_c];", [[10, 11, 12], [20, None, 22], [None] * 3]),
        ("return [c.add({at_s: 12, pit_c: 5}, 1), c.at.length];", [False, 3]),
        ("return [c.add({at_s: 11.5, pit_c: 5}, 1), c.at.length];", [False, 3]),
        ("return [c.add({at_s: 13, pit_c: 5}, 1), c.at, c.by.pit_c[3]];", [True, [10, 11, 12, 13], 5]),
        ("c.add({at_s: 22, pit_c: 5}, 1); return c.at;", [10, 11, 12, 22]),
        (
            "c.add({at_s: 22.5, pit_c: 5}, 1); return [c.at, c.by.pit_c];",
            [[10, 11, 12, 12.5, 22.5], [20, None, 22, None, 5]],
        ),
        ("c.add({at_s: 40, pit_c: 5}, 30); return c.at;", [10, 11, 12, 40]),
        ("return [9, 10, 11.5, 99].map(s => c.indexAt(s));", [-1, 0, 1, 2]),
        ("return [c.valueAt('pit_c', 9), c.valueAt('pit_c', 12), c.valueAt('none', 12)];", [None, 22, None]),
        ("return [c.has('pit_c'), c.has('stone_c'), c.lastS];", [True, False, 12]),
        ("return c.lids();", [[11, 12]]),
        ("c.by.why = ['paused', 'lid', 'tripped']; return c.stops();", [[10, 11], [12, 12]]),
        ("c.clear(); return [c.at, c.lastS === -Infinity];", [[], True]),
    ],
)
def test_columns(js: Run, body: str, wanted: object) -> None:
    assert js("columns", FILLED + body) == wanted


def test_a_probe_is_shown_while_it_is_in_its_piece(js: Run) -> None:
    pieces = [
        {"letter": "A", "probe": 0, "on": 5},
        {"letter": "B", "probe": 1, "on": None},
        {"letter": "C", "probe": None},
    ]
    body = "const s = m.probesSince(x, p => p.on); return [s.core1_c, s.core2_c === Infinity, s.core3_c === Infinity];"
    assert js("columns", body, pieces) == [5, True, True]  # a probe in no piece measures something else
    marks = [{"kind": "pulled", "text": "A", "at_s": 7}, {"kind": "off_stone", "text": "A", "at_s": 9}]
    assert js("columns", "return m.probesUntil(x[0], x[1]);", [pieces, marks]) == {"core1_c": 9}
    unnamed = [{"kind": "off_stone", "text": "", "at_s": 9}]
    assert js("columns", "return m.probesUntil(x[0], x[1]);", [pieces, unnamed]) == {"core1_c": 9, "core2_c": 9}


def test_a_vent_stays_where_it_was_put(js: Run) -> None:
    marks = [
        {"kind": "vent_top", "at_s": 12, "value": 1.0},
        {"kind": "vent_top", "at_s": 11, "value": 0.25},
        {"kind": "vent_bottom", "at_s": 11, "value": 0.5},
        {"kind": "vent_top", "at_s": 13, "value": None},
    ]
    body = "return m.ventColumn(x, 'vent_top', [10, 11, 11.5, 12, 14]);"
    assert js("columns", body, marks) == [None, 0.25, 0.25, 1.0, 1.0]


# ---- lanes ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("height", "air_px"), [(260, 58), (400, 76), (700, 104)])
def test_lanes_lie_one_below_the_other(js: Run, height: int, air_px: int) -> None:
    """The air takes 19 % of the height, at least 58 and at most 104 px; 30 px of marks above it."""
    lane = js("lanes", "return m.layout(x);", height)
    assert lane["airEnd"] == height - 1 and lane["airEnd"] - lane["airTop"] == air_px
    assert lane["airTop"] - lane["marks"] == 32 and lane["marks"] - lane["tempEnd"] == 6
    assert (lane["tempTop"], lane["height"], lane["marksHeight"]) == (6, height, 30)


@pytest.mark.parametrize("height", [260, 400, 700])
def test_a_scale_puts_its_ends_at_the_ends_of_its_lane(js: Run, height: int) -> None:
    body = "const lane = m.layout(x); return [lane, m.tempScale(lane, [50, 225]), m.airScale(lane)];"
    lane, temperature, air = js("lanes", body, height)

    def place_px(scale: list[float], value: float) -> float:
        return height * (scale[1] - value) / (scale[1] - scale[0])

    assert place_px(temperature, 50.0) == pytest.approx(lane["tempEnd"])
    assert place_px(temperature, 225.0) == pytest.approx(lane["tempTop"])
    assert place_px(air, 0.0) == pytest.approx(lane["airEnd"])
    assert place_px(air, 1.0) == pytest.approx(lane["airTop"])


@pytest.mark.parametrize(
    ("highest_c", "range_c"), [(0, 150), (150, 150), (150.1, 225), (325, 325), (326, 425), (999, 425)]
)
def test_the_range_is_one_of_a_few(js: Run, highest_c: float, range_c: float) -> None:
    assert js("lanes", "return m.temperatureRange(x);", highest_c) == [0, range_c]


@pytest.mark.parametrize(
    ("unit", "height_px", "shown"),
    [
        ("C", 200, [0, 50, 100, 150]),
        ("C", 300, [0, 25, 50, 75, 100, 125, 150]),
        ("C", 40, [0, 100]),
        ("F", 200, [100, 200, 300]),
        ("F", 300, [50, 100, 150, 200, 250, 300]),
    ],
)
def test_round_temperatures_stand_beside_the_lane(js: Run, unit: str, height_px: int, shown: list[int]) -> None:
    at_c = js("lanes", "return m.temperatureSteps([0, 150], x);", height_px, unit)
    in_unit = [c * 1.8 + 32 if unit == "F" else c for c in at_c]
    assert in_unit == pytest.approx(shown)
