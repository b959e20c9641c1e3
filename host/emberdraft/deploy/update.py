"""A new tree onto the board, so that at every moment one whole tree is in its place.

    room     the tree before the one in use goes: a Pico W has room for two. One on trial and the one before it stay
    staged   next/ is filled: what is the same is copied on the board, what differs is sent
    switched only when every hash in next/ is right; two renames, the old tree goes to lib/
    watched  the board runs it for a minute; a traceback in that time puts the old tree back. Without a computer the
             board does that by itself (firmware/boot.py) when the new tree has failed three starts

Python looks for `emberboard` in the root first and in lib/ second. A cable pulled, or power lost, at any point before
the switch leaves the tree in use as it was, and what has been sent already is not sent again.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from emberdraft.deploy.build import LIST, Tree, build
from emberdraft.deploy.look import Facts, judge, refuse_if_bad
from emberdraft.deploy.remote import Remote
from emberdraft.errors import UserError

SPARE_BLOCKS = 4  # littlefs writes beside before it lets go

Say = Callable[[str], None]


def deploy(remote: Remote, facts: Facts, converter: str, say: Say, *, source: Path | None = None) -> int:
    """Build, stage, verify and switch; gives how many files were sent. Does not restart the board."""
    with tempfile.TemporaryDirectory() as folder:
        tree = build(Path(folder), facts.platform, converter, compiled=facts.takes_compiled, source=source)
        refuse_if_bad(judge(facts, tree.blocks() + SPARE_BLOCKS))
        remote.ask("room.upy")
        say(f"built {len(tree.hashes)} files, {tree.total_bytes() // 1000} kB, for {facts.platform} with {converter}")
        sent = stage(remote, tree)
        say(f"sent {sent} that differ")
        switch(remote)
    before = facts.files or facts.converter  # a tree by hand has no list, yet a converter
    say("verified by hash and switched" + ("; the tree before it is kept in lib/" if before else ""))
    return sent


def stage(remote: Remote, tree: Tree) -> int:
    """Fill next/ on the board; gives how many files had to travel."""
    remote.call("exec", "import os\nif 'next' not in os.listdir(): os.mkdir('next')")
    remote.put([(tree.folder / LIST, "next/list.json")])
    missing = [str(name) for name in remote.ask("stage.upy")]
    remote.put([(tree.folder / name, f"next/{name}") for name in missing])
    return len(missing)


def switch(remote: Remote) -> None:
    """Verify next/ and put it in place; a file that is not as listed stops it before anything is touched."""
    wrong = remote.ask("switch.upy")
    if wrong:
        raise UserError(f"not as sent on the board: {', '.join(wrong[:5])}; nothing was changed, deploy again")


def restore(remote: Remote) -> None:
    """The tree before the one in use back into its place, and the other way round."""
    if not remote.ask("back.upy"):
        raise UserError(
            "the board keeps no earlier firmware, or has gone back to it by itself: nothing to go back to; deploy again"
        )
