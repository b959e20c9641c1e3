"""Does the board cry wolf? Cooks in which nothing is wrong, on cookers that it has never met, drawn and made odd.

    python -m tests.safety.false_alarms 300               # cooks 0 to 299: trips, pauses and notices by name
    python -m tests.safety.false_alarms 1 --seed 47       # one of them

A cook of some five hours: light to 121 degC, cold parts and food under a lifted lid, looks, 135 and 107 degC, fuel, a
climb to 260 degC. Six of this project's plants and eight strangers with equations of their own, each drawn anew;
about them dead time of up to five minutes, damp charcoal, a gusty draught, or all three.
The other half, the same climbs with a probe that stops, is frozen_climbs.py.
"""

from __future__ import annotations

import argparse
from collections import Counter, deque
from collections.abc import Iterable
from random import Random
from typing import Any, NamedTuple

from emberdraft.plant.catalogue import make
from emberdraft.plant.contract import Plant
from tests.bench_suite.strangers.yard import FROST_C, STRANGERS
from tests.safety.kitchen import COOKERS, Kitchen
from tests.safety.odd_cookers import Damp, Gusty, Late

ODDS = ("plain", "late", "damp", "gusty", "all three")
KINDS = COOKERS + tuple(cooker.name for cooker in STRANGERS)
LEAST_W, LEAST_C = 150.0, 60.0  # a fire that gives less over five minutes, or a pit colder than this, is lost
MEAN_S = 300.0
HINDSIGHT_MIN = 60
TOO_HOT = ("pit_over_limit", "stone_over_limit", "grease_fire")
GREASE_C, GREASE_S, LID_S = 20.0, 30, 180


class Alarm(NamedTuple):
    """One that was raised, and what was true then: pit and stone in degC, the fire in W over five minutes."""

    seed: int
    cooker: str
    odd: str
    at_s: int
    name: str
    kind: str
    pit_c: float
    fire_w: float
    hot: bool  # pit or stone truly at its limit, or the pit truly up by 20 degC in half a minute, the lid long shut
    dying: bool = False  # as the same cook shows that nobody stops

    @property
    def stops(self) -> bool:
        """Whether it took the air away."""
        return self.kind in ("trip", "pause")

    @property
    def right(self) -> bool:
        """The fire is out or goes out by itself, or it is too hot: said of the truth alone."""
        if self.name in TOO_HOT:
            return self.hot
        return self.dying or self.fire_w < LEAST_W or self.pit_c < LEAST_C

    def __str__(self) -> str:
        rightly = ", rightly" if self.right else ""
        where = f"cook {self.seed} ({self.cooker}, {self.odd}) at {self.at_s / 60.0:.1f} min"
        return f"{self.kind} {self.name}: {where}, pit {self.pit_c:.0f} degC, fire {self.fire_w:.0f} W{rightly}"


def drawn(name: str, seed: int) -> Plant:
    """A cooker of that kind with its constants drawn from the seed."""
    if name in COOKERS:
        return make(name, seed + 1, seed)
    return next(cooker for cooker in STRANGERS if cooker.name == name).build(seed + 1)


def made_odd(plant: Plant, odd: str, draw: Random, seed: int) -> Plant:
    """The same cooker with what is odd about it."""
    if odd in ("damp", "all three"):
        plant = Damp(plant, draw.uniform(0.1, 0.5), draw.uniform(2.0, 6.0))
    if odd in ("gusty", "all three"):
        plant = Gusty(plant, draw.uniform(0.2, 0.6), seed)
    return Late(plant, draw.randrange(20, 301)) if odd in ("late", "all three") else plant


