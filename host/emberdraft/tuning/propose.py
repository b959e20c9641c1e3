"""Gains for your cooker by a named rule, with margins, and your cook replayed with them: before anything is sent."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from emberboard.core.controller import Controller
from emberdraft.bench.margins import MS_BOUND, Margins
from emberdraft.errors import UserError
from emberdraft.tuning.identify import Model, identify
from emberdraft.tuning.loop import MS_LIMIT, loop_margins, schedule_of
from emberdraft.tuning.measured import measured_ms
from emberdraft.tuning.model import STEP_S
from emberdraft.tuning.record import Cook, gains_before_last, gains_in_force
from emberdraft.tuning.rules import Gains, by_rule, into_bounds, refusal, tau_c_of
from emberdraft.tuning.shadow import alike
from emberdraft.tuning.twin import Course, WhatIf, recorded, replay

SLIDER = (0.25, 0.5, 0.75, 1.0)
LEAST_BETTER = 0.98
CLOSE = 1.08
LEAST_ALIKE = 0.9
DRAWS = 3
MOST_WORSE = 1.1
INSIST = "send anyway"


@dataclass(frozen=True)
class Choice:
    """Gains in the board's units, their margins, and the cook with them. `tau_c_s` None: the rule has none."""

    gains: Gains
    margins: Margins
    course: Course
    tau_c_s: float | None = None
    held_back: str = ""
    board_ms: float = 0.0

    @property
    def needs_insisting(self) -> bool:
        """Ms over 2, by the textbook or by the board's own law: only a person's own words send it."""
        return self.worst_ms > MS_LIMIT

    @property
    def worst_ms(self) -> float:
        """The larger of the two."""
        return max(self.margins.max_sensitivity, self.board_ms)


@dataclass(frozen=True)
class Proposal:
    """Everything `tune` says. `iae_ratio` is (low, best, high) over guesses that fit as well.

    `keep` is '' or why to change nothing; `alike` the share of the record that this controller would have made.
    """

    rule: str
    model: Model
    schedule: float
    alike: float
    present: Choice
    proposed: Choice
    iae_ratio: tuple[float, float, float]
    keep: str
    was: Course


def propose(cook: Cook, rule: str = "simc", tau_c_s: float | None = None, model: Model | None = None) -> Proposal:
    """Identify, choose by the rule, replay. Without tau_c_s the replay chooses along the slider, Ms up to 1.7."""
    found = model or identify(cook)
    gains = present_gains(cook)
    same, _ = alike(cook, found.fit.last)
    schedule = schedule_of(cook, gains.kp, gains.b)
    was = recorded(cook, found.fit)
    present = Choice(gains, loop_margins(found, gains, schedule), _replayed(cook, found, gains))
    offered = candidates(found, rule, tau_c_s, gains, schedule)
    choices = [_choice(cook, found, g, wait_s, schedule) for g, wait_s in offered]
    proposed = _steadiest(choices)
    present, proposed = (replace(c, board_ms=measured_ms(cook, found, c.gains)) for c in (present, proposed))
    ratio = _spread(cook, found, present, proposed)
    return Proposal(rule, found, schedule, same, present, proposed, ratio, _keep(found, same, ratio), was)


def present_gains(cook: Cook) -> Gains:
    """Those in force at the end of the hold."""
    return Gains(**gains_in_force(cook, _defaults()))


def gains_to_go_back_to(cook: Cook) -> Gains:
    """Those in force before the last order of gains in this cook."""
    return Gains(**gains_before_last(cook, _defaults()))


def _defaults() -> dict[str, float]:
    tuning = Controller(1).tuning()
    return {name: float(tuning[name]) for name in ("kp", "ti_s", "td_s", "b")}


def candidates(
    model: Model, rule: str, tau_c_s: float | None, present: Gains, schedule: float
) -> list[tuple[Gains, float | None]]:
    """Gains by the rule in the board's units: one, or without tau_c_s those of the slider that are robust enough."""
    delay_s = model.fopdt.delay_s
    if rule == "amigo" or tau_c_s is not None:
        return [(to_board(model, rule, tau_c_s, present, schedule), tau_c_s)]
    offered: list[tuple[Gains, float | None]] = [
        (to_board(model, rule, tau_c_of(s, delay_s), present, schedule), tau_c_of(s, delay_s)) for s in SLIDER
    ]
    robust = [row for row in offered if loop_margins(model, row[0], schedule).max_sensitivity <= MS_BOUND]
    return robust or offered[:1]


def to_board(model: Model, rule: str, tau_c_s: float | None, present: Gains, schedule: float) -> Gains:
    """The rule's gains on this model, in the board's units: kp before its schedule, b kept unless the rule has one."""
    found = model.fopdt
    made = by_rule(rule, found.gain, found.tau_s, found.delay_s, tau_c_s)
    b = made.b if rule == "amigo" else present.b
    return replace(made, kp=made.kp / schedule, b=b)


def _choice(cook: Cook, model: Model, gains: Gains, tau_c_s: float | None, schedule: float) -> Choice:
    refused = refusal(gains)
    held = into_bounds(gains)
    return Choice(held, loop_margins(model, held, schedule), _replayed(cook, model, held), tau_c_s, refused)


