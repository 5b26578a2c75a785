-- The bench: trays, set distances, gluing in groups, the shop's cements and their batches, how warm it was, unlike materials,
-- fixings, check lists, photos. Lengths mm, areas mm2, temperatures °C, times UTC.
PRAGMA foreign_keys = OFF;                      -- two tables are made anew below for a longer list of kinds; nothing refers elsewhere
BEGIN IMMEDIATE;

CREATE TABLE code_now (                         -- one namespace over everything that bears a label
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('piece', 'sheet', 'sign', 'blank', 'tray')),
  is_retired INTEGER NOT NULL DEFAULT 0
);
INSERT INTO code_now SELECT code, kind, is_retired FROM code;
DROP TABLE code;
ALTER TABLE code_now RENAME TO code;

CREATE TABLE step_now (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sign INTEGER NOT NULL REFERENCES sign,
  number INTEGER NOT NULL,                      -- its place in the sign's recipe; steps are shown in this order
  kind TEXT NOT NULL CHECK (kind IN
    ('lay out', 'glue', 'cure', 'clean', 'polish', 'inspect', 'pack', 'hand over', 'other')),
  title TEXT NOT NULL, level INTEGER,
  done_at TEXT, done_by INTEGER REFERENCES person,
  shut_until TEXT,                              -- a cure's end; of a gluing under way, the cure of what is glued so far
  opened_why TEXT                               -- an owner's reason to go on before that
);
INSERT INTO step_now SELECT id, sign, number, kind, title, level, done_at, done_by, shut_until, opened_why FROM step;
DELETE FROM sqlite_sequence WHERE name = 'step_now';
INSERT INTO sqlite_sequence SELECT 'step_now', seq FROM sqlite_sequence WHERE name = 'step';  -- ids are not given again
DROP TABLE step;
ALTER TABLE step_now RENAME TO step;
CREATE INDEX step_of_sign ON step (sign);

-- Trays: whatever bears a code and holds loose pieces. ----------------------------------------------------------------

CREATE TABLE tray (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE REFERENCES code,
  kind TEXT NOT NULL CHECK (kind IN ('tray', 'bag', 'shelf', 'rack')),
  name TEXT NOT NULL,                           -- 'bench tray 2'
  stands_in INTEGER REFERENCES tray,            -- a bag in a tray on a shelf
  is_retired INTEGER NOT NULL DEFAULT 0
);
CREATE TABLE lying (                            -- where a loose piece is; gone when it is fixed, lost, damaged or withdrawn
  piece INTEGER PRIMARY KEY REFERENCES piece,
  tray INTEGER REFERENCES tray,                 -- null: on the bench itself
  picked_for INTEGER REFERENCES sign,           -- it lies ready for this sign's assembly
  at TEXT NOT NULL
);
CREATE INDEX lying_in ON lying (tray) WHERE tray IS NOT NULL;
CREATE INDEX lying_for ON lying (picked_for) WHERE picked_for IS NOT NULL;

-- Setting out. --------------------------------------------------------------------------------------------------------

