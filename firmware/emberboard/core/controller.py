"""One control step a second: readings in, air out, and the reasons beside it.

    controller = Controller(n_core=2)
    controller.order("mode", {"mode": "hold", "target_c": 121.0, "at_cooker": True}, now_ms)
    outputs = controller.tick(now_ms, inputs)

No clock, no input or output: time and samples are passed in. `now_ms` is a plain rising integer.
"""

from .alerts import AlertBook
from .blower import Blower
from .drive import WAIT_VENT_DUTY, Drive
from .guard import Guard
from .hold import Hold
from .lid import Lid
from .limiter import LOW
from .limits import CORE_RANGE_C, DRIVE_DEFAULT_S, PIT_LIMIT_C, PIT_RANGE_C, STONE_RANGE_C, clamp
from .orders import take
from .pull import Pulls
from .reading import Reading, Smooth
from .signals import Inputs, Outputs

__all__ = ["Controller", "Inputs", "Outputs"]

MAX_EVENTS = 16
LONGEST_DT_S = 10.0
FILTER_S = 20.0
STONE_FILTER_S = 40.0
JUMP_C = 12.0
DAMPER_FLOOR = 0.1
DAMPER_FULL_AT = 0.25
KEEP_EVERY_S = 120.0
KEEP_PULSE_S = 6.0
KEEP_DUTY = 0.2
VENT_OPEN = 0.5


