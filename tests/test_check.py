"""`make check` picks what a change touches, the nearest first, within its time."""

from __future__ import annotations

import pytest

from tests import check

TESTS = [
    "tests/food/test_brine.py",
    "tests/trials/test_compare.py",
    "tests/virtual/test_lockstep.py",
    "tests/web/test_acts.py",
    "tests/web/test_http_page.py",
    "tests/core/test_pid.py",
    "tests/test_docs_links.py",
]


@pytest.mark.parametrize(
    ("name", "first", "not_touched"),
    [
        ("host/emberdraft/food/brine.py", "tests/food/test_brine.py", "tests/core/test_pid.py"),
        ("host/emberdraft/trials/compare.py", "tests/trials/test_compare.py", "tests/food/test_brine.py"),
        ("firmware/emberboard/core/pid.py", "tests/core/test_pid.py", "tests/trials/test_compare.py"),
        ("firmware/boot.py", "tests/virtual/test_lockstep.py", "tests/core/test_pid.py"),
        ("host/emberdraft/web/static/js/strip.js", "tests/web/test_http_page.py", "tests/core/test_pid.py"),
        ("docs/reference/http.md", "tests/web/test_http_page.py", "tests/web/test_acts.py"),
        ("docs/howto/trial.md", "tests/test_docs_links.py", "tests/trials/test_compare.py"),
        ("tests/web/conftest.py", "tests/web/test_http_page.py", "tests/food/test_brine.py"),
    ],
)
def test_a_change_is_looked_at_by_the_tests_that_reach_it(name: str, first: str, not_touched: str) -> None:
    run, left = check.chosen([name], TESTS, dict.fromkeys(TESTS, 0.1))
    assert first in run
    assert left == []
    assert not_touched not in run


def test_a_script_of_the_page_is_spoken_of_by_the_pages_tests() -> None:
    """`strip` is a word of the store as well."""
    assert check.speaks_of("tests/web/test_js_modules.py", ["host/emberdraft/web/static/js/units.js"])
    assert not check.speaks_of("tests/store/test_strip.py", ["host/emberdraft/web/static/js/strip.js"])


def test_the_nearest_come_first_and_what_has_no_room_is_named() -> None:
    names = ["tests/web/test_acts.py", "host/emberdraft/food/brine.py"]
    took_s = {"tests/food/test_brine.py": 20.0, "tests/web/test_acts.py": 500.0, "tests/web/test_http_page.py": 1e3}
    run, left = check.chosen(names, TESTS, took_s)
    assert run[0] == "tests/web/test_acts.py", "what was changed is run, however long it takes"
    assert "tests/web/test_http_page.py" in left
    run, left = check.chosen(names[1:], TESTS, took_s)
    assert run[0] == "tests/food/test_brine.py" and left == [TESTS[4], TESTS[3]]
