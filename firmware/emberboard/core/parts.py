"""The parts themselves: blower, damper, board, supply, each watched where it is measured."""

from . import interlocks as ask


class Parts:
    """Times of the checks on parts; a part without its sensor is not watched."""

    def __init__(self, book):
        self.book = book
        self._stalled_s = 0.0
        self._spins_s = 0.0
        self._sticks_s = 0.0
        self._still_s = 0.0
        self._low_s = 0.0
        self._back_s = 0.0

    def step(self, see, inputs, dt_s, now_ms):
        """Ask about the parts of `see` (a controller) from `inputs`."""
        self._still_s = self._still_s + dt_s if see.out.drive <= 0.0 else 0.0
        if inputs.tach_rpm is not None:
            self._blower(see.out.drive, inputs.tach_rpm, dt_s, now_ms)
        if inputs.damper_watched and see.out.opening is not None:
            self._damper(see.out.opening, inputs.damper_pos, dt_s, now_ms)
        if inputs.board_c is not None:
            if ask.board_hot(inputs.board_c):
                self.book.put("board_hot", "pause", inputs.board_c, None, now_ms)
            elif ask.board_cool(inputs.board_c):
                self.book.over("board_hot")
            draft = ask.back_draft(inputs.board_c, self._still_s)
            self._say("back_draft", "notice", draft, inputs.board_c, now_ms)
        if inputs.supply_v is not None:
            self._supply(inputs.supply_v, dt_s, now_ms)

    def _blower(self, drive, rpm, dt_s, now_ms):
        still = drive >= ask.STALL_DRIVE and rpm < ask.STALL_RPM
        self._stalled_s = self._stalled_s + dt_s if still else 0.0
        stalled = ask.blower_stalled(drive, rpm, self._stalled_s)
        self._say("blower_fault", "trip", stalled, rpm, now_ms)
        turns = drive <= 0.0 and rpm > ask.SPIN_RPM
        self._spins_s = self._spins_s + dt_s if turns else 0.0
        if ask.blower_spins(drive, rpm, self._spins_s):
            self.book.put("blower_stuck_on", "notice", rpm, ask.SPIN_RPM, now_ms)

    def _damper(self, wanted, position, dt_s, now_ms):
        elsewhere = ask.damper_elsewhere(wanted, position)
        self._sticks_s = self._sticks_s + dt_s if elsewhere else 0.0
        self._say("damper_fault", "notice", ask.damper_sticks(self._sticks_s), position, now_ms)

    def _supply(self, supply_v, dt_s, now_ms):
        self._low_s = self._low_s + dt_s if supply_v < ask.SUPPLY_LOW_V else 0.0
        self._back_s = self._back_s + dt_s if supply_v >= ask.SUPPLY_BACK_V else 0.0
        if ask.supply_low(supply_v, self._low_s):
            self.book.put("supply_low", "pause", supply_v, ask.SUPPLY_LOW_V, now_ms)
        elif ask.supply_back(supply_v, self._back_s):
            self.book.over("supply_low")

    def _say(self, name, kind, wrong, value, now_ms):
        if wrong:
            self.book.put(name, kind, value, None, now_ms)
        else:
            self.book.over(name)
