"""The host's settings file: broker, notices, units. Every value has a default; an unknown key is an error."""

from __future__ import annotations

import difflib
import os
import tomllib
from pathlib import Path
from typing import Any, Literal

import msgspec
import platformdirs

from emberdraft.errors import UserError


class Broker(msgspec.Struct, forbid_unknown_fields=True):
    """An outside MQTT 3.1.1 broker. Without a host the embedded one is used, on the loopback address."""

    host: str = ""
    port: int = 1883
    user: str = ""
    password_file: str = ""
    ca_file: str = ""


class Notify(msgspec.Struct, forbid_unknown_fields=True):
    """Where calls are sent besides the page: a webhook that takes JSON by POST; a file with addresses for Apprise.

    `second_...` is the way out for what nobody answers; `page` the address at which a phone finds the page.
    """

    webhook: str = ""
    apprise_file: str = ""
    second_webhook: str = ""
    second_apprise_file: str = ""
    page: str = ""


class Config(msgspec.Struct, forbid_unknown_fields=True):
    """The whole file."""

    cooker: str = "cooker"
    more_cookers: list[str] = msgspec.field(default_factory=list)
    units: Literal["C", "F"] = "C"
    broker: Broker = msgspec.field(default_factory=Broker)
    notify: Notify = msgspec.field(default_factory=Notify)


def config_path() -> Path:
    """EMBERDRAFT_CONFIG when set, else the usual place of this system."""
    named = os.environ.get("EMBERDRAFT_CONFIG")
    return Path(named) if named else Path(platformdirs.user_config_dir("emberdraft")) / "emberdraft.toml"


def load_config(path: Path | None = None) -> Config:
    """Read the file; a missing one means the defaults. Raises UserError with the place and what would be right."""
    path = path or config_path()
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Config()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UserError(f"settings file {path}: {error}") from None
    return _checked(raw, path)


def _checked(raw: dict[str, Any], path: Path) -> Config:
    for where, known in (("", Config), ("broker", Broker), ("notify", Notify)):
        table = raw.get(where, {}) if where else raw
        _no_strangers(table if isinstance(table, dict) else {}, known, f"{path}: {where or 'top level'}")
    try:
        return msgspec.convert(raw, Config)
    except msgspec.ValidationError as error:
        raise UserError(f"settings file {path}: {error}") from None


def _no_strangers(table: dict[str, Any], known: type[msgspec.Struct], where: str) -> None:
    names = list(known.__struct_fields__)
    for key in table:
        if key not in names:
            close = difflib.get_close_matches(key, names, 1)
            hint = f"did you mean '{close[0]}'?" if close else f"known are {', '.join(names)}"
            raise UserError(f"settings file {where}: unknown key '{key}'; {hint}")


def read_password(config: Config) -> str:
    """The outside broker's password, from its own file so that it stands in no settings, log or argument."""
    if not config.broker.password_file:
        return ""
    path = Path(config.broker.password_file).expanduser()
    try:
        return path.read_text(encoding="utf-8").strip()
    except OSError as error:
        raise UserError(f"broker.password_file {path}: {error.strerror}; name a file this user can read") from None


def read_ca_file(config: Config) -> str:
    """The file with the authority of the broker's certificate, '' for a broker without TLS."""
    if not config.broker.ca_file:
        return ""
    path = Path(config.broker.ca_file).expanduser()
    if not path.is_file():
        raise UserError(f"broker.ca_file {path}: no such file; name the authority's certificate (PEM)")
    return str(path)
