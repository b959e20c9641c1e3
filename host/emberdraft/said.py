"""Texts with quantities in them: facts travel in degC, and `render` alone makes words of them, for one unit.

A text without a quantity is a plain string. One with some is `Said`: its pieces of text and its values, each of its own
type: a temperature and a difference of temperatures have rules of their own in degF. As JSON it is `{"parts": [...]}`;
`words` in web/static/js/units.js is the same for the unit of a browser, and a test holds both to each other.
`render` is also where another language would be chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from string import Formatter

from msgspec import Struct

from emberdraft.quantities import difference_c_to_f, say_difference, say_number, say_temperature


class Temperature(Struct, frozen=True, tag_field="is", omit_defaults=True):
    """A temperature, degC. `digits` after the point in degC, `digits_f` in degF, whose steps are smaller."""

    c: float
    digits: int = 0
    digits_f: int = 0


class Difference(Struct, frozen=True, tag_field="is", omit_defaults=True):
    """A temperature difference, in degC. `bare`: its unit is said elsewhere ('121 °C ± 3', 'rising 0.3 a minute')."""

    c: float
    digits: int = 1
    bare: bool = False


Quantity = Temperature | Difference


class Said(Struct, frozen=True):
    """A text with quantities in it."""

    parts: tuple[str | Temperature | Difference, ...]

    def __format__(self, spec: str) -> str:
        raise TypeError("a text with quantities is put into another by said(), not into a string")

    def __str__(self) -> str:
        """In degC, for a log."""
        return render(self)


Text = str | Said


def said(template: str, **facts: Text | Quantity | int) -> Text:
    """said('The pit is at {pit}.', pit=Temperature(121.4)): the facts in their places, not yet words."""
    return _text(_filled(template, facts))


def joined(between: str, texts: Iterable[Text]) -> Text:
    """The texts that are not empty, with something between them."""
    found = [text for text in texts if text]
    return _text(part for n, text in enumerate(found) for part in ((between, text) if n else (text,)))


def first_upper(text: Text) -> Text:
    """The text as the begin of a sentence."""
    return _first(text, str.upper)


def first_lower(text: Text) -> Text:
    """The text as the rest of a sentence."""
    return _first(text, str.lower)


def render(text: Text, unit: str = "c") -> str:
    """The words, in degC ('c') or degF ('f')."""
    return text if isinstance(text, str) else "".join(_words(part, unit) for part in text.parts)


def _words(part: str | Quantity, unit: str) -> str:
    if isinstance(part, str):
        return part
    if isinstance(part, Temperature):
        return say_temperature(part.c, unit, part.digits_f if unit == "f" else part.digits)
    if part.bare:
        return say_number(difference_c_to_f(part.c) if unit == "f" else part.c, part.digits)
    return say_difference(part.c, unit, part.digits)


def _filled(template: str, facts: dict[str, Text | Quantity | int]) -> Iterator[Text | Quantity]:
    for literal, name, _, _ in Formatter().parse(template):
        yield literal
        if name is not None:
            fact = facts[name]
            yield str(fact) if isinstance(fact, int) else fact


def _text(pieces: Iterable[Text | Quantity]) -> Text:
    """Texts in texts laid flat, neighbouring strings put together; a plain string where no quantity is left."""
    parts: list[str | Quantity] = []
    for piece in pieces:
        for part in piece.parts if isinstance(piece, Said) else (piece,):
            if isinstance(part, str) and parts and isinstance(parts[-1], str):
                parts[-1] += part
            elif part != "":
                parts.append(part)
    plain = [part for part in parts if isinstance(part, str)]
    return Said(tuple(parts)) if len(plain) < len(parts) else "".join(plain)


def _first(text: Text, case: Callable[[str], str]) -> Text:
    if isinstance(text, str):
        return case(text[:1]) + text[1:]
    first, *rest = text.parts
    return text if not isinstance(first, str) else Said((case(first[:1]) + first[1:], *rest))
