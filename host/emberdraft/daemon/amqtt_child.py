"""The amqtt broker in a process of its own: it leaves tasks and sockets behind that a host must not keep.

The address comes as one line of JSON on standard input, so that the password is in no process list;
the answer is one line, "" when the broker listens. The process ends when standard input closes.
"""

from __future__ import annotations

import asyncio
import json
import logging
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any


def main() -> None:
    """Serve until the parent closes our standard input."""
    logging.disable(logging.CRITICAL)
    address = json.loads(sys.stdin.readline())
    with tempfile.TemporaryDirectory(prefix="emberdraft-") as folder:
        asyncio.run(_serve(config(address, folder)))


async def _serve(settings: dict[str, Any]) -> None:
    from amqtt.broker import Broker

    broker = Broker(settings)
    try:
        await broker.start()
    except Exception as error:
        print(f"{error.__cause__ or error}".replace("\n", " ") or "it did not start", flush=True)
        return
    print(flush=True)
    over = asyncio.Event()
    loop = asyncio.get_running_loop()
    threading.Thread(target=lambda: (sys.stdin.read(), loop.call_soon_threadsafe(over.set)), daemon=True).start()
    await over.wait()


def config(address: dict[str, Any], folder: str) -> dict[str, Any]:
    """Bound to our address only, with our users: amqtt's own default listens to everybody."""
    from pwdlib.hashers.argon2 import Argon2Hasher  # comes with amqtt

    path = Path(folder, "users")
    users = {address["user"]: address["password"], **address["more"]}
    path.write_text("".join(f"{user}:{Argon2Hasher().hash(password)}\n" for user, password in users.items()))
    return {
        "listeners": {"default": {"type": "tcp", "bind": f"{address['host']}:{address['port']}"}},
        "plugins": {"amqtt.plugins.authentication.FileAuthPlugin": {"password_file": str(path)}},
    }


if __name__ == "__main__":
    main()
