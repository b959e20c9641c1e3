"""settings.json for a board: what is there, what is changed, checked by the firmware's own table; no secret shown."""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path
from typing import Any
from zlib import crc32

from emberboard import settings
from emberdraft.deploy.remote import Remote
from emberdraft.errors import UserError

table: Any = settings  # the firmware has no type hints
SECRET = ("wifi_key", "broker_password")


def read(remote: Remote) -> dict[str, Any]:
    """The values on the board, with the default where one is wrong or the whole file is missing.

    A board that does not answer is no board without settings: its error is passed on, or the next step would write
    defaults over a key that somebody typed.
    """
    return dict(table.parse(remote.call("cat", f":{table.NAME}"))[0] if _there(remote) else table.defaults())


def _there(remote: Remote) -> bool:
    return remote.call("exec", f"import os; print('{table.NAME}' in os.listdir())").strip() == "True"


def refuse_unless_fitting(values: dict[str, Any], converter: str) -> None:
    """A MAX31855 is made for one type of wire, and a board told otherwise would not start."""
    kind = values["thermocouple"]
    if converter == "max31855" and kind != "K":
        raise UserError(f"setting thermocouple={kind}: a max31855 takes K only; change the setting or the chip")


def carry_over(remote: Remote) -> str:
    """After new firmware: a sealed file of a firmware with other settings, made good for this one; '' if nothing to do.

    The seal is over all names that the old firmware knew, so that the new one would take the file for damaged. The
    seal is checked here by the names in the file itself; only an unbroken one is carried over.
    """
    if not _there(remote):
        return ""
    try:
        given = json.loads(remote.call("cat", f":{table.NAME}"))
    except ValueError:
        return ""
    if not isinstance(given, dict) or table.CHECK not in given or set(given) == {*table.FIELDS, table.CHECK}:
        return ""
    seal = given.pop(table.CHECK)
    if seal != _seal_of(given):
        return "the settings are damaged: `emberdraft board settings` writes them anew"
    known = {name: value for name, value in given.items() if name in table.FIELDS}
    write(remote, changed(table.defaults(), known))
    return "settings carried over: this firmware knows other ones than the one before"


def _seal_of(given: dict[str, Any]) -> str:
    """The firmware's check (settings.check_of), over the names that are there."""
    told = "\n".join(f"{name}={given[name]}" for name in sorted(given))
    return f"{crc32(told.encode()):08x}"


def changed(values: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """`values` with `changes`; UserError with the name and what would be right."""
    for name, value in changes.items():
        if name not in table.FIELDS:
            raise UserError(f"setting '{name}' is not known; known are {', '.join(table.FIELDS)}")
        right = table.trouble_with(name, value)
        if right:
            raise UserError(f"setting {name}={shown(name, value)}: {right} would be right")
    made, troubles = table.parse(json.dumps({**values, **changes}))
    if troubles:
        raise UserError(f"settings: {troubles[0]}")
    return dict(made)


def from_text(name: str, text: str) -> Any:
    """A value typed by a person as `name=text`, with the kind that the default has."""
    if name not in table.FIELDS:
        raise UserError(f"setting '{name}' is not known; known are {', '.join(table.FIELDS)}")
    default = table.FIELDS[name][0]
    if isinstance(default, bool):
        return {"true": True, "false": False, "yes": True, "no": False}.get(text.lower(), text)
    return int(text) if isinstance(default, int) and text.isdigit() else text


def shown(name: str, value: Any) -> str:
    """The value for a screen; of a secret only whether there is one."""
    if name in SECRET:
        return "(set)" if value else "(empty)"
    return json.dumps(value)


def write(remote: Remote, values: dict[str, Any]) -> None:
    """Onto the board beside the old file, then renamed over it. Without a check line: the board seals it itself."""
    with tempfile.TemporaryDirectory() as folder:  # for this user only
        path = Path(folder) / table.NAME
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT, 0o600), "w", encoding="utf-8") as file:
            json.dump(values, file, indent=2)
        remote.put([(path, f"{table.NAME}.new")])
    remote.call("exec", f"import os; os.rename('{table.NAME}.new', '{table.NAME}')")
