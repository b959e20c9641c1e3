"""`emberdraft tune COOK`: a model of the cooker from a recorded cook, gains by a rule, the cook replayed with them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from emberdraft.commands.common import add_cook, add_db, add_json, db_path, print_json
from emberdraft.commands.record import cook_number, open_record
from emberdraft.commands.running import call
from emberdraft.errors import UserError
from emberdraft.review.happened import clock
from emberdraft.tuning.propose import INSIST, Proposal, as_json, check_sending, gains_to_go_back_to, propose
from emberdraft.tuning.record import read_cook
from emberdraft.tuning.relay_record import relay_tests
from emberdraft.tuning.rules import RULES, Gains


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    parser.add_argument("--rule", choices=RULES, default="simc", help="default: simc")
    parser.add_argument(
        "--tau-c",
        type=float,
        default=None,
        metavar="S",
        help="SIMC's tau_c or lambda, in seconds: larger is steadier (default: what replays best, Ms at most 1.7)",
    )
    parser.add_argument("--send", action="store_true", help="order the proposed gains through the running host")
    parser.add_argument("--back", action="store_true", help="take back the last gains sent in this cook, nothing else")
    parser.add_argument(
        "--insist", default=None, metavar="WORDS", help=f'"{INSIST}": also when Ms is over 2, or nothing is gained'
    )
    add_db(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Say it; send only when asked to."""
    if args.send and args.back:
        raise UserError("tune: --send or --back, not both")
    db = db_path(args)
    with open_record(db) as reader:
        number = cook_number(reader, args.cook)
        cook, tests = read_cook(reader, number), relay_tests(reader, number)
        cooker = str((reader.cook(number) or {})["cooker"])
    if args.back:
        return _order(db, cooker, gains_to_go_back_to(cook), "Sent: what was in force before.")
    proposal = propose(cook, args.rule, args.tau_c)
    if args.json:
        print_json({**as_json(proposal), "relay_tests": tests})
    else:
        print("\n".join([*lines(proposal), *(relay_words(test) for test in tests)]))
    if args.send:
        check_sending(proposal.proposed, args.insist)
        if proposal.keep and args.insist != INSIST:
            raise UserError(f'gains: keep what is in force, {proposal.keep}; --insist "{INSIST}" sends them')
        said = "" if args.json else "Sent; `emberdraft tune last --back` takes it back."
        _order(db, cooker, proposal.proposed.gains, said)
    return 0


def _order(db: Path, cooker: str, gains: Gains, said: str) -> int:
    """Through the running host, which numbers, sends and records it."""
    call(db, "/api/command", {"name": "gains", "args": gains.as_args()}, cooker=cooker)
    if said:
        print(said)
    return 0


def lines(proposal: Proposal) -> list[str]:
    """The whole answer as text."""
    return [*_model(proposal), "", *_trust(proposal), "", *_table(proposal), "", *_change(proposal)]


def relay_words(test: dict[str, Any]) -> str:
    """One relay test, with the known bias of its describing function."""
    head = f"Relay test at {clock(test['at_s'])}, {test['swings']} swings: "
    if test["trouble"]:
        return f"{head}{test['trouble']}"
    rise = 60.0 * test["gain_c"] / test["tau_s"] / 10.0
    return (
        f"{head}a tenth more blower {rise:.2f} degC a minute, dead time {test['delay_s']:.0f} s; ultimate gain "
        f"{test['ultimate_gain']:.3g} (the describing function alone: {test['described_gain']:.3g}, "
        f"{-test['bias']:.0%} too small)"
    )


