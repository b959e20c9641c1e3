"""Opening a record for reading, and finding the cook a person named."""

from __future__ import annotations

from pathlib import Path

from emberdraft.errors import UserError
from emberdraft.store.place import DEMO_NAME, default_path
from emberdraft.store.read import Reader


def open_record(path: Path) -> Reader:
    """The record for reading. Raises UserError when there is none yet."""
    if not path.exists():
        raise UserError(f"{path}: there is no record here yet; {_what_makes_one(path)}")
    return Reader(path)


def _what_makes_one(path: Path) -> str:
    """A cook of the host is kept here; a demonstration has a record of its own, which may be what is looked for."""
    demo = path.with_name(DEMO_NAME)
    if demo.exists() and path == default_path():
        return f"`emberdraft serve` begins one; your demonstrations are in another: --db {demo}"
    return f"`emberdraft serve` begins one, `emberdraft rehearse PLAN --db {path}` too"


def cook_number(reader: Reader, name: str) -> int:
    """'last' or a number, checked against the record."""
    numbers = [cook["id"] for cook in reader.cooks()]
    if name == "last" and numbers:
        return int(max(numbers))
    if not name.isdigit() or int(name) not in numbers:
        known = f"1 to {max(numbers)} are known, or 'last'" if numbers else "no cook has been recorded yet"
        raise UserError(f"cook {name!r}: there is none of that number; {known}")
    return int(name)
