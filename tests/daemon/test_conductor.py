"""The conductor: the way through a cook, and what it refuses on the way."""

from __future__ import annotations

import copy
import json

import pytest

from emberdraft.daemon import prompts
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan import example_text, parse_plan
from emberdraft.daemon.steps import BEFORE, STEPS, RefusedError, diagram
from tests.daemon.cook import Cook, plan_of

HOLD = example_text("hold")
EVENTS = sorted({event for step in STEPS.values() for event in step.follows()})


def cook(*changes: tuple[str, str]) -> Cook:
    return Cook(plan_of(*changes))


# ---- the table


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("event", EVENTS)
def test_each_pair_of_step_and_event_moves_or_raises_and_changes_nothing(step, event):
    conductor = Conductor(plan_of())
    conductor.run.step, conductor.run.before = step, "slow"
    conductor.run.phases = []
    before = copy.deepcopy(conductor.state())
    if event in STEPS[step].follows():
        conductor.stage.go(event)
        expected = STEPS[step].follows()[event]
        assert conductor.step == ("slow" if expected == BEFORE else passed(expected))
    else:
        with pytest.raises(RefusedError, match=event):
            conductor.stage.go(event)
        assert conductor.state() == before


def passed(step: str) -> str:
    """This plan seasons nothing between pulling and climbing: it rests while it climbs; at its end it asks nothing."""
    return {"rest": "ask_vent", "ask_end": "bank"}.get(step, step)


def test_the_fire_can_be_put_out_from_every_step_that_heats():
    heated = [step for step in STEPS.values() if step.name not in ("ready", "bank", "done")]
    assert all(step.follows()["put_out"] == "bank" for step in heated)


def test_every_step_can_be_reached_and_has_a_way_to_the_end():
    reached = {to for step in STEPS.values() for to in step.follows().values()} - {BEFORE}
    assert reached == set(STEPS) - {"ready"}
    assert [name for name, step in STEPS.items() if not step.follows()] == ["done"]
    assert len(diagram().splitlines()) == len(STEPS)


# ---- the way through


def test_a_whole_cook_goes_through_all_phases_in_order():
    c = cook().to("done")
    assert [a.name for a in c.log if a.kind == "phase"] == ["light", "soak", "slow", "climb", "sear", "bank"]
    assert [a for a in c.log if a.kind == "end"]
    modes = [(o["mode"], o["phase"]) for o in c.orders()]
    assert modes == [
        ("hold", "light"),
        ("hold", "soak"),
        ("hold", "slow"),
        ("drive", "climb"),
        ("drive", "sear"),
        ("bank", "bank"),
    ]


def test_a_plan_without_food_passes_over_what_it_does_not_have():
    c = Cook(parse_plan(HOLD))
    c.tick()
    c.answer("light")
    c.view.pit_c = 121.0
    c.tick(62)
    assert c.conductor.step == "soak"
    c.tick(1200)
    assert c.conductor.step == "slow"
    c.tick(3 * 3600)
    assert c.conductor.step == "bank"


def test_a_steak_alone_needs_no_slow_phase():
    plan = parse_plan(
        'version = 1\nname = "x"\n[light]\ntarget = "150C"\n[climb]\nstone = "300C"\n[sear]\nper_side = "60s"'
    )
    c = Cook(plan)
    c.tick()
    c.answer("light")
    c.view.pit_c = 150.0
    c.tick(62)
    assert c.conductor.step == "ask_vent"


def test_nothing_is_ordered_before_the_fire_is_lit():
    c = cook()
    c.tick(600)
    assert c.orders() == []
    assert c.kinds() == ["light"]


def test_lighting_marks_the_vents_and_starts_the_board_with_a_person_there():
    c = cook()
    c.tick()
    c.answer("light")
    assert c.marks() == ["lit", "vent_bottom", "vent_top"]
    assert c.orders() == [{"mode": "hold", "phase": "light", "target_c": 115.0, "at_cooker": True}]
    assert c.orders("vent") == [{"vent": "bottom", "opening": 1.0}, {"vent": "top", "opening": 0.25}]


