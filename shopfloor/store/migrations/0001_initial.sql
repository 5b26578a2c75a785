-- The first form of the database. Lengths are mm, areas mm2, times UTC in ISO 8601, angles degrees counter-clockwise.
-- Every REAL is kept to six places at most, so that a row reads back equal from the ledger's JSON.
BEGIN IMMEDIATE;

-- The ledger: one row for each act of a person, never changed, never taken out. --------------------------------------

CREATE TABLE ledger (
  act      INTEGER PRIMARY KEY,                 -- 1, 2, 3 …
  at       TEXT NOT NULL,
  person   INTEGER NOT NULL,
  by_name  TEXT NOT NULL,                       -- the name as it was then
  tablet   TEXT NOT NULL,
  what     TEXT NOT NULL,                       -- 'marked lost'
  key      TEXT NOT NULL UNIQUE,                -- idempotency: a second copy of a request finds the first one's answer
  form     INTEGER NOT NULL,                    -- the form of the database in which `changes` is written
  events   TEXT NOT NULL,                       -- JSON: what happened, in the trade's words
  changes  TEXT NOT NULL,                       -- JSON: each row touched, before and after: what replay and undo need
  answer   TEXT NOT NULL,                       -- JSON: what the person was told
  undoes   INTEGER UNIQUE REFERENCES ledger
);
CREATE TRIGGER ledger_is_not_changed BEFORE UPDATE ON ledger
  BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER ledger_is_not_cut BEFORE DELETE ON ledger
  BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;

CREATE TABLE touched (                          -- a cache of ledger.changes: which act wrote which record, or leaned on it
  tbl TEXT NOT NULL, record TEXT NOT NULL, act INTEGER NOT NULL REFERENCES ledger,
  is_written INTEGER NOT NULL,
  PRIMARY KEY (tbl, record, act)
) WITHOUT ROWID;

-- Kept outside the ledger: PINs, tries, sessions, drawing files. ------------------------------------------------------

CREATE TABLE pin (person INTEGER PRIMARY KEY REFERENCES person ON DELETE CASCADE, hash TEXT NOT NULL);
CREATE TABLE pin_try (person INTEGER PRIMARY KEY REFERENCES person ON DELETE CASCADE,
  failures INTEGER NOT NULL, last_at TEXT NOT NULL);
CREATE TABLE session (token TEXT PRIMARY KEY,   -- SHA-256 of the cookie, never the cookie itself
  person INTEGER NOT NULL REFERENCES person ON DELETE CASCADE, tablet TEXT NOT NULL, seen_at TEXT NOT NULL);
CREATE TABLE drawing (sha256 TEXT PRIMARY KEY, name TEXT NOT NULL, file BLOB NOT NULL,
  reading TEXT, kept_at TEXT NOT NULL);

-- The shop. -----------------------------------------------------------------------------------------------------------

CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL);

CREATE TABLE person (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  roles TEXT NOT NULL,                          -- 'operator assembler owner', a blank between
  is_active INTEGER NOT NULL DEFAULT 1
);

CREATE TABLE code (                             -- one namespace over everything that bears a label
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('piece', 'sheet', 'sign', 'blank')),
  is_retired INTEGER NOT NULL DEFAULT 0
);

