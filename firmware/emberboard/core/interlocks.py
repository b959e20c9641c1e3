"""The questions that stop the air. Each is one boolean, from plain numbers, and reads aloud.

They know nothing of the controller and have the last word after it. Which part each needs is said
in its docstring; without that part the docs say *not watched*. No setting turns one off. Limits
without a source are this project's own, chosen on simulated cookers.
"""

BAD_SAMPLES = 3
BAD_OF_SIXTY = 20
OVER_SAMPLES = 2
OVER_OF_SIXTY = 6
ANSWER_RISE_C = 2.0
ANSWER_S = 720.0
ANSWER_DUTY = 0.9
ANSWER_COLD_C = 60.0
ARM_S = 600.0
LID_FALL_C = 7.0
LID_AWAY_C = 8.0
LID_BACK_C = 1.5
LID_REGAINED = 0.6
FROZEN_S = 120.0
FROZEN_TURNS = 6.0
FROZEN_LID_S = 30.0
FROZEN_LID_C = 60.0
FROZEN_FULL_S = 390.0
REVERSED_C = 4.0
REVERSED_BELOW_C = 0.5
GREASE_RISE_C = 20.0
SETTLED_S = 180.0
WEAK_SHORT_C = 5.0
WEAK_SLOPE_CPS = 0.001
WEAK_AIR = 1.4
WEAK_LEAST = 0.15
WEAK_S = 240.0
WEAK_UNSURE_S = 360.0
LOST_S = 300.0
LOST_FALL_C = 8.0
STUCK_OVER_C = 3.5
STUCK_SLOPE_CPS = -0.004
STUCK_S = 150.0
STUCK_USUAL = 0.05
STUCK_SHUT_C = 0.0
STUCK_SHUT_FIRE = -0.03
STUCK_LACK = 0.1
STUCK_LACK_C = 2.0
STUCK_LACK_CPS = -0.008
REACHED_C = 3.0
RUNAWAY_OVER_C = 25.0
RUNAWAY_S = 300.0
RUNAWAY_UP_C = 10.0
RUNAWAY_RISE_C = 0.25
STALL_DRIVE = 0.3
STALL_RPM = 200.0
SPIN_RPM = 1000.0
STALL_S = 10.0
DAMPER_OFF = 0.25
DAMPER_S = 20.0
BOARD_HOT_C = 70.0
BOARD_COOL_C = 65.0
BACK_DRAFT_C = 60.0
SUPPLY_LOW_V = 10.5
SUPPLY_S = 3.0
SUPPLY_BACK_V = 11.0
SUPPLY_BACK_S = 240.0
LEFT_OPEN_S = 1200.0
DOUBT_S = 300.0
PULSE_EVERY_S = 120.0
PULSE_S = 6.0


def sensor_fault(bad_in_a_row, bad_of_sixty):
    """Three bad samples in a row, or more than twenty of sixty (needs: the pit probe)."""
    return bad_in_a_row >= BAD_SAMPLES or bad_of_sixty > BAD_OF_SIXTY


def impossible_jump(now_c, before_c, step_c):
    """A step between two samples that no heat can make (needs: the probe itself)."""
    return abs(now_c - before_c) >= step_c


def frozen(same_s, turns):
    """A probe with noise in its last digits says the same for two minutes (needs: the probe)."""
    return same_s >= FROZEN_S and turns >= FROZEN_TURNS


def frozen_under_lid(same_s, open_s, value_c):
    """A hot pit has not moved since before the lid was lifted (needs: the probe)."""
    return value_c >= FROZEN_LID_C and open_s >= FROZEN_LID_S and same_s >= open_s


def frozen_at_full_air(same_s, full_s):
    """The same number through six minutes and a half of full air (needs: the probe).

    Fires answer within five; so much air moves a pit, and its probe by a step of its chip.
    """
    return same_s >= FROZEN_FULL_S and full_s >= FROZEN_FULL_S


def reversed_probe(now_c, start_c, highest_c, board_c):
    """It falls from the first air on, never rose, and is colder than the board: wires swapped."""
    falls = start_c - now_c >= REVERSED_C and highest_c - start_c < REVERSED_C
    return falls and board_c - now_c >= REVERSED_BELOW_C


def over_limit(samples_over, over_of_sixty):
    """Two samples in a row at or over the limit, or six of sixty (needs: pit or stone probe)."""
    return samples_over >= OVER_SAMPLES or over_of_sixty >= OVER_OF_SIXTY


def at_or_over(value_c, limit_c):
    """One sample at or over its limit, degC."""
    return value_c >= limit_c


def armed(lid_shut_s, run_s):
    """Ten minutes in this mode and since the lid was shut: the fire has had its time."""
    return lid_shut_s >= ARM_S and run_s >= ARM_S


def asks_for_heat(duty):
    """Full air is commanded."""
    return duty >= ANSWER_DUTY


def answers(pit_c, lowest_c):
    """The pit has risen by two degrees from its lowest."""
    return pit_c >= lowest_c + ANSWER_RISE_C


def not_answering(unanswered_s, pit_c, from_c):
    """Twelve minutes of full air without an answer (needs: pit probe and blower).

    A pit that stands high is a cooker at its limit: it must be cold, or have fallen meanwhile.
    """
    lost = pit_c < ANSWER_COLD_C or from_c - pit_c >= ANSWER_RISE_C
    return unanswered_s >= ANSWER_S and lost


def gives_no_heat(asked, usual, short_c, slope_cps):
    """Far more air than this hold usually took, the pit short, and it does not rise."""
    more = asked >= max(WEAK_AIR * usual + 0.05, WEAK_LEAST)
    return more and short_c > WEAK_SHORT_C and slope_cps < WEAK_SLOPE_CPS


