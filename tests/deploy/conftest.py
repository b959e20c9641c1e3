"""mpremote for the tests of this folder: its own main, in a fork of this process, which spares it the start of Python.

A deployment asks it for some forty calls. tests/virtual/test_deploy.py starts it as the program that it is.
"""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import tempfile
import warnings
from typing import Any

import pytest
from mpremote import main as mpremote

from emberdraft.deploy import remote

SPAWNED = subprocess.run


def forked(command: list[str], **options: Any) -> subprocess.CompletedProcess[bytes]:
    """As subprocess.run would, for `python -m mpremote`; anything else is run as it is."""
    if command[1:3] != ["-m", "mpremote"]:
        return SPAWNED(command, **options)
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # from Python 3.12 on: threads stay behind
        ends = (out.fileno(), err.fileno())
        child = multiprocessing.get_context("fork").Process(target=_main, args=(command[3:], *ends))
        child.start()
        child.join(options["timeout"])
        if child.exitcode is None:
            child.kill()
            child.join()
            raise subprocess.TimeoutExpired(command, options["timeout"])
        said = [os.pread(end, os.fstat(end).st_size, 0) for end in ends]
        return subprocess.CompletedProcess(command, child.exitcode, *said)


def _main(words: list[str], out: int, err: int) -> None:
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.dup2(out, 1)
    os.dup2(err, 2)
    sys.stdin, sys.stdout, sys.stderr = open(0), open(1, "w"), open(2, "w")  # noqa: SIM115 - as a program has them
    sys.argv = ["mpremote", *words]
    sys.exit(mpremote.main())


@pytest.fixture(autouse=True)
def mpremote_in_a_fork(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every call of emberdraft.deploy.remote."""
    monkeypatch.setattr(remote.subprocess, "run", forked)
