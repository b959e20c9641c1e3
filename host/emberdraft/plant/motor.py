"""The blower's motor between the drive the board gives and the speed the air sees."""

from __future__ import annotations


class Motor:
    """A small brushless blower: needs a kick to start, stalls at low drive, runs up and down in seconds.

    `stuck` holds it: 0.0 for a dead motor, 1.0 for a driver that fails on, None for a healthy one.
    """

    def __init__(self, start_drive: float = 0.22, stall_drive: float = 0.08, lag_s: float = 1.2) -> None:
        self.start_drive = start_drive
        self.stall_drive = stall_drive
        self.lag_s = lag_s
        self.full_rpm = 6500.0
        self.speed = 0.0
        self.stuck: float | None = None

    def step(self, dt_s: float, drive: float) -> float:
        """The mean speed 0..1 after `dt_s` at `drive` 0..1."""
        wanted = drive if self.stuck is None else self.stuck
        least = self.stall_drive if self.speed > 0.5 * self.stall_drive else self.start_drive
        goal = wanted if wanted >= least else 0.0
        self.speed += (goal - self.speed) * dt_s / (self.lag_s + dt_s)
        if self.speed < 0.005:
            self.speed = 0.0
        return self.speed

    @property
    def rpm(self) -> float:
        """What a tachometer would say."""
        return self.full_rpm * self.speed
