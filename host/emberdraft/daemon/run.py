"""All that changes while a plan is carried out, in one structure: saved after each change, read after a restart."""

from __future__ import annotations

from typing import Any, NamedTuple

from msgspec import Struct, field

from emberdraft.daemon.liveness import SILENT_AFTER_S
from emberdraft.daemon.plan import Plan
from emberdraft.said import Text


class Action(NamedTuple):
    """What the conductor wants done. kind: order, mark, phase, piece, say, prompt, end."""

    kind: str
    name: str
    args: dict[str, Any]


class Prompt(Struct, kw_only=True):
    """One thing for a person to do; its button says the deed in the past."""

    id: str
    kind: str
    title: str
    text: Text
    deed: str
    at_cooker: bool = False
    letters: list[str] = field(default_factory=list)
    caution: list[Text] = field(default_factory=list)
    since_s: float = 0.0
    said_s: float = 0.0
    said: int = 1
    value_c: float | None = None  # what was read as it was asked; said with its time (prompt_values.py)
    vents: dict[str, float] = field(default_factory=dict)


class PieceRun(Struct):
    """A piece in this cook. state: waiting, in, resting, searing, done."""

    letter: str
    state: str = "waiting"
    on_s: float | None = None
    pulled_s: float | None = None
    pulled_c: float | None = None
    due_count: int = 0
    highest_c: float | None = None
    off_s: float | None = None


class PhaseRun(Struct):
    """A phase that was entered."""

    name: str
    start_s: float
    target_c: float | None
    end_s: float | None = None


class SoakRun(Struct):
    """Time at temperature, and the air that it took, minute by minute."""

    at_heat_s: float = 0.0
    last_s: float | None = None
    minute_s: float = 0.0
    minute_duty_s: float = 0.0
    duties: list[float] = field(default_factory=list)


class SearRun(Struct):
    """Which group is on the stone, which side, and until when."""

    group: int = 0
    side: int = 0
    state: str = "recover"
    due_s: float | None = None
    since_s: float = 0.0


class Changed(Struct):
    """One change of the plan in the cook: what it takes to take it back."""

    text: str  # of the plan before
    targets: dict[str, float]
    pieces: list[PieceRun]


class Run(Struct):
    """The whole state of a conductor."""

    step: str = "ready"
    since_s: float = 0.0
    started_s: float | None = None
    before: str = ""
    before_since_s: float = 0.0
    pieces: list[PieceRun] = field(default_factory=list)
    prompts: list[Prompt] = field(default_factory=list)
    asked: int = 0
    phases: list[PhaseRun] = field(default_factory=list)
    at_cooker_s: float | None = None
    seen_ms: int | None = None  # the board's uptime in the newest reading as that was said
    targets: dict[str, float] = field(default_factory=dict)
    soak: SoakRun = field(default_factory=SoakRun)
    sear: SearRun = field(default_factory=SearRun)
    vent_top: float | None = None
    vent_bottom: float | None = None
    gains: dict[str, float] = field(default_factory=dict)
    gains_done: list[int] = field(default_factory=list)
    good_since_s: float | None = None
    look_s: float = 0.0
    lid_asked_open: bool = False
    boot: str = ""
    agreed: bool = False
    sent_s: float | None = None
    after_boot: bool = False
    climb_start_s: float | None = None
    soak_cut: bool = False
    by_hand: bool = False
    asks_s: float | None = 0.0  # at the plan's end: from when on it is asked what now; None: not until they say
    probes: dict[str, int | None] = field(default_factory=dict)
    text: str = ""  # the plan as a person has changed it; '' as the cook was begun with it
    changed: list[Changed] = field(default_factory=list)
    coach: dict[str, Any] = field(default_factory=dict)


def new_run(plan: Plan) -> Run:
    """A run that has not begun."""
    return Run(pieces=[PieceRun(piece.letter) for piece in plan.pieces], by_hand=not plan.blower)


class View:
    """What the host knows of the board now: the last live reading, its age, what is fitted, the alerts in force.

    A plain object that the caller reuses each second. Temperatures in degC, duty and opening 0..1, times in unix s.
    """

    __slots__ = (
        "alerts",
        "blower",
        "boot",
        "core_c",
        "duty",
        "fuel_ends_s",
        "gone",
        "heard_s",
        "lid_open",
        "mode",
        "ms",
        "phase",
        "pit_c",
        "silent_after_s",
        "stone_c",
        "stone_due_s",
        "stone_in_s",
        "target_c",
        "why",
    )

    def __init__(self) -> None:
        self.boot = ""
        self.heard_s: float | None = None
        self.ms: int | None = None  # uptime of the board in its newest reading
        self.gone = False  # its will was said after its last reading
        self.mode = ""
        self.phase = ""
        self.pit_c: float | None = None
        self.stone_c: float | None = None
        self.core_c: list[float | None] = []
        self.target_c: float | None = None
        self.duty = 0.0
        self.lid_open = False
        self.why = ""
        self.alerts: dict[str, Any] = {}
        self.silent_after_s = SILENT_AFTER_S
        self.stone_in_s: float | None = None  # with all air from now, by the twin
        self.stone_due_s: float | None = None  # when the twin's stone is at target, where no probe measures it
        self.fuel_ends_s: float | None = None  # until when the charcoal is reckoned to last, unix s
        self.blower = True  # whether the board says that one is fitted

    def read(self, row: dict[str, Any], heard_s: float) -> None:
        """Take over a live reading as it comes over the wire."""
        self.heard_s, self.gone = heard_s, False
        self.boot, self.ms = row["boot"], row["ms"]
        self.mode, self.phase, self.why = row["mode"], row["phase"], row["why"]
        self.pit_c, self.stone_c, self.core_c = row["pit_c"], row["stone_c"], row["core_c"]
        self.target_c, self.duty, self.lid_open = row["target_c"], row["duty"], row["lid_open"]

    def fresh(self, now_s: float) -> bool:
        """Heard within ten seconds (a demonstration allows more): an older reading is not the present."""
        return not self.gone and self.heard_s is not None and now_s - self.heard_s <= self.silent_after_s

    def healthy(self, now_s: float) -> bool:
        """Fresh, with a pit temperature, and the board neither paused nor tripped."""
        return self.fresh(now_s) and self.pit_c is not None and self.why not in ("paused", "tripped", "wait_sensor")
