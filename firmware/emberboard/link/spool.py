"""Store and forward: records wait here until the host says that they are on its disk.

A ring of packed records in one piece of memory, made once. When it is full the oldest record is
dropped, counted and announced: a gap is shown as a gap.

Delivery rests on the host's `ack`, not on the broker's word: a broker may take a message and die.
With `pages` what is not acknowledged soon goes to flash as well, and is sent from there first.
"""

from emberboard.link import records

LIVE_MS = 2000  # a row older than this is not the present any more: it goes late or not at all
BURST = 4
REPLAY_MS = 1000 // 16  # 4 at once and 16 a second after: never more than 20 in any second
ANNOUNCE_MS = 60000


class Spool:
    """The records of one boot, numbered from 0: in memory are oldest <= seq < next_seq."""

    def __init__(self, capacity=600, boot="", stall_ms=10000):
        self.boot = boot
        self.capacity = capacity
        self.buf = bytearray(capacity * records.SIZE)
        self._view = memoryview(self.buf)
        self.pages = None
        self.oldest = 0
        self.next_seq = 0
        self.dropped = 0  # records that fell out unacknowledged, since the start
        self._lost_first = None  # they are lost_first <= seq < lost_end, until told and settled
        self._lost_end = 0
        self._told_end = 0
        self._told_ms = None
        self._live = 0  # next to send as live
        self._replay = self._replay_end = 0  # next to send late, and where the live rows began
        self._credit = BURST
        self._credit_ms = 0
        self._stall_ms = stall_ms
        self._pause_ms = stall_ms
        self._progress_ms = 0

    # ---- filling -----------------------------------------------------------------------------

    def add_reading(self, ms, outputs, inputs):
        """Keep one reading; gives its seq."""
        seq, offset = self._slot()
        records.pack_reading(self.buf, offset, seq, ms, outputs, inputs)
        return seq

    def add_event(self, ms, kind, value=None, limit=None, text=""):
        """Keep one event; gives its seq."""
        seq, offset = self._slot()
        records.pack_event(self.buf, offset, seq, ms, kind, value, limit, text)
        return seq

    def announce_lost(self, now_ms):
        """Say in an event which records were dropped: at once, then at most once a minute.

        The event is a record itself. Should it fall out of the ring as well, the next one names
        the whole range again: a loss is forgotten only when an ack has passed it.
        """
        if self._lost_first is None or self._lost_end <= self._told_end:
            return
        if self._told_ms is not None and now_ms - self._told_ms < ANNOUNCE_MS:
            return
        seq, offset = self._slot()  # may drop one more: the range is taken after it
        first, last = self._lost_first, self._lost_end - 1
        records.pack_event(self.buf, offset, seq, now_ms, "lost", first, last, self.boot)
        self._told_end = self._lost_end
        self._told_ms = now_ms

    def _slot(self):
        """(seq, offset) of a free place, made free if need be."""
        seq = self.next_seq
        if seq - self.oldest >= self.capacity:
            self._drop_oldest()
        self.next_seq = seq + 1
        return seq, self.offset(seq)

    def _drop_oldest(self):
        """The oldest leaves the memory; it is lost unless it is in flash."""
        self.oldest += 1
        if self.pages is None or self.oldest > self.pages.kept:
            self.lost(self.boot, self.oldest - 1, self.oldest)

    def lost(self, boot, first, end):
        """Rows that will never come; those of an earlier start are told at once."""
        self.dropped += end - first
        if boot != self.boot:
            self.add_event(self.ms_of(self.next_seq - 1), "lost", first, end - 1, boot)
            return
        if self._lost_first is None:
            self._lost_first = first
        self._lost_end = end

    @property
    def held(self):
        """The lowest row of this start that is here, in memory or in flash."""
        first = None if self.pages is None else self.pages.first
        return self.oldest if first is None else min(first, self.oldest)

    def keep(self, least=None):
        """One step of the pages in flash; `least` is how many rows are worth a write."""
        if self.pages is not None:
            self.pages.step(self, *(() if least is None else (least,)))

    def pieces(self, first, end):
        """The rows first <= seq < end as one or two pieces of the memory."""
        start, stop = self.offset(first), self.offset(end - 1) + records.SIZE
        if start < stop:
            return (self._view[start:stop],)
        return self._view[start:], self._view[:stop]

    def offset(self, seq):
        """Where in `buf` the record `seq` lies."""
        return seq % self.capacity * records.SIZE

    # ---- sending -----------------------------------------------------------------------------

    def connected(self, now_ms):
        """A new connection: rows of the last 2 s are live, all older ones go late."""
        live = self.next_seq
        while live > self.oldest and now_ms - self.ms_of(live - 1) <= LIVE_MS:
            live -= 1
        self._live = self._replay_end = live
        self._replay = self.oldest
        self._told_ms = None
        self._credit_ms = now_ms
        if self.pages is not None:
            self.pages.connected()
        self._pause_ms = self._stall_ms
        self._progress_ms = now_ms

    def next_to_send(self, now_ms):
        """(seq, late) of the record to send next, or None: live rows first, then late ones."""
        self._leave_stale(now_ms)
        if self._live < self.next_seq:
            return self._live, False
        if not self._from_flash() and self._replay < self._replay_end and self._may_replay(now_ms):
            return self._replay, True
        return None

    def sent(self, late):
        """The record that next_to_send named was taken by the client."""
        if late:
            self._replay += 1
            self._credit -= 1
        else:
            self._live += 1

    def next_kept(self, now_ms):
        """(boot, its oldest) of the record now in `pages.buf`: it goes late; None if none may."""
        if self.pages is None or not self.pages.busy or not self._may_replay(now_ms):
            return None
        return self.pages.next(now_ms)

    def sent_kept(self, now_ms):
        """The record that next_kept named was taken by the client."""
        if self.pages is not None:
            self.pages.sent(now_ms)
        self._credit -= 1

    def _from_flash(self):
        return self.pages is not None and self.pages.busy

    def _leave_stale(self, now_ms):
        """A row that could not be sent within 2 s is left to the replay."""
        self._live = max(self._live, self.oldest)
        self._replay = max(self._replay, self.oldest)
        while self._live < self.next_seq and now_ms - self.ms_of(self._live) > LIVE_MS:
            if self._replay >= self._replay_end:
                self._replay = self._live
            self._live += 1
            self._replay_end = self._live

    def _may_replay(self, now_ms):
        """A bucket of 4 that fills with 16 a second."""
        earned = (now_ms - self._credit_ms) // REPLAY_MS
        if earned > 0:
            self._credit = min(BURST, self._credit + earned)
            self._credit_ms += earned * REPLAY_MS
        return self._credit > 0

    def ms_of(self, seq):
        """Uptime at which row `seq` was made."""
        return records.seq_ms(self.buf, self.offset(seq))[1]

    # ---- settling ----------------------------------------------------------------------------

    def ack(self, seq, now_ms):
        """All records below `seq` are on the host's disk or settled there: let them go."""
        self._pause_ms = self._stall_ms
        if not self.oldest <= seq <= self.next_seq:
            return
        if seq > self.oldest:
            self.oldest = seq
            self._progress_ms = now_ms
        if self._lost_end <= self._told_end:
            self._lost_first = None

    def watch(self, now_ms):
        """Send again what was sent and not acknowledged, if the acks have stopped.

        The pause doubles up to two minutes while no ack comes at all: nobody may be listening.
        """
        waits = self.oldest >= self._live or self._replay < self._replay_end
        if waits or self._from_flash():
            self._progress_ms = now_ms  # nothing outstanding, or still on the way
        elif now_ms - self._progress_ms >= self._pause_ms:
            self.rewind(now_ms)
            self._pause_ms = min(self._pause_ms * 2, 12 * self._stall_ms)

    def rewind(self, now_ms):
        """Begin the replay again at the oldest record held."""
        self._replay = self.oldest
        self._replay_end = self._live
        self._progress_ms = now_ms
