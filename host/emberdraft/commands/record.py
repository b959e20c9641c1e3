"""Opening a record for reading, and finding the cook a person named."""

from __future__ import annotations

from pathlib import Path

from emberdraft.errors import UserError
from emberdraft.store.read import Reader


def open_record(path: Path) -> Reader:
    """The record for reading. Raises UserError when there is none yet."""
    if not path.exists():
        made = "`emberdraft demo` makes one, and so does `emberdraft rehearse PLAN --db PATH`"
        raise UserError(f"{path}: there is no record here yet; {made}")
    return Reader(path)


def cook_number(reader: Reader, name: str) -> int:
    """'last' or a number, checked against the record."""
    numbers = [cook["id"] for cook in reader.cooks()]
    if name == "last" and numbers:
        return int(max(numbers))
    if not name.isdigit() or int(name) not in numbers:
        known = f"1 to {max(numbers)} are known, or 'last'" if numbers else "no cook has been recorded yet"
        raise UserError(f"cook {name!r}: there is none of that number; {known}")
    return int(name)
