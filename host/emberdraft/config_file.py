"""Settings one by one: what each means, what it is, and a change that keeps the rest of the file and its comments."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args, get_type_hints

import msgspec
import tomlkit
from tomlkit.exceptions import TOMLKitError

from emberdraft.config import Config, checked
from emberdraft.errors import UserError


@dataclass(frozen=True)
class Setting:
    """One value of the settings file. `key` as a person types it: `units`, `broker.host`."""

    key: str
    meaning: str
    default: Any

    def value(self, config: Config) -> Any:
        """What holds now."""
        found: Any = config
        for part in self.key.split("."):
            found = getattr(found, part)
        return found


def settings_of(kind: type[msgspec.Struct] = Config, above: str = "") -> Iterator[Setting]:
    """Every setting, in the order of the structs: the one list that page, verb and check share."""
    hints = get_type_hints(kind, include_extras=True)
    for field in msgspec.structs.fields(kind):
        if isinstance(field.type, type) and issubclass(field.type, msgspec.Struct):
            yield from settings_of(field.type, f"{field.name}.")
            continue
        default = field.default_factory() if field.default is msgspec.NODEFAULT else field.default
        yield Setting(above + field.name, get_args(hints[field.name])[1].description, default)


def setting(key: str) -> Setting:
    """The setting of that name. Raises UserError with the nearest one."""
    known = {each.key: each for each in settings_of()}
    if key in known:
        return known[key]
    close = difflib.get_close_matches(key, known, 1)
    raise UserError(f"setting {key!r}: " + (f"did you mean {close[0]!r}?" if close else f"one of {', '.join(known)}"))


def typed(one: Setting, text: str) -> Any:
    """What a person typed, as the kind of value that this setting holds."""
    if isinstance(one.default, list):
        return [part.strip() for part in text.split(",") if part.strip()]
    if isinstance(one.default, int):
        try:
            return int(text)
        except ValueError:
            raise UserError(f"{one.key} {text!r}: a whole number would be right") from None
    return text


def change(path: Path, key: str, text: str | None) -> Config:
    """Write one value (None: back to its default); nothing is written unless the whole file is right afterwards."""
    one = setting(key)
    document = _read(path)
    *tables, name = key.split(".")
    where: Any = document
    for table in tables:
        where = where.setdefault(table, tomlkit.table())
    if text is None:
        where.pop(name, None)
    else:
        where[name] = typed(one, text)
    config = checked(document.unwrap(), path)
    _write(path, tomlkit.dumps(document))
    return config


def _read(path: Path) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return tomlkit.document()
    except (OSError, UnicodeDecodeError, TOMLKitError) as error:
        raise UserError(f"settings file {path}: {error}; mend it by hand, or move it away") from None


def _write(path: Path, text: str) -> None:
    """Whole or not at all; a file that only its owner could read stays so."""
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(text, encoding="utf-8")
        if path.exists():
            beside.chmod(path.stat().st_mode & 0o777)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise UserError(f"settings file {path}: {error.strerror}; nothing was changed") from None
