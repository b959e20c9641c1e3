"""The controller as its callers see it: modes, pauses, trips, pull alarm, lid, blower last word."""

from __future__ import annotations

import pytest

from emberboard.core.air import opening_for
from emberboard.core.limiter import LOW
from tests.core.cooker import Cooker, Run


def test_it_holds_a_cooker_it_was_not_told_about():
    run = Run().hold(121.0).seconds(2 * 3600)
    worst = 0.0
    for _ in range(60):
        run.seconds(60)
        worst = max(worst, abs(run.cooker.pit_c - 121.0))
    assert worst < 2.0
    assert not run.controller.alerts


def test_before_the_first_good_sample_nothing_is_touched():
    run = Run()
    run.order("mode", mode="hold", target_c=121.0, at_cooker=True)
    run.seconds(5, pit_c=None, pit_fault="open")
    assert (run.out.duty, run.out.drive, run.out.opening) == (0.0, 0.0, pytest.approx(0.1))
    run = Run().seconds(2)
    assert (run.out.mode, run.out.drive, run.out.opening) == ("off", 0.0, None)


@pytest.mark.parametrize("fault", ["open", "short_gnd", "bus_high", "cold_junction"])
def test_a_sensor_fault_pauses_within_three_samples_and_resumes_by_itself(fault: str):
    run = Run().hold().seconds(1200)
    assert run.out.duty > 0.0
    run.seconds(2, pit_c=None, pit_fault=fault)
    assert run.out.why != "paused"
    run.seconds(1, pit_c=None, pit_fault=fault)
    assert (run.out.drive, run.out.why, run.alert("pit_sensor")) == (0.0, "paused", "pause")
    run.seconds(31)
    assert run.out.duty > 0.0
    assert run.alert("pit_sensor") == "pause"
    run.order("acknowledge", id="pit_sensor")
    assert not run.controller.alerts


def test_over_limit_trips_on_the_second_sample_and_shuts_the_air():
    run = Run(Cooker(110.0, 0.1)).hold(110.0).seconds(60)
    run.seconds(1, pit_c=151.0)
    assert run.alert("pit_over_limit") == ""
    run.seconds(1, pit_c=151.0)
    assert (run.out.drive, run.out.opening, run.out.mode) == (0.0, 0.0, "bank")
    assert run.alert("pit_over_limit") == "trip"


def test_a_trip_outlives_its_cause_an_order_and_a_restart():
    run = Run(Cooker(110.0, 0.1)).hold(110.0).seconds(60)
    run.seconds(2, pit_c=152.0)
    run.seconds(600)
    assert run.order("mode", mode="hold", target_c=121.0, at_cooker=True)[0] == "not_now"
    again = Run(run.cooker)
    again.controller.restore_latched(run.controller.latched())
    assert again.order("mode", mode="hold", target_c=121.0, at_cooker=True)[0] == "not_now"
    assert again.order("acknowledge", id="all") == ("", "")
    assert again.order("mode", mode="hold", target_c=121.0, at_cooker=True) == ("", "")


def test_spent_fuel_is_told_in_ten_minutes_and_ends_with_the_blower_off():
    run = Run().hold().seconds(2 * 3600)
    run.cooker.fuel = 0.0
    run.seconds(10 * 60)
    assert run.alert("fuel_out") == "notice"
    assert run.out.drive > 0.0
    run.seconds(6 * 60)
    assert run.alert("not_answering") == "trip"
    assert (run.out.drive, run.out.opening) == (0.0, pytest.approx(0.1))


def test_a_fire_that_never_caught_is_tripped_twelve_minutes_after_arming():
    run = Run(Cooker(20.0, 0.0))
    run.cooker.fuel = 0.0
    run.hold().seconds(22 * 60 - 5)
    assert not run.controller.alerts
    run.seconds(10)
    assert run.alert("not_answering") == "trip"


def test_a_blower_stuck_on_is_told_and_held_by_the_damper():
    run = Run().hold().seconds(2 * 3600)
    run.cooker.stuck_at = 0.6
    highest = 0.0
    for _ in range(40 * 60):
        run.seconds(1)
        highest = max(highest, run.cooker.pit_c)
    assert run.alert("blower_stuck_on") == "notice"
    assert highest < 121.0 + 27.0


def test_a_told_lid_stops_the_blower_at_once_and_shut_goes_on():
    run = Run().hold().seconds(400)
    run.order("lid", open=True)
    run.seconds(1)
    assert (run.out.drive, run.out.lid_open, run.out.why) == (0.0, True, "lid")
    run.order("lid", open=False)
    run.seconds(1)
    assert run.out.drive > 0.0