def test_a_fire_that_does_not_come_up_is_asked_about():
    c = cook()
    c.tick()
    c.answer("light")
    c.view.pit_c = 60.0
    c.tick(4501)
    assert c.kinds() == ["look_at_fire"]
    c.answer("look_at_fire")
    c.tick(4000)
    assert c.kinds() == []


def test_the_pit_must_stay_near_for_a_minute_before_the_soak_begins():
    c = cook()
    c.tick()
    c.answer("light")
    c.view.pit_c = 113.0
    c.tick(50)
    c.view.pit_c = 90.0
    c.tick(1)
    c.view.pit_c = 113.0
    c.tick(50)
    assert c.conductor.step == "light"
    c.tick(12)
    assert c.conductor.step == "soak"


# ---- soak


def test_the_soak_waits_until_the_walls_take_up_less_heat():
    c = cook((('longest = "30 min"'), 'longest = "3h"')).to("soak")
    for minute in range(40):
        c.view.duty = 0.6 - 0.01 * minute
        c.tick(60)
    assert c.conductor.step == "soak"
    c.view.duty = 0.2
    c.tick(12 * 60)
    assert c.conductor.step == "set_up"


def test_the_soak_ends_at_its_longest_time_and_says_so():
    c = cook().to("soak")
    c.view.pit_c = 90.0
    actions = c.tick(1801)
    assert c.conductor.step == "set_up"
    assert any("longest" in a.args["text"] for a in actions if a.kind == "say")


def test_time_with_the_lid_open_is_not_soak():
    c = cook().to("soak")
    c.view.lid_open = True
    c.tick(1000)
    assert c.conductor.run.soak.at_heat_s == 0.0


# ---- pieces


def test_pieces_go_on_together_and_the_board_learns_each_pull_temperature():
    c = cook().to("slow")
    c.tick()
    assert c.conductor.prompts[0].letters == ["A", "B"]
    c.answer("put_on")
    assert c.orders("pieces") == [{"pull_c": [57.0, 57.0]}]
    assert c.marks().count("piece_on") == 2


def test_a_piece_that_comes_later_waits_for_its_time():
    c = cook(('letter = "B"', 'letter = "B"\non_after = "20 min"')).to("slow")
    c.tick()
    assert c.conductor.prompts[0].letters == ["A"]
    c.answer("put_on")
    assert c.orders("pieces")[-1] == {"pull_c": [57.0, None]}
    c.tick(1200)
    assert c.conductor.prompts[0].letters == ["B"]


def test_each_piece_is_pulled_at_its_own_temperature_and_the_other_cooks_on():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [57.0, 50.0]
    c.tick(3)
    assert [(p.kind, p.letters) for p in c.conductor.prompts] == [("pull", ["A"])]
    c.answer("pull")
    assert c.orders("pulled") == [{"index": 0}]
    c.tick(60)
    assert c.conductor.step == "slow"
    assert c.kinds() == []
    c.view.core_c = [20.0, 57.2]
    c.tick(3)
    assert [(p.kind, p.letters) for p in c.conductor.prompts] == [("pull", ["B"])]


def test_one_hot_sample_is_not_a_pull():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [58.0, 50.0]
    c.tick(2)
    c.view.core_c = [50.0, 50.0]
    c.tick(5)
    assert c.kinds() == []


def test_the_temperature_at_the_pull_is_the_last_in_the_piece_not_that_of_the_yard():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [57.5, 50.0]
    c.tick(3)
    c.view.core_c = [20.0, 50.0]
    c.tick(3)
    c.answer("pull")
    assert c.conductor.stage.piece("A").pulled_c == 57.5


def test_a_piece_without_a_probe_is_asked_about_after_its_time():
    c = cook(("probe = 1", 'check_after = "30 min"')).to("slow")
    c.tick()
    c.answer("put_on")
    assert c.orders("pieces")[-1] == {"pull_c": [57.0]}
    c.tick(1800)
    assert [(p.kind, p.letters) for p in c.conductor.prompts] == [("check", ["B"])]
    c.answer("check")
    assert c.orders("pulled") == []


def test_a_piece_can_be_pulled_early_and_its_prompt_goes():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.command("pulled", letter="A")
    assert c.conductor.stage.piece("A").state == "resting"
    with pytest.raises(RefusedError, match="in now: B"):
        c.conductor.command("pulled", c.now_s, letter="A")


