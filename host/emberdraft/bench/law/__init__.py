"""A law that stands beside the shipped one: one model with stated states, a bank of twelve of it, one question asked.

It is written as for a board (MicroPython's part of the language, flat rows of numbers, no clock, no I/O), and no board
carries it: docs/reference/bench_methods.md says what it passes and why it is not the law that ships.
"""
