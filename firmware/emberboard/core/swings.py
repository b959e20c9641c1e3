"""Swings that do not die out cut the gain: the loop is closed harder than this cooker bears.

A turn counts when the pit has come back by TURN_C from its highest or lowest. From the third
turn in a row, each within LONGEST_S of the one before, `calm` falls; without turns it recovers.
One swing is a lid or a piece of cold food and changes nothing.
"""

TURN_C = 2.5
LONGEST_S = 720.0
PATIENT = 3
CALMER = 0.8
CALM_LOW = 0.25
RECOVER_S = 7200.0


class Swings:
    """`calm` 0.25..1 multiplies the gains."""

    def __init__(self):
        self.calm = 1.0
        self._far_c = None  # the highest or lowest since the last turn
        self._up = True
        self._since_s = 0.0
        self._turns = 0

    def forget(self):
        """Another target, or a lid: what comes now is no swing."""
        self._far_c = None
        self._turns = 0

    def step(self, pit_c, slow, dt_s):
        """Take the pit in degC; `slow` is the time scale. Return whether it swings on."""
        if self._far_c is None:
            self._far_c = pit_c
        self._since_s += dt_s
        self.calm += (1.0 - self.calm) * dt_s / RECOVER_S
        sign = 1.0 if self._up else -1.0
        if sign * (pit_c - self._far_c) > 0.0:
            self._far_c = pit_c
        elif sign * (self._far_c - pit_c) > TURN_C:
            return self._turn(pit_c, slow)
        return False

    def _turn(self, pit_c, slow):
        self._turns = self._turns + 1 if self._since_s < LONGEST_S * slow else 1
        self._since_s = 0.0
        self._up = not self._up
        self._far_c = pit_c
        if self._turns < PATIENT:
            return False
        self.calm = max(CALM_LOW, self.calm * CALMER)
        return True
