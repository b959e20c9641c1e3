"""A folder for Mosquitto: TLS, passwords, rights by role. Written once and never over; boards may be added.

Rights hang on the user: a board's user is the name of its cooker, `host` is the host, `viewer` may listen. What a role
may do is in RIGHTS and nowhere else.
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import json
import os
import pwd
import secrets
from pathlib import Path

from emberboard.link import messages
from emberdraft.deploy.certificates import make_authority, make_broker
from emberdraft.errors import UserError

TELEMETRY = ("link", "info", "reading", "event", "tuning", "alert/+")
HOMIE = "homie/5/#"  # what `serve --homie` tells; nothing in it can be set
# role -> (topics it may write, topics it may read); %u is the user's name.
RIGHTS = {
    "host": (
        ("emberdraft/1/+/order", "emberdraft/1/+/ack", "emberdraft/1/+/keeper", HOMIE),
        tuple(f"emberdraft/+/+/{w}" for w in (*TELEMETRY, "reply", "keeper")),
    ),
    "viewer": ((), (*(f"emberdraft/1/+/{what}" for what in TELEMETRY), HOMIE)),
    "board": (
        (*(f"emberdraft/1/%u/{what}" for what in TELEMETRY), "emberdraft/+/%u/reply"),
        ("emberdraft/1/%u/ack", "emberdraft/+/%u/order"),
    ),
}
ROLES = tuple(role for role in RIGHTS if role != "board")
OF_THE_BROKER = ("mosquitto.conf", "acl", "passwords", "broker.pem", "broker-key.pem", "data")
PORT, PLAIN_PORT = 8883, 1883
ITERATIONS = 20_000  # of PBKDF2 with SHA-512, the form $7$ of Mosquitto's password file

_CONF = """\
# Written by `emberdraft broker write`. Start: mosquitto -c {folder}/mosquitto.conf
allow_anonymous false
password_file {folder}/passwords
acl_file {folder}/acl
# Messages of quality 1 outlast the broker: written at each change, a second later at the latest.
persistence true
persistence_location {folder}/data/
autosave_on_changes true
autosave_interval 1
max_inflight_messages 0
max_packet_size 16384

listener {port} {address}
certfile {folder}/broker.pem
keyfile {folder}/broker-key.pem
"""
_PLAIN = """
# For boards without room for TLS: the password goes over the network as it is.
listener {port} {address}
"""


def write_folder(
    folder: Path,
    address: str,
    cookers: list[str],
    port: int = PORT,
    plain_port: int | None = None,
    discovery: str = "",
) -> dict[str, str]:
    """All files of a new folder; user -> password. UserError if the folder is there and not empty.

    `plain_port`: a second listener without TLS. `discovery`: below which the host may put discovery messages for hubs.
    Written by root, the folder is given to the system's own user for it.
    """
    for cooker in cookers:
        _refuse_bad(cooker)
    if folder.exists() and any(folder.iterdir()):
        raise UserError(f"{folder}: it is there and not empty; nothing was written over. Name another folder")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "data").mkdir()
    os.chmod(folder, 0o700)
    _put(folder / "mosquitto.conf", _conf(folder, address, port, plain_port).encode())
    _put(folder / "acl", acl(discovery).encode())
    _put_certificates(folder, address)
    made = {user: secrets.token_urlsafe(16) for user in (*ROLES, *cookers)}
    _keep(folder, made)
    _give_to_mosquitto(folder)
    return made


def _conf(folder: Path, address: str, port: int, plain_port: int | None) -> str:
    texts = {"folder": folder.resolve(), "address": address}
    plain = _PLAIN.format(port=plain_port, **texts) if plain_port else ""
    return _CONF.format(port=port, **texts) + plain


def _put_certificates(folder: Path, address: str) -> None:
    """An authority of this household, made here, and the broker's certificate by it."""
    authority = make_authority()
    broker = make_broker(authority, address)
    _put(folder / "ca.pem", authority.pem)
    _put(folder / "ca-key.pem", authority.key_pem)
    _put(folder / "broker.der", authority.der)
    _put(folder / "broker.pem", broker.pem)
    _put(folder / "broker-key.pem", broker.key_pem)


def add_board(folder: Path, cooker: str) -> str:
    """A further board; its password. The broker reads it when it is told to (SIGHUP) or started again."""
    _refuse_bad(cooker)
    kept = read_keys(folder)
    if cooker in kept:
        raise UserError(f"cooker '{cooker}': it has a password already, in {folder / 'keys.json'}")
    kept[cooker] = secrets.token_urlsafe(16)
    _keep(folder, kept)
    _give_to_mosquitto(folder)
    return kept[cooker]


def read_keys(folder: Path) -> dict[str, str]:
    """user -> password of a folder that was written here."""
    try:
        return dict(json.loads((folder / "keys.json").read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise UserError(f"{folder}: no folder of `emberdraft broker write` ({error})") from None


def acl(discovery: str = "") -> str:
    """The rights as Mosquitto's list. Boards share the patterns: each has its own name in the topic."""
    configs = f"{discovery}/+/+/+/config"
    more = {"host": [f"topic write {configs}"], "viewer": [f"topic read {configs}"]} if discovery else {}
    lines = []
    for role in ROLES:
        lines += [f"user {role}", *_lines("topic", role), *more.get(role, []), ""]
    return "\n".join([*lines, *_lines("pattern", "board"), ""])


def _lines(word: str, role: str) -> list[str]:
    writes, reads = RIGHTS[role]
    return [f"{word} write {topic}" for topic in writes] + [f"{word} read {topic}" for topic in reads]


def hashed(password: str, salt: bytes) -> str:
    """As Mosquitto 2 keeps it: $7$iterations$salt$hash."""
    digest = hashlib.pbkdf2_hmac("sha512", password.encode(), salt, ITERATIONS, 64)
    return f"$7${ITERATIONS}${base64.b64encode(salt).decode()}${base64.b64encode(digest).decode()}"


def _keep(folder: Path, keys: dict[str, str]) -> None:
    lines = [f"{user}:{hashed(password, secrets.token_bytes(12))}" for user, password in keys.items()]
    _put(folder / "keys.json", (json.dumps(keys, indent=1) + "\n").encode())
    _put(folder / "passwords", ("\n".join(lines) + "\n").encode())
    _put(folder / "host-password", (keys["host"] + "\n").encode())


def _give_to_mosquitto(folder: Path) -> None:
    """Mosquitto started by root goes on as `mosquitto`, who must be able to read what root has written for it."""
    if os.geteuid() != 0:
        return
    with contextlib.suppress(KeyError):
        user = pwd.getpwnam("mosquitto")
        for path in (folder, *(folder / name for name in OF_THE_BROKER)):
            os.chown(path, user.pw_uid, user.pw_gid)


def _refuse_bad(cooker: str) -> None:
    trouble = messages.cooker_trouble(cooker)
    if not trouble and cooker in ROLES:
        trouble = f"cooker '{cooker}': this is the name of a role; take another"
    if trouble:
        raise UserError(trouble)


def _put(path: Path, content: bytes) -> None:
    """Mode 0600 from the first byte on, written beside and renamed over."""
    beside = path.with_name(path.name + ".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
    beside.replace(path)