def _model(proposal: Proposal) -> list[str]:
    model, found = proposal.model, proposal.model.fopdt
    rise, rise_sd = 60.0 * found.gain / found.tau_s, 60.0 * model.rise_sd_cps
    ahead = model.fit.ahead_c
    return [
        f"Model, around {model.around_c:.0f} degC with the blower at {model.around_duty:.0%}",
        f"  a tenth more blower        {rise / 10.0:.2f} +- {rise_sd / 10.0:.2f} degC a minute, once it acts",
        f"  dead time                  {found.delay_s:.0f} +- {model.sd[2]:.0f} s",
        f"  lag                        {_lag(found.tau_s, model.sd[1])}",
        f"  heat loss                  without fire 63 % of the way to the walls in {model.loss_min:.0f} min",
        f"  air by natural draught     {model.natural_share:.0%} of full air",
        f"  probe noise                {model.noise_c:.2f} degC",
        f"  off by, slow drift taken out        {model.fit.fit_c:.1f} degC RMS",
        f"  last third foretold from the rest   {ahead:.1f} degC RMS, nothing corrected",
    ]


def _lag(tau_s: float, sd_s: float) -> str:
    if tau_s > 5000.0:
        return "longer than the loop can feel (as good as an integrator)"
    return f"{tau_s:.0f} +- {sd_s:.0f} s"


def _trust(proposal: Proposal) -> list[str]:
    model = proposal.model
    head = f"Trust it from {model.from_c:.0f} to {model.to_c:.0f} degC." if model.trusted else "Do not trust it."
    same = f"The board's controller as it is now made {proposal.alike:.0%} of this record."
    return [head, *(f"  {text}" for text in model.doubts), f"  {same}"]


def _table(proposal: Proposal) -> list[str]:
    old, new = proposal.present, proposal.proposed
    rule = proposal.rule.upper() if proposal.rule != "lambda" else "lambda"
    wait = "" if new.tau_c_s is None else f", tau-c {new.tau_c_s:.0f} s"
    rows: list[tuple[str, Any, Any]] = [
        ("kp, % of blower per degC", f"{100 * old.gains.kp:.2f}", f"{100 * new.gains.kp:.2f}"),
        ("ti, s", f"{old.gains.ti_s:.0f}", f"{new.gains.ti_s:.0f}"),
        ("td, s", f"{old.gains.td_s:.0f}", f"{new.gains.td_s:.0f}"),
        ("b", f"{old.gains.b:.2f}", f"{new.gains.b:.2f}"),
        ("gain margin", f"{old.margins.gain_margin:.1f}x", f"{new.margins.gain_margin:.1f}x"),
        ("phase margin", f"{old.margins.phase_margin_deg:.0f} deg", f"{new.margins.phase_margin_deg:.0f} deg"),
        ("sensitivity peak Ms", f"{old.margins.max_sensitivity:.2f}", f"{new.margins.max_sensitivity:.2f}"),
        ("Ms of the board's own law", f"{old.board_ms:.2f}", f"{new.board_ms:.2f}"),
        ("within 3 degC, replayed", f"{old.course.share_within():.0%}", f"{new.course.share_within():.0%}"),
        ("most over, replayed", f"{old.course.most_over_c():.1f} degC", f"{new.course.most_over_c():.1f} degC"),
        ("blower strokes an hour", f"{old.course.travel():.1f}", f"{new.course.travel():.1f}"),
    ]
    head = f"{f'Gains by {rule}{wait}':<30}{'in force':>12}{'proposed':>12}"
    return [head, *(f"  {name:<28}{a:>12}{b:>12}" for name, a, b in rows)]


def _change(proposal: Proposal) -> list[str]:
    low, best, high = (100.0 * (ratio - 1.0) for ratio in proposal.iae_ratio)
    new = proposal.proposed
    said = [
        f"Your cook replayed: {best:+.0f} % integral of the error ({low:+.0f} to {high:+.0f} % over models that fit)."
    ]
    if new.held_back:
        said.append(f"Held to the board's bounds: {new.held_back}.")
    if new.needs_insisting:
        said.append(f'Ms over 2: this loop would hunt. Sent only with --insist "{INSIST}".')
    said.append(f"Keep what is in force: {proposal.keep}." if proposal.keep else "Worth sending: add --send.")
    return said
