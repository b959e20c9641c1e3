"""The tables, as named migrations. A migration that has been released is never changed, only followed by another.

Units are in the names: `_c` degC, `_s` seconds, `_ms` milliseconds, `_kg`, `_m`. `at_s` and the other moments
are unix seconds, UTC. `duty`, `drive`, `opening` and the control terms are fractions of full air, 0..1.
"""

from __future__ import annotations

from emberdraft.store.schema_trials import TRIALS

# In the file's header, so that `file` and we can tell it from any other SQLite file: "EMBR".
APPLICATION_ID = 0x454D4252
MIGRATION_SET = "emberdraft"

_FIRST = (
    """
CREATE TABLE boot (             -- one start of a board
  id        INTEGER PRIMARY KEY, -- in the order they were first heard
  cooker    TEXT NOT NULL,
  boot      TEXT NOT NULL,      -- drawn by chance at each start
  offset_s  REAL,               -- unix seconds when the board's uptime was 0
  first_seq INTEGER,            -- lowest seq the board still held when this store first heard it
  mark      INTEGER NOT NULL DEFAULT 0, -- every record below is here, or settled as lost
  UNIQUE (cooker, boot)
) STRICT
""",
    """
CREATE TABLE reading (          -- one second of one board
  cooker      TEXT NOT NULL,
  at_s        REAL NOT NULL,    -- unix seconds, UTC
  boot        TEXT NOT NULL,
  seq         INTEGER NOT NULL, -- counts readings and events together, from 0 in each boot
  ms          INTEGER NOT NULL, -- board uptime
  late        INTEGER NOT NULL, -- 1: sent again after an outage
  mode        TEXT,             -- off, hold, drive, bank
  phase       TEXT,             -- '', light, soak, slow, climb, sear, bank
  pit_c       REAL,             -- null with a fault beside it when there is no value
  pit_fault   TEXT NOT NULL DEFAULT '',
  stone_c     REAL,
  stone_fault TEXT NOT NULL DEFAULT '',
  core1_c     REAL,
  core1_fault TEXT NOT NULL DEFAULT '',
  core2_c     REAL,
  core2_fault TEXT NOT NULL DEFAULT '',
  core3_c     REAL,
  core3_fault TEXT NOT NULL DEFAULT '',
  core4_c     REAL,
  core4_fault TEXT NOT NULL DEFAULT '',
  board_c     REAL,             -- the board's own temperature
  target_c    REAL,             -- what is wanted in the end: of the pit, in drive of the stone
  ref_c       REAL,             -- the ramped reference that is followed now
  duty        REAL,             -- air wanted of the blower, 0..1
  drive       REAL,             -- what the blower is given, 0..1
  opening     REAL,             -- damper, 0 shut..1 open; null: none fitted or left alone
  lid_open    INTEGER,          -- 1: taken to be open
  p_duty      REAL,             -- proportional term
  i_duty      REAL,             -- integral term
  d_duty      REAL,             -- derivative term
  ff_duty     REAL,             -- air for the reference by the learnt model
  fire        REAL,             -- burning state, in duty equivalent
  why         TEXT,             -- what the air is doing, in one word
  PRIMARY KEY (cooker, at_s, boot, seq),
  UNIQUE (cooker, boot, seq)
) STRICT, WITHOUT ROWID
""",
    """
CREATE TABLE event (            -- what the board did or saw, at a moment
  cooker      TEXT NOT NULL,
  at_s        REAL NOT NULL,
  boot        TEXT NOT NULL,
  seq         INTEGER NOT NULL,
  ms          INTEGER NOT NULL,
  late        INTEGER NOT NULL,
  kind        TEXT NOT NULL,
  value       REAL,             -- the value that decided, in the unit of its kind
  limit_value REAL,             -- the limit it was held against
  text        TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (cooker, at_s, boot, seq),
  UNIQUE (cooker, boot, seq)
) STRICT, WITHOUT ROWID
""",
    """
CREATE TABLE lost (             -- records a board had to drop: settled, shown as a gap
  cooker    TEXT NOT NULL,
  boot      TEXT NOT NULL,
  first_seq INTEGER NOT NULL,
  last_seq  INTEGER NOT NULL,   -- the last one dropped, itself included
  PRIMARY KEY (cooker, boot, first_seq)
) STRICT
""",
    """
CREATE TABLE plan (             -- the text of a plan, as it was when a cook began
  id   INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  text TEXT NOT NULL,           -- TOML
  UNIQUE (name, text)
) STRICT
""",
    """
CREATE TABLE cook (             -- one recorded session
  id       INTEGER PRIMARY KEY,
  cooker   TEXT NOT NULL,
  name     TEXT NOT NULL,
  plan_id  INTEGER REFERENCES plan (id),
  start_s  REAL NOT NULL,
  end_s    REAL,                -- null: still going on
  how      TEXT,                -- how it ended
  invented INTEGER NOT NULL DEFAULT 0, -- 1: simulated, no real fire
  note     TEXT NOT NULL DEFAULT '',
  first_boot INTEGER NOT NULL DEFAULT 0, -- boots heard before this one are of another time line
  last_boot  INTEGER            -- boots heard after this one are of another time line; null: there is none
) STRICT
""",
    "CREATE INDEX cook_by_start ON cook (cooker, start_s)",
    "CREATE UNIQUE INDEX one_open_cook ON cook (cooker) WHERE end_s IS NULL",
    """
CREATE TABLE phase (            -- a phase of a cook begins; it lasts until the next one or the cook's end
  id       INTEGER PRIMARY KEY,
  cook_id  INTEGER NOT NULL REFERENCES cook (id),
  at_s     REAL NOT NULL,
  phase    TEXT NOT NULL,
  target_c REAL                 -- of the pit; in climb and sear of the stone
) STRICT
""",
    "CREATE INDEX phase_by_cook ON phase (cook_id, at_s)",
    """
CREATE TABLE piece (            -- a food item
  id          INTEGER PRIMARY KEY,
  cook_id     INTEGER NOT NULL REFERENCES cook (id),
  letter      TEXT NOT NULL,
  name        TEXT NOT NULL,
  probe       INTEGER,          -- 0 is core1_c, 1 is core2_c ...; null: no probe in it
  pull_c      REAL,             -- core temperature to pull it at
  rest_c      REAL,             -- core temperature wanted after its rest
  mass_kg     REAL,
  thickness_m REAL,
  initial_c   REAL,             -- core temperature when it went on
  on_s        REAL,             -- put on
  pulled_s    REAL,             -- taken off
  note        TEXT NOT NULL DEFAULT '',
  UNIQUE (cook_id, letter)
) STRICT
""",
    """
CREATE TABLE mark (             -- what a person noted
  id      INTEGER PRIMARY KEY,
  cook_id INTEGER NOT NULL REFERENCES cook (id),
  at_s    REAL NOT NULL,        -- when it happened, which may be before it was noted
  kind    TEXT NOT NULL,
  value   REAL,                 -- in the unit of its kind: of a vent the fraction open, of the others degC
  text    TEXT NOT NULL DEFAULT '',
  author  TEXT NOT NULL,
  undone  INTEGER NOT NULL DEFAULT 0 -- 1: taken back; kept, but shown nowhere
) STRICT
""",
    "CREATE INDEX mark_by_cook ON mark (cook_id, at_s)",
    """
CREATE TABLE order_ (           -- an order from the host to a board
  cooker TEXT NOT NULL,
  n      INTEGER NOT NULL,      -- rises for each cooker, never used twice
  boot   TEXT NOT NULL,         -- the start it is meant for
  at_s   REAL NOT NULL,
  name   TEXT NOT NULL,
  args   TEXT NOT NULL,         -- JSON
  author TEXT NOT NULL,
  code   TEXT,                  -- the board's reply: '' accepted, else why not; null: no reply yet
  text   TEXT,
  PRIMARY KEY (cooker, n)
) STRICT
""",
    "CREATE INDEX order_by_time ON order_ (cooker, at_s)",
    """
CREATE TABLE alarm (            -- something a person must act on, from raised to cleared
  id              INTEGER PRIMARY KEY,
  cooker          TEXT NOT NULL,
  cook_id         INTEGER REFERENCES cook (id),
  alert           TEXT NOT NULL, -- which one
  kind            TEXT NOT NULL, -- pause, trip, notice, pull ...
  state           TEXT NOT NULL,
  at_s            REAL NOT NULL, -- raised
  value           REAL,
  limit_value     REAL,
  cause           TEXT NOT NULL DEFAULT '',
  consequence     TEXT NOT NULL DEFAULT '',
  action          TEXT NOT NULL DEFAULT '',
  acknowledged_s  REAL,
  cleared_s       REAL,
  snoozed_until_s REAL
) STRICT
""",
    "CREATE INDEX alarm_by_time ON alarm (cooker, at_s)",
    """
CREATE TABLE tuning (           -- gains and learnt constants a board reported in force
  id      INTEGER PRIMARY KEY,
  cooker  TEXT NOT NULL,
  at_s    REAL NOT NULL,
  gains   TEXT NOT NULL,        -- JSON
  order_n INTEGER               -- the order that brought them; null: none did
) STRICT
""",
    "CREATE INDEX tuning_by_time ON tuning (cooker, at_s)",
    """
CREATE TABLE state (            -- what the host must remember over a restart
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT
""",
)

