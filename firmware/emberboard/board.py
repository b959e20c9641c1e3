"""The parts of a board by name, as boards/parts.py fills them in."""


class Board:
    """ticks_ms, ticks_diff; blower, damper, tach, signal, button, probes, sensing, radio.

    `limits` are those of the settings, by name.
    """

    limits: dict = {}
