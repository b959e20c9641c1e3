"""The id of a row in an address: `{cook_id:row}` in a route."""

from __future__ import annotations

from starlette.convertors import Convertor


class RowId(Convertor[int]):
    """At most 18 digits: SQLite's ids end at 2**63 - 1, and Python refuses to read or write a number of 5000 digits.

    Anything longer is no such address (404), whichever route it was meant for.
    """

    regex = "[0-9]{1,18}"

    def convert(self, value: str) -> int:
        return int(value)

    def to_string(self, value: int) -> str:
        return str(value)
