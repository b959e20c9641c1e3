"""Work beside the service: jobs in threads that take turns over all cookers, while readings and the page go on."""

from __future__ import annotations

import threading
from collections.abc import Callable

Job = Callable[[], None]
Start = Callable[[Job], None]


def in_turn(name: str) -> Start:
    """What starts a job in a thread of this name, after those of other cookers that came first.

    Python runs one thread at a time: with a job of each of twenty cookers at once, a reading waited over a second.
    """
    turn = threading.Lock()

    def run(job: Job) -> None:
        with turn:
            job()

    def start(job: Job) -> None:
        threading.Thread(target=run, args=(job,), name=name, daemon=True).start()

    return start