class Yard:
    """A drawn kitchen, and the truth of its fire beside what the board says."""

    def __init__(self, seed: int, label: str) -> None:
        self.seed, self.draw = seed, Random(f"{label} {seed}")
        draw = self.draw
        self.cooker, self.odd = KINDS[seed % len(KINDS)], ODDS[seed // len(KINDS) % len(ODDS)]
        plant = made_odd(drawn(self.cooker, seed), self.odd, draw, seed)
        cold = self.cooker == "frost_kettle"
        ambient_c = FROST_C if cold else draw.uniform(5.0, 30.0)
        gust = draw.uniform(0.2, 0.6) if self.odd in ("gusty", "all three") else 0.3
        self.kitchen = Kitchen(plant, seed, ambient_c=ambient_c, wind_mps=draw.uniform(0.0, 5.0), gust=gust)
        sensors = self.kitchen.world.sensors
        sensors.resolution_c, sensors.noise_c = draw.choice((0.0625, 0.25, 0.25, 1.0)), draw.choice((0.0, 0.05, 0.3))
        self.kitchen.world.advance(1.0)  # the first number comes from this chip too
        self.kitchen.meddle = self._watch
        self.fire_w, self.shut_s = 0.0, 0
        self.half_minute: deque[float] = deque(maxlen=GREASE_S)
        self._before_j = self._heat_j()

    def _heat_j(self) -> float:
        plant: Any = self.kitchen.world.plant
        return float(plant.ledger.released_j if self.cooker in COOKERS else plant.burnt_j)

    def _watch(self, kitchen: Kitchen) -> None:
        """Each second: the mean heat of the fire, the last half minute, how long the lid has been shut."""
        self.half_minute.append(self.pit_c)
        self.shut_s = 0 if kitchen.world.lid_open else self.shut_s + 1
        now_j = self._heat_j()
        self.fire_w += (now_j - self._before_j - self.fire_w) / MEAN_S
        self._before_j = now_j

    @property
    def pit_c(self) -> float:
        """The true pit, degC."""
        return float(self.kitchen.world.truth["pit_c"])


class FaultFree(Yard):
    """One cook in which nothing is wrong; it ends early when the air has been tripped.

    `spared`: the board does not ask whether the fire answers. `fires`: each minute, what it gives in W and the pit.
    """

    def __init__(self, seed: int, spared: bool = False) -> None:
        super().__init__(seed, "fault-free")
        self.alarms: list[Alarm] = []
        self.fires: list[tuple[float, float]] = []
        if spared:
            guard: Any = self.kitchen.controller.guard
            guard._no_answer = guard._is_lost = lambda *_: False
        self.told = self.draw.random() < 0.5

    def run(self) -> FaultFree:
        """The whole of it."""
        for deed in (self._light, self._parts, self._food, self._looks, self._hotter, self._cooler, self._feed):
            deed()
            if self._over():
                return self
        self._climb()
        return self

    def _over(self) -> bool:
        """Whether the cook has been stopped."""
        return any(alarm.kind == "trip" for alarm in self.alarms)

    def _watch(self, kitchen: Kitchen) -> None:
        super()._watch(kitchen)
        if kitchen.now_s % 60 == 0:
            self.fires.append((self.fire_w, self.pit_c))
        for at_s, name, kind in kitchen.alarms[len(self.alarms) :]:
            truth = (self.pit_c, self.fire_w, self._is_hot(name))
            self.alarms.append(Alarm(self.seed, self.cooker, self.odd, at_s, name, kind, *truth))

    def _is_hot(self, name: str) -> bool:
        """Limits within a degree, in which probe and truth may differ."""
        controller = self.kitchen.controller
        if name == "grease_fire":
            return self.shut_s >= LID_S and self.pit_c - min(self.half_minute) >= GREASE_C
        stone_c = float(self.kitchen.world.truth["stone_c"])
        if name == "stone_over_limit":
            return stone_c >= controller.agreed.stone_limit_c - 1.0
        return self.pit_c >= float(controller.guard.limit_c or 0.0) - 1.0

    def _minutes(self, least: float, most: float) -> None:
        """So much time, unless the cook is over."""
        left_s = round(60.0 * self.draw.uniform(least, most))
        while left_s > 0 and not self._over():
            self.kitchen.run(min(left_s, 60))
            left_s -= 60

    def _lift(self, length_s: float, meanwhile: Any = None) -> None:
        self.kitchen.lid(True, self.told).run(length_s / 2.0)
        if meanwhile is not None:
            meanwhile()
        self.kitchen.run(length_s / 2.0).lid(False, self.told)

    def _light(self) -> None:
        self.kitchen.hold(121.0, "light")
        self._minutes(60.0, 80.0)

    def _parts(self) -> None:
        world = self.kitchen.world
        self._lift(self.draw.uniform(60.0, 120.0), lambda: world.set_in(self.draw.uniform(2.0, 6.0), world.ambient_c))
        self._minutes(25.0, 40.0)

    def _food(self) -> None:
        world = self.kitchen.world
        mass_kg = self.draw.uniform(0.3, 1.5)
        self._lift(self.draw.uniform(20.0, 60.0), lambda: world.put_on("piece", mass_kg, 0.035, 4.0, probe=0))
        self._minutes(15.0, 30.0)

    def _looks(self) -> None:
        for _ in range(self.draw.randrange(1, 4)):
            self._lift(self.draw.uniform(10.0, 120.0))
            self._minutes(8.0, 20.0)

    def _hotter(self) -> None:
        self.kitchen.hold(135.0)
        self._minutes(30.0, 40.0)

    def _cooler(self) -> None:
        self.kitchen.hold(107.0)
        self._minutes(45.0, 60.0)

    def _feed(self) -> None:
        kitchen = self.kitchen
        self._lift(self.draw.uniform(40.0, 100.0), lambda: kitchen.world.add_fuel(self.draw.uniform(0.4, 1.0)))
        self._minutes(25.0, 35.0)

    def _climb(self) -> None:
        self.kitchen.drive()
        self._minutes(35.0, 45.0)


class Found(NamedTuple):
    """Of some cooks: hours, and every alarm."""

    hours: float
    alarms: list[Alarm]

    def false_stops(self) -> list[Alarm]:
        """Trips and pauses of a fire that burned."""
        return [alarm for alarm in self.alarms if alarm.stops and not alarm.right]

    @staticmethod
    def names(alarms: Iterable[Alarm]) -> str:
        """How many of each."""
        counts = Counter(f"{alarm.kind} {alarm.name}" for alarm in alarms)
        return ", ".join(f"{name} {count}" for name, count in sorted(counts.items())) or "none"


def goes_out(seed: int, at_s: int) -> bool:
    """Whether that fire is lost within the hour although nobody stops it: full air cannot save it."""
    fires = FaultFree(seed, spared=True).run().fires
    fire_w, pit_c = fires[min(at_s // 60 + HINDSIGHT_MIN, len(fires) - 1)]
    return fire_w < LEAST_W or pit_c < LEAST_C


def search(seeds: Iterable[int]) -> Found:
    """Run those cooks; what was called a lost fire is judged by how the same cook goes on."""
    found = Found(0.0, [])
    for cook in (FaultFree(seed).run() for seed in seeds):
        found = found._replace(hours=found.hours + cook.kitchen.now_s / 3600.0)
        for alarm in cook.alarms:
            unsure = alarm.name in ("not_answering", "fuel_out") and not alarm.right
            found.alarms.append(alarm._replace(dying=unsure and goes_out(alarm.seed, alarm.at_s)))
    return found


def main() -> int:
    """Print what was raised; 1 when a fire that burned was stopped."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    found = search(range(asked.seed, asked.seed + asked.count))
    for alarm in found.alarms:
        print(alarm)
    print(f"{asked.count} cooks, {found.hours:.0f} h: {found.names(found.alarms)}")
    print(f"of a fire that burned: {found.names(found.false_stops())}")
    return 1 if found.false_stops() else 0


if __name__ == "__main__":
    raise SystemExit(main())
