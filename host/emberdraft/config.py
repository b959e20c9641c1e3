"""The host's settings file: broker, notices, units. Every value has a default; an unknown key is an error."""

from __future__ import annotations

import difflib
import os
import tomllib
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
import platformdirs
from msgspec import Meta

from emberdraft.errors import UserError


class Broker(msgspec.Struct, forbid_unknown_fields=True):
    """An outside MQTT 3.1.1 broker. Without a host the embedded one is used, on the loopback address."""

    host: Annotated[str, Meta(description="address of a broker of your own; empty: the embedded one")] = ""
    port: Annotated[int, Meta(ge=1, le=65535, description="its port")] = 1883
    user: Annotated[str, Meta(description="who the host is there")] = ""
    password_file: Annotated[str, Meta(description="a file with nothing but the password")] = ""
    ca_file: Annotated[str, Meta(description="the authority of its certificate (PEM); empty: no TLS")] = ""


class Notify(msgspec.Struct, forbid_unknown_fields=True):
    """Where calls are sent besides the page: a webhook that takes JSON by POST; a file with addresses for Apprise.

    `second_...` is the way out for what nobody answers; `page` the address at which a phone finds the page.
    """

    webhook: Annotated[str, Meta(description="an address that takes JSON by POST when something calls you")] = ""
    apprise_file: Annotated[str, Meta(description="a file with addresses for Apprise, one a line")] = ""
    second_webhook: Annotated[str, Meta(description="a second one, for what nobody answers")] = ""
    second_apprise_file: Annotated[str, Meta(description="a second file, for what nobody answers")] = ""
    page: Annotated[str, Meta(description="address at which your phone finds the page")] = ""


class Config(msgspec.Struct, forbid_unknown_fields=True):
    """The whole file."""

    cooker: Annotated[str, Meta(description="name of the cooker, as its board has it")] = "cooker"
    more_cookers: Annotated[list[str], Meta(description="names of further cookers, with commas between")] = (
        msgspec.field(default_factory=list)
    )
    units: Annotated[Literal["C", "F"], Meta(description="what people read: degC or degF")] = "C"
    page_port: Annotated[int, Meta(ge=0, le=65535, description="port of the page; 0: any free one")] = 8018
    broker: Broker = msgspec.field(default_factory=Broker)
    notify: Notify = msgspec.field(default_factory=Notify)


SERVICE_FILE = Path("/etc/emberdraft/emberdraft.toml")


def config_path() -> Path:
    """EMBERDRAFT_CONFIG when set; else the user's own file; else the service's, where only that one is there."""
    named = os.environ.get("EMBERDRAFT_CONFIG")
    if named:
        return Path(named)
    own = Path(platformdirs.user_config_dir("emberdraft")) / "emberdraft.toml"
    return SERVICE_FILE if SERVICE_FILE.exists() and not own.exists() else own


def load_config(path: Path | None = None) -> Config:
    """Read the file; a missing one means the defaults. Raises UserError with the place and what would be right."""
    path = path or config_path()
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Config()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise UserError(f"settings file {path}: {error}") from None
    return checked(raw, path)


def checked(raw: dict[str, Any], path: Path) -> Config:
    """The settings of a file as read. Raises UserError: the key, its value, what would be right."""
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
