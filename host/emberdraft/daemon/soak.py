"""Is the cooker soaked through? Judged from time at temperature and from the air that the fire still needs.

While the walls take up heat, holding the pit costs more air than it will later; when the minute means of the
duty no longer fall, the walls have had their share. 15 to 20 min at temperature is common practice (no source);
the plan's `least` stands for it, and `longest` ends the wait when the air never settles (wind, a dying fire).
"""

from __future__ import annotations

from emberdraft.daemon.plan_form import Soak
from emberdraft.daemon.run import SoakRun

NEAR_C = 5.0
WINDOW_MIN = 5
FALL_LEAST = 0.015
FALL_SHARE = 0.05
LONGEST_STEP_S = 10.0


def watch(
    run: SoakRun,
    now_s: float,
    pit_c: float | None,
    target_c: float,
    duty: float,
    lid_open: bool,
    near_c: float = NEAR_C,
) -> None:
    """Take one reading: temperatures in degC, duty 0..1. Time counts only near the target, lid shut."""
    last_s, run.last_s = run.last_s, now_s
    if last_s is None or pit_c is None or lid_open or abs(pit_c - target_c) > near_c:
        return
    dt_s = min(max(now_s - last_s, 0.0), LONGEST_STEP_S)
    run.at_heat_s += dt_s
    run.minute_s += dt_s
    run.minute_duty_s += dt_s * duty
    if run.minute_s >= 60.0:
        run.duties.append(run.minute_duty_s / run.minute_s)
        run.minute_s = run.minute_duty_s = 0.0


def settled(run: SoakRun) -> bool:
    """Whether the air of the last minutes no longer falls against the minutes before."""
    if len(run.duties) < 2 * WINDOW_MIN:
        return False
    before = sum(run.duties[-2 * WINDOW_MIN : -WINDOW_MIN]) / WINDOW_MIN
    after = sum(run.duties[-WINDOW_MIN:]) / WINDOW_MIN
    return before - after <= max(FALL_LEAST, FALL_SHARE * before)


def verdict(run: SoakRun, plan: Soak, elapsed_s: float) -> str:
    """'soaked', 'cut' (the longest time is over), or '' (not yet)."""
    if run.at_heat_s >= plan.least_s and settled(run):
        return "soaked"
    return "cut" if elapsed_s >= plan.longest_s else ""
