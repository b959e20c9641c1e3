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

    def step(self, see, inputs, dt_s, now_ms):
        """Ask about the parts of `see` (a controller) from `inputs`."""
        self._still_s = self._still_s + dt_s if see.out.drive <= 0.0 else 0.0
        if inputs.tach_rpm is not None:
            self._blower(see.out.drive, inputs.tach_rpm, dt_s, now_ms)
        if inputs.damper_pos is not None and see.out.opening is not None:
            self._damper(see.out.opening, inputs.damper_pos, dt_s, now_ms)
        if inputs.board_c is not None:
            self._say("board_hot", "pause", ask.board_hot(inputs.board_c), inputs.board_c, now_ms)
            draft = ask.back_draft(inputs.board_c, self._still_s)
            self._say("back_draft", "notice", draft, inputs.board_c, now_ms)
        if inputs.supply_v is not None:
            low = ask.supply_low(inputs.supply_v)
            self._say("supply_low", "pause", low, inputs.supply_v, now_ms)

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
        off = abs(wanted - position) > ask.DAMPER_OFF
        self._sticks_s = self._sticks_s + dt_s if off else 0.0
        sticks = ask.damper_sticks(wanted, position, self._sticks_s)
        self._say("damper_fault", "notice", sticks, position, now_ms)

    def _say(self, name, kind, wrong, value, now_ms):
        if wrong:
            self.book.put(name, kind, value, None, now_ms)
        else:
            self.book.over(name)
