"""The form of a plan file: every key, its unit and its default. `docs/reference/plan.md` follows this file.

A key in the file is plain (`pull`), the attribute carries the unit (`pull_c`). The types below are floats that are only
ever made from text with a unit, so that a bare number cannot slip in.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

from emberdraft import quantities
from emberdraft.phases import PHASES

VERSION = 1


class Celsius(float):
    """A temperature in degC, written '121C' or '250F'."""


class Seconds(float):
    """A time span in s, written '45 min' or '1h30min'."""


class Kilograms(float):
    """A mass in kg, written '450g' or '1 lb'."""


class Metres(float):
    """A length in m, written '38mm' or '1.5in'."""


class Share(float):
    """A fraction 0..1, written '25 %', '1/4', 'open' or 'shut'."""


class MetresPerSecond(float):
    """A wind speed in m/s, written '2 m/s' or '5 mph'."""


class GainPerC(float):
    """A gain in duty per degC, written '2 %/C'."""


READERS: dict[type, Callable[[object], float]] = {
    Celsius: quantities.temperature_c,
    Seconds: quantities.duration_s,
    Kilograms: quantities.mass_kg,
    Metres: quantities.length_m,
    Share: quantities.share,
    MetresPerSecond: quantities.speed_mps,
    GainPerC: quantities.gain_per_c,
}

if TYPE_CHECKING:
    Phase = str
else:
    Phase = Literal[tuple(PHASES)]
FoodKind = Literal["whole", "ground", "poultry", "fish", "stuffed", "tenderised"]
Animal = Literal["beef", "pork", "lamb", "veal", "poultry", "fish", "other"]
AtEnd = Literal["bank", "ask"]
Cut = Literal["chop", "steak", "bird", "split bird", "ribs", "shoulder", "brisket", "roast"]


class Table(Struct, forbid_unknown_fields=True, frozen=True):
    """A table of the file: keys are checked, values never change after reading."""


class Light(Table, frozen=True):
    """Fire-up: one side of the bed is lit, the pit comes up to the target."""

    target_c: Celsius = field(name="target")
    vent_top: Share = field(name="vent_top", default=Share(0.25))
    vent_bottom: Share = field(name="vent_bottom", default=Share(1.0))
    charcoal_kg: Kilograms | None = field(name="charcoal", default=None)
    expect_s: Seconds = field(name="expect", default=Seconds(1800.0))
    longest_s: Seconds = field(name="longest", default=Seconds(4500.0))


class Soak(Table, frozen=True):
    """Walls, not only air, come up to temperature: the time is counted at temperature."""

    target_c: Celsius | None = field(name="target", default=None)
    least_s: Seconds = field(name="least", default=Seconds(900.0))
    longest_s: Seconds = field(name="longest", default=Seconds(2400.0))


class SetUp(Table, frozen=True):
    """Cold parts set in between soak and slow: the largest upset of the day."""

    parts: tuple[str, ...] = ("deflector", "grate", "stone")
    mass_kg: Kilograms = field(name="mass", default=Kilograms(6.0))
    start_c: Celsius | None = field(name="start", default=None)
    settle_s: Seconds = field(name="settle", default=Seconds(1500.0))


class Slow(Table, frozen=True):
    """The long hold. It ends when the pieces are out and, if `for` is given, the time is up."""

    target_c: Celsius = field(name="target")
    for_s: Seconds | None = field(name="for", default=None)
    vent_top: Share | None = None
    vent_bottom: Share | None = None
    expect_s: Seconds = field(name="expect", default=Seconds(4500.0))


class Climb(Table, frozen=True):
    """The stone is driven to searing heat; the pit stays below its limit."""

    stone_c: Celsius = field(name="stone")
    pit_limit_c: Celsius = field(name="pit_limit", default=Celsius(350.0))
    expect_s: Seconds = field(name="expect", default=Seconds(1500.0))
    longest_s: Seconds = field(name="longest", default=Seconds(2700.0))


class Sear(Table, frozen=True):
    """Seconds matter: a timer for each side, the stone may recover between groups."""

    per_side_s: Seconds = field(name="per_side", default=Seconds(75.0))
    sides: int = 2
    together: bool = True
    recover_c: Celsius | None = field(name="recover", default=None)
    recover_longest_s: Seconds = field(name="recover_longest", default=Seconds(240.0))


class Bank(Table, frozen=True):
    """The fire is put out: air shut, until the pit is under `until` or `longest` has passed."""

    until_c: Celsius = field(name="until", default=Celsius(100.0))
    longest_s: Seconds = field(name="longest", default=Seconds(1800.0))


class Piece(Table, frozen=True):
    """One item of food."""

    name: str
    letter: str
    pull_c: Celsius = field(name="pull")
    final_c: Celsius = field(name="final")
    probe: int | None = None
    check_after_s: Seconds | None = field(name="check_after", default=None)
    mass_kg: Kilograms | None = field(name="mass", default=None)
    thickness_m: Metres | None = field(name="thickness", default=None)
    start_c: Celsius = field(name="start", default=Celsius(4.0))
    on_after_s: Seconds = field(name="on_after", default=Seconds(0.0))
    rest_s: Seconds = field(name="rest", default=Seconds(180.0))
    kind: FoodKind = "whole"
    animal: Animal = "other"
    cut: Cut | None = None
    wrap_c: Celsius | None = field(name="wrap", default=None)


class Gains(Table, frozen=True):
    """A change of the controller's gains at a moment of the plan."""

    phase: Phase
    after_s: Seconds = field(name="after", default=Seconds(0.0))
    kp: GainPerC | None = None
    ti_s: Seconds | None = field(name="ti", default=None)
    td_s: Seconds | None = field(name="td", default=None)
    b: float | None = None


class Act(Table, frozen=True):
    """How the stand-in person behaves at one kind of prompt."""

    prompt: str
    delay_s: Seconds | None = field(name="delay", default=None)
    lid_s: Seconds | None = field(name="lid", default=None)
    forgets: int = 0


class StandIn(Table, frozen=True):
    """A scripted person for rehearsal and demonstration."""

    delay_s: Seconds = field(name="delay", default=Seconds(25.0))
    lid_s: Seconds = field(name="lid", default=Seconds(30.0))
    acts: list[Act] = field(name="act", default_factory=list)


class PlanForm(Table, frozen=True, kw_only=True):
    """The whole file."""

    version: int
    name: str
    invented: bool = False
    note: str = ""
    ambient_c: Celsius = field(name="ambient", default=Celsius(20.0))
    wind_mps: MetresPerSecond = field(name="wind", default=MetresPerSecond(1.0))
    repeat_s: Seconds = field(name="repeat", default=Seconds(180.0))
    blower: bool = True
    serve: str = ""
    at_end: AtEnd = "bank"
    hold_until: str = ""
    grate_m: Metres | None = field(name="grate", default=None)
    light: Light
    soak: Soak | None = None
    set_up: SetUp | None = None
    slow: Slow | None = None
    climb: Climb | None = None
    sear: Sear | None = None
    bank: Bank = Bank()
    pieces: list[Piece] = field(name="piece", default_factory=list)
    gains: list[Gains] = field(default_factory=list)
    stand_in: StandIn | None = None

    @property
    def until_said(self) -> bool:
        """Whether the slow phase has no end of its own: it is held until a person says."""
        return self.slow is not None and self.slow.for_s is None and not self.pieces
