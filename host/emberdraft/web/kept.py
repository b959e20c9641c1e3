"""What is worked out from a cook that has ended is kept a while: it cannot change."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any

from emberdraft.web.ports import Row


class Kept:
    """The newest answers, by the cook's whole row and the question; safe between threads."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: OrderedDict[Hashable, Any] = OrderedDict()
        self._turn = threading.Lock()

    def answer(self, cook: Row, question: Hashable, make: Callable[[], Any]) -> Any:
        """The answer that is kept, or a new one. Of a cook that is going on nothing is kept."""
        if cook["end_s"] is None:
            return make()
        key = (tuple(cook.items()), question)
        with self._turn:
            if key in self._answers:
                self._answers.move_to_end(key)
                return self._answers[key]
        made = make()
        with self._turn:
            self._answers[key] = made
            while len(self._answers) > self._most:
                self._answers.popitem(last=False)
        return made
