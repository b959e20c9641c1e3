"""What must outlive a reset: the trips in force and how many starts have failed in a row.

One small file, written beside and renamed over, so that a power cut leaves the old one or the new
one. A file that cannot be read is taken for the worst: the board stays off until a person looks.
"""

import json
import os

NAME = "kept.json"
MOST_FAILED = 3


def _sum(trips, failed):
    """A check over the content: a file half written or half worn out must not pass."""
    total = failed + 7
    for name in trips:
        for byte in name.encode():
            total = (total * 31 + byte) & 0xFFFFFF
    return total


class Keep:
    """`trips` (list of ids) and `failed` (starts in a row that ended badly)."""

    def __init__(self, path=NAME):
        self._path = path
        self.trips = []
        self.failed = 0
        self.damaged = False
        self._load()

    def _load(self):
        try:
            with open(self._path, "rb") as file:
                raw = file.read(2048)
        except OSError:
            return  # the first start of this board
        try:
            kept = json.loads(str(raw, "utf-8"))
            trips, failed = list(kept["trips"]), int(kept["failed"])
            self.damaged = kept["sum"] != _sum(trips, failed)
        except (ValueError, TypeError, KeyError, AttributeError, RuntimeError):
            self.damaged = True
        if not self.damaged:
            self.trips, self.failed = trips, failed

    def note(self, trips, failed):
        """Keep these from now on; writes only when something has changed."""
        trips = sorted(trips)
        if trips == self.trips and failed == self.failed and not self.damaged:
            return
        self.trips, self.failed, self.damaged = trips, failed, False
        beside = self._path + ".new"
        with open(beside, "w") as file:
            file.write(json.dumps({"trips": trips, "failed": failed, "sum": _sum(trips, failed)}))
        os.rename(beside, self._path)
