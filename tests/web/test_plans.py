"""Plans over HTTP: what can be opened, what a check says, what is kept under which names, a cook begun and ended."""

from __future__ import annotations

import pytest

from emberdraft.daemon.plan import example_names, example_text, load_plan, parse_plan
from tests.web.conftest import FINISHED, RUNNING, Kitchen
from tests.web.real_host import Host
from tests.web.test_routes import OF_PLANS, error_of

HOLD = example_text("hold")


def test_examples_own_files_and_earlier_cooks_can_be_opened(host: Host) -> None:
    host.shelf.save("mine", HOLD)
    cook_id = host.service.start_cook(load_plan("two_chops"))
    listed = host.http.get("/api/plans").json()
    kinds = {entry["id"]: entry["kind"] for entry in listed["plans"]}
    assert kinds == {"mine": "file", f"cook.{cook_id}": "cook", **dict.fromkeys(example_names(), "example")}
    assert listed["running"] == {"id": cook_id, "name": "Two chops: tempered and cold", "phase": None, "out": True}
    texts = {name: host.http.get(f"/api/plans/{name}").json()["text"] for name in kinds}
    assert texts["mine"] == HOLD
    assert texts[f"cook.{cook_id}"] == texts["two_chops"] == example_text("two_chops")


@pytest.mark.parametrize("name", ["nothing", "cook.99", "cook.x", "again.99", "..%2Fcooks", ".hidden"])
def test_a_plan_that_is_not_there_is_404(shared: Kitchen, name: str) -> None:
    answer = shared.http.get(f"/api/plans/{name}")
    assert answer.status_code == 404
    error_of(answer)


def test_a_check_names_place_value_and_what_would_be_right(host: Host) -> None:
    wrong = HOLD.replace('[slow]\ntarget = "121C"', '[slow]\ntarget = "121"')
    answer = host.http.post("/api/plans/check", json={"text": wrong})
    assert answer.status_code == 200
    fault = answer.json()["fault"]
    assert "[slow] target" in fault and "'121'" in fault and "121C or 250F" in fault
    assert "\n" not in fault


def test_a_check_of_a_good_plan_says_what_it_is(host: Host) -> None:
    answer = host.http.post("/api/plans/check", json={"text": example_text("two_chops")}).json()
    plan = load_plan("two_chops")
    assert (answer["fault"], answer["name"], answer["phases"]) == (None, plan.name, plan.phases)
    assert answer["pieces"] == ["tempered chop (A)", "cold chop (B)"]


def test_a_saved_plan_is_the_text_to_the_letter(host: Host) -> None:
    text = HOLD.replace("Hold 121", "Brûlé: hold 121")
    answer = host.http.post("/api/plans/save", json={"name": "mine-2", "text": text})
    assert answer.status_code == 200 and answer.json()["fault"] is None
    assert (host.shelf.folder / "mine-2.toml").read_text(encoding="utf-8") == text
    assert [path.name for path in host.shelf.folder.iterdir()] == ["mine-2.toml"]


def test_a_plan_that_is_not_finished_is_kept_and_its_fault_told(host: Host) -> None:
    answer = host.http.post("/api/plans/save", json={"name": "draft", "text": "version = 1\n"})
    assert answer.status_code == 200 and "name is missing" in answer.json()["fault"]
    assert host.shelf.text("draft") == "version = 1\n"


def test_a_file_is_written_over_only_when_that_is_said(host: Host) -> None:
    for text, more, status in (("a = 1", {}, 200), ("b = 1", {}, 409), ("c = 1", {"replace": True}, 200)):
        assert host.http.post("/api/plans/save", json={"name": "mine", "text": text, **more}).status_code == status
    assert host.shelf.text("mine") == "c = 1"


def test_a_name_that_is_none_is_refused_and_nothing_is_written(host: Host) -> None:
    for name in ("", "../up", "a/b", "Mine", "a.toml", "cook.1", ".x", "-x", "x" * 61, "two_chops"):
        answer = host.http.post("/api/plans/save", json={"name": name, "text": HOLD})
        assert answer.status_code == 409, name
        assert "would be right" in str(error_of(answer)["what"])
    assert not host.shelf.folder.exists()


def test_a_folder_that_cannot_be_written_is_said_in_words(host: Host) -> None:
    host.shelf.folder.write_text("a file where the folder should be")
    answer = host.http.post("/api/plans/save", json={"name": "mine", "text": HOLD})
    assert answer.status_code == 409
    assert "not saved" in str(error_of(answer)["what"])