# ---- the climb


def test_the_climb_is_never_offered_while_a_piece_is_in():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [57.0, 50.0]
    c.tick(3)
    c.answer("pull")
    c.tick(20_000)
    assert c.conductor.step == "slow"
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="B still in"):
        c.conductor.command("next_phase", c.now_s, at_cooker=True)
    assert c.conductor.state() == before


def test_the_climb_asks_for_the_vent_then_for_a_yes_and_orders_only_then():
    c = cook().to("ask_vent")
    c.tick(3600)
    assert c.conductor.step == "ask_vent"
    assert not [o for o in c.orders() if o["mode"] == "drive"]
    c.answer("open_vent")
    assert c.orders("vent")[-1] == {"vent": "top", "opening": 1.0}
    c.tick(3600)
    assert not [o for o in c.orders() if o["mode"] == "drive"]
    c.answer("start_climb")
    assert c.orders()[-1] == {
        "mode": "drive",
        "phase": "climb",
        "stone_c": 270.0,
        "pit_limit_c": 350.0,
        "longest_s": 2700.0,
        "at_cooker": True,
    }


def test_the_yes_must_be_said_at_the_cooker():
    c = cook().to("ask_climb")
    c.tick()
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="at the cooker"):
        c.answer("start_climb", at_cooker=False)
    assert c.conductor.state() == before


def test_the_yes_cannot_be_skipped():
    c = cook().to("ask_climb")
    with pytest.raises(RefusedError, match="press its button"):
        c.conductor.command("next_phase", c.now_s, at_cooker=True)


def test_the_stone_is_not_called_ready_before_the_food_has_rested():
    c = cook().to("ask_climb")
    c.conductor.stage.piece("B").pulled_s = c.now_s
    c.tick()
    c.answer("start_climb")
    c.view.stone_c = 271.0
    c.tick(200)
    assert c.conductor.step == "climb"
    c.tick(200)
    assert c.conductor.step == "ask_sear"


def test_a_climb_that_does_not_arrive_offers_the_stone_as_it_is():
    c = cook().to("climb")
    c.view.stone_c = 240.0
    c.tick(2701)
    assert c.kinds() == ["climb_over"]
    c.answer("climb_over")
    assert c.conductor.step == "ask_sear"


def test_a_climb_without_a_stone_probe_ends_by_the_estimate_not_by_its_longest_time():
    c = Cook(plan_of()).to("climb")
    c.view.stone_c, c.view.stone_due_s = None, c.now_s + 300.0
    c.tick(299)
    assert c.conductor.step == "climb"
    c.tick(30)
    assert c.conductor.step == "ask_sear"


def test_a_climb_is_renewed_only_at_the_cooker():
    c = cook().to("climb")
    c.view.stone_c = 240.0
    c.tick(2701)
    with pytest.raises(RefusedError, match="at the cooker"):
        c.conductor.command("renew", c.now_s)
    orders = len(c.orders())
    c.command("renew", at_cooker=True)
    assert len(c.orders()) == orders + 1
    assert c.kinds() == []


# ---- the sear


def test_sides_are_timed_from_the_deed_and_groups_follow_each_other():
    c = cook().to("sear")
    c.tick()
    assert c.conductor.prompts[0].letters == ["A"]
    c.answer("sear_on")
    c.tick(74)
    assert c.kinds() == []
    c.tick(1)
    assert c.kinds() == ["flip"]
    c.answer("flip")
    c.tick(75)
    assert c.kinds() == ["take_off"]
    c.view.stone_c = 230.0
    c.answer("take_off")
    c.tick(10)
    assert c.kinds() == []
    c.view.stone_c = 262.0
    c.tick()
    assert c.conductor.prompts[0].letters == ["B"]


def test_the_next_group_does_not_wait_for_the_stone_for_ever():
    c = cook().to("sear")
    c.tick()
    c.answer("sear_on")
    c.tick(75)
    c.answer("flip")
    c.tick(75)
    c.answer("take_off")
    c.view.stone_c = 200.0
    c.tick(241)
    assert c.kinds() == ["sear_on"]


