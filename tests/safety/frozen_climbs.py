"""A quiet probe or a noisy one that freezes in a climb, on drawn cookers: how long does the board blow blindly?"""

from __future__ import annotations

from tests.safety.false_alarms import Yard


class Frozen(Yard):
    """A climb whose probe stops; `blind_s`: full air after a true rise of 30 degC that nobody was told of.

    None where it never rose so far. A climb that comes to its stone meanwhile ends its full air by itself, and a cook
    whose air was tripped in its hold has none: `no_climb` says what tripped.
    """

    RISE_C, LONGEST_S = 30.0, 1800

    def __init__(self, seed: int) -> None:
        super().__init__(seed, "frozen")
        self.blind_s: int | None = None
        self.full = True  # all the air from the freeze to the rise
        self.no_climb = ""

    def run(self) -> Frozen:
        """Hold for an hour, climb, stop at a drawn temperature."""
        kitchen = self.kitchen.hold().minutes(self.draw.uniform(50.0, 70.0))
        if kitchen.controller.latched():
            self.no_climb = f"cook {self.seed}: {kitchen.controller.latched()[0]}, pit {self.pit_c:.0f} degC"
            return self
        kitchen.drive()
        from_c = self.pit_c + self.draw.uniform(5.0, 100.0)
        for _ in range(self.LONGEST_S):
            if self.pit_c >= from_c or kitchen.names():
                break
            kitchen.run(1)
        if self.pit_c >= from_c and not kitchen.names():
            self._freeze()
        return self

    def _freeze(self) -> None:
        kitchen, froze_c = self.kitchen, self.pit_c
        kitchen.world.break_probe("pit", "frozen")
        for _ in range(self.LONGEST_S):
            kitchen.run(1)
            if self.said:
                break
            full = kitchen.out.duty >= 0.9
            if self.blind_s is not None:
                self.blind_s += full
            elif self.pit_c - froze_c >= self.RISE_C:
                self.blind_s = 0
            else:
                self.full = self.full and full

    @property
    def said(self) -> bool:
        """Whether the probe has been called a liar."""
        return "pit_sensor" in self.kitchen.names()