def _steadiest(choices: list[Choice]) -> Choice:
    """The one with the lowest Ms whose replay comes close to the best: a real fire is rougher than its model."""
    best = min(choice.course.iae_cs() for choice in choices)
    good = [choice for choice in choices if choice.course.iae_cs() <= CLOSE * best]
    return min(good, key=lambda choice: choice.margins.max_sensitivity)


def _replayed(cook: Cook, model: Model, gains: Gains, z: Any = None) -> Course:
    return replay(cook, model.fit, WhatIf(gains=gains.as_args()), z)


def _spread(cook: Cook, model: Model, before: Choice, after: Choice) -> tuple[float, float, float]:
    """Predicted integral of the error with the proposed gains over that with the present ones, for some guesses."""
    best = after.course.iae_cs() / max(before.course.iae_cs(), 1e-9)
    ratios = [best]
    for z in model.fit.draw(DRAWS, seed=1)[1:]:
        old, new = (_replayed(cook, model, choice.gains, z).iae_cs() for choice in (before, after))
        ratios.append(new / max(old, 1e-9))
    return min(ratios), best, max(ratios)


def _keep(model: Model, same: float, ratio: tuple[float, float, float]) -> str:
    """Why to keep what is in force; '' when the proposal is worth sending."""
    if not model.trusted:
        return "the model is not to be trusted: " + model.doubts[0]
    if same < LEAST_ALIKE:
        return f"the board's controller as it is now made only {same:.0%} of this record: a newer cook would be right"
    if ratio[1] > LEAST_BETTER:
        return "the gains in force do as well or better"
    if ratio[2] > MOST_WORSE:
        return "not sure to be better: with a model that fits as well it gets worse"
    return ""


def check_sending(choice: Choice, insist: str | None) -> None:
    """Raise UserError unless these gains may be sent: Ms over 2 only with the person's own words."""
    refused = refusal(choice.gains)
    if refused:
        raise UserError(f"gains: {refused}")
    if choice.needs_insisting and insist != INSIST:
        ms = choice.worst_ms
        raise UserError(f'gains: Ms {ms:.2f} is over {MS_LIMIT:g}, the loop would hunt; --insist "{INSIST}" sends them')


def as_json(proposal: Proposal, points: int = 600) -> dict[str, Any]:
    """Everything the page's tuning view needs, plain numbers; traces thinned to about `points`."""
    model = proposal.model
    return {
        "rule": proposal.rule,
        "model": _model_json(model),
        "trust": {
            "trusted": model.trusted,
            "doubts": model.doubts,
            "from_c": model.from_c,
            "to_c": model.to_c,
            "same_controller": proposal.alike,
        },
        "schedule": proposal.schedule,
        "present": choice_json(proposal.present),
        "proposed": choice_json(proposal.proposed),
        "iae_ratio": dict(zip(("low", "best", "high"), proposal.iae_ratio, strict=True)),
        "keep": proposal.keep,
        "traces": _traces(proposal, points),
    }


def _model_json(model: Model) -> dict[str, Any]:
    found = model.fopdt
    return {
        "gain_c": found.gain,
        "gain_sd_c": model.sd[0],
        "tau_s": found.tau_s,
        "tau_sd_s": model.sd[1],
        "delay_s": found.delay_s,
        "delay_sd_s": model.sd[2],
        "rise_cpm": 60.0 * found.gain / found.tau_s,
        "rise_sd_cpm": 60.0 * model.rise_sd_cps,
        "heat_loss_min": model.loss_min,
        "natural_air_share": model.natural_share,
        "noise_c": model.noise_c,
        "around_c": model.around_c,
        "around_duty": model.around_duty,
        "fit_rms_c": model.fit.fit_c,
        "ahead_rms_c": model.fit.ahead_c if math.isfinite(model.fit.ahead_c) else None,
    }


def choice_json(choice: Choice) -> dict[str, Any]:
    """Gains, margins and the replay's figures; an infinite margin is null."""
    found = {name: value if math.isfinite(value) else None for name, value in asdict(choice.margins).items()}
    return {
        "gains": choice.gains.as_args(),
        "tau_c_s": choice.tau_c_s,
        "bounded": choice.held_back,
        "margins": found,
        "board_ms": choice.board_ms,
        "needs_insisting": choice.needs_insisting,
        "iae_cs": choice.course.iae_cs(),
        "share_within_3c": choice.course.share_within(),
        "most_over_c": choice.course.most_over_c(),
        "strokes_per_h": choice.course.travel(),
    }


def _traces(proposal: Proposal, points: int) -> dict[str, Any]:
    """Every n-th second of the cook, the model's own line and the replay; t_s counts from the cook's first reading."""
    fit, was, now = proposal.model.fit, proposal.was, proposal.proposed.course
    every = max(1, len(was.pit_c) // points)
    rows = np.arange(0, min(len(now.pit_c), fit.strip.steps * STEP_S), every)
    surprise = fit.followed.surprise_c[:, 0][np.minimum(rows // STEP_S, fit.strip.steps - 1)]
    columns = {
        "t_s": fit.first + rows,
        "pit_c": was.pit_c[rows],
        "model_c": was.pit_c[rows] - surprise,
        "duty": was.duty[rows],
        "lid_open": was.lid_open[rows],
        "replayed_c": now.pit_c[rows],
        "replayed_duty": now.duty[rows],
    }
    return {name: [float(v) if np.isfinite(v) else None for v in values] for name, values in columns.items()}
