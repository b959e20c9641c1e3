"""The stand-in person: acts on what the page shows, after a delay, and forgets what the plan says."""

from __future__ import annotations

from emberdraft.daemon.conductor import RefusedError
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.standin import Person
from tests.daemon.cook import plan_of


class Yard:
    """A world that writes down what hands do to it."""

    def __init__(self):
        self.deeds = []
        self.next_index = 0

    def __getattr__(self, name):
        def deed(*args):
            self.deeds.append((name, *args))
            self.next_index += 1
            return self.next_index - 1

        return deed


class Finger:
    """A page that writes down what is pressed."""

    def __init__(self, refuses=False):
        self.pressed = []
        self.refuses = refuses

    def answer(self, prompt_id, at_cooker=False):
        if self.refuses:
            raise RefusedError("not asked now")
        self.pressed.append((prompt_id, at_cooker))

    def command(self, name, **args):
        self.pressed.append((name, args))


def prompt(kind, letters=(), said=1):
    return Prompt(id=f"{kind}-1", kind=kind, title="", text="", deed="", letters=list(letters), said=said)


def person(finger=None):
    return Person(plan_of(), Yard(), finger or Finger())


def acts(who, shown, seconds=200):
    for second in range(seconds):
        who.tick(float(second), [] if who.page.pressed and who.page.pressed[-1][0].endswith("-1") else [shown])
    return who


def test_the_lid_is_told_before_it_is_opened_and_the_button_comes_last():
    who = acts(person(), prompt("put_on", "AB"))
    assert who.page.pressed == [("lid", {"open": True}), ("put_on-1", False)]
    assert [deed[0] for deed in who.world.deeds] == ["open_lid", "put_on", "put_on", "shut_lid"]


def test_pieces_go_on_as_the_plan_has_them():
    who = acts(person(), prompt("put_on", "B"))
    assert who.world.deeds[1] == ("put_on", "cold chop", 0.43, 0.039, 4.0, 1)


def test_what_raises_heat_is_pressed_at_the_cooker():
    who = acts(person(), prompt("start_climb"))
    assert who.page.pressed == [("start_climb-1", True)]


def test_a_prompt_is_forgotten_until_it_is_said_again():
    who = acts(person(), prompt("pull", "A", said=1), seconds=300)
    assert who.page.pressed == []
    assert who.forgotten == 1
    who.indexes["A"] = 0
    acts(who, prompt("pull", "A", said=2))
    assert who.page.pressed[-1] == ("pull-1", False)


def test_nothing_is_done_before_its_delay():
    who = person()
    for second in range(25):
        who.tick(float(second), [prompt("open_vent", said=2)])
    assert who.world.deeds == []


def test_the_vent_is_really_opened():
    who = acts(person(), prompt("open_vent", said=2))
    assert who.world.deeds == [("set_vent_top", 1.0)]


def test_a_button_that_somebody_else_pressed_before_does_not_stop_the_hands():
    who = acts(person(Finger(refuses=True)), prompt("shut_vents"), seconds=60)
    assert ("set_vent_top", 0.0) in who.world.deeds
    assert who.refused == ["not asked now"] * len(who.refused)
    assert who.refused
