"""Targets and limits, kept twice: the copy with every bit turned over, compared each step.

A number that changes by itself, in the value or in its copy, does not fit any more. The copy is a
whole number of 4096ths, so that both are never the same object and a stuck line of the memory does
not make the same mistake in both; less than 0.0003 degC is no change. Registers, the program's own
state and what the laws reckon with from step to step are not kept twice: an interpreter cannot.
"""

from .limits import number

STEPS = 4096  # a power of two: a 32-bit float loses nothing


def turned(value):
    """The copy of a number, None of None; of what is no ordinary number one that fits nothing."""
    if value is None:
        return None
    value = number(value)
    return "" if value is None else ~int(value * STEPS)


class Twice:
    """Attributes of `owner`, by `names`; after this they are only written here."""

    def __init__(self, owner, names):
        self._owner = owner
        self._copies = {name: turned(getattr(owner, name)) for name in names}

    def put(self, name, value):
        """Set `owner.name` and its copy."""
        setattr(self._owner, name, value)
        self._copies[name] = turned(value)

    def changed(self):
        """Whether one of them is not what was put."""
        for name, copy in self._copies.items():
            if copy == "" or turned(getattr(self._owner, name)) != copy:
                return True
        return False
