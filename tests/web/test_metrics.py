"""GET /metrics, read by Prometheus' own parser."""

from __future__ import annotations

from prometheus_client.parser import text_string_to_metric_families

from emberdraft.web.metrics import metrics_text
from tests.daemon.test_homie import state
from tests.web.conftest import Kitchen


def _samples(text: str) -> dict[tuple[str, ...], float]:
    found = {}
    for family in text_string_to_metric_families(text):
        assert family.type == "gauge" and family.documentation
        for sample in family.samples:
            labels = tuple(sample.labels.get(key, "") for key in ("cooker", "what", "word"))
            found[(sample.name, *labels)] = sample.value
    return found


def test_the_page_is_read_by_the_parser(shared: Kitchen) -> None:
    answer = shared.http.get("/metrics")
    assert answer.headers["content-type"].startswith("text/plain; version=0.0.4")
    found = _samples(answer.text)
    pit = next(row["value"] for row in shared.service.now()["ledger"] if row["key"] == "pit")
    names = {name for name, *_ in found}
    assert abs(next(v for (name, _, what, _), v in found.items() if what == "pit") - pit) < 30.0
    assert {"emberdraft_temperature_celsius", "emberdraft_share_ratio", "emberdraft_heard_seconds"} <= names


def test_values_units_and_words() -> None:
    found = _samples(metrics_text([state(), state(cooker="yard", mode="off")]))
    assert found[("emberdraft_temperature_celsius", "garden", "pit", "")] == 121.4
    assert found[("emberdraft_share_ratio", "garden", "blower", "")] == 0.42
    assert found[("emberdraft_state", "garden", "heard", "")] == 1.0
    assert found[("emberdraft_word_info", "yard", "mode", "off")] == 1.0
    assert found[("emberdraft_heard_seconds", "garden", "", "")] == 0.4


def test_a_silent_board_leaves_no_number_that_looks_live() -> None:
    found = _samples(metrics_text([state(link={"state": "silent", "heard_s": 90.0})]))
    assert not any(name == "emberdraft_temperature_celsius" for name, *_ in found)
    assert found[("emberdraft_state", "garden", "heard", "")] == 0.0
    assert found[("emberdraft_heard_seconds", "garden", "", "")] == 90.0


def test_a_label_with_quotes_and_line_ends_is_still_read() -> None:
    found = _samples(metrics_text([state(cooker='a "b"\\c\nd')]))
    assert ("emberdraft_temperature_celsius", 'a "b"\\c\nd', "pit", "") in found


def test_nothing_can_be_written_to_it(shared: Kitchen) -> None:
    assert shared.post("/metrics", {}).status_code == 405