# The traces as they were when the slices came: a later one would be a step of its own.
_SLICED = (
    *("pit_c", "stone_c", "core1_c", "core2_c", "core3_c", "core4_c", "target_c", "ref_c"),
    *("duty", "drive", "opening", "lid_open"),
)
_LOW_HIGH = ",\n".join(f"  low_{name:<12} REAL,\n  high_{name:<11} REAL" for name in _SLICED)
_EXTREMES = ", ".join(f"min({name}), max({name})" for name in _SLICED)

_SLICES = (
    f"""
CREATE TABLE slice (            -- twenty seconds of one boot: what a long strip is drawn from
  cooker           TEXT NOT NULL,
  number           INTEGER NOT NULL, -- unix seconds / 20, rounded down
  boot             TEXT NOT NULL,
{_LOW_HIGH},
  reading_count    INTEGER NOT NULL,
  PRIMARY KEY (cooker, number, boot)
) STRICT, WITHOUT ROWID
""",
    f"""
INSERT INTO slice
SELECT cooker, CAST(at_s / 20.0 AS INTEGER), boot, {_EXTREMES}, count(*) FROM reading GROUP BY 1, 2, 3
""",
)

_RAW = (
    """
CREATE TABLE raw (              -- a row that this release could not read, as it came
  id        INTEGER PRIMARY KEY,
  cooker    TEXT NOT NULL,
  boot      TEXT NOT NULL,
  seq       INTEGER NOT NULL,
  what      TEXT NOT NULL,      -- reading or event
  arrived_s REAL NOT NULL,      -- unix seconds on the host's clock
  reason    TEXT NOT NULL,      -- what was wrong with it
  payload   BLOB NOT NULL,
  UNIQUE (cooker, boot, seq)
) STRICT
""",
)

# A start that was over before this step is not asked about any more; the newest of each cooker may still be running.
_TAILS = (
    "ALTER TABLE lost ADD COLUMN at_most INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE boot ADD COLUMN over INTEGER NOT NULL DEFAULT 0",
    "UPDATE boot SET over = 1 WHERE id < (SELECT max(id) FROM boot AS later WHERE later.cooker = boot.cooker)",
)

# Name of each step and its statements, oldest first.
STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("m0001_first_release", _FIRST),
    ("m0002_trials", TRIALS),
    ("m0003_slices", _SLICES),
    ("m0004_raw", _RAW),
    ("m0005_tails", _TAILS),
)
STEP_NAMES: tuple[str, ...] = tuple(name for name, _ in STEPS)
