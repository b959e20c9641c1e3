"""What a person should see to, and what takes no air away: parts, lid, a starved hot fire."""

from . import interlocks as ask
from .lasting import Lasting
from .limits import STARVED_CLEAR_C, STARVED_RAISE_C


class Notices:
    """Times of the checks on parts and lid; a part without its sensor is not watched."""

    def __init__(self, book):
        self.book = book
        self._spins, self._sticks, self._still = Lasting(), Lasting(), Lasting()
        self._doubt = Lasting()
        self._stone_seen = False

    def step(self, see, inputs, dt_s, now_ms):
        """Ask about the parts and the lid of `see` (a controller) from `inputs`."""
        still_s = self._still.step(see.blower.drive <= 0.0, dt_s)
        if inputs.tach_rpm is not None:
            turns = ask.blower_turns(see.blower.drive, inputs.tach_rpm)
            if ask.blower_spins(self._spins.step(turns, dt_s)):
                self.book.put("blower_stuck_on", "notice", inputs.tach_rpm, ask.SPIN_RPM, now_ms)
        if inputs.damper_watched and see.out.opening is not None:
            elsewhere = ask.damper_elsewhere(see.out.opening, inputs.damper_pos)
            sticks = ask.damper_sticks(self._sticks.step(elsewhere, dt_s))
            self._say("damper_fault", sticks, inputs.damper_pos, None, now_ms)
        if inputs.board_c is not None:
            draft = ask.back_draft(inputs.board_c, still_s)
            self._say("back_draft", draft, inputs.board_c, None, now_ms)
        self._stone(see, now_ms)
        self._lid(see, dt_s, now_ms)
        self._starved(see, now_ms)

    def _stone(self, see, now_ms):
        self._stone_seen = self._stone_seen or see.stone.value_c is not None
        if self._stone_seen:
            self._say("stone_sensor", see.stone.fault != "", None, None, now_ms)

    def _lid(self, see, dt_s, now_ms):
        lid = see.lid
        doubt_s = self._doubt.step(lid.in_doubt, dt_s)
        long = ask.lid_forgotten(lid.open_s if lid.is_open else 0.0, doubt_s)
        asks = lid.is_open and lid.in_doubt  # told open, and the pit is back
        wrong = (long or asks) and see.mode in ("hold", "drive")
        self._say("lid_left_open", wrong, lid.open_s, ask.LEFT_OPEN_S, now_ms)

    def _starved(self, see, now_ms):
        pit_c = see.pit.value_c
        if pit_c is None:
            return
        if see.air_shut and pit_c >= STARVED_RAISE_C:
            self.book.put("starved_hot", "notice", pit_c, STARVED_CLEAR_C, now_ms)
        elif pit_c < STARVED_CLEAR_C:
            self.book.over("starved_hot", keep=False)

    def _say(self, name, wrong, value, limit, now_ms):
        if wrong:
            self.book.put(name, "notice", value, limit, now_ms)
        else:
            self.book.over(name)
