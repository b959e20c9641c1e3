"""What goes into a control step and what comes out: plain attributes, one object reused."""

from .limits import STONE_HIGH_C, TARGET_LOW_C

LOWEST_C, HIGHEST_C = -650.0, 650.0  # what a packed record holds of temperatures
MOST_CPS = 100.0
MOST_TERM = 6.5  # and of terms
MOST_FIRE = 3.0


class Inputs:
    """Raw samples of this tick. A fault is '' or a name of words.FAULTS."""

    def __init__(self, n_core: int = 1):
        self.pit_c = None
        self.pit_fault = ""
        self.stone_c = None
        self.stone_fault = ""
        self.core_c = [None] * n_core
        self.core_fault = [""] * n_core
        self.board_c = None  # cold junction, degC
        self.lid_button = False  # pressed since the last tick
        self.lid_held = False  # let go since the last tick after a long press
        self.tach_rpm = None
        self.damper_watched = False  # whether anything tells its place
        self.damper_pos = None  # 0..1; None between end switches, or where no place fits
        self.supply_v = None


class Samples:
    """What the guard is shown of this step: readings, parts, the lid, and the drive there was."""

    def __init__(self, pit, stone):
        self.pit = pit
        self.stone = stone
        self.inputs = None
        self.is_open = False  # the lid, by any word or feel
        self.lifted = False  # by a hand at the cooker or by the pit: nobody else begins a wait
        self.open_s = 0.0
        self.drive = 0.0  # what the PWM got until now, 0..1

    def take(self, inputs, lid, drive):
        """Of this tick."""
        self.inputs = inputs
        self.is_open = lid.is_open
        self.lifted = lid.lifted
        self.open_s = lid.open_s
        self.drive = drive


class Outputs:
    """What the board does now, and why."""

    def __init__(self):
        self.duty = 0.0  # air wanted 0..1, after the interlocks
        self.drive = 0.0  # what the PWM gets now, 0..1
        self.opening = None  # damper 0..1, None = leave untouched
        self.mode = "off"
        self.phase = ""
        self.target_c = None
        self.ref_c = None
        self.pit_f_c = None
        self.slope_cps = 0.0
        self.p = 0.0
        self.i = 0.0
        self.d = 0.0
        self.ff = 0.0
        self.why = "off"
        self.lid_open = False
        self.fire = 0.0  # burning, as the duty that would feed it, 0..3
        self.alarm_sound = ""
        self.light = False
        self.estimate = {}


# Nothing outside leaves the core, whatever the laws reckon: a record would be refused as a whole.
BOUNDS = (
    ("duty", 0.0, 1.0),
    ("drive", 0.0, 1.0),
    ("opening", 0.0, 1.0),
    ("target_c", TARGET_LOW_C, STONE_HIGH_C),
    ("ref_c", LOWEST_C, HIGHEST_C),
    ("pit_f_c", LOWEST_C, HIGHEST_C),
    ("slope_cps", -MOST_CPS, MOST_CPS),
    ("p", -MOST_TERM, MOST_TERM),
    ("i", -MOST_TERM, MOST_TERM),
    ("d", -MOST_TERM, MOST_TERM),
    ("ff", -MOST_TERM, MOST_TERM),
    ("fire", 0.0, MOST_FIRE),
)
