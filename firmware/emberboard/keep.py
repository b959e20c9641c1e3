"""What must outlive a reset: the trips in force, how many starts have failed in a row, the mode.

One small file, written beside and renamed over, so that a power cut leaves the old one or the new
one. A file that cannot be read is taken for the worst: the board stays off until a person looks.
"""

import json
import os

NAME = "kept.json"
TRIAL = "emberboard/trial"  # there until a new tree has run for a minute (boot.py)
ASKED = "asked"  # a person ended the last start (main.py, `emberdraft board`)
MOST_FAILED = 3


def _sum(trips, failed, noted):
    """A check over the content: a file half written or half worn out must not pass."""
    total = failed * 2 + noted + 7
    for name in trips:
        for byte in name.encode():
            total = (total * 31 + byte) & 0xFFFFFF
    return total


class Keep:
    """`trips` (list of ids), `failed` (starts in a row that ended badly), `noted` (0 or 1).

    `mode` is the last one that was ordered, '' before any. It stands outside the check, which
    earlier firmware reckons too; a damaged one is no word of the board's, and so none.

    A Pico resets itself through its watchdog, so that each reset looks like a bite afterwards:
    `noted` keeps one failure from being counted twice, the file ASKED a person's wish from being
    counted at all.
    """

    def __init__(self, path=NAME):
        self._path = path
        self.trips = []
        self.failed = 0
        self.noted = 0
        self.mode = ""
        self.damaged = False
        self._on_trial = True
        self._load()

    def _load(self):
        try:
            with open(self._path, "rb") as file:
                raw = file.read(2048)
        except OSError:
            return  # the first start of this board
        try:
            kept = json.loads(str(raw, "utf-8"))
            trips, failed, noted = list(kept["trips"]), int(kept["failed"]), int(kept["noted"])
            self.mode = str(kept.get("mode", ""))
            self.damaged = kept["sum"] != _sum(trips, failed, noted)
        except (ValueError, TypeError, KeyError, AttributeError, RuntimeError):
            self.damaged = True
        if not self.damaged:
            self.trips, self.failed, self.noted = trips, failed, noted

    def note(self, trips, failed, noted=0, mode=None):
        """Keep these from now on (no `mode`: the old one); writes only when something changed."""
        trips = sorted(trips)
        mode = self.mode if mode is None else mode
        now = (trips, failed, noted, mode)
        if now == (self.trips, self.failed, self.noted, self.mode) and not self.damaged:
            return
        self.trips, self.failed, self.noted, self.mode = now
        self.damaged = False
        kept = {"trips": trips, "failed": failed, "noted": noted, "mode": mode}
        kept["sum"] = _sum(trips, failed, noted)
        beside = self._path + ".new"
        with open(beside, "w") as file:
            file.write(json.dumps(kept))
        os.rename(beside, self._path)

    def passed(self):
        """This tree has run for a minute: it has passed its trial, if it was on one."""
        if self._on_trial:
            self._on_trial = False
            try:
                os.remove(TRIAL)
            except OSError:
                return

    def _was_asked(self):
        """Whether a person ended the last start; true once, or a later bite would not count."""
        try:
            os.remove(ASKED)
            return True
        except OSError:
            return False

    def started(self, by_watchdog):
        """Count a start after the watchdog had to bite; gives in a word what ended the last."""
        asked = self._was_asked()
        if self.damaged:
            return "damaged"
        if self.noted:
            self.note(self.trips, self.failed)
            return "exception"
        if asked:
            return "asked"
        if by_watchdog:
            self.note(self.trips, self.failed + 1)
            return "watchdog"
        return "power"