def test_together_means_one_group():
    c = cook(("together = false", "together = true")).to("sear")
    c.tick()
    assert c.conductor.prompts[0].letters == ["A", "B"]


# ---- putting it out


def test_the_fire_is_put_out_at_once_and_without_a_question():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.command("bank")
    assert c.orders()[-1] == {"mode": "bank", "phase": "bank"}
    c.tick()
    assert c.kinds() == ["shut_vents"]


def test_food_that_is_due_is_still_asked_for_after_the_fire_is_put_out():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [58.0, 50.0]
    c.tick(3)
    c.command("bank")
    c.tick()
    assert c.kinds()[0] == "pull"


def test_going_back_needs_the_cooker_and_keeps_the_time_that_was_spent():
    c = cook(('expect = "70 min"', 'for = "1h"')).to("slow")
    c.tick(1000)
    since_s = c.conductor.run.since_s
    c.command("bank")
    c.conductor.run.at_cooker_s = None
    with pytest.raises(RefusedError, match="at the cooker"):
        c.conductor.command("go_back", c.now_s)
    c.command("go_back", at_cooker=True)
    assert (c.conductor.step, c.conductor.run.since_s) == ("slow", since_s)
    assert c.orders()[-1]["at_cooker"] is True


def test_the_plan_ends_when_the_pit_is_cold_and_the_vents_are_shut():
    c = cook().to("bank")
    c.view.pit_c = 119.0
    c.tick(5)
    assert c.conductor.step == "bank"
    c.answer("shut_vents")
    c.tick(1)
    assert c.conductor.done


def test_a_board_that_puts_the_fire_out_by_itself_is_followed():
    c = cook().to("slow")
    c.tick(2)
    c.view.mode = c.view.phase = "bank"
    c.view.why = "tripped"
    sent = len(c.orders())
    c.tick()
    assert c.conductor.step == "bank"
    assert len(c.orders()) == sent


# ---- heat goes up only at the cooker


def test_a_stone_that_is_ready_needs_no_second_yes_for_the_same_climb():
    c = cook().to("climb")
    c.tick(1200)
    c.view.stone_c = 270.0
    c.tick(400)
    assert c.conductor.step == "ask_sear"
    assert c.kinds() == ["come_to_sear"]


def test_raising_the_target_needs_the_cooker_and_lowering_never_does():
    c = cook().to("slow")
    c.tick(400)
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="at the cooker"):
        c.conductor.command("target", c.now_s, target_c=130.0)
    assert c.conductor.state() == before
    c.command("target", target_c=110.0)
    assert c.orders("target")[-1] == {"target_c": 110.0}
    c.command("target", target_c=125.0, at_cooker=True)
    assert c.orders("target")[-1] == {"target_c": 125.0, "at_cooker": True}


def test_presence_lasts_five_minutes():
    c = cook().to("slow")
    c.command("at_cooker")
    c.tick(299)
    c.command("target", target_c=120.0)
    c.tick(10)
    with pytest.raises(RefusedError):
        c.conductor.command("target", c.now_s, target_c=125.0)


def test_a_plan_that_goes_higher_after_the_soak_asks_first():
    c = cook(('[slow]\ntarget = "115C"', '[slow]\ntarget = "140C"'), ("[soak]", '[soak]\ntarget = "115C"')).to("set_up")
    c.tick(400)
    c.answer("set_up", at_cooker=False)
    assert c.kinds() == ["go_on"]
    assert c.view.target_c == 115.0
    c.answer("go_on")
    assert c.orders()[-1]["target_c"] == 140.0


@pytest.mark.parametrize("value", [30.0, 301.0, "115", None, True, float("nan")])
def test_a_target_outside_the_bounds_is_refused(value):
    c = cook().to("slow")
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="40 to 300 would be right"):
        c.conductor.command("target", c.now_s, target_c=value, at_cooker=True)
    assert c.conductor.state() == before


