"""One tap deeper: charcoal that is watched, the stone's face, the moment of the climb, why it is not hotter, vents."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from emberdraft.daemon.deeper import deeper
from emberdraft.daemon.face_book import FaceBook, crust_words, face_lines, face_words
from emberdraft.daemon.foretold import more_for, stone_to_come
from emberdraft.daemon.fuel_watch import FuelWatch, had_kg
from emberdraft.daemon.fuel_words import fuel_lines
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.marks import checked
from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.steps import stretches_left, stretches_of
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.watch import DEEDS_S, TWIN_S
from emberdraft.errors import UserError
from emberdraft.mark_words import label
from emberdraft.ready.face import learn
from emberdraft.ready.fuel import FuelSaid
from tests.daemon.cook import Cook, plan_of

LONG_REST = ('rest = "5 min"', 'rest = "60 min"')
SAID = FuelSaid(0.6, 1.0, 1.6, {"slow": 0.4}, 0.2, 0.4)


# ---- charcoal


def test_the_phases_that_are_left_begin_with_the_one_in_force():
    plan = plan_of()
    assert stretches_left(plan, [], 0.0) == stretches_of(plan)
    left = stretches_left(plan, ["light", "soak", "slow"], 600.0)
    assert (left[0].phase, left[0].seconds) == ("slow", 600.0)
    assert [s.phase for s in left] == ["slow", "climb", "sear"]


def test_what_was_put_in_is_the_plans_mass_and_each_mark_and_else_not_known():
    plan = plan_of(('vent_top = "1/4"', 'vent_top = "1/4"\ncharcoal = "2 kg"'))
    assert had_kg(plan, []) == 2.0
    assert had_kg(plan, [{"kind": "fuel", "value": 0.5}, {"kind": "note", "value": None}]) == 2.5
    assert had_kg(plan, [{"kind": "fuel", "value": None}]) is None
    assert had_kg(plan_of(), []) is None


@pytest.mark.parametrize("kg", ["20 g", "60 kg"])
def test_a_mass_of_charcoal_that_no_cooker_takes_is_refused(kg):
    with pytest.raises(UserError, match=r"\[light\] charcoal .*100g to 50kg"):
        plan_of(('vent_top = "1/4"', f'vent_top = "1/4"\ncharcoal = "{kg}"'))


def test_short_is_said_an_hour_ahead_and_stays_until_a_tenth_more_is_there():
    watch = FuelWatch(TwinDesk(lambda job: job()))
    watch.said, watch.left_s = SAID, 3.0 * 3600.0
    # Of 1.0 kg 0.85 burn, 0.45 are left, 0.6 are needed for 3 h: 2.25 h to go, too early to say.
    assert watch.short(1.0) is False
    watch.left_s = 3600.0
    assert watch.short(1.0) is True
    # 0.64 of the 0.6 that are needed: enough for a cook not yet called short, not for one that was.
    assert watch.short(1.22) is True
    assert watch.short(1.3) is False
    assert watch.short(1.22) is False
    assert watch.short(None) is False


def test_charcoal_words_say_the_band_what_has_burnt_and_whether_it_lasts():
    said = " ".join(fuel_lines(SAID, 1.0)).replace("\u00a0", " ")
    assert "about 1.0 kg of charcoal, probably 0.6 kg to 1.6 kg" in said
    assert "about 0.4 kg has burnt" in said
    assert "may run short" in said
    assert "is not enough" in fuel_lines(SAID, 0.5)[-1]
    assert "that is enough" in fuel_lines(SAID, 2.0)[-1]


def test_a_notice_comes_stands_when_acknowledged_and_ends_with_new_charcoal(rig):
    text = plan_of(('vent_top = "1/4"', 'vent_top = "1/4"\ncharcoal = "1 kg"')).text
    rig.service.start_cook(parse_plan(text))
    rig.run(3)
    fuel = rig.service.live.fuel
    assert fuel.said is not None, "the plan alone says it before the fire is lit"
    fuel.said, fuel.left_s = SAID, 1800.0
    rig.quiet(3)
    assert [a["id"] for a in rig.service.now()["alarms"]] == ["fuel_short"]
    assert "0.45\u00a0kg is left to burn, 0.60\u00a0kg is needed" in rig.service.now()["alarms"][0]["cause"]
    assert sum("alarm:fuel_short" in n["calls"] for n in rig.notices) == 1
    rig.quiet(150)
    assert sum("alarm:fuel_short" in n["calls"] for n in rig.notices) == 2
    rig.service.command("acknowledge", id="fuel_short")
    rig.quiet(600)
    assert sum("alarm:fuel_short" in n["calls"] for n in rig.notices) == 2
    rig.service.mark("fuel", 1.0)
    rig.quiet(2)
    assert "fuel_short" not in [a["id"] for a in rig.service.now()["alarms"]]


def test_a_mark_of_charcoal_may_say_how_much():
    checked("fuel", None, "")
    checked("fuel", 1.5, "")
    assert label({"kind": "fuel", "value": 1.5, "text": ""}) == "Fuel added 1.5\u00a0kg"
    with pytest.raises(UserError, match="kg"):
        checked("fuel", 500.0, "")


# ---- the stone's face


def test_an_infrared_reading_teaches_the_difference_and_the_next_cook_knows_it(rig):
    rig.service.start_cook(plan_of())
    rig.run(20, stone_c=240.0)
    rig.store.add_records("yard", "b1", [{**rig.row, "seq": 1, "ms": 1000, "at_s": rig.clock.at_s - 2.0}])
    rig.service.mark("stone_face", 270.0)
    over = rig.service.live.face.over
    # Normal prior 0 +- 20, a reading of 30 +- 8: 30 * 20^2 / (20^2 + 8^2) = 25.9.
    assert (over.count, round(over.over_c, 1)) == (1, 25.9)
    rig.again()
    assert rig.service.live.face.over == over
    undo_id = rig.service.now()["marks"][-1]["id"]
    rig.service.undo(undo_id)
    assert rig.service.live.face.over.count == 0


def test_the_face_is_estimated_and_never_called_measured():
    known, unknown = learn([(290.0, 265.0)]), learn([])
    assert "estimated from 1 infrared reading" in str(face_words(known, 270.0))
    assert "not known" in str(face_words(unknown, 270.0))
    no_probe = " ".join(map(str, face_lines(unknown, None, (240.0, 260.0, 285.0))))
    assert "No stone probe: about 260" in no_probe
    assert "estimate" in no_probe
    assert "measured" not in no_probe


def test_the_crust_rule_of_thumb_is_said_as_one():
    # 75 s at 260 degC, half of it for each 40 degC more: ready/stone.py, common practice.
    assert "75\u00a0s" in crust_words(260.0)
    assert "40\u00a0s" in crust_words(300.0)
    assert "rule of thumb" in crust_words(260.0)


def test_sear_prompts_say_the_face_over_the_bead():
    live = LiveView()
    live.row, live.view.heard_s = {"stone_c": 270.0}, 0.0
    live.face.over = learn([(295.0, 270.0)])
    prompt = SimpleNamespace(kind="sear_on", letters=["A"])
    said = str(more_for(prompt, live, 0.0, Cook(plan_of()).conductor))
    assert "Its face is about 292" in said
    assert "a side there" in said


# ---- when the climb is offered


def resting(*changes) -> Cook:
    c = Cook(plan_of(LONG_REST, *changes)).to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [60.0, 60.0]
    c.tick(5)
    while c.conductor.prompts:
        c.answer("pull")
    return c


def test_the_climb_is_offered_so_that_the_stone_is_ready_as_the_rest_ends():
    c = resting()
    c.view.stone_in_s = 1200.0
    c.tick(60)
    assert c.conductor.step == "ask_vent"
    assert c.kinds() == []
    c.tick(3600 - 1200 - int(DEEDS_S) - 120)
    assert c.kinds() == []
    c.tick(150)
    assert c.kinds() == ["open_vent"]
    # It stays up, however long the twin then says it takes.
    c.view.stone_in_s = 60.0
    c.tick(5)
    assert c.kinds() == ["open_vent"]


def test_without_a_word_from_the_twin_it_is_offered_soon():
    c = resting()
    c.tick(int(TWIN_S) + 5)
    assert c.kinds() == ["open_vent"]


def test_a_short_rest_is_not_waited_for():
    c = Cook(plan_of()).to("ask_vent")
    c.view.stone_in_s = 1.0
    c.tick()
    assert c.kinds() == ["open_vent"]


def test_what_is_to_come_says_when_it_is_best_started():
    c = resting()
    c.tick()
    live = LiveView()
    live.view.stone_in_s = 1200.0
    live.stone.said = {"eta_s": c.now_s + 1200.0, "low_s": c.now_s + 900.0, "high_s": c.now_s + 1500.0,
                       "at_s": c.now_s, "value_c": 270.0, "measured": True}  # fmt: skip
    c.conductor.stage.view = live.view
    (row,) = stone_to_come(c.conductor, live, c.now_s)
    assert row["text"].startswith("Start the climb, if you agree then")
    assert row["at_s"] > c.now_s + 1800.0


def test_a_stone_that_is_late_is_said_with_the_prompt():
    c = Cook(plan_of()).to("ask_vent")
    c.tick()
    live = LiveView()
    live.stone.said = {"eta_s": c.now_s + 1500.0, "low_s": c.now_s + 900.0, "high_s": c.now_s + 1800.0,
                       "at_s": c.now_s, "value_c": 270.0, "measured": True}  # fmt: skip
    said = more_for(c.conductor.prompts[0], live, c.now_s, c.conductor)
    assert "after its rest" in said


# ---- all of it on the page


def test_every_part_is_there_and_says_nothing_before_a_cook(rig):
    assert set(deeper(rig.service)) == {"change", "why", "pull", "fuel", "vents", "stone_face", "probes"}
    assert all(part is None for part in deeper(rig.service).values())
    rig.service.start_cook(plan_of())
    rig.run(3)
    parts = rig.service.now()["deeper"]
    assert parts["fuel"]["kg"] > 0.1
    assert any("top vent" in str(line) for line in parts["vents"]["lines"])
    assert parts["why"] is None


def test_a_book_without_readings_knows_nothing():
    assert FaceBook().over.count == 0
