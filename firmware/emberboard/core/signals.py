"""What goes into a control step and what comes out: plain attributes, one object reused."""


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
