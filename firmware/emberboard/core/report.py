"""What a control step looked like from outside: numbers, a word for why, sound and light."""

from .limits import clamp
from .observer import MOST


def fill(out, see, duty, drive, opening):
    """Write this step of `see` (a controller) into the outputs."""
    pid = see.hold.pid
    out.duty = duty
    out.drive = drive
    out.opening = opening
    out.mode = see.mode
    out.phase = see.phase
    out.target_c = see.stone_target_c if see.mode == "drive" else see.target_c
    out.ref_c = see.hold.ref_c if see.mode == "hold" else None
    out.pit_f_c = see.pit_line.level
    out.slope_cps = see.pit_line.slope
    out.p, out.i, out.d, out.ff = pid.p, pid.i, pid.d, pid.ff
    out.lid_open = see.lid.is_open
    out.fire = clamp(see.hold.see.x2, 0.0, MOST)
    out.why = why(see)
    out.alarm_sound = sound(see)
    out.light = out.alarm_sound != ""


def estimate(out, see):
    """The observer's states and the limits in force, for the page and the bench."""
    view, hold, told = see.hold.see, see.hold, out.estimate
    told["gain"] = view.k
    told["need"] = view.need
    told["scale"] = view.scale
    told["fast"] = view.m
    told["growing"] = view.x1
    told["cap"] = hold.limiter.cap
    told["floor"] = hold.limiter.floor
    told["usual"] = see.guard.watch.usual
    told["probe_low_c"] = see.pit.low_c
    if see.drive.stone_c is not None:
        told["stone_c"] = see.drive.stone_c


def why(see):
    """The name of words.WHYS that says what the air does."""
    if see.mode == "off":
        return "off"
    if see.pit_line.level is None and not see.alerts:
        return "wait_sensor"
    if see.book.any_of("trip"):
        return "tripped"
    if see.book.any_of("pause"):
        return "paused"
    if see.lid.is_open:
        return "lid_there" if see.lid.there else "lid_felt" if see.lid.felt else "lid"
    if see.mode == "bank":
        return "bank"
    if see.mode == "drive":
        return see.drive.why if see.drive_left_s > 0.0 else "drive_over"
    return see.hold.why


def sound(see):
    """'pull' while a piece waits, 'alarm' while anything is unacknowledged, else ''."""
    if see.pulls.ringing() and "pull" in see.alerts and not see.alerts["pull"].acknowledged:
        return "pull"
    return "alarm" if see.book.unheard() else ""