def test_under_an_open_lid_the_damper_stays_where_it_holds_once_that_is_known():
    """A damper wide open under an open lid would fan a fire that its draught alone holds."""
    run = Run(Cooker(121.0, 0.02)).hold().seconds(1200)
    see = run.controller.hold.see
    see.need = (-0.06 - LOW) / (121.0 - 20.0)  # half of the draught's air
    run.order("lid", open=True)
    run.seconds(1)
    assert run.out.opening == pytest.approx(opening_for(0.5))
    run.controller.guard.watch.stuck_on = True
    run.seconds(1)
    assert run.out.opening == pytest.approx(0.03)  # against a stuck blower the damper goes on doing its work
    run.controller.hold.held_once = False
    run.seconds(1)
    assert run.out.opening == 1.0


def test_the_law_sees_the_pit_by_a_quicker_line_than_the_watch():
    """20 s into a fall of 0.1 degC a second the law knows half of it, the watch, which must not cry wolf, a fifth."""
    run = Run().seconds(1)
    run.order("mode", mode="hold", target_c=121.0, at_cooker=True)
    for _ in range(300):
        run.seconds(1, pit_c=121.0)
    for k in range(20):
        run.seconds(1, pit_c=121.0 - 0.1 * k)
    controller = run.controller
    assert controller.air.line.slope < -0.045
    assert controller.pit_line.slope > -0.03
    run.seconds(5, pit_c=None, pit_fault="open")
    assert controller.air.line.level is None


def test_the_button_opens_the_lid_and_counts_as_being_there():
    run = Run().seconds(2)
    assert run.order("mode", mode="hold", target_c=121.0)[0] == "not_now"
    run.seconds(1, lid_button=True)
    run.seconds(1, lid_button=True)
    assert run.out.lid_open
    assert run.out.why == "off"
    assert run.order("mode", mode="hold", target_c=121.0) == ("", "")
    run.seconds(1)
    assert run.out.why == "lid_there"


def test_the_pull_alarm_rings_at_its_own_temperature_and_ends_with_pulled():
    run = Run().hold()
    assert run.order("pieces", pull_c=[57.0, None]) == ("", "")
    run.inputs.core_c = [56.9, 90.0]
    run.seconds(5)
    assert run.out.alarm_sound == ""
    run.inputs.core_c[0] = 57.0
    run.seconds(4)
    assert (run.out.alarm_sound, run.out.light, run.alert("pull")) == ("pull", True, "notice")
    assert any(kind == "pull" and text == "0" for kind, _, _, text in run.controller.events)
    run.order("pulled", index=0)
    run.seconds(1)
    assert (run.out.alarm_sound, run.alert("pull")) == ("", "")


def test_a_drive_ends_by_itself_with_a_notice_and_the_damper_at_its_floor():
    run = Run(Cooker(110.0, 0.1)).hold(110.0).seconds(30)
    run.order("vent", vent="top", opening=1.0)
    order = {"mode": "drive", "phase": "climb", "stone_c": 260.0, "longest_s": 600.0, "at_cooker": True}
    assert run.order("mode", **order) == ("", "")
    run.seconds(300)
    assert run.out.duty > 0.3
    run.seconds(320)
    assert (run.out.drive, run.out.opening, run.out.why) == (0.0, pytest.approx(0.1), "drive_over")
    assert run.alert("drive_too_long") == "notice"


def test_until_the_top_vent_is_marked_open_a_drive_gets_three_tenths_at_most():
    run = Run(Cooker(110.0, 0.1)).hold(110.0).seconds(30)
    run.order("mode", mode="drive", phase="climb", stone_c=260.0, at_cooker=True)
    run.seconds(60)
    assert (run.out.duty, run.out.why) == (0.3, "drive_wait_vent")


def test_a_fire_starved_hot_is_told_until_it_is_under_150():
    run = Run(Cooker(205.0, 0.1)).seconds(2)
    run.order("mode", mode="bank", phase="bank")
    run.seconds(3)
    assert (run.out.opening, run.alert("starved_hot")) == (0.0, "notice")
    for pit_c in range(204, 149, -1):
        run.seconds(1, pit_c=float(pit_c))
        assert run.alert("starved_hot") == "notice"
    run.seconds(2, pit_c=149.0)
    assert run.alert("starved_hot") == ""


def test_after_a_lowered_target_the_old_limit_waits_for_the_pit():
    run = Run(Cooker(150.0, 0.2)).hold(150.0).seconds(30)
    run.order("target", target_c=100.0)
    run.seconds(30)
    assert not run.controller.alerts
