-- How pieces are held while they are cut, with which cutter, and which file went to the machine. Lengths mm, vacuum inHg,
-- angles degrees, times UTC. Tables of the first form stay as they are.
BEGIN IMMEDIATE;

CREATE TABLE cutter (                           -- the shop's own list
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  diameter_mm REAL NOT NULL, flutes INTEGER NOT NULL,
  edge TEXT NOT NULL CHECK (edge IN ('straight', 'up-cut', 'down-cut', 'compression')),
  is_polished INTEGER NOT NULL,
  helix_deg REAL NOT NULL,                      -- positive: it lifts
  reach_mm REAL NOT NULL,                       -- the length that cuts
  is_retired INTEGER NOT NULL DEFAULT 0
);
CREATE TABLE stock_cutting (                    -- how a stock is cut, where it differs from the shop's usual way
  stock INTEGER PRIMARY KEY REFERENCES stock,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one
  rev_per_min REAL NOT NULL,
  chip_mm REAL NOT NULL,                        -- a tooth
  cutting_energy REAL NOT NULL,                 -- J/mm3
  source TEXT NOT NULL                          -- where these figures come from, in the shop's words
);
CREATE TABLE blank_thickness (                  -- as the caliper read it
  blank INTEGER PRIMARY KEY REFERENCES blank, measured_mm REAL NOT NULL
);

CREATE TABLE nest_run (                         -- what a layout was worked out for
  nest INTEGER PRIMARY KEY REFERENCES nest,
  sheet INTEGER NOT NULL REFERENCES sheet,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one, by the settings of that time
  cutter_mm REAL NOT NULL,
  pump TEXT NOT NULL, vacuum_inhg REAL NOT NULL,
  path_min REAL NOT NULL                        -- minutes on the router by path, feed and acceleration, not corrected
);
CREATE TABLE holding (                          -- how each piece of a layout is held, and what was expected of it
  nest INTEGER NOT NULL REFERENCES nest, piece INTEGER NOT NULL REFERENCES piece,
  sheet INTEGER NOT NULL REFERENCES sheet,
  way TEXT NOT NULL CHECK (way IN ('full', 'skin', 'tabs', 'tape')),
  advised TEXT NOT NULL CHECK (advised IN ('full', 'skin', 'tabs', 'tape')),
  verdict TEXT NOT NULL,                        -- what the vacuum alone does
  margin REAL NOT NULL,                         -- resistance over force, held this way
  chance REAL NOT NULL, chance_low REAL NOT NULL, chance_high REAL NOT NULL,
  pump TEXT NOT NULL,
  tabs TEXT NOT NULL,                           -- JSON: [[ring, mm along it], …]
  why TEXT NOT NULL,                            -- one sentence
  came_free INTEGER NOT NULL DEFAULT 0,         -- it did not stay: the hose took it, or it shifted
  PRIMARY KEY (nest, piece)
) WITHOUT ROWID;
CREATE INDEX holding_of_piece ON holding (piece);

CREATE TABLE machine_file (                     -- which file went to the machine
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  nest INTEGER NOT NULL REFERENCES nest, sheet INTEGER NOT NULL REFERENCES sheet,
  name TEXT NOT NULL, sha256 TEXT NOT NULL,
  layout TEXT NOT NULL,                         -- a mark of all that the file depends on: another one, another file
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE INDEX machine_file_of_sheet ON machine_file (sheet);

PRAGMA user_version = 2;
COMMIT;
