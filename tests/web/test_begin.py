"""Begin without a file, over HTTP: the form into its plan and back, when to light, the shelf."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from emberdraft.daemon.plan import example_names, example_text, load_plan, parse_plan
from tests.waiting import until
from tests.web.conftest import FINISHED, RUNNING, Kitchen
from tests.web.real_host import Host
from tests.web.test_routes import error_of

SHOULDER = example_text("shoulder")


def formed(host: Host, text: str, form: Any = None) -> Any:
    answer = host.http.post("/api/plans/form", json={"text": text, "form": form})
    assert answer.status_code == 200
    return answer.json()


def test_a_form_comes_from_a_text_and_goes_back_into_it(host: Host) -> None:
    read = formed(host, SHOULDER)
    assert read["text"] == SHOULDER and read["fault"] is None
    assert read["values"]["pieces"][0]["mass"] == 2.5
    assert read["told"][0] | {"peak_c": []} == {
        **{"letter": "A", "name": "pork shoulder", "pull_c": 93.0, "peak_c": [], "below": False}
    }
    said = formed(host, SHOULDER, read["form"] | {"pit": "250F", "serve": "19:00"})
    plan = parse_plan(said["text"])
    assert plan.serve == "19:00" and plan.slow.target_c == pytest.approx(121.1, abs=0.1)
    assert said["form"]["pit"] == "250F"


def test_what_makes_no_plan_is_an_answer_with_the_text_as_it_was(host: Host) -> None:
    form = formed(host, SHOULDER)["form"]
    form["pieces"][0]["mass"] = ""
    said = formed(host, SHOULDER, form)
    assert said["text"] == SHOULDER and said["form"] is None
    assert said["fault"].startswith("pork shoulder: no mass and no thickness")
    assert said["advice"][0]["core_c"] == 62.8, "what the USDA advises is said meanwhile"


def test_an_unknown_key_of_a_form_is_refused(host: Host) -> None:
    answer = host.http.post("/api/plans/form", json={"text": SHOULDER, "form": {"name": "x", "pit": "1C", "smoke": 1}})
    assert answer.status_code == 400
    assert "smoke" in str(error_of(answer)["what"])


def answered(host: Host, text: str) -> Any:
    got: list[Any] = []

    def there() -> bool:
        got.append(host.http.post("/api/plans/when", json={"text": text}))
        return got[-1].status_code != 200 or got[-1].json()["state"] == "done"

    until(there)
    return got[-1]


def test_when_to_light_is_reckoned_beside_and_now_is_answered_meanwhile(host: Host) -> None:
    host.reading()
    text = f'serve = "19:00"\n{example_text("thick_chops")}'
    host.http.post("/api/plans/when", json={"text": text})
    began_s = time.process_time()
    assert host.http.get("/api/now").status_code == 200
    assert time.process_time() - began_s < 0.5, "it is not drawn in the page's own process"
    found = answered(host, text).json()["found"]
    assert found["light_by"] < found["serve_at"] and found["serve_at"][11:16] == "19:00"
    assert found["on_time_share"] == 0.9
    assert found["charcoal_low_kg"] < found["charcoal_kg"] < found["to_light_kg"]
    assert {step["step"] for step in found["steps"]} >= {"A on", "B on", "sear", "ready"}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('serve = "2020-01-01 19:00"', "dinner at 19:00 on 2020-01-01: that has passed"),
        ("", "no hour of dinner"),
        ('serve = "9:99"', "serve '9:99'"),
    ],
)
def test_an_hour_that_cannot_be_is_refused_in_one_line(host: Host, line: str, said: str) -> None:
    answer = answered(host, f"{line}\n{SHOULDER}")
    assert answer.status_code == 409
    assert said in str(error_of(answer)["what"]) and "\n" not in str(error_of(answer)["what"])


def test_an_hour_that_is_too_near_is_refused_with_the_earliest_and_its_odds(host: Host) -> None:
    host.reading()
    soon = time.strftime("%Y-%m-%d %H:%M", time.localtime(host.service.now()["now_s"] + 3600.0))
    answer = answered(host, f'serve = "{soon}"\n{SHOULDER}')
    assert answer.status_code == 409
    said = str(error_of(answer)["what"])
    assert "cannot be reached" in said and "nine times in ten" in said


def test_the_form_of_one_of_ours_is_a_persons_own_and_of_a_file_the_file(host: Host) -> None:
    page = host.http.get("/begin?open=shoulder").text
    assert "invented = true" not in page and "A pork shoulder" in page
    host.shelf.save("mine", SHOULDER + "# mine\n")
    assert "# mine" in host.http.get("/begin?open=mine").text
    assert host.http.get("/begin?open=nothing").status_code == 404


def test_again_of_a_cook_in_which_nothing_was_done_is_its_plan(host: Host) -> None:
    host.service.start_cook(load_plan("hold"))
    assert host.http.get("/api/plans/again.1").status_code == 409
    assert "Hold 121" in host.http.get("/begin?open=again.1").text


def test_again_of_a_cook_opens_what_was_done(shared: Kitchen) -> None:
    assert "Two chops: tempered and cold, again" in shared.http.get(f"/begin?open=again.{FINISHED}").text
    assert f'"running":{{"id":{RUNNING}' in shared.http.get("/begin").text


def test_the_shelf_has_every_plan_with_the_words_it_is_found_by(host: Host) -> None:
    host.shelf.save("mine", SHOULDER.replace("A pork shoulder", "Sunday"))
    host.shelf.save("draft", "version = 1")
    page = host.http.get("/shelf").text
    for name in (*example_names(), "mine", "draft"):
        assert f'"id":"{name}"' in page
    assert "beef brisket" in page and "vents by hand" in page


def test_nothing_is_kept_by_asking(host: Host, tmp_path: Path) -> None:
    formed(host, SHOULDER, formed(host, SHOULDER)["form"])
    assert not host.shelf.folder.exists()
    assert host.service.now()["cook"] is None
