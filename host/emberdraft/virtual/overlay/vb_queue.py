"""A task queue for asyncio in plain Python, on the board's clock.

MicroPython's own is written in C and reads the computer's clock. This one is put in its place
before asyncio is imported. A few tasks only, so that a sorted list is the plainest thing.
"""

import time

import vb_bus


class TaskQueue:
    """Tasks in the order of their time in ms; among equals, first come first served."""

    def __init__(self):
        self._tasks = []

    def peek(self):
        return self._tasks[0] if self._tasks else None

    def push(self, task, key=None):
        task.data = None
        task.ph_key = time.wrapped(vb_bus.now_us // 1000) if key is None else key
        tasks = self._tasks
        at = len(tasks)
        while at and time.ticks_diff(tasks[at - 1].ph_key, task.ph_key) > 0:
            at -= 1
        tasks.insert(at, task)

    def pop(self):
        return self._tasks.pop(0)

    def remove(self, task):
        self._tasks.remove(task)


class Task:
    """A coroutine that runs, can be waited for and cancelled."""

    def __init__(self, coro, globals=None):
        self.coro = coro
        self.data = None
        self.state = True
        self.ph_key = 0

    def __iter__(self):
        if not self.state:
            self.state = False
        elif self.state is True:
            self.state = TaskQueue()
        elif type(self.state) is not TaskQueue:
            raise RuntimeError("this task is already waited for")
        return self

    def __next__(self):
        if not self.state:
            raise self.data
        import asyncio.core as core

        self.state.push(core.cur_task)
        core.cur_task.data = self

    def done(self):
        return not self.state

    def cancel(self):
        import asyncio.core as core

        if not self.state:
            return False
        if self is core.cur_task:
            raise RuntimeError("a task cannot cancel itself")
        task = self
        while isinstance(task.data, Task):
            task = task.data
        (task.data if hasattr(task.data, "remove") else core._task_queue).remove(task)
        core._task_queue.push(task)
        task.data = core.CancelledError
        return True


def wait_io_event(queue, wait_ms):
    """What the loop calls when no task can run for `wait_ms`: the board sleeps, up to an event."""
    if queue.map:
        queue.wait_streams(0)
    if wait_ms > 0:
        vb_bus.idle(wait_ms * 1000)
    elif wait_ms < 0:
        vb_bus.idle(vb_bus.STRIDE_US)
