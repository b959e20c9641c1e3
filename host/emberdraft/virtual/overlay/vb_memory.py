"""How the heap stands, told on the console: what is free, and the largest piece of it."""

import gc

import micropython

import vb_bus


class Report:
    """Fires like a timer of the board, between two steps of its tasks."""

    def __init__(self, every_us):
        self._every_us = every_us
        self.due_us = vb_bus.now_us + every_us

    def fire(self, now_us):
        self.due_us = now_us + self._every_us
        gc.collect()
        print("memory at", now_us // 1000000)
        micropython.mem_info()
