"""From the air that is wanted to what the motor gets.

A small blower does not start below some duty and does not run below another (common practice, no
source). Below its lowest running duty the air is given in portions: the motor runs at the lowest
duty for a share of a window. The fire's lag of minutes smooths the portions out.
"""

from .limits import within

LOWEST = 0.1
LOWEST_LOW, LOWEST_HIGH = 0.05, 0.4
KICK = 0.3
WINDOW_S = 90.0
SLEW_PER_S = 0.2
NOTHING = 0.004


def lowest_of(settings):
    """The lowest running drive that a sweep found, 0..1, inside its bounds; LOWEST without one."""
    return within(settings.get("blower_lowest"), LOWEST_LOW, LOWEST_HIGH) or LOWEST


class Blower:
    """Keeps the phase of the window, the kick and the slew; `drive` is the last output 0..1."""

    def __init__(self, lowest=LOWEST, kick=KICK, window_s=WINDOW_S, slew_per_s=SLEW_PER_S):
        self.lowest = lowest
        self.kick = kick
        self.window_s = window_s
        self.slew_per_s = slew_per_s
        self.drive = 0.0
        self._at_s = 0.0

    def stop(self):
        """Off now, without slew: what an interlock or an open lid asks for."""
        self.drive = 0.0
        self._at_s = 0.0
        return 0.0

    def step(self, duty, dt_s):
        """Return the drive 0..1 that gives `duty` 0..1 on the average of a window."""
        want = self._portion(duty, dt_s)
        if want <= 0.0:
            return self.stop_portion()
        if self.drive <= 0.0 and want < self.kick:
            self.drive = self.kick  # one step only: enough to break loose
            return self.drive
        most = self.drive + self.slew_per_s * dt_s
        self.drive = min(want, max(most, self.lowest))
        return self.drive

    def stop_portion(self):
        """Off for the rest of the window."""
        self.drive = 0.0
        return 0.0

    def _portion(self, duty, dt_s):
        if duty <= NOTHING:
            self._at_s = 0.0
            return 0.0
        if duty >= self.lowest:
            self._at_s = 0.0
            return duty
        on = self._at_s < duty / self.lowest * self.window_s
        self._at_s += dt_s
        if self._at_s >= self.window_s:
            self._at_s = 0.0
        return self.lowest if on else 0.0
