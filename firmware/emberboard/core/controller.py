"""One control step a second: readings in, air out, and the reasons beside it.

    controller = Controller(n_core=2)
    controller.order("mode", {"mode": "hold", "target_c": 121.0, "at_cooker": True}, now_ms)
    outputs = controller.tick(now_ms, inputs)

No clock, no input or output: time and samples are passed in. `now_ms` is a plain rising integer.
"""

from .agreed import Agreed
from .air import Air
from .alerts import AlertBook
from .blower import Blower, lowest_of
from .drive import Drive
from .guard import Guard
from .hold import Hold
from .lasting import Elapsed
from .lid import Lid, hear_button
from .limits import (
    CORE_RANGE_C,
    DRIVE_DEFAULT_S,
    PIT_RANGE_C,
    STONE_RANGE_C,
)
from .notices import Notices
from .orders import take
from .pull import Pulls
from .reading import Reading, Smooth
from .relay import Relay
from .report import estimate, fill, tuning
from .signals import Inputs, Outputs, Samples
from .watch import OF_THE_FIRE, Watch

__all__ = ["Controller", "Inputs", "Outputs"]

MAX_EVENTS = 16
LAW_S = 4.5
FILTER_S = 20.0
STONE_FILTER_S = 40.0
JUMP_C = 12.0
AMBIENT_C = 20.0
CUT_C = 40.0
CUT_S = 30.0
UNCUT_C = 1.0
NEAR_C = 5.0
AIR_MEAN_S = 180.0


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
        self.blower = Blower(lowest_of(settings))
        self.pulls = Pulls(n_core)
        self.air = Air()
        self.relay = Relay()
        self.events = []
        self.book = AlertBook(self.note)
        self.agreed = Agreed(settings)
        self.samples = Samples(self.pit, self.stone)
        self.notices = Notices(self.book)
        self.watch = Watch(self.book)
        self.guard = Guard(self.book)
        self.phase = ""
        self.drive_left_s = 0.0
        self.vent_bottom = 0.0
        self.pressed_ms = None
        self.asked = 0.0
        self.short_c = 0.0
        self.air_shut = False
        self._elapsed = Elapsed()
        self._since_s = 0.0
        self._cut_c = 0.0
        self._air_mean = 0.0

    # ------------------------------------------------------------------ for the caller

    @property
    def mode(self) -> str:
        """The mode in force, of words.MODES."""
        return self.agreed.mode

    @property
    def target_c(self):
        """The pit's target, degC, or None."""
        return self.agreed.target_c

    @property
    def stone_target_c(self):
        """The stone's target, degC, or None."""
        return self.agreed.stone_target_c

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
        return tuning(self)

    def tick(self, now_ms: int, inputs: Inputs) -> Outputs:
        """One control step; return the outputs (one object, reused).

        It begins without air: a step that time has not brought on, or that does not come to its
        end, leaves none.
        """
        self.out.duty = self.out.drive = 0.0
        dt_s = self._elapsed.step(now_ms)
        if dt_s > 0.0:
            slow_s = self._slow(dt_s)
            self._sense(inputs, dt_s, now_ms)
            self._smooth(slow_s)
            self.notices.step(self, inputs, dt_s, now_ms)
            if slow_s > 0.0:
                self.watch.step(self, slow_s, now_ms)
            self.drive_left_s -= dt_s
            self.air.step(self, slow_s, now_ms)
            self._act(inputs, now_ms, dt_s, slow_s)
        return self.out

    # ------------------------------------------------------------------ for the orders

    def note(self, kind, value, limit, text):
        """Keep an event for the caller; the oldest goes when nobody drains them."""
        if len(self.events) >= MAX_EVENTS:
            self.events.pop(0)
        self.events.append((kind, value, limit, text))

    def enter(self, mode, phase, values, now_ms):
        """Change the mode with values already checked."""
        if values["target_c"] is not None:
            self.agreed.put("target_c", values["target_c"])
        if mode == "drive":
            self._enter_drive(values)
        other = self.agreed.enter(mode)
        self.phase = phase
        if mode == "hold" and (other or values["target_c"] is not None):
            self.air.fresh = True
        self.note("mode", self.target_c, None, mode)

    def new_target(self, target_c):
        """Hold another pit temperature from now on."""
        self.agreed.put("target_c", target_c)
        self.air.fresh = True
        self.note("target", target_c, None, "")

    def tell_lid(self, deed):
        """Somebody says something of the lid: `deed` is a method of it."""
        before = self.lid.is_open
        deed()
        if self.lid.is_open != before:
            self.note("lid_shut" if before else "lid_open", None, None, "told")

    def set_vent(self, which, opening):
        """Note a vent set by hand, 0..1."""
        if which == "top":
            self.agreed.vent_top = opening
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
        seen = [one for one in self.alerts if name in (one, "all")]
        self.book.acknowledge(name)
        if any(said in seen for said in OF_THE_FIRE):
            self.agreed.acknowledged()
        if "pit_sensor" in seen:
            self.pit.pardon()
        return bool(seen)

    # ------------------------------------------------------------------ one tick

    def _slow(self, dt_s):
        """Seconds since the laws' last step when one is due, else 0."""
        self._since_s += dt_s
        if self._since_s < LAW_S and self.pit_line.level is not None:
            return 0.0
        since_s, self._since_s = self._since_s, 0.0
        return since_s

    def _sense(self, inputs, dt_s, now_ms):
        self.pit.accept(inputs.pit_c, inputs.pit_fault, dt_s)
        self.stone.accept(inputs.stone_c, inputs.stone_fault, dt_s)
        hear_button(self, inputs, now_ms)
        self._feel_lid(dt_s)
        self._probe_pieces(inputs, now_ms)

    def _smooth(self, slow_s):
        """Levels and slopes; the pit's samples in between are in the lid's quick average."""
        if self.pit.value_c is None:
            self.pit_line.reset()
        elif slow_s > 0.0:
            self.pit_line.update(self.lid.quick_c, slow_s)
        if self.stone.value_c is None:
            self.stone_line.reset()
        elif slow_s > 0.0:
            self.stone_line.update(self.stone.value_c, slow_s)
        if slow_s > 0.0 and self.pit_line.level is not None:
            self.drive.watch(self.stone_line.level, self.pit_line.level, slow_s)

    def _feel_lid(self, dt_s):
        if self.pit.value_c is None:
            self.lid.forget()
            return
        before = self.lid.is_open
        arrived = self.mode == "hold" and self.hold.held_once
        has_air = arrived and self.short_c > NEAR_C and self._cut_c < UNCUT_C
        now = self.lid.step(self.pit.value_c, dt_s, self._cut_c, has_air)
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

    def _obey(self, verdict):
        """Over a limit the fire is put out, and stays so until a person starts anew."""
        if verdict.damper <= 0.0 and self.mode in ("hold", "drive"):
            self.agreed.enter("bank")
            self.phase = "bank"
            self.note("mode", self.target_c, None, "bank")

    def end_drive(self, now_ms):
        """The drive's time is over: a notice, until a person renews it."""
        if "drive_too_long" not in self.alerts:
            self.note("drive_end", self.drive.stone_c, self.stone_target_c, "")
        stone_c = self.drive.stone_c
        self.book.put("drive_too_long", "notice", stone_c, self.stone_target_c, now_ms)

    def _enter_drive(self, values):
        self.agreed.drive(values["stone_c"], values["pit_limit_c"])
        self.drive_left_s = values["longest_s"] or DRIVE_DEFAULT_S
        self.book.over("drive_too_long")
        if self.mode != "drive":  # renewed or retargeted, it goes on from where it is
            self.drive.start(self.pit_line.level or AMBIENT_C)

    def _act(self, inputs, now_ms, dt_s, slow_s):
        """What the guard leaves of the law's wish, and the motor's curve."""
        self.samples.take(inputs, self.lid, self.blower.drive)
        self.agreed.lid_told = self.lid.told
        self.guard.tick(now_ms, self.samples, self.air, self.agreed)
        verdict = self.guard.verdict
        duty, opening = verdict.of(now_ms, self.air.duty), verdict.under(self.air.opening)
        drive = self.blower.stop() if duty <= 0.0 else self.blower.step(duty, dt_s)
        if slow_s > 0.0:
            self._remember(duty, slow_s)
        self._obey(verdict)
        self.asked = duty
        self.air_shut = opening is not None and opening <= 0.0 and duty <= 0.0
        fill(self.out, self, duty, drive, opening)

    def _remember(self, duty, slow_s):
        """A cut of the air makes the pit fall by itself: that much of a fall is no lid."""
        cut_c = max(0.0, self._air_mean - duty) * CUT_C
        self._cut_c += (cut_c - self._cut_c) * min(1.0, slow_s / CUT_S)
        self._air_mean += (duty - self._air_mean) * min(1.0, slow_s / AIR_MEAN_S)
        estimate(self.out, self)
