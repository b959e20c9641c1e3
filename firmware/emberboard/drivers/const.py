"""`const` where there is no MicroPython: the board's compiler folds it, CPython just calls it."""

try:
    from micropython import const
except ImportError:

    def const(expr):  # type: ignore[misc]
        return expr


__all__ = ("const",)