@pytest.mark.parametrize(
    ("name", "args"),
    [
        ("fly", {}),
        ("target", {}),
        ("target", {"target": 120}),
        ("lid", {"open": "yes"}),
        ("vent", {"vent": "side", "opening": 0.5}),
        ("vent", {"vent": "top", "opening": 2}),
        ("gains", {}),
        ("gains", {"kp": 5.0}),
        ("pulled", {"letter": "Z"}),
        ("renew", {"at_cooker": True}),
        ("go_back", {"at_cooker": True}),
        ("next_phase", {"at_cooker": True}),
    ],
)
def test_a_command_that_is_wrong_raises_and_changes_nothing(name, args):
    c = cook()
    c.tick()
    before = c.conductor.state()
    with pytest.raises(RefusedError):
        c.conductor.command(name, c.now_s, **args)
    assert c.conductor.state() == before


def test_an_answer_to_a_prompt_that_is_gone_raises_and_changes_nothing():
    c = cook()
    c.tick()
    prompt_id = c.conductor.prompts[0].id
    c.answer("light")
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="not asked now"):
        c.conductor.answer(prompt_id, c.now_s, True)
    assert c.conductor.state() == before


# ---- prompts are repeated


def test_a_prompt_that_is_forgotten_is_said_again_until_it_is_answered():
    c = cook().to("set_up")
    c.tick()
    said = [a.args["again"] for a in c.tick(361) if a.kind == "prompt" and a.name == "set_up"]
    assert said == [1, 2, 3]  # every 2 min in this plan; the first two seconds of it are spent


def test_nothing_is_said_again_while_the_person_is_at_the_open_lid():
    c = cook().to("set_up")
    c.tick()
    c.command("lid", open=True)
    assert [a for a in c.tick(600) if a.kind == "prompt"] == []
    c.command("lid", open=False)
    assert [a for a in c.tick(2) if a.kind == "prompt"]


def test_a_pull_is_repeated_every_minute():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.view.core_c = [57.0, 5.0]
    again = [a.args["again"] for a in c.tick(184) if a.name == "pull"]
    assert again == [0, 1, 2, 3]


def test_a_deed_with_a_clock_is_shown_before_everything_else():
    c = cook().to("slow")
    c.tick()
    c.conductor.stage.ask("set_vents")
    c.conductor.stage.ask("pull", ["A"])
    assert c.kinds()[0] == "pull"


# ---- gains


def test_gains_change_at_their_moment_once_by_an_order():
    c = cook().to("slow")
    spent_s = c.now_s - c.conductor.run.phases[-1].start_s
    c.tick(int(1199 - spent_s))
    assert c.orders("gains") == []
    c.tick(10)
    assert c.orders("gains") == [{"ti_s": 1000.0}]
    assert "gains" in c.marks()


# ---- restarts


def test_time_never_runs_back_when_readings_lag_behind_a_press():
    c = cook()
    c.tick()
    c.conductor.answer(c.conductor.prompts[0].id, c.now_s + 5.0, True)
    c.conductor.tick(c.now_s + 1.0, c.view)
    assert c.conductor.stage.now_s == c.now_s + 5.0


def test_the_host_resumes_from_its_saved_state():
    c = cook().to("sear")
    c.tick()
    c.answer("sear_on")
    saved = json.loads(json.dumps(c.conductor.state()))
    c.conductor = Conductor(c.plan)
    c.conductor.restore(saved)
    orders = len(c.log)
    c.tick(73)
    assert [a for a in c.log[orders:] if a.kind == "order"] == []
    c.tick(2)
    assert c.kinds() == ["flip"]


@pytest.mark.parametrize("state", [{"step": "flying"}, {"pieces": []}, {"step": 3}, {"prompts": "none"}])
def test_a_state_that_does_not_fit_is_refused(state):
    with pytest.raises(RefusedError, match="saved state"):
        Conductor(plan_of()).restore(state)


def test_a_board_that_starts_again_gets_heat_back_only_from_a_person():
    c = cook().to("slow")
    c.tick()
    c.answer("put_on")
    c.tick(2)
    orders = len(c.orders())
    c.view.boot, c.view.mode, c.view.phase, c.view.target_c = "b2", "off", "", None
    c.tick(60)
    assert len(c.orders()) == orders
    assert c.kinds() == ["go_on"]
    assert c.orders("pieces")[-1] == {"pull_c": [57.0, 57.0]}
    assert c.orders("vent")[-2:] == [{"vent": "top", "opening": 0.25}, {"vent": "bottom", "opening": 1.0}]
    c.answer("go_on")
    assert c.orders()[-1]["at_cooker"] is True


