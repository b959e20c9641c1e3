"""An order to a board: what, and who wanted it. The same from the button or the plan to the record."""

from __future__ import annotations

from typing import Any

from msgspec import Struct


class Order(Struct, frozen=True):
    """`name` and `args` as the board takes them (docs/reference/wire.md); `author` is 'person' or 'plan'."""

    name: str
    args: dict[str, Any]
    author: str = "person"