def fire_is_weak(weak_s, steady):
    """Minutes of air without heat: fuel, ash or blower (needs: pit probe). A notice."""
    return weak_s >= (WEAK_S if steady else WEAK_UNSURE_S)


def fire_is_lost(since_notice_s, fallen_c, rise_c):
    """The second sign: five minutes after the notice the pit is far lower and falls on. A trip."""
    return since_notice_s >= LOST_S and fallen_c >= LOST_FALL_C and rise_c < 0.0


def heats_by_itself(air, fire, usual, over_c, slope_cps):
    """Above the target and not falling although the air is off and the fire should have shrunk.

    Sooner where the damper has been shut for minutes: that fire should have gone down. And where
    much of the usual fire should be gone, a little over and falling slowly is odd enough.
    Said only of a cooker that needs its blower: a draughty one may well be hot by itself.
    """
    if air > 0.0 or usual < STUCK_USUAL:
        return False
    if fire <= usual - STUCK_LACK and over_c >= STUCK_LACK_C and slope_cps >= STUCK_LACK_CPS:
        return True
    shut = fire <= STUCK_SHUT_FIRE and over_c >= STUCK_SHUT_C
    return slope_cps >= STUCK_SLOPE_CPS and (shut or (fire <= usual and over_c >= STUCK_OVER_C))


def blower_stuck_on(heating_s):
    """It has heated by itself for minutes (needs: pit probe; a tachometer is surer). A notice."""
    return heating_s >= STUCK_S


def near(over_c):
    """As near to its target as a hold is."""
    return abs(over_c) < REACHED_C


def reached(near_s):
    """So for ten minutes: whatever overshoots from now on has no arrival to blame."""
    return near_s >= ARM_S


def still_rises(up_c, rise_c, lid_shut_s):
    """Well over its lowest since the order, and over its last minutes, with no lid to blame."""
    return up_c >= RUNAWAY_UP_C and rise_c >= RUNAWAY_RISE_C and lid_shut_s >= ARM_S


def runaway(over_c, no_air_s):
    """Far over the target and no air for five minutes; and it still rises (needs: pit probe)."""
    return over_c >= RUNAWAY_OVER_C and no_air_s >= RUNAWAY_S


def grease_fire(quick_c, slow_c, calm_s):
    """A rise no charcoal makes; calm: lid shut, probe believed (needs: pit probe)."""
    return quick_c - slow_c >= GREASE_RISE_C and calm_s >= SETTLED_S


def blower_driven(drive):
    """Driven so that it must turn."""
    return drive >= STALL_DRIVE


def blower_stands(drive, rpm):
    """Driven and not turning."""
    return blower_driven(drive) and rpm < STALL_RPM


def blower_stalled(stands_s):
    """So for ten seconds (needs: tachometer)."""
    return stands_s >= STALL_S


def blower_turns(drive, rpm):
    """Not driven and turning."""
    return drive <= 0.0 and rpm > SPIN_RPM


def blower_spins(turns_s):
    """So for ten seconds (needs: tachometer)."""
    return turns_s >= STALL_S


def damper_elsewhere(wanted, position):
    """A quarter away from where it should be; None, between its end switches, is neither end."""
    if position is None:
        return wanted <= 0.0 or wanted >= 1.0
    return abs(wanted - position) > DAMPER_OFF


def damper_sticks(elsewhere_s):
    """Elsewhere for twenty seconds (needs: its feedback wire or end switches)."""
    return elsewhere_s >= DAMPER_S


def board_hot(board_c):
    """The board is too hot to trust (needs: cold-junction sensor)."""
    return board_c >= BOARD_HOT_C


def board_cool(board_c):
    """Cool enough to be trusted again."""
    return board_c < BOARD_COOL_C


def back_draft(board_c, still_s):
    """Hot gas comes back through a standing blower (needs: cold-junction sensor by the blower)."""
    return board_c >= BACK_DRAFT_C and still_s >= SETTLED_S


def supply_sags(supply_v):
    """Too low for 12 V."""
    return supply_v < SUPPLY_LOW_V


def supply_low(sags_s):
    """A supply that sags for three seconds: no starting blower (needs: its measurement)."""
    return sags_s >= SUPPLY_S


def supply_well(supply_v):
    """High enough to be trusted again."""
    return supply_v >= SUPPLY_BACK_V


def supply_back(well_s):
    """Well for four minutes: a blower that pulls it down each time is no flood of alarms."""
    return well_s >= SUPPLY_BACK_S


def lid_pulse(open_s):
    """Every two minutes under a lid that the pit feels open, a few seconds keep the fire."""
    return open_s > PULSE_EVERY_S and open_s % PULSE_EVERY_S < PULSE_S


def lid_forgotten(open_s, doubt_s):
    """Open for twenty minutes, or five in doubt: a pit that comes back by itself has its time."""
    return open_s >= LEFT_OPEN_S or doubt_s >= DOUBT_S


def lid_fell_open(quick_c, slow_c, explained_c):
    """The pit is far below its last half minute, more than less air explains: the lid is open."""
    return slow_c - quick_c - explained_c >= LID_FALL_C


def lid_fell_away(quick_c, minute_c):
    """Far below its last minute in a hold, though it had its air: open under a slow probe."""
    return minute_c - quick_c >= LID_AWAY_C


def lid_is_back(quick_c, lowest_c):
    """The pit has turned and rises from its lowest: the lid is shut again."""
    return quick_c - lowest_c >= LID_BACK_C


def lid_was_shut(now_c, lowest_c, before_c):
    """Most of what the pit lost when the lid went up has come back."""
    return now_c - lowest_c >= LID_REGAINED * (before_c - lowest_c)
