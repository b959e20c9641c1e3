"""One cook from a cold cooker to its end, with faults in it, stopped in every state that a person sees."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.rehearsal import cold_world
from emberdraft.daemon.standin import Person
from tests.web import kitchen as cooking
from tests.web.conftest import Kitchen
from tests.web.kitchen import QUIET_S
from tests.web.simulated_board import SimulatedBoard

NAMES = (
    *("idle", "light", "soak", "slow", "alarm", "two alarms", "pull prompt", "rest", "climb", "sear", "trip"),
    "ended",
)
INTO_S = 240  # a phase has begun to look like itself


class Cook:
    """`reach` lets time pass and the stand-in act until something holds."""

    def __init__(self, kitchen: Kitchen) -> None:
        plan = load_plan("two_chops")
        self.kitchen = kitchen
        kitchen.board = SimulatedBoard(cold_world(plan, None, 0), "c01dc01d")
        cooking.without_twin(kitchen)
        self.plan, self.person = plan, Person(plan, kitchen.board.world, kitchen.service)

    def begin(self) -> None:
        self.kitchen.service.start_cook(self.plan)

    def reach(self, there: Callable[[], bool]) -> None:
        while not there():
            asked = self.kitchen.service.prompts()
            self.kitchen.pass_s(1 if asked or self.person.todo else QUIET_S)
            self.person.tick(self.kitchen.clock.at_s, self.kitchen.service.prompts())

    def phase(self) -> str:
        now = self.kitchen.service.now()["phase"]
        return now["name"] if now else ""

    def quiet(self, phase: str) -> bool:
        """In this phase for a while, and nothing is asked."""
        asks = self.kitchen.service.prompts() or self.person.todo
        now = self.kitchen.service.now()
        return self.phase() == phase and now["now_s"] - now["phase"]["since_s"] >= INTO_S and not asks

    def asked(self, kind: str) -> bool:
        return any(prompt.kind == kind for prompt in self.kitchen.service.prompts())

    def marked(self, kind: str, count: int) -> bool:
        return sum(row["kind"] == kind for row in self.kitchen.store.marks(1)) >= count

    def mend(self) -> None:
        """The faults are gone and all of them was seen."""
        assert self.kitchen.board is not None
        self.kitchen.board.faults = {}
        self.kitchen.acknowledge()
        self.kitchen.pass_s(60)


def stages(folder: Path) -> Iterator[tuple[str, Kitchen]]:
    """Each state's name once the host is in it."""
    kitchen = Kitchen(folder, None)
    cook = Cook(kitchen)
    for name in NAMES:
        REACH[name](cook)
        yield name, kitchen
    kitchen.close()


def _idle(cook: Cook) -> None:
    cook.kitchen.pass_s(4)


def _light(cook: Cook) -> None:
    cook.begin()
    cook.reach(lambda: cook.quiet("light"))


def _alarm(cook: Cook) -> None:
    cook.kitchen.provoke("notice")


def _two(cook: Cook) -> None:
    cook.kitchen.provoke("pause")


def _pull(cook: Cook) -> None:
    cook.mend()
    cook.reach(lambda: cook.asked("pull"))


def _rest(cook: Cook) -> None:
    cook.reach(lambda: cook.marked("pulled", 2) and not cook.kitchen.service.prompts() and not cook.person.todo)


def _sear(cook: Cook) -> None:
    cook.reach(lambda: cook.marked("on_stone", 1) and not cook.kitchen.service.prompts())


def _trip(cook: Cook) -> None:
    cook.kitchen.provoke("trip")


def _ended(cook: Cook) -> None:
    cook.mend()
    if cook.phase() != "bank":
        cook.kitchen.service.command("bank")
    cook.kitchen.service.end_cook()
    cook.kitchen.pass_s(4)


REACH: dict[str, Callable[[Cook], None]] = {
    "idle": _idle,
    "light": _light,
    "soak": lambda cook: cook.reach(lambda: cook.quiet("soak")),
    "slow": lambda cook: cook.reach(lambda: cook.quiet("slow")),
    "alarm": _alarm,
    "two alarms": _two,
    "pull prompt": _pull,
    "rest": _rest,
    "climb": lambda cook: cook.reach(lambda: cook.quiet("climb")),
    "sear": _sear,
    "trip": _trip,
    "ended": _ended,
}