def test_a_host_without_a_folder_refuses_to_save(kitchen: Kitchen) -> None:
    answer = kitchen.post("/api/plans/save", {"name": "mine", "text": HOLD})
    assert answer.status_code == 409
    assert "no folder" in str(error_of(answer)["what"])


def test_a_cook_is_begun_with_the_text_and_gives_no_heat(host: Host) -> None:
    text = HOLD + "# mine\n"
    cook_id = host.http.post("/api/plans/start", json={"text": text}).json()["cook_id"]
    assert host.service.plan_text() == text
    assert host.http.get(f"/api/cooks/{cook_id}").json()["cook"]["end_s"] is None
    host.reading()
    assert [order for order in host.orders.sent if order[0] == "mode"] == []


def test_a_second_cook_is_refused_while_one_is_running(host: Host) -> None:
    host.service.start_cook(parse_plan(HOLD))
    answer = host.http.post("/api/plans/start", json={"text": HOLD})
    assert answer.status_code == 409
    assert "still running" in str(error_of(answer)["what"])


def test_a_cook_is_not_begun_with_a_plan_that_has_a_fault(host: Host) -> None:
    answer = host.http.post("/api/plans/start", json={"text": HOLD.replace("121C", "900C")})
    assert answer.status_code == 409
    assert "900C" in str(error_of(answer)["what"])
    assert host.service.now()["cook"] is None


def test_a_record_is_ended_after_the_fire_is_out_or_when_the_person_insists(host: Host) -> None:
    host.service.start_cook(parse_plan(HOLD))
    assert host.http.post("/api/plans/end", json={}).status_code == 200, "nothing was lit yet"
    assert host.service.now()["cook"] is None
    answer = host.http.post("/api/plans/end", json={})
    assert answer.status_code == 409 and "no cook is running" in str(error_of(answer)["what"])


def test_a_record_over_a_burning_fire_is_ended_only_anyway(kitchen: Kitchen) -> None:
    answer = kitchen.post("/api/plans/end", {})
    assert answer.status_code == 409
    assert error_of(answer)["right"] == "put the fire out first"
    assert kitchen.service.now()["cook"]["id"] == RUNNING
    assert kitchen.post("/api/plans/end", {"anyway": True}).status_code == 200
    assert kitchen.service.now()["cook"] is None


def test_the_running_plan_is_the_one_that_is_opened(shared: Kitchen) -> None:
    assert f'"opened":{{"id":"cook.{RUNNING}"' in shared.http.get("/plans").text
    assert '"opened":{"id":"hold"' in shared.http.get("/plans?open=hold").text
    assert shared.http.get("/plans?open=nothing").status_code == 404


def test_again_is_the_plan_with_each_difference_to_be_taken(shared: Kitchen) -> None:
    opened = shared.http.get(f"/api/plans/again.{FINISHED}").json()
    assert (opened["kind"], opened["title"]) == ("again", "Two chops: tempered and cold, again")
    assert parse_plan(opened["text"]).phases == load_plan("two_chops").phases
    assert opened["differences"] and all(one["text"] in opened["text"] for one in opened["differences"])
    first = opened["differences"][0]
    taken = shared.http.get(f"/api/plans/again.{FINISHED}?take={first['id']}").json()
    assert [one["id"] for one in taken["differences"] if one["taken"]] == [first["id"]]
    assert taken["text"] != opened["text"]
    assert shared.http.get(f"/api/plans/again.{FINISHED}?take=nothing").status_code == 409


def test_again_of_a_cook_in_which_nothing_was_held_is_refused_in_words(host: Host) -> None:
    host.service.start_cook(parse_plan(HOLD))
    answer = host.http.get("/api/plans/again.1")
    assert answer.status_code == 409
    assert "nothing to do again" in str(error_of(answer)["what"])


@pytest.mark.parametrize("path", OF_PLANS)
@pytest.mark.parametrize("body", [[], {"txt": ""}, {"text": 5}, {"name": "a"}])
def test_a_wrong_body_is_refused(shared: Kitchen, path: str, body: object) -> None:
    answer = shared.post(path, body)
    assert answer.status_code == 400
    error_of(answer)
    assert shared.service.now()["cook"]["id"] == RUNNING


def test_a_plan_of_no_page_is_refused(host: Host) -> None:
    answer = host.http.post("/api/plans/check", json={"text": "#" * 300_000})
    assert answer.status_code == 413
    error_of(answer)