class Controller:
    """Holds, drives and puts out; `alerts`, `events` and `tuning()` are there for the caller."""

    def __init__(self, n_core: int = 1, settings=None):
        settings = settings or {}
        self.out = Outputs()
        self.pit = Reading(PIT_RANGE_C, JUMP_C)
        self.stone = Reading(STONE_RANGE_C, JUMP_C)
        self.core = [Reading(CORE_RANGE_C) for _ in range(n_core)]
        self.pit_line = Smooth(FILTER_S)
        self.stone_line = Smooth(STONE_FILTER_S)
        self.lid = Lid()
        self.hold = Hold(settings)
        self.drive = Drive(self.hold)
        self.blower = Blower()
        self.pulls = Pulls(n_core)
        self.events = []
        self.book = AlertBook(self.note)
        self.guard = Guard(self.book, PIT_LIMIT_C)
        self.mode = "off"
        self.phase = ""
        self.target_c = None
        self.stone_target_c = None
        self.drive_limit_c = PIT_LIMIT_C
        self.drive_left_s = 0.0
        self.vent_top = 0.0
        self.vent_bottom = 0.0
        self.pressed_ms = None
        self.stone_seen = False
        self.run_s = 0.0
        self.asked = 0.0
        self.short_c = 0.0
        self.air_shut = False
        self._now_ms = None
        self._fresh = True
        self._cut_c = 0.0
        self._air = 0.0
        self._restore(settings)

    # ------------------------------------------------------------------ for the caller

    @property
    def alerts(self) -> dict:
        """Pauses, trips and notices in force, by id."""
        return self.book.alerts

    def order(self, name: str, args: dict, now_ms: int) -> tuple:
        """Take an order; return ('', '') or (code, what would be right)."""
        code, text = take(self, name, args, now_ms)
        self.note("order_refused" if code else "order_taken", None, None, str(name)[:16])
        return code, text

    def latched(self) -> list:
        """Ids of trips to be stored over a restart."""
        return self.book.latched()

    def restore_latched(self, ids: list, now_ms: int = 0) -> None:
        """Take back the trips of the run before: they stand until a person acknowledges them."""
        for name in ids:
            self.book.put(name, "trip", None, None, now_ms)
            self.book.over(name)

    def tuning(self) -> dict:
        """Gains and learned constants in force."""
        pid = self.hold.pid
        return {"kp": pid.kp, "ti_s": pid.ti_s, "td_s": pid.td_s, "b": pid.b}

    def tick(self, now_ms: int, inputs: Inputs) -> Outputs:
        """One control step; return the outputs (one object, reused)."""
        dt_s = self._elapsed_s(now_ms)
        if dt_s > 0.0:
            self._sense(inputs, dt_s, now_ms)
            self.guard.step(self, inputs, dt_s, now_ms)
            self._obey()
            duty, opening = self._decide(dt_s, now_ms)
            self._act(duty, opening, dt_s, now_ms)
        return self.out

    # ------------------------------------------------------------------ for the orders

    def note(self, kind, value, limit, text):
        """Keep an event for the caller; the oldest goes when nobody drains them."""
        if len(self.events) >= MAX_EVENTS:
            self.events.pop(0)
        self.events.append((kind, value, limit, text))

    def enter(self, mode, phase, values, now_ms):
        """Change the mode with values already checked."""
        before = self.mode
        if values["target_c"] is not None:
            self.target_c = values["target_c"]
        if mode == "drive":
            self._enter_drive(values)
        self.mode = mode
        self.phase = phase
        if mode == "hold" and (before != "hold" or values["target_c"] is not None):
            self._fresh = True
        if mode != before or values["target_c"] is not None:
            self.guard.rearm()
        if mode != before:
            self.run_s = 0.0
        self.note("mode", self.target_c, None, mode)

    def new_target(self, target_c):
        """Hold another pit temperature from now on."""
        self.target_c = target_c
        self._fresh = True
        self.guard.rearm()
        self.note("target", target_c, None, "")

    def tell_lid(self, is_open):
        """A person says that the lid is open, or shut."""
        if is_open != self.lid.is_open:
            self.note("lid_open" if is_open else "lid_shut", None, None, "told")
        self.lid.tell(is_open)

    def set_vent(self, which, opening):
        """Note a vent set by hand, 0..1."""
        if which == "top":
            self.vent_top = opening
        else:
            self.vent_bottom = opening
        self.note("vent", opening, None, which)

    def pulled(self, k):
        """Piece `k` is out."""
        self.pulls.pulled(k)
        self.note("pulled", None, None, str(k))
        if not self.pulls.ringing():
            self.book.over("pull", keep=False)

    def acknowledge(self, name):
        """A person has seen an alert; what is healthy again may go on."""
        found = self.book.acknowledge(name)
        if found:
            self.guard.rearm()
        if name in ("all", "pit_sensor"):
            self.pit.low_c = 0.0
        return found

    # ------------------------------------------------------------------ one tick

    def _elapsed_s(self, now_ms):
        before_ms = self._now_ms
        self._now_ms = now_ms
        if before_ms is None:
            return 1.0
        return min((now_ms - before_ms) / 1000.0, LONGEST_DT_S)

    def _sense(self, inputs, dt_s, now_ms):
        self.pit.accept(inputs.pit_c, inputs.pit_fault, dt_s)
        self.stone.accept(inputs.stone_c, inputs.stone_fault, dt_s)
        self._smooth(self.pit, self.pit_line, dt_s)
        self._smooth(self.stone, self.stone_line, dt_s)
        self.stone_seen = self.stone_seen or self.stone.value_c is not None
        if inputs.lid_button:
            self.pressed_ms = now_ms
            self.note("button", None, None, "")
            self.tell_lid(not self.lid.is_open)
        self._feel_lid(dt_s)
        self._probe_pieces(inputs, now_ms)

    def _smooth(self, reading, line, dt_s):
        if reading.value_c is None:
            line.reset()
        else:
            line.update(reading.value_c, dt_s)

    def _feel_lid(self, dt_s):
        if self.pit.value_c is None:
            self.lid.forget()
            return
        before = self.lid.is_open
        now = self.lid.step(self.pit.value_c, dt_s, self._cut_c)
        if now != before:
            self.note("lid_open" if now else "lid_shut", self.lid.quick_c, None, "felt")

    def _probe_pieces(self, inputs, now_ms):
        for k in range(len(self.core)):
            if k < len(inputs.core_c):
                self.core[k].accept(inputs.core_c[k], inputs.core_fault[k])
            core_c = self.core[k].value_c
            if self.pulls.step(k, core_c):
                self.note("pull", core_c, self.pulls.pull_c[k], str(k))
                self.book.put("pull", "notice", core_c, self.pulls.pull_c[k], now_ms)

    def _obey(self):
        """Over a limit the fire is put out, and stays so until a person starts anew."""
        if self.guard.put_out and self.mode not in ("off", "bank"):
            self.mode = "bank"
            self.phase = "bank"
            self.note("mode", self.target_c, None, "bank")

    def _decide(self, dt_s, now_ms):
        """The air that the mode wants: (duty, opening)."""
        self.run_s += dt_s
        pit_c = self.pit_line.level
        if self.mode == "off" or pit_c is None:
            return 0.0, None
        self.drive.watch(self.stone_line.level, pit_c, dt_s)
        if self.mode == "bank":
            return 0.0, 0.0
        if self.mode == "drive":
            return self._decide_drive(pit_c, dt_s, now_ms)
        return self._decide_hold(pit_c, dt_s)

    def _decide_hold(self, pit_c, dt_s):
        if self._fresh:
            self._fresh = False
            self.hold.start(self.target_c, pit_c)
        if self.lid.is_open or self.guard.stop:
            self.hold.wait(self.target_c, pit_c)
            return self._keep_alive(), 1.0
        u = self.hold.step(self.target_c, pit_c, self.pit_line.slope, dt_s)
        self.short_c = self.target_c - pit_c
        return max(u, 0.0), self._opening(u)

    def _opening(self, u):
        """The damper is open while the blower runs and closes for air below nothing."""
        n = -LOW
        if self.guard.watch.stuck_on:
            return clamp(0.4 * (u + n), 0.03, 0.5)
        return clamp(1.0 + u / n * 0.98, 0.02, 1.0)

    def _keep_alive(self):
        """A short pulse every two minutes keeps the fire under a lid that stays open."""
        open_s = self.lid.open_s
        return KEEP_DUTY if open_s > KEEP_EVERY_S and open_s % KEEP_EVERY_S < KEEP_PULSE_S else 0.0

    def _decide_drive(self, pit_c, dt_s, now_ms):
        self.drive_left_s -= dt_s
        if self.drive_left_s <= 0.0:
            self._end_drive(now_ms)
            return 0.0, DAMPER_FLOOR
        rate = self.stone_line.slope
        self.short_c = self.stone_target_c - self.drive.stone_c
        if self.lid.is_open or self.guard.stop:
            self.hold.wait(self.target_c or 120.0, pit_c)
            return 0.0, 1.0
        slope = self.pit_line.slope
        u = self.drive.step(self.stone_target_c, rate, pit_c, slope, self.drive_limit_c, dt_s)
        if self.vent_top < VENT_OPEN and u > WAIT_VENT_DUTY:
            u = WAIT_VENT_DUTY
            self.drive.why = "drive_wait_vent"
        return max(u, 0.0), self._opening(u)

    def _end_drive(self, now_ms):
        if "drive_too_long" not in self.alerts:
            self.note("drive_end", self.drive.stone_c, self.stone_target_c, "")
        self.book.put("drive_too_long", "notice", self.drive.stone_c, self.stone_target_c, now_ms)

    def _enter_drive(self, values):
        if values["stone_c"] is not None:
            self.stone_target_c = values["stone_c"]
        self.drive_limit_c = values["pit_limit_c"] or PIT_LIMIT_C
        self.drive_left_s = values["longest_s"] or DRIVE_DEFAULT_S
        self.book.over("drive_too_long")
        self.guard.rearm()
        self.drive.start(self.pit_line.level or 20.0)

    def _act(self, duty, opening, dt_s, now_ms):
        """What the interlocks leave of it, and the motor's curve."""
        pulse = self.lid.is_open and self.mode == "hold" and not self.book.any_of("trip")
        pulse = pulse and not self.book.any_of("pause")
        if self.guard.stop and not pulse:
            duty = 0.0
        if self.guard.damper and self.mode != "off":
            opening = 0.0 if self.guard.damper == "shut" else DAMPER_FLOOR
        drive = self.blower.stop() if duty <= 0.0 else self.blower.step(duty, dt_s)
        # A cut of the air makes the pit fall by itself: no lid.
        self._cut_c += (max(0.0, self._air - duty) * 40.0 - self._cut_c) * min(1.0, dt_s / 30.0)
        self._air += (duty - self._air) * min(1.0, dt_s / 180.0)
        self.asked = duty
        self.air_shut = opening is not None and opening <= 0.0 and duty <= 0.0
        self._report(duty, drive, opening)

    def _report(self, duty, drive, opening):
        out, pid = self.out, self.hold.pid
        out.duty = duty
        out.drive = drive
        out.opening = opening
        out.mode = self.mode
        out.phase = self.phase
        out.target_c = self.stone_target_c if self.mode == "drive" else self.target_c
        out.ref_c = self.hold.ref_c if self.mode == "hold" else None
        out.pit_f_c = self.pit_line.level
        out.slope_cps = self.pit_line.slope
        out.p, out.i, out.d, out.ff = pid.p, pid.i, pid.d, pid.ff
        out.lid_open = self.lid.is_open
        out.fire = clamp(self.hold.see.x2, 0.0, 3.0)
        out.why = self._why()
        out.alarm_sound = self._sound()
        out.light = bool(out.alarm_sound)

    def _why(self):
        if self.mode == "off":
            return "off"
        if self.pit_line.level is None and not self.book.alerts:
            return "wait_sensor"
        if self.book.any_of("trip"):
            return "tripped"
        if self.book.any_of("pause"):
            return "paused"
        if self.lid.is_open:
            return "lid"
        if self.mode == "bank":
            return "bank"
        if self.mode == "drive":
            return self.drive.why if self.drive_left_s > 0.0 else "drive_over"
        return self.hold.why

    def _sound(self):
        if self.pulls.ringing() and not self.alerts["pull"].acknowledged:
            return "pull"
        return "alarm" if self.book.unheard() else ""

    def _restore(self, settings):
        self.hold.pid.set_gains(
            settings.get("kp"), settings.get("ti_s"), settings.get("td_s"), settings.get("b")
        )
