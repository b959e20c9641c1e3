"""The shrunk tree means what the sources mean: piece by piece, and a whole board byte by byte."""

from __future__ import annotations

import pytest

from emberdraft.deploy.build import CONVERTERS
from emberdraft.deploy.shrink import shrunk
from emberdraft.virtual.interpreter import FIRMWARE
from tests.deploy.built import built
from tests.virtual.conftest import SmallWorld, start  # noqa: F401 - a fixture


def one(text, *other):
    return shrunk({"board/one.py": text}, other)["board/one.py"]


def run(texts, name, *other):
    """What is in module `name` after the shrunk texts were run, the modules it imports put in by hand."""
    small = shrunk(texts, other)
    space = {}
    exec(compile(small[name], name, "exec"), space)
    return space


def test_a_number_stands_in_the_place_of_its_name():
    assert "LIMIT_C" not in one("LIMIT_C = 350.0\ndef over(c):\n    return c > LIMIT_C\n")
    assert run({"b/one.py": "A = 4\nB = A * 2 - 1\ndef f():\n    return B\n"}, "b/one.py")["f"]() == 7


def test_a_negative_number_keeps_its_sign_in_a_product():
    space = run({"b/one.py": "LOW = -3\ndef f(x):\n    return x * LOW ** 2\n"}, "b/one.py")
    assert space["f"](2) == 18  # (-3) ** 2, never -(3 ** 2)


def test_a_fraction_is_not_worked_out_here():
    """A board's 32-bit floats give another third than this computer's."""
    assert "1.0 / 3.0" in one("THIRD = 1.0 / 3.0\ndef f():\n    return THIRD\n")


@pytest.mark.parametrize(
    "way", ["from .two import LIMIT_C", "from b.two import LIMIT_C", "from .two import LIMIT_C, other"]
)
def test_a_number_of_another_module_needs_no_import(way):
    texts = {"b/one.py": f"{way}\ndef f():\n    return LIMIT_C\n", "b/two.py": "LIMIT_C = 2.5\nother = []\n"}
    small = shrunk(texts)
    assert "LIMIT_C" not in small["b/one.py"] + small["b/two.py"]
    assert ("import other" in small["b/one.py"]) == ("other" in way)


def test_a_number_asked_for_through_its_module_is_found():
    texts = {"b/one.py": "from . import two as ask\ndef f():\n    return ask.LIMIT_C\n", "b/two.py": "LIMIT_C = 2.5\n"}
    assert "return 2.5" in shrunk(texts)["b/one.py"]


@pytest.mark.parametrize(
    "text",
    [
        "COUNT = 1\ndef f():\n    global COUNT\n    COUNT += 1\n",  # changes
        "NAME = 'x'\n",  # no number
        "YES = True\n",
        "PIN = 4\ndef f(PIN):\n    return PIN\n",  # another thing of the same name
        "PIN = 4\nMAP = {'PIN': 1}\n",  # said in a text: somebody may look it up by that
    ],
)
def test_what_may_be_meant_otherwise_stays(text):
    assert text.split()[0] in one(text)


def test_what_a_script_asks_for_stays():
    assert "LIMIT_C = 350.0" in one("LIMIT_C = 350.0\n", "print(one.LIMIT_C)")


def test_private_data_have_short_names_and_private_methods_a_beginning_of_theirs():
    text = (
        "class A:\n    def __init__(self):\n        self._count = 0\n    def _step(self):\n        self._count += 2\n"
    )
    small = one(text)
    assert "_count" not in small
    assert "def _s(self)" in small
    space = run({"b/one.py": text}, "b/one.py")
    thing = space["A"]()
    thing._s()
    assert list(vars(thing).values()) == [2]


def test_two_methods_that_begin_alike_stay_two_and_what_others_call_keeps_its_name():
    two = "class A:\n    def _step(self):\n        return 1\n    def _stop(self):\n        return self._step() + 1\n"
    space = run({"b/one.py": two}, "b/one.py")
    assert space["A"]()._st() == 2
    assert "_step" in one("class A:\n    def _step(self):\n        return 1\ndef f(other):\n    return other._step()\n")


@pytest.mark.parametrize(
    "text",
    [
        "class A:\n    def f(self, other):\n        return other._count\n",  # another object's
        "class A:\n    _count = 0\n    def f(self):\n        return self._count\n",  # given to all objects
    ],
)
def test_private_data_that_others_reach_keep_their_names(text):
    assert "_count" in one(text)


def test_arguments_have_short_names_unless_they_are_given_by_name():
    small = one("def over(value_c, limit_c):\n    return value_c > limit_c\n")
    assert "value_c" not in small
    small = one("def over(value_c, limit_c=3):\n    return value_c > limit_c\nover(2, limit_c=4)\n")
    assert "value_c" not in small
    assert "limit_c" in small


def test_a_short_name_never_takes_the_place_of_another():
    text = "def f(first, second):\n    a = first * 2\n    return [b + a for b in second]\n"
    assert run({"b/one.py": text}, "b/one.py")["f"](3, [1]) == [7]
    nested = "def f(first):\n    def g(second):\n        return first + second\n    return g\n"
    assert run({"b/one.py": nested}, "b/one.py")["f"](3)(4) == 7


@pytest.mark.parametrize("converter", CONVERTERS)
def test_every_boards_tree_compiles_and_is_small(converter):
    assert built("esp32", converter).total_bytes() < 96_000


def published(begin, **options):
    """What a board says in a minute with a press, a broken wire and a mended one."""
    cook = begin(SmallWorld(), seed=7, settings={"damper": True, "tach": True, "food_probes": 2}, **options)
    cook.hold()
    cook.run(15.0)
    cook.board.press_lid_button()
    cook.run(5.0)
    cook.board.unplug("pit")
    cook.run(10.0)
    cook.board.plug_in("pit")
    cook.run(40.0)
    return cook.said


def test_a_board_with_the_shrunk_tree_sends_the_same_bytes(start):  # noqa: F811
    plain = published(start, firmware=FIRMWARE)
    assert published(start, firmware=built("linux", "max31856").folder) == plain
    assert len(plain) > 100
