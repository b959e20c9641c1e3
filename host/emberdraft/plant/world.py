"""Everything outside the board: the cooker, the weather, the motor, the probes and the person's acts.

`set_air` is what the board's pins command, `advance` lets time pass; the methods named after deeds are
what a person does. Deterministic for a seed.
"""

from __future__ import annotations

from typing import Any

from emberdraft.errors import UserError
from emberdraft.plant.contract import Plant
from emberdraft.plant.motor import Motor
from emberdraft.plant.sensors import SensorBank
from emberdraft.plant.slab import Slab
from emberdraft.plant.weather import Wind

LONGEST_STEP_S = 1.0
REST_WM2K = 10.0  # a piece tented with foil in still air (the worked carry-over uses the same)


class World:
    """A cooker in its yard. Attributes to read and to set: ambient_c, wind_mps (mean), vent_top, vent_bottom."""

    def __init__(
        self,
        plant: Plant,
        *,
        ambient_c: float = 20.0,
        wind_mps: float = 1.0,
        seed: int = 0,
        vent_top: float = 0.2,
        vent_bottom: float = 1.0,
        gust: float = 0.3,
        noise_c: float = 0.05,
        n_probes: int = 2,
    ) -> None:
        self.plant = plant
        self.ambient_c = ambient_c
        self.wind_mps = wind_mps
        self.vent_top = vent_top
        self.vent_bottom = vent_bottom
        self.lid_open = False
        self.now_s = 0.0
        self.truth: dict[str, Any] = {}
        self.motor = Motor()
        self.sensors = SensorBank(seed, noise_c=noise_c)
        self.probe_in: list[int | None] = [None] * n_probes
        self.resting: dict[int, Slab] = {}
        self.wind_now_mps = wind_mps
        self._wind = Wind(seed, gust)
        self._drive = 0.0
        self._opening: float | None = None
        self._acts: dict[str, Any] = {}
        self._begin()

    # ---- the board's side

    def set_air(self, drive: float, opening: float | None) -> None:
        """Drive of the blower 0..1 and opening of the damper 0..1; None leaves the intake to `vent_bottom`."""
        self._drive = min(1.0, max(0.0, drive))
        self._opening = None if opening is None else min(1.0, max(0.0, opening))

    def advance(self, dt_s: float) -> dict[str, Any]:
        """Let `dt_s` pass; the plant's last output."""
        left = dt_s
        while left > 1e-9:
            step_s = min(left, LONGEST_STEP_S)
            self._step(step_s)
            left -= step_s
        return self.truth

    @property
    def pit_c(self) -> float | None:
        """The pit probe in degC, None while open or short."""
        return self.sensors.value("pit")

    @property
    def stone_c(self) -> float | None:
        """The stone's bead in degC, None while open or short."""
        return self.sensors.value("stone")

    @property
    def board_c(self) -> float | None:
        """The board's own temperature (cold junction) in degC."""
        return self.sensors.value("board")

    @property
    def tach_rpm(self) -> float:
        """What the blower's tachometer says."""
        return self.motor.rpm

    def probe_c(self, k: int) -> float | None:
        """Food probe `k` in degC: the middle of its piece, or the air when it is in none."""
        return self.sensors.value(k)

    def fault(self, name: str | int) -> str:
        """What the chip of 'pit', 'stone' or a food probe reports: '', 'open' or 'short'."""
        return self.sensors.fault(name)

    # ---- the person's side

    def open_lid(self) -> None:
        """Lift the lid."""
        self.lid_open = True

    def shut_lid(self) -> None:
        """Lower the lid."""
        self.lid_open = False

    def set_vent_top(self, opening: float) -> None:
        """Set the top vent by hand, 0..1."""
        self.vent_top = _share("top vent", opening)

    def set_vent_bottom(self, opening: float) -> None:
        """Set the bottom vent by hand, 0..1; it acts where no damper is fitted."""
        self.vent_bottom = _share("bottom vent", opening)

    def put_on(self, name: str, mass_kg: float, thickness_m: float, initial_c: float, probe: int | None = None) -> int:
        """Put a piece on, with food probe `probe` in its middle; its index in the plant's lists."""
        if probe is not None and not 0 <= probe < len(self.probe_in):
            raise UserError(f"piece '{name}': probe {probe} is not one of 0 to {len(self.probe_in) - 1}")
        index = self.plant.add_food(mass_kg, thickness_m, initial_c)
        if probe is not None:
            self.probe_in[probe] = index
            self.sensors.move_bead(probe, initial_c)
        return index

    def take_off(self, index: int, keep_probe: bool = False) -> Any:
        """Take a piece off. Its probe is drawn out and reads the air, unless it is kept in the resting piece.

        A resting piece stands tented in the yard's air and goes on cooking inside; it is the slab returned.
        """
        piece = self.plant.remove_food(index)
        if keep_probe and isinstance(piece, Slab):
            self.resting[index] = piece
        else:
            self.probe_in = [None if held == index else held for held in self.probe_in]
        return piece

    def sear(self, piece: Slab, probe: int | None = None) -> int:
        """Lay a piece that was taken off on the stone, and turn it as it goes; its new index."""
        index: int = self._ability("put_back", "nothing can be seared")(piece, on_stone=True)
        self.resting = {held: slab for held, slab in self.resting.items() if slab is not piece}
        if probe is not None:
            self.probe_in[probe] = index
        return index

    def sear_rested(self, index: int, probe: int | None = None) -> int:
        """Lay the piece that rests under its old `index` on the stone; its new index."""
        if index not in self.resting:
            raise UserError(f"no piece {index} is resting")
        return self.sear(self.resting[index], probe)

    def draw_out(self, probe: int) -> None:
        """Draw a probe out of its piece: it reads the air; what rested on it is cut."""
        index, self.probe_in[probe] = self.probe_in[probe], None
        if index is not None:
            self.resting.pop(index, None)

    def set_in(self, mass_kg: float, initial_c: float) -> None:
        """Set cold parts in: deflector, grate, stone carrier."""
        self._ability("add_mass", "cold parts cannot be set in")(mass_kg, initial_c)

    def add_fuel(self, mass_kg: float) -> None:
        """Put charcoal on."""
        self._ability("add_fuel", "no fuel can be added")(mass_kg)

    def light(self) -> None:
        """Light one side of the bed."""
        self._ability("light", "it is always lit")()

    def lose_fuel(self) -> None:
        """The charcoal is nearly gone: what the end of a bed looks like."""
        self._ability("lose_fuel", "its fuel cannot be taken away")()

    def break_probe(self, name: str | int, kind: str, offset_c: float = 0.0) -> None:
        """Inject a fault of a probe; see SensorBank."""
        self.sensors.break_probe(name, kind, offset_c)

    def stick_blower(self, speed: float | None) -> None:
        """A dead blower (0.0), one stuck on (1.0), or a mended one (None)."""
        self.motor.stuck = speed

    # ---- inside

    def _ability(self, method: str, otherwise: str) -> Any:
        found = getattr(self.plant, method, None)
        if not callable(found):
            raise UserError(f"this plant ({type(self.plant).__name__}) has no {method}: {otherwise}")
        return found

    def _step(self, dt_s: float) -> None:
        self.now_s += dt_s
        self.wind_now_mps = self._wind.step(dt_s, self.wind_mps)
        acts = self._acts
        acts["blower"] = self.motor.step(dt_s, self._drive)
        acts["intake"] = self.vent_bottom if self._opening is None else self._opening
        acts["exhaust"] = self.vent_top
        acts["lid_open"] = self.lid_open
        acts["ambient_c"] = self.ambient_c
        acts["wind_mps"] = self.wind_now_mps
        self.truth = self.plant.step(dt_s, acts)
        for slab in self.resting.values():
            slab.step(dt_s, REST_WM2K * (self.ambient_c - slab.surface_c))
        self._sense(dt_s)

    def _begin(self) -> None:
        """Beads start at the air of the yard; the first step moves them."""
        start: dict[str | int, float] = {"pit": self.ambient_c, "stone": self.ambient_c, "board": self.ambient_c}
        start.update(dict.fromkeys(range(len(self.probe_in)), self.ambient_c))
        self.sensors.update(start, LONGEST_STEP_S)

    def _sense(self, dt_s: float) -> None:
        truth = self.truth
        seen: dict[str | int, float] = {"pit": truth["pit_c"], "board": self.ambient_c + 6.0}
        stone = truth["stone_c"]
        if stone is not None:
            seen["stone"] = stone
        cores = truth["core_c"]
        for k, piece in enumerate(self.probe_in):
            core = None if piece is None else self.resting[piece].core_c if piece in self.resting else cores[piece]
            seen[k] = self.ambient_c if core is None else core
        self.sensors.update(seen, dt_s)


def _share(what: str, opening: float) -> float:
    if not 0.0 <= opening <= 1.0:
        raise UserError(f"{what}: {opening} must be between 0 (shut) and 1 (open)")
    return opening