CREATE TABLE measured_place (                   -- a distance that the assembler measured, against the drawing
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part, piece INTEGER REFERENCES piece,
  across_mm REAL,                               -- error along the line: positive is too far to the right; null: not measured
  up_mm REAL,                                   -- error across it: positive is too high; null: not measured
  allowed_mm REAL NOT NULL,
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE INDEX measured_place_of ON measured_place (step, part);

-- Cements, batches, how warm it was. -----------------------------------------------------------------------------------

ALTER TABLE cement ADD COLUMN kind TEXT NOT NULL DEFAULT 'solvent' CHECK (kind IN ('solvent', 'reactive', 'tape'));
ALTER TABLE cement ADD COLUMN open_min REAL NOT NULL DEFAULT 0;      -- 0: not known
ALTER TABLE cement ADD COLUMN fixture_min REAL NOT NULL DEFAULT 0;   -- stands by itself; at reference_c; 0: not known
ALTER TABLE cement ADD COLUMN handling_hours REAL NOT NULL DEFAULT 0;
ALTER TABLE cement ADD COLUMN driest_percent REAL NOT NULL DEFAULT 0;
ALTER TABLE cement ADD COLUMN dampest_percent REAL NOT NULL DEFAULT 100;
ALTER TABLE cement ADD COLUMN ml_per_m2 REAL NOT NULL DEFAULT 0;     -- of bond; 0: not known
ALTER TABLE cement ADD COLUMN data_sheet TEXT NOT NULL DEFAULT '';   -- where it is: an address or words
ALTER TABLE cement ADD COLUMN is_retired INTEGER NOT NULL DEFAULT 0;
CREATE TABLE cement_batch (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  cement INTEGER NOT NULL REFERENCES cement, batch TEXT NOT NULL,
  expires TEXT,                                 -- ISO date: the last day; null: not known
  is_used_up INTEGER NOT NULL DEFAULT 0,
  UNIQUE (cement, batch)
);
CREATE TABLE climate (                          -- a reading at the bench
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at TEXT NOT NULL, temperature_c REAL NOT NULL, humidity_percent REAL,
  source TEXT NOT NULL CHECK (source IN ('typed', 'gauge')), person INTEGER NOT NULL REFERENCES person
);
CREATE INDEX climate_at ON climate (at);
CREATE TABLE gluing (                           -- a session under way: the cement's open time runs
  step INTEGER PRIMARY KEY REFERENCES step,
  cement INTEGER NOT NULL REFERENCES cement, began_at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
ALTER TABLE glue_up ADD COLUMN began_at TEXT;   -- null: nobody pressed Begin
ALTER TABLE glue_up ADD COLUMN fixture_at TEXT; -- null: not known
ALTER TABLE glue_up ADD COLUMN handling_at TEXT;
ALTER TABLE glue_up ADD COLUMN overruled TEXT NOT NULL DEFAULT '';   -- the owner's reason to glue outside a limit

-- Unlike materials and fixings. ----------------------------------------------------------------------------------------

CREATE TABLE stock_expansion (                  -- where it is not acrylic's usual figure
  stock INTEGER PRIMARY KEY REFERENCES stock, per_k REAL NOT NULL, source TEXT NOT NULL   -- per_k in millionths a kelvin
);
CREATE TABLE site (                             -- how cold and warm it gets where a sign hangs
  sign INTEGER PRIMARY KEY REFERENCES sign, coldest_c REAL NOT NULL, warmest_c REAL NOT NULL
);
CREATE TABLE fixing_plan (                      -- how a sign is fixed to its wall
  sign INTEGER PRIMARY KEY REFERENCES sign,
  screw_mm REAL NOT NULL, edge_mm REAL NOT NULL, columns INTEGER NOT NULL, rows INTEGER NOT NULL,
  wall TEXT NOT NULL, wall_per_k REAL NOT NULL  -- in millionths a kelvin
);

-- Finishing. ----------------------------------------------------------------------------------------------------------

CREATE TABLE check_list (                       -- where the shop has changed the usual one
  kind TEXT PRIMARY KEY CHECK (kind IN ('clean', 'polish', 'inspect', 'pack', 'hand over')),
  items TEXT NOT NULL                           -- JSON: a list of sentences
);
CREATE TABLE checked (                          -- what was found right, in the words that stood there then
  step INTEGER NOT NULL REFERENCES step, item TEXT NOT NULL,
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person,
  PRIMARY KEY (step, item)
) WITHOUT ROWID;
CREATE TABLE photo (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sign INTEGER NOT NULL REFERENCES sign, sha256 TEXT NOT NULL,
  note TEXT NOT NULL, at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE INDEX photo_of_sign ON photo (sign);
CREATE TABLE photo_file (                       -- kept outside the ledger, like drawing files
  sha256 TEXT PRIMARY KEY, file BLOB NOT NULL, wide_px INTEGER NOT NULL, high_px INTEGER NOT NULL, kept_at TEXT NOT NULL
);
CREATE TABLE handing_over (
  sign INTEGER PRIMARY KEY REFERENCES sign,
  to_name TEXT NOT NULL, at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);

PRAGMA user_version = 3;
COMMIT;
PRAGMA foreign_keys = ON;
