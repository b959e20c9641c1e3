"""One run of the bench as a piece of work that any executor can carry: plain data in, plain data out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from . import baselines
from .board_controller import BoardController
from .bump import Model, bump_scenario, bump_test
from .cache import cached, limit_key, model_key
from .cookers import Cooker
from .judge import Figures, judge
from .limit import find_limit
from .linearise import linear_model, step_response
from .listen import listen
from .margins import Pid, Response, margins
from .pictures import draw
from .rig import NotPossibleError, Rig
from .scenarios import SCENARIOS
from .sensors import Sensors
from .trace import CLOCK_START_S, ControllerUnderTest, Trace, play

OURS = "emberdraft"
# Between these time scales, and a hundredfold beyond, the loop is looked at.
SLOW_S, FAST_S = 4000.0, 300.0
Tuning = tuple[tuple[str, Any], ...]


@dataclass(frozen=True)
class Job:
    """Which controller on which cooker in which scenario, with which seed for sensors, weather and charcoal."""

    controller: str
    cooker: Cooker
    scenario: str
    seed: int
    tuning: Tuning = ()
    picture: bool = False

    @property
    def label(self) -> str:
        """A name for a row or a file."""
        return f"{self.controller}.{self.cooker.name}.{self.scenario}.{self.seed}"


@dataclass(frozen=True)
class Result:
    """Figures of one run; `problem` says why there are none; alarms as (seconds, name)."""

    job: Job
    figures: Figures
    alarms: tuple[tuple[float, str], ...] = ()
    problem: str = ""
    not_possible: bool = False
    picture: str = ""


def run_job(job: Job) -> Result:
    """Run it; what a cooker cannot do and what breaks are results too, so that one bad run ends no sweep."""
    try:
        return _run(job)
    except NotPossibleError as reason:
        return Result(job, {}, problem=str(reason), not_possible=True)
    except Exception as error:  # a plant or a controller of somebody else's may raise anything
        return Result(job, {}, problem=f"{type(error).__name__}: {error}")


def fresh_rig(cooker: Cooker, scenario: str, seed: int) -> Rig:
    """The cooker as the scenario finds it."""
    story = SCENARIOS[scenario]
    return Rig(cooker.build(seed, story.scarce_fuel), story, seed, cooker.ambient_c)


def _run(job: Job) -> Result:
    story = SCENARIOS[job.scenario]
    rig = fresh_rig(job.cooker, job.scenario, job.seed)
    controller = _controller(job)
    sensors = Sensors(job.seed)
    trace = play(controller, rig, sensors)
    figures = judge(trace, story)
    if story.name == "hold":
        figures.update(loop_figures(controller, rig, trace, sensors.pit_lag_s))
    title = f"{job.controller} on {job.cooker.name}: {story.title} (seed {job.seed})"
    return Result(job, figures, tuple(trace.alarms), picture=draw(trace, title) if job.picture else "")


def _controller(job: Job) -> ControllerUnderTest:
    """A variant of ours is named 'emberdraft without ...' and carries its tuning."""
    return CONTROLLERS[job.controller.split(" ")[0]](job)


def bump_model(cooker: Cooker, seed: int) -> Model:
    """The model that the baselines' gains come from; kept on disk."""

    def find() -> dict[str, float]:
        rig = Rig(cooker.build(seed), bump_scenario(), seed, cooker.ambient_c)
        model = bump_test(rig, Sensors(seed), baselines.INTAKE_FLOOR)
        return {"gain_c": model.gain_c, "tau_s": model.tau_s, "delay_s": model.delay_s}

    return Model(**cached(model_key(cooker, seed), find))


def loop_figures(controller: ControllerUnderTest, rig: Rig, trace: Trace, probe_s: float) -> Figures:
    """Margins at the end of a hold, of cooker and controller linearised as they then stand; none for a switch."""
    law = _linear_law(controller, rig, trace)
    if law is None:
        return {}
    process = linear_model(step_response(rig, trace.blower[-1], trace.intake[-1]), probe_s)
    found = margins(process, law, SLOW_S, FAST_S, 1000)
    return {
        "loop_ms": found.max_sensitivity if found.stable else None,
        "loop_gain_margin": min(found.gain_margin, 1000.0),
        "loop_phase_margin_deg": min(found.phase_margin_deg, 180.0),
    }


def _linear_law(controller: ControllerUnderTest, rig: Rig, trace: Trace) -> Response | None:
    """A plain PID by its gains, the board's core by listening to it."""
    if isinstance(controller, baselines.SimplePid):
        return Pid(**controller.tuning())
    if isinstance(controller, BoardController):
        return listen(controller, CLOCK_START_S + rig.t_s, trace.pit_c[-1], trace.stone_c[-1], trace.target_c[-1])
    return None


CONTROLLERS: dict[str, Callable[[Job], ControllerUnderTest]] = {
    OURS: lambda job: BoardController(**dict(job.tuning)),
    "onoff": lambda job: baselines.OnOff(),
    "pid-zn": lambda job: baselines.ziegler_nichols(bump_model(job.cooker, job.seed)),
    "pid-simc": lambda job: baselines.simc(bump_model(job.cooker, job.seed)),
}


@dataclass(frozen=True)
class LimitJob:
    """The search for one limit: same cooker, scenario and seed as the runs it is compared with."""

    cooker: Cooker
    scenario: str
    seed: int


@dataclass(frozen=True)
class LimitResult:
    """What both optimisers reached, degC s."""

    job: LimitJob
    found: dict[str, float]
    problem: str = ""


def run_limit(job: LimitJob) -> LimitResult:
    """Find it, or read it from the disk where an earlier bench left it."""

    def find() -> dict[str, float]:
        limit = find_limit(fresh_rig(job.cooker, job.scenario, job.seed))
        return {"law_cs": limit.law_cs, "horizon_cs": limit.horizon_cs}

    try:
        return LimitResult(job, cached(limit_key(job.cooker, job.scenario, job.seed), find))
    except Exception as error:  # a plant of somebody else's may raise anything
        return LimitResult(job, {}, f"{type(error).__name__}: {error}")
