"""Text in a csv that a spreadsheet would take for a formula is kept from being one; our own import gives it back.

A spreadsheet takes a cell that begins with = + - or @ for a formula, and formulas can fetch and run. An apostrophe
before the sign makes it text (OWASP, "CSV Injection"). A spreadsheet set to another separator splits a text at it, so a
sign behind a separator inside the text counts as well. Numbers stay numbers.
"""

from __future__ import annotations

import re

_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
_BEGINS = r"(^|[;,|:\t\r\n])"
_SKIPPED = r'(?:"|[^\S\t\r\n])*'  # what a spreadsheet passes over before the sign
_TAKEN = re.compile(f"{_BEGINS}('*{_SKIPPED}[{_SIGNS}])")
_KEPT = re.compile(f"{_BEGINS}'('*{_SKIPPED}[{_SIGNS}])")


def harmless(text: str) -> str:
    """The text with an apostrophe before each sign that could begin a formula."""
    return _TAKEN.sub(r"\1'\2", text)


def as_it_was(cell: str) -> str:
    """What `harmless` was given."""
    return _KEPT.sub(r"\1\2", cell)
