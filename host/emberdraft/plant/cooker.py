"""What all our simulated cookers share: constants, food, cold parts, fuel, the books and the output."""

from __future__ import annotations

from abc import ABC, abstractmethod
from random import Random
from typing import Any, ClassVar

from emberdraft.errors import UserError
from emberdraft.plant.combustion import O2_MASS, O2_MOLE, Bed, Fire
from emberdraft.plant.constants import drawn, with_overrides
from emberdraft.plant.ledger import Ledger
from emberdraft.plant.moist import LATENT_J_G
from emberdraft.plant.shell import Part, Shell, Stone
from emberdraft.plant.slab import Slab, sear_piece, warm_piece

UNEVEN_EVERY_S = 10.0


class Cooker(ABC):
    """Base of the plants; a subclass gives CONSTANTS, SPREAD and its own equations in `step`."""

    CONSTANTS: ClassVar[dict[str, float]] = {}
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {}
    FIRE: ClassVar[type[Fire]] = Bed

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        c = self.c = with_overrides(type(self).__name__, self.CONSTANTS, overrides)
        start = c["start_c"]
        self.chance = Random(f"{type(self).__name__} {seed}")
        self.bed = self.FIRE(c, c["lit_bed_c"] if c["lit_kg"] > 0.0 else start)
        self.shell = Shell(c["shell_kg"], c["shell_area_m2"], c["shell_k"], c, start)
        self.stone = Stone(c, start)
        self.pieces: list[Slab | None] = []
        self.on_stone: set[int] = set()
        self.parts: list[Part] = []
        self.pit_c = start
        self.dome_c = start
        self.ring_c = start  # fire ring and deflector: what the fire warms first
        self.vapour_ratio = c["ambient_ratio"]
        self.now_s = 0.0
        self._uneven_at_s = 0.0
        self.ledger = Ledger(self.stored_j())

    @classmethod
    def draw(cls, seed: int) -> dict[str, float]:
        """Overrides for a cooker of this kind with widely spread constants; the same for a seed."""
        return drawn(cls.SPREAD, seed)

    @abstractmethod
    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """Put a piece on the grate; its index, never used again."""
        for what, value in (("mass_kg", mass_kg), ("thickness_m", thickness_m)):
            if not value > 0.0:
                raise UserError(f"food: {what} = {value} must be above 0")
        piece = Slab(mass_kg, thickness_m, initial_c, wet=self.c["food_wet"])
        self.pieces.append(piece)
        self.ledger.brought_j += piece.stored_j()
        return len(self.pieces) - 1

    def put_back(self, piece: Slab, on_stone: bool = False) -> int:
        """Put a piece that was taken out back as it is, on the grate or on the stone; its new index."""
        self.pieces.append(piece)
        self.ledger.brought_j += piece.stored_j()
        if on_stone:
            self.on_stone.add(len(self.pieces) - 1)
        return len(self.pieces) - 1

    def remove_food(self, index: int) -> Slab | None:
        """Take a piece out; its place stays, as None. The slab itself is returned, to rest."""
        if not 0 <= index < len(self.pieces):
            raise UserError(f"no piece {index}: this cooker has had {len(self.pieces)}")
        piece, self.pieces[index] = self.pieces[index], None
        self.on_stone.discard(index)
        if piece is not None:
            self.ledger.brought_j -= piece.stored_j()
        return piece

    def add_mass(self, mass_kg: float, initial_c: float) -> None:
        """Set a cold part in (deflector, grate, pan)."""
        part = Part(mass_kg, initial_c, self.c["part_cp"], self.c["part_wk_kg"])
        self.parts.append(part)
        self.ledger.brought_j += part.heat_jk * initial_c

    def light(self) -> None:
        """Light one side of the bed, as a fire starter does."""
        bed = self.bed
        self.ledger.brought_j += self.c["bed_jk"] * max(0.0, self.c["lit_bed_c"] - bed.temp_c)
        bed.temp_c = max(bed.temp_c, self.c["lit_bed_c"])
        bed.lit_kg = min(bed.fuel_kg, max(bed.lit_kg, self.c["light_kg"]))

    def put_out(self) -> None:
        """Nothing lit, the bed as cold as the cooker: how a cook begins."""
        self.ledger.brought_j -= self.c["bed_jk"] * (self.bed.temp_c - self.c["start_c"])
        self.bed.temp_c = self.c["start_c"]
        self.bed.lit_kg = 0.0

    def add_fuel(self, mass_kg: float) -> None:
        """Put unlit charcoal on the bed."""
        if not mass_kg > 0.0:
            raise UserError(f"fuel: mass_kg = {mass_kg} must be above 0")
        self.bed.add(mass_kg)

    def lose_fuel(self, left_kg: float = 0.02) -> None:
        """The bed is at its end: nearly no charcoal is left (a fault to inject)."""
        self.bed.lose(left_kg)

    def stored_j(self) -> float:
        """Heat held in everything, above 0 degC, in J."""
        parts = sum(p.heat_jk * p.temp_c for p in self.parts)
        food = sum(p.stored_j() for p in self.pieces if p is not None)
        own = self.c["pit_jk"] * self.pit_c + self.c["bed_jk"] * self.bed.temp_c + self.c["ring_jk"] * self.ring_c
        return own + self.shell.stored_j() + self.stone.stored_j() + parts + food

    def missing_j(self) -> float:
        """What the energy books cannot account for, in J."""
        return self.ledger.missing_j(self.stored_j())

    def _roughen(self) -> None:
        """Lump charcoal burns unevenly: a slow random factor on the burning surface."""
        self._uneven_at_s = self.now_s + UNEVEN_EVERY_S
        keep = 1.0 - UNEVEN_EVERY_S / self.c["uneven_s"]
        push = self.c["uneven"] * (1.0 - keep * keep) ** 0.5
        self.bed.uneven = max(0.3, 1.0 + keep * (self.bed.uneven - 1.0) + push * self.chance.gauss(0.0, 1.0))

    def _feed_pieces(self, dt_s: float, air_gps: float) -> float:
        """Warm food and cold parts from the pit; the heat in W they draw. Sets the pit's moisture."""
        c = self.c
        pit, drawn_w, water = self.pit_c, 0.0, self.bed.water_gps
        self.stone.drawn_w = 0.0
        for index, piece in enumerate(self.pieces):
            if piece is not None:
                heat, gone = self._feed(dt_s, piece, index in self.on_stone)
                piece.dry(dt_s, gone / piece.area_m2, c["dry_g_m2"], c["dry_floor"])
                drawn_w += heat
                water += gone
        for part in self.parts:
            heat = part.pit_wk * (pit - part.temp_c)
            part.temp_c += heat * dt_s / part.heat_jk
            drawn_w += heat
        self.ledger.vapour_j += water * LATENT_J_G * dt_s
        goal = c["ambient_ratio"] + water / (air_gps + 0.05)
        self.vapour_ratio += (goal - self.vapour_ratio) * dt_s / (c["moist_s"] + dt_s)
        return drawn_w

    def _feed(self, dt_s: float, piece: Slab, on_stone: bool) -> tuple[float, float]:
        """One piece, on the grate or on the stone: heat in W from the pit's air, water in g/s."""
        c, pit, ratio = self.c, self.pit_c, self.vapour_ratio
        if not on_stone:
            return warm_piece(piece, dt_s, c["food_h"], pit, ratio)
        heat, taken, gone = sear_piece(piece, dt_s, c["food_h"], pit, ratio, c["contact_h"], self.stone.bead_c)
        self.stone.drawn_w += taken
        return heat, gone

    def _book(self, dt_s: float, air_gps: float, flue_w: float, shell_w: float, lid_w: float) -> None:
        """Enter a step in the books."""
        book, bed = self.ledger, self.bed
        book.released_j += bed.heat_w * dt_s
        book.flue_j += flue_w * dt_s
        book.shell_j += shell_w * dt_s
        book.lid_j += lid_w * dt_s
        o2 = air_gps * O2_MASS
        book.air_g += air_gps * dt_s
        book.o2_in_g += o2 * dt_s
        book.o2_used_g += bed.o2_gps * dt_s
        book.o2_out_g += (o2 - bed.o2_gps) * dt_s
        book.carbon_g += bed.fuel_gps * bed.carbon * dt_s
        book.co_g += bed.co_gps * dt_s

    def _output(self, airflow_gps: float) -> dict[str, Any]:
        """The contract's output, and the parts of the stone beside it.

        `pit_c` is the air where the pit probe is: `probe_up` 0 at the grate, 1 in the dome.
        """
        stone, pieces = self.stone, self.pieces
        return {
            "pit_c": self.pit_c + self.c["probe_up"] * (self.dome_c - self.pit_c),
            "dome_c": self.dome_c,
            "wall_c": self.shell.temp_c[0],
            "stone_c": stone.bead_c,
            "core_c": [None if p is None else p.temp_c[0] for p in pieces],
            "surface_c": [None if p is None else p.temp_c[-1] for p in pieces],
            "fuel_kg": self.bed.fuel_kg,
            "o2": O2_MOLE * (1.0 - self.bed.o2_gps / (O2_MASS * airflow_gps + 1e-9)),
            "airflow_gps": airflow_gps,
            "stone_face_c": stone.face_c,
            "stone_core_c": stone.core_c,
            "bed_c": self.bed.temp_c,
            "lit_kg": self.bed.lit_kg,
            "heat_w": self.bed.heat_w,
        }