CREATE TABLE stock (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE COLLATE NOCASE,     -- 'cream-6'
  name TEXT NOT NULL,                           -- 'cream'
  colour TEXT NOT NULL,                         -- '#f2e8cf'
  finish TEXT NOT NULL DEFAULT 'gloss',
  kind TEXT NOT NULL DEFAULT 'cast' CHECK (kind IN ('cast', 'extruded', 'other')),
  thickness_mm REAL NOT NULL, length_mm REAL NOT NULL, width_mm REAL NOT NULL,
  turns TEXT NOT NULL DEFAULT 'any' CHECK (turns IN ('any', '180', 'none')),
  cost REAL NOT NULL DEFAULT 0                  -- of one full sheet, in the shop's money
);
CREATE TABLE colour (                           -- which stock a drawing's colour stands for
  colour TEXT PRIMARY KEY, stock INTEGER NOT NULL REFERENCES stock
);
CREATE TABLE cement (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  cure_hours REAL NOT NULL, reference_c REAL NOT NULL, coldest_c REAL NOT NULL, warmest_c REAL NOT NULL
);
CREATE TABLE blank (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE REFERENCES code,
  stock INTEGER NOT NULL REFERENCES stock,
  length_mm REAL NOT NULL, width_mm REAL NOT NULL,
  is_offcut INTEGER NOT NULL,
  is_bought INTEGER NOT NULL,                   -- 0: planned on, still to be bought
  state TEXT NOT NULL CHECK (state IN ('free', 'booked', 'used', 'gone')),
  cut_from INTEGER REFERENCES sheet             -- the sheet that left this offcut
);
CREATE INDEX blank_free ON blank (stock, state);
CREATE INDEX blank_left_of ON blank (cut_from) WHERE cut_from IS NOT NULL;

-- Jobs, signs, parts. -------------------------------------------------------------------------------------------------

CREATE TABLE job (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'J-1042'
  customer TEXT NOT NULL, title TEXT NOT NULL, due TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
  drawing TEXT NOT NULL,                        -- SHA-256 of the drawing's file
  taken_in_at TEXT NOT NULL
);
CREATE INDEX job_open ON job (due) WHERE state = 'open';

CREATE TABLE sign (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE REFERENCES code,
  job INTEGER NOT NULL REFERENCES job,
  mark TEXT NOT NULL,                           -- 'A', 'B' …
  name TEXT NOT NULL,
  width_mm REAL NOT NULL, height_mm REAL NOT NULL, levels INTEGER NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'on hold', 'packed', 'handed over', 'cancelled')),
  UNIQUE (job, mark)
);
CREATE INDEX sign_live ON sign (state) WHERE state IN ('open', 'on hold', 'packed');

CREATE TABLE outline (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  stock INTEGER NOT NULL REFERENCES stock,
  rings TEXT NOT NULL,                          -- JSON, lower left corner of the box at 0, 0
  area_mm2 REAL NOT NULL, perimeter_mm REAL NOT NULL, width_mm REAL NOT NULL, height_mm REAL NOT NULL,
  family INTEGER NOT NULL REFERENCES outline    -- the reference outline of its family; its own id if it is that
);
CREATE INDEX outline_alike ON outline (stock, area_mm2);

CREATE TABLE part (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sign INTEGER NOT NULL REFERENCES sign,
  number INTEGER NOT NULL, name TEXT NOT NULL,
  level INTEGER NOT NULL, line INTEGER NOT NULL, -- its line of letters within the level, 1 at the top
  lies_on INTEGER REFERENCES part,
  colour TEXT NOT NULL, stock INTEGER NOT NULL REFERENCES stock, outline INTEGER NOT NULL REFERENCES outline,
  x_mm REAL NOT NULL, y_mm REAL NOT NULL,       -- lower left of its box, from the sign's lower left corner
  baseline_mm REAL NOT NULL,                    -- of its line of letters, from the sign's lower edge
  gone_at TEXT,                                 -- when a new drawing took it off the sign; its number is not given again
  UNIQUE (sign, number)
);
CREATE TABLE part_also_on (                     -- what a part needs under or round it besides `lies_on`: it bridges, or is let in
  part INTEGER NOT NULL REFERENCES part, under INTEGER NOT NULL REFERENCES part,
  PRIMARY KEY (part, under)
) WITHOUT ROWID;
CREATE INDEX part_also_under ON part_also_on (under);

-- Sheets and pieces. --------------------------------------------------------------------------------------------------

CREATE TABLE sheet (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'S-207'
  code TEXT NOT NULL UNIQUE REFERENCES code,
  stock INTEGER NOT NULL REFERENCES stock, blank INTEGER NOT NULL REFERENCES blank,
  state TEXT NOT NULL CHECK (state IN ('planned', 'cutting', 'off the table', 'closed', 'abandoned')),
  nest INTEGER REFERENCES nest,                 -- the layout in force
  started_at TEXT, started_by INTEGER REFERENCES person, finished_at TEXT, closed_at TEXT
);
CREATE INDEX sheet_live ON sheet (state) WHERE state IN ('planned', 'cutting', 'off the table');

