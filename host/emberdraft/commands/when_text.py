"""What `emberdraft when` says: the promise, a table of hours, the charcoal, and what it is reckoned from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import tzinfo

from emberdraft.evening.answer import Answer
from emberdraft.evening.habits import Habit
from emberdraft.evening.hour import say, say_beside, say_day
from emberdraft.evening.schedule import SURE, WAITS_C, may_wait, wait_longest_s
from emberdraft.quantities import say_duration, say_number, say_temperature
from emberdraft.ready.fuel import SPARE

LB_PER_KG = 1.0 / 0.45359237  # the international pound, exactly (agreement of 1959)
Habits = Mapping[str, Habit]


def lines_of(
    name: str, cooker: str | None, habits: Habits, answer: Answer, unit: str, zone: tzinfo | None
) -> Iterator[str]:
    """For people."""
    yield f"{name}: dinner at {say(answer.serve_s, zone)} on {say_day(answer.serve_s, zone)}."
    yield _promise(answer, zone)
    yield ""
    yield from _table(answer, zone)
    yield ""
    yield from _waiting(answer, unit)
    yield from _charcoal(answer, unit, zone)
    yield _known(cooker, habits)
    yield "No real fire has been planned with it yet. Food is done by its thermometer, never by the clock."


def _promise(answer: Answer, zone: tzinfo | None) -> str:
    serve, light = say(answer.serve_s, zone), say_beside(answer.light_s, answer.serve_s, zone)
    even = "" if answer.even_s is None else f"; at {say_beside(answer.even_s, answer.serve_s, zone)} it is even odds"
    if answer.odds_now is not None:
        sure = say_beside(answer.earliest_s[0], answer.serve_s, zone)
        odds = f"{round(10 * answer.odds_now)} times in ten"
        return f"Light now, and dinner is at {serve} {odds}. Lit now, it is ready by {sure} nine times in ten."
    often = "nine times in ten" if answer.sure == SURE else f"{round(10 * answer.sure)} times in ten"
    return f"Light by {light} and dinner is at {serve} {often}{even}."


def _table(answer: Answer, zone: tzinfo | None) -> Iterator[str]:
    planned = {f"{f.letter} on": s for f, s in zip(answer.wanted.foods, answer.schedule.on_s, strict=True)}
    yield f"{'':10} {'middle':>7}   8 times in 10"
    yield f"{'light':10} {say(answer.light_s, zone):>7}"
    for step in answer.steps:
        low, mid, high = (say(at_s, zone) for at_s in step.band_s)
        due = f"   not before {say(planned[step.name], zone)}" if step.name in planned else ""
        yield f"{step.name:10} {mid:>7}   {low} to {high}{due}"


def _waiting(answer: Answer, unit: str) -> Iterator[str]:
    warm = [food.letter for food in answer.wanted.foods if may_wait(food, answer.wanted)]
    limit = f"{say_temperature(WAITS_C, unit)}"
    if warm:
        yield f"Early, {' and '.join(warm)} may wait wrapped in a warm box while the core is above {limit}."
    if len(warm) < len(answer.wanted.foods):
        hours = say_duration(wait_longest_s(answer.wanted))
        yield f"What waits below {limit} must be eaten within {hours} (USDA); what sears waits in no box."


def _charcoal(answer: Answer, unit: str, zone: tzinfo | None) -> Iterator[str]:
    low, mid, high = (say_mass(kg, unit) for kg in answer.charcoal.band_kg())
    yield f"Charcoal: about {mid}, the meat's share included, probably {low} to {high}."
    have_kg = answer.wanted.charcoal_kg
    if have_kg is None:
        put_in = say_mass(answer.charcoal.band_kg()[2] * (1.0 + SPARE), unit)
        yield f"The plan does not say how much is in the bed ([light] charcoal): put in {put_in} or more."
    elif answer.charcoal.feed_s is None:
        yield f"The {say_mass(have_kg, unit)} of the plan last."
    else:
        feed = say_beside(answer.charcoal.feed_s, answer.serve_s, zone)
        yield f"The {say_mass(have_kg, unit)} of the plan may run short: feed the bed by {feed}."


def _known(cooker: str | None, habits: Habits) -> str:
    counts = {stage: habit.cooks for stage, habit in habits.items() if habit.cooks}
    if not counts:
        whose = "no cooker is named (--cooker)" if cooker is None else f"no cook of {cooker} says more yet"
        return f"Lighting, soak, settling and climb are what ceramic cookers of 30 to 60 cm have in common: {whose}."
    told = ", ".join(f"{stage} {count}" for stage, count in counts.items())
    return f"Learnt from {cooker}, drawn towards what is usual, from how many cooks: {told}."


def say_mass(mass_kg: float, unit: str) -> str:
    """'2.1 kg' or '4.6 lb', with a no-break space."""
    value, name = (mass_kg * LB_PER_KG, "lb") if unit == "f" else (mass_kg, "kg")
    return f"{say_number(value, 1)}\u00a0{name}"
