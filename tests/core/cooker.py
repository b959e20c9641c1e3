"""A small cooker for the core's own tests: fire of two lags, air, wall. Not one of the project's plants."""

from __future__ import annotations

from emberboard.core.controller import Controller, Inputs, Outputs


class Cooker:
    """Heat balance of air and wall with a fire that follows the air in minutes (illustrative figures)."""

    def __init__(self, pit_c: float = 20.0, fire: float = 0.02) -> None:
        self.pit_c = pit_c
        self.wall_c = pit_c
        self.glow = self.fire = fire
        self.stone_c = pit_c
        self.fuel = 1.0
        self.lid_open = False
        self.stuck_at: float | None = None  # a blower that runs whatever it is told, behind the damper

    def step(self, blower: float, opening: float, dt_s: float = 1.0) -> None:
        """One second with `blower` and `opening` 0..1."""
        if self.stuck_at is not None:
            blower = self.stuck_at * opening
        air = (0.04 * opening + blower) * self.fuel
        self.glow += (air - self.glow) / 120.0 * dt_s
        self.fire += (self.glow - self.fire) / 240.0 * dt_s
        open_w = 120.0 * (self.pit_c - 20.0) if self.lid_open else 0.0
        heat_w = 5000.0 * self.fire - 30.0 * (self.pit_c - self.wall_c) - 3.0 * (self.pit_c - 20.0) - open_w
        self.pit_c += heat_w / 6000.0 * dt_s
        self.wall_c += (30.0 * (self.pit_c - self.wall_c) - 4.0 * (self.wall_c - 20.0)) / 30000.0 * dt_s
        self.stone_c += (self.pit_c + 150.0 * self.fire - self.stone_c) / 900.0 * dt_s


class Run:
    """A controller on a cooker, second by second."""

    def __init__(self, cooker: Cooker | None = None, n_core: int = 2) -> None:
        self.cooker = cooker or Cooker()
        self.controller = Controller(n_core)
        self.inputs = Inputs(n_core)
        self.now_ms = 0
        self.out: Outputs = self.controller.out
        self.opening = 1.0

    def order(self, name: str, **args: object) -> tuple[str, str]:
        """Give an order now."""
        return self.controller.order(name, args, self.now_ms)

    def hold(self, target_c: float = 121.0) -> Run:
        """Begin to hold, somebody at the cooker."""
        assert self.order("mode", mode="hold", phase="slow", target_c=target_c, at_cooker=True) == ("", "")
        return self

    def seconds(self, n: int, **override: object) -> Run:
        """Run `n` seconds; `override` replaces inputs (`pit_c`, `pit_fault`, ...)."""
        for _ in range(n):
            self.inputs.pit_c = round(self.cooker.pit_c * 4.0) / 4.0
            self.inputs.pit_fault = ""
            self.inputs.stone_c = self.cooker.stone_c
            for name, value in override.items():
                setattr(self.inputs, name, value)
            self.now_ms += 1000
            self.out = self.controller.tick(self.now_ms, self.inputs)
            self.inputs.lid_button = False
            if self.out.opening is not None:
                self.opening = self.out.opening
            self.cooker.step(self.out.drive, self.opening)
        return self

    def alert(self, name: str) -> str:
        """Kind of an alert in force, '' when there is none."""
        alert = self.controller.alerts.get(name)
        return alert.kind if alert else ""