CREATE TABLE nest (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sheet INTEGER NOT NULL REFERENCES sheet, number INTEGER NOT NULL,
  along TEXT NOT NULL CHECK (along IN ('length', 'width')),
  used_mm REAL NOT NULL, yield_share REAL NOT NULL, other_yield_share REAL,
  gap_mm REAL NOT NULL, margin_mm REAL NOT NULL, made_at TEXT NOT NULL,
  UNIQUE (sheet, number)
);
CREATE TABLE piece (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE REFERENCES code,
  outline INTEGER NOT NULL REFERENCES outline, stock INTEGER NOT NULL REFERENCES stock,
  state TEXT NOT NULL CHECK (state IN
    ('waiting', 'nested', 'cut', 'ready', 'fixed', 'lost', 'damaged', 'withdrawn')),
  attempt INTEGER NOT NULL, tabs INTEGER NOT NULL,
  sheet INTEGER REFERENCES sheet,
  was TEXT,                                     -- its state before it was lost or damaged
  cause TEXT                                    -- why it was lost or damaged
);
CREATE INDEX piece_of_sheet ON piece (sheet);
CREATE INDEX piece_waiting ON piece (stock) WHERE state = 'waiting';

CREATE TABLE placement (
  nest INTEGER NOT NULL REFERENCES nest, piece INTEGER NOT NULL REFERENCES piece,
  x_mm REAL NOT NULL, y_mm REAL NOT NULL, turn REAL NOT NULL,
  walk INTEGER NOT NULL,                        -- its turn on the walk along the table with the labels
  PRIMARY KEY (nest, piece)
);
CREATE TABLE assignment (                       -- which piece is for which part, with its history
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES piece, part INTEGER NOT NULL REFERENCES part,
  begun_at TEXT NOT NULL, ended_at TEXT, why_ended TEXT
);
CREATE UNIQUE INDEX one_live_piece ON assignment (part) WHERE ended_at IS NULL;
CREATE UNIQUE INDEX one_live_part ON assignment (piece) WHERE ended_at IS NULL;
CREATE INDEX assignment_of_piece ON assignment (piece);
CREATE INDEX assignment_of_part ON assignment (part);

-- The bench. ----------------------------------------------------------------------------------------------------------

CREATE TABLE step (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sign INTEGER NOT NULL REFERENCES sign,
  number INTEGER NOT NULL,                      -- its place in the sign's recipe; steps are shown in this order
  kind TEXT NOT NULL CHECK (kind IN ('lay out', 'glue', 'cure', 'clean', 'inspect', 'pack', 'hand over', 'other')),
  title TEXT NOT NULL, level INTEGER,
  done_at TEXT, done_by INTEGER REFERENCES person,
  shut_until TEXT,                              -- a cure's end
  opened_why TEXT                               -- an owner's reason to go on before that
);
CREATE INDEX step_of_sign ON step (sign);
CREATE TABLE step_part (step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part,
  done_at TEXT, done_by INTEGER REFERENCES person, PRIMARY KEY (step, part));
CREATE INDEX step_part_of_part ON step_part (part);
CREATE TABLE step_after (step INTEGER NOT NULL REFERENCES step, after INTEGER NOT NULL REFERENCES step,
  PRIMARY KEY (step, after));
CREATE TABLE glue_up (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  cement INTEGER NOT NULL REFERENCES cement, batch TEXT NOT NULL,
  temperature_c REAL NOT NULL, humidity_percent REAL NOT NULL,
  at TEXT NOT NULL, cured_at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE glue_up_piece (glue_up INTEGER NOT NULL REFERENCES glue_up, piece INTEGER NOT NULL REFERENCES piece,
  PRIMARY KEY (glue_up, piece));
CREATE INDEX glue_up_of_piece ON glue_up_piece (piece);

PRAGMA application_id = 1397246790;             -- 'SHOF'
PRAGMA user_version = 1;
COMMIT;
