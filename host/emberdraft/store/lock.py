"""Only one program writes to a database: a lock file beside it."""

from __future__ import annotations

import contextlib
import fcntl
import os
from pathlib import Path

from emberdraft.store.errors import StoreError, StoreTaken


class WriterLock:
    """Held from `take` to `release`; the system drops it by itself when the program dies."""

    def __init__(self, database: Path) -> None:
        self.database = database
        self.path = database.with_name(database.name + ".lock")
        self._fd: int | None = None

    def take(self) -> None:
        """Take the lock, or say who has it."""
        try:
            fd = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise StoreError(f"{self.path} cannot be written ({error.strerror}). Check the folder's owner.") from error
        try:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            holder = os.pread(fd, 32, 0).decode("ascii", "replace").strip()
            os.close(fd)
            raise StoreTaken(
                f"{self.database} is being written by another Emberdraft{f' (process {holder})' if holder else ''}. "
                "Stop that one, or name another file with --db."
            ) from error
        self._fd = fd
        with contextlib.suppress(OSError):  # the number is a courtesy to the next one: no room for it, no matter
            os.ftruncate(fd, 0)
            os.pwrite(fd, str(os.getpid()).encode(), 0)

    def free(self) -> bool:
        """Whether nobody holds it now."""
        try:
            with self.path.open("rb") as file:
                fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except FileNotFoundError:
            return True
        except OSError:
            return False
        return True

    def release(self) -> None:
        """Give the lock back. The file stays: removing it would race with the next one to take it."""
        if self._fd is not None:
            os.close(self._fd)
            self._fd = None
