"""The tables of trials and tastings: a step of the migrations, never changed once released."""

from __future__ import annotations

LARGEST_PHOTO_BYTES = 1_500_000

TRIALS = (
    """
CREATE TABLE trial (            -- a comparison of pieces that lives days before any cook
  id           INTEGER PRIMARY KEY,
  name         TEXT NOT NULL,
  question     TEXT NOT NULL,
  main         TEXT NOT NULL,      -- the measure that decides, named before anything is measured
  seed         INTEGER NOT NULL,   -- of the assignment: drawn when the trial was made
  start_s      REAL NOT NULL,
  assigned_s   REAL,               -- chance has said who gets what
  end_s        REAL,               -- null: still going on
  least_value  REAL,               -- the smallest difference worth knowing, in the unit of main
  tolerance_c  REAL NOT NULL,      -- of the food probes, plus or minus
  off_centre_m REAL NOT NULL,      -- how far a tip may be from the middle of its piece
  scale_kg     REAL NOT NULL,      -- step of the scale
  again_of     INTEGER REFERENCES trial (id),
  invented     INTEGER NOT NULL DEFAULT 0, -- 1: simulated pieces or people
  note         TEXT NOT NULL DEFAULT ''
) STRICT
""",
    """
CREATE TABLE treatment (        -- what is done to some of the pieces
  id       INTEGER PRIMARY KEY,
  trial_id INTEGER NOT NULL REFERENCES trial (id),
  place    INTEGER NOT NULL,       -- 0 is what the others are compared with
  name     TEXT NOT NULL,
  UNIQUE (trial_id, name)
) STRICT
""",
    """
CREATE TABLE trial_piece (      -- a piece of a trial
  id           INTEGER PRIMARY KEY,
  trial_id     INTEGER NOT NULL REFERENCES trial (id),
  name         TEXT NOT NULL,
  block        TEXT NOT NULL,      -- what is alike: neighbours of one roast, one cook
  treatment_id INTEGER REFERENCES treatment (id), -- null: chance has not said yet
  cook_id      INTEGER REFERENCES cook (id),      -- null: not cooked yet
  letter       TEXT,               -- of the piece in that cook
  UNIQUE (trial_id, name)
) STRICT
""",
    """
CREATE TABLE weighing (         -- a piece on the scale
  id             INTEGER PRIMARY KEY,
  trial_piece_id INTEGER NOT NULL REFERENCES trial_piece (id),
  at_s           REAL NOT NULL,
  step           TEXT NOT NULL,    -- raw, salted, fridge, on, pulled, rested, seared
  mass_kg        REAL NOT NULL
) STRICT
""",
    "CREATE INDEX weighing_by_piece ON weighing (trial_piece_id, at_s)",
    f"""
CREATE TABLE look (             -- what a person saw, with a photo if there is one
  id             INTEGER PRIMARY KEY,
  trial_id       INTEGER NOT NULL REFERENCES trial (id),
  trial_piece_id INTEGER REFERENCES trial_piece (id), -- null: of the whole trial
  at_s           REAL NOT NULL,
  words          TEXT NOT NULL,
  photo_type     TEXT,             -- image/jpeg, image/png or image/webp
  photo          BLOB CHECK (length(photo) <= {LARGEST_PHOTO_BYTES})
) STRICT
""",
    "CREATE INDEX look_by_trial ON look (trial_id, at_s)",
    """
CREATE TABLE fridge (           -- the air round the pieces while they wait
  id       INTEGER PRIMARY KEY,
  trial_id INTEGER NOT NULL REFERENCES trial (id),
  at_s     REAL NOT NULL,
  air_c    REAL NOT NULL
) STRICT
""",
    "CREATE INDEX fridge_by_trial ON fridge (trial_id, at_s)",
    """
CREATE TABLE tasting (          -- a blind tasting of two treatments
  id       INTEGER PRIMARY KEY,
  trial_id INTEGER NOT NULL REFERENCES trial (id),
  method   TEXT NOT NULL,          -- triangle, duo-trio, preference, difference
  quality  TEXT NOT NULL DEFAULT '', -- of difference: more of what is asked
  a_id     INTEGER NOT NULL REFERENCES treatment (id),
  b_id     INTEGER NOT NULL REFERENCES treatment (id),
  cook_id  INTEGER REFERENCES cook (id), -- whose pieces were tasted
  seed     INTEGER NOT NULL,       -- of orders and codes
  start_s  REAL NOT NULL,
  end_s    REAL                    -- closed: only then may the codes be read
) STRICT
""",
    """
CREATE TABLE serving (          -- what one taster is served, and the answer
  id         INTEGER PRIMARY KEY,
  tasting_id INTEGER NOT NULL REFERENCES tasting (id),
  place      INTEGER NOT NULL,     -- 1 is served first
  samples    TEXT NOT NULL,        -- from left to right, A or B each
  codes      TEXT NOT NULL,        -- the three digits on each, in the same order, with spaces between
  taster     TEXT NOT NULL DEFAULT '',
  at_s       REAL,                 -- answered; null: not yet
  chosen     INTEGER,              -- which one, 1 is the first code
  counts     INTEGER,              -- 1: right, or for A; 0: not
  UNIQUE (tasting_id, place)
) STRICT
""",
)