def test_a_board_that_is_not_healthy_is_told_nothing():
    c = cook().to("slow")
    c.tick(60)
    before = len(c.log)
    c.view.boot, c.view.mode, c.view.why, c.view.pit_c = "b2", "off", "wait_sensor", None
    c.tick(60)
    assert [a for a in c.log[before:] if a.kind == "order"] == []


def test_putting_out_is_sent_again_to_a_board_that_has_forgotten_it():
    c = cook().to("bank")
    c.tick(20)
    c.view.boot, c.view.mode, c.view.phase = "b2", "off", ""
    c.tick(2)
    assert c.orders()[-1] == {"mode": "bank", "phase": "bank"}


def test_an_order_that_was_lost_is_sent_again_after_a_while():
    c = cook().to("soak")
    c.obeys = False
    c.tick(20)
    c.view.phase = "light"
    sent = len(c.orders())
    c.tick(46)
    assert len(c.orders()) == sent + 4  # at once, then every 15 s


def test_a_board_that_is_not_heard_stops_the_plan_and_not_the_prompts():
    c = cook().to("set_up")
    c.tick()
    c.heard = False
    c.tick(400)
    assert c.conductor.step == "set_up"
    assert c.conductor.prompts[0].said > 2


def test_the_lid_is_told_to_the_board_when_a_deed_ends_under_it():
    c = cook().to("set_up")
    c.tick()
    c.command("lid", open=True)
    assert c.orders("lid") == [{"open": True}]
    c.answer("set_up")
    assert c.orders("lid") == [{"open": True}, {"open": False}]
    assert c.marks()[-3:] == ["lid_open", "lid_shut", "set_up"]


# ---- the lid, opened by its button


def opened_there(step="set_up"):
    c = cook().to(step)
    c.tick()
    c.view.ms = 7000
    c.view.lid_open, c.view.why = True, "lid_there"
    c.conductor.run.at_cooker_s = None
    return c


def test_a_deed_told_from_far_away_leaves_a_lid_that_the_button_opened():
    c = opened_there()
    with pytest.raises(RefusedError, match="hold that for two seconds"):
        c.command("lid", open=False)
    c.answer("set_up", at_cooker=False)
    assert c.orders("lid") == []
    assert c.conductor.step == "settle"


def test_somebody_at_the_cooker_says_shut_with_what_they_have_seen():
    c = opened_there()
    c.answer("set_up", at_cooker=True)
    assert c.orders("lid") == [{"open": False, "at_cooker": True, "seen_ms": 7000}]


def test_the_pages_button_says_shut_at_the_cooker():
    c = opened_there()
    c.command("lid", open=False, at_cooker=True)
    assert c.orders("lid") == [{"open": False, "at_cooker": True, "seen_ms": 7000}]


def test_a_word_of_before_carries_what_was_seen_before():
    """The board refuses it then: a press came since."""
    c = opened_there()
    c.command("at_cooker")
    c.view.ms = 9000
    c.answer("set_up", at_cooker=False)
    assert c.orders("lid") == [{"open": False, "at_cooker": True, "seen_ms": 7000}]


@pytest.mark.parametrize(
    ("why", "kind", "asks"),
    [("lid_there", "flip", True), ("lid", "flip", False), ("lid_there", "open_vent", False), ("lid", "light", True)],
)
def test_the_button_of_a_deed_under_the_lid_asks_for_the_cooker_where_the_lid_was_opened_there(why, kind, asks):
    prompt = prompts.make_prompt(plan_of(), kind, 1, ["A"], 0.0, None)
    assert prompts.at_cooker(prompt, why) is asks


def test_a_board_whose_drive_is_over_gets_a_hold_only_from_the_cooker():
    c = cook().to("slow")
    c.tick()
    c.conductor.run.at_cooker_s = None
    orders = len(c.orders())
    c.view.mode, c.view.phase, c.view.why = "drive", "sear", "drive_over"
    c.tick(60)
    assert len(c.orders()) == orders
    assert "go_on" in c.kinds()
    c.answer("go_on")
    assert c.orders()[-1]["at_cooker"] is True
