"""A plan's end that asks: it holds on, calls, and goes as the plan said where nobody answers."""

from __future__ import annotations

import json
from datetime import datetime

import pytest

from emberdraft.daemon.calls_table import ASLEEP, row_of
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.daemon.steps import RefusedError
from emberdraft.daemon.timeline import upcoming_rows
from emberdraft.errors import UserError
from tests.daemon.cook import START_S, Cook, plan_of

HOLD = 'version = 1\nname = "A hold"\n{top}\n[light]\ntarget = "110C"\n[slow]\ntarget = "110C"\n{slow}\n'
ASK, HOURS = 'at_end = "ask"', 'for = "3h"'


def held(top: str = ASK, slow: str = HOURS) -> Cook:
    return Cook(parse_plan(HOLD.format(top=top, slow=slow)))


def asked(top: str = ASK) -> Cook:
    c = held(top).to("ask_end")
    c.tick()
    return c


def late(c: Cook, seconds: int) -> Cook:
    """So long later, heard all the while, without every second of it."""
    c.now_s += seconds - 1
    c.tick()
    return c


def test_a_file_without_the_key_puts_the_fire_out():
    assert held(top="").to("bank").conductor.plan.at_end == "bank"


def test_it_asks_and_holds_on_meanwhile_and_the_deed_puts_the_fire_out():
    c = asked()
    assert c.kinds() == ["end"] and (c.view.mode, c.view.phase, c.view.target_c) == ("hold", "slow", 110.0)
    assert "60 min" in str(c.conductor.prompts[0].text)
    assert row_of("prompt", "end", "").whom == ASLEEP
    c.answer("end", at_cooker=False)
    assert c.conductor.step == "bank" and c.view.mode == "bank"


def test_unanswered_for_an_hour_the_fire_is_put_out():
    c = late(asked(), 3598)
    assert c.conductor.step == "ask_end"
    assert late(c, 4).conductor.step == "bank"


def hour(at_s: float) -> str:
    return f"{datetime.fromtimestamp(at_s):%H:%M}"


def test_unanswered_it_is_held_to_the_stated_hour_and_never_beyond_the_charcoal():
    until = f'{ASK}\nhold_until = "{hour(START_S + 8 * 3600)}"'  # asked after a little more than three
    assert late(asked(until), 4 * 3600).conductor.step == "ask_end"
    assert late(asked(until), 5 * 3600).conductor.step == "bank"
    c = asked(until)
    c.view.fuel_ends_s = c.now_s + 2 * 3600
    assert late(c, 2 * 3600 - 10).conductor.step == "ask_end"
    assert late(c, 20).conductor.step == "bank"


def test_an_hour_that_has_passed_when_it_is_asked_is_not_the_next_days():
    c = asked(f'{ASK}\nhold_until = "{hour(START_S + 2 * 3600)}"')
    assert late(c, 3602).conductor.step == "bank"


def test_a_person_holds_on_until_the_next_word_over_a_restart_and_no_deed_is_to_come():
    c = asked()
    c.command("hold_on")
    assert late(c, 30 * 3600).conductor.step == "ask_end" and c.kinds() == []
    assert upcoming_rows(c.conductor, c.now_s, {}) == []
    again = Conductor(c.plan)
    again.restore(json.loads(json.dumps(c.conductor.state())))
    assert again.run.asks_s is None
    c.command("bank")
    assert c.conductor.step == "bank"


def test_a_person_who_holds_on_for_a_time_is_asked_again_with_an_hour_to_answer():
    c = asked()
    c.command("hold_on", for_s=7200.0)
    assert late(c, 7100).kinds() == []
    assert late(c, 200).kinds() == ["end"]
    assert late(c, 3000).conductor.step == "ask_end"


def test_taken_back_from_putting_out_it_asks_again():
    c = late(asked(), 3602)
    c.command("go_back", at_cooker=True)
    assert late(c, 600).conductor.step == "ask_end" and "end" in c.kinds()


def test_after_the_sear_the_pit_is_held_at_the_target_of_the_slow_phase():
    c = Cook(plan_of(("version = 1", "version = 1\nat_end = 'ask'"))).to("ask_end")
    c.tick()
    assert (c.view.mode, c.view.phase, c.view.target_c) == ("hold", "slow", 115.0)
    assert [row["text"] for row in upcoming_rows(c.conductor, c.now_s, {})] == ["Say: put the fire out, or hold on"]


def test_hold_until_i_say_has_no_end_of_its_own():
    c = held(slow="").to("slow")
    assert late(c, 40 * 3600).conductor.step == "slow" and c.kinds() == []
    assert upcoming_rows(c.conductor, c.now_s, {}) == []
    with pytest.raises(UserError, match=r'nobody says it in a rehearsal; .*for = "3h"'):
        rehearse(c.plan)
    with pytest.raises(RefusedError, match="only at the end"):
        c.command("hold_on")


@pytest.mark.parametrize(
    ("top", "slow", "said"),
    [
        ("", "", r'\[slow\].*at_end = "ask": until you say'),
        ('at_end = "never"', HOURS, "at_end 'never': one of bank, ask"),
        (f'{ASK}\nhold_until = "late"', HOURS, 'hold_until .late.*"23:00"'),
        (f'{ASK}\nhold_until = "2026-12-05 23:00"', HOURS, "an hour without a day"),
        ('hold_until = "23:00"', HOURS, 'at_end = "ask" beside it'),
    ],
)
def test_what_makes_no_plan_is_said_in_one_line(top, slow, said):
    with pytest.raises(UserError, match=said) as refused:
        parse_plan(HOLD.format(top=top, slow=slow))
    assert "\n" not in str(refused.value)
