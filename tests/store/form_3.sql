BEGIN TRANSACTION;
CREATE TABLE assignment (                       -- which piece is for which part, with its history
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES piece, part INTEGER NOT NULL REFERENCES part,
  begun_at TEXT NOT NULL, ended_at TEXT, why_ended TEXT
);
INSERT INTO "assignment" VALUES(1,1,1,'2026-11-20T08:12:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(2,2,2,'2026-11-20T08:12:00.000Z','2026-11-20T08:33:00.000Z','lost');
INSERT INTO "assignment" VALUES(3,3,3,'2026-11-20T08:12:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(4,4,2,'2026-11-20T08:33:00.000Z',NULL,NULL);
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
INSERT INTO "blank" VALUES(1,'78118513',1,2440.0,1220.0,0,1,'used',NULL);
INSERT INTO "blank" VALUES(2,'08699539',2,2440.0,1220.0,0,1,'used',NULL);
CREATE TABLE blank_thickness (                  -- as the caliper read it
  blank INTEGER PRIMARY KEY REFERENCES blank, measured_mm REAL NOT NULL
);
CREATE TABLE cement (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  cure_hours REAL NOT NULL, reference_c REAL NOT NULL, coldest_c REAL NOT NULL, warmest_c REAL NOT NULL
, kind TEXT NOT NULL DEFAULT 'solvent' CHECK (kind IN ('solvent', 'reactive', 'tape')), open_min REAL NOT NULL DEFAULT 0, fixture_min REAL NOT NULL DEFAULT 0, handling_hours REAL NOT NULL DEFAULT 0, driest_percent REAL NOT NULL DEFAULT 0, dampest_percent REAL NOT NULL DEFAULT 100, ml_per_m2 REAL NOT NULL DEFAULT 0, data_sheet TEXT NOT NULL DEFAULT '', is_retired INTEGER NOT NULL DEFAULT 0);
INSERT INTO "cement" VALUES(1,'Solvent cement',24.0,23.0,16.0,38.0,'solvent',0.0,0.0,0.0,0.0,100.0,0.0,'',0);
CREATE TABLE cement_batch (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  cement INTEGER NOT NULL REFERENCES cement, batch TEXT NOT NULL,
  expires TEXT,                                 -- ISO date: the last day; null: not known
  is_used_up INTEGER NOT NULL DEFAULT 0,
  UNIQUE (cement, batch)
);
CREATE TABLE check_list (                       -- where the shop has changed the usual one
  kind TEXT PRIMARY KEY CHECK (kind IN ('clean', 'polish', 'inspect', 'pack', 'hand over')),
  items TEXT NOT NULL                           -- JSON: a list of sentences
);
CREATE TABLE checked (                          -- what was found right, in the words that stood there then
  step INTEGER NOT NULL REFERENCES step, item TEXT NOT NULL,
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person,
  PRIMARY KEY (step, item)
) WITHOUT ROWID;
CREATE TABLE climate (                          -- a reading at the bench
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  at TEXT NOT NULL, temperature_c REAL NOT NULL, humidity_percent REAL,
  source TEXT NOT NULL CHECK (source IN ('typed', 'gauge')), person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE "code" (                         -- one namespace over everything that bears a label
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('piece', 'sheet', 'sign', 'blank', 'tray')),
  is_retired INTEGER NOT NULL DEFAULT 0
);
INSERT INTO "code" VALUES('42856564','sign',0);
INSERT INTO "code" VALUES('60152270','piece',0);
INSERT INTO "code" VALUES('88925933','piece',0);
INSERT INTO "code" VALUES('04866261','piece',0);
INSERT INTO "code" VALUES('78118513','blank',0);
INSERT INTO "code" VALUES('41784107','sheet',0);
INSERT INTO "code" VALUES('08699539','blank',0);
INSERT INTO "code" VALUES('26315287','sheet',0);
INSERT INTO "code" VALUES('18992805','piece',0);
CREATE TABLE colour (                           -- which stock a drawing's colour stands for
  colour TEXT PRIMARY KEY, stock INTEGER NOT NULL REFERENCES stock
);
INSERT INTO "colour" VALUES('#33658a',1);
INSERT INTO "colour" VALUES('#f2e8cf',2);
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
CREATE TABLE drawing (sha256 TEXT PRIMARY KEY, name TEXT NOT NULL, file BLOB NOT NULL,
  reading TEXT, kept_at TEXT NOT NULL);
CREATE TABLE fixing_plan (                      -- how a sign is fixed to its wall
  sign INTEGER PRIMARY KEY REFERENCES sign,
  screw_mm REAL NOT NULL, edge_mm REAL NOT NULL, columns INTEGER NOT NULL, rows INTEGER NOT NULL,
  wall TEXT NOT NULL, wall_per_k REAL NOT NULL  -- in millionths a kelvin
);
CREATE TABLE glue_up (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  cement INTEGER NOT NULL REFERENCES cement, batch TEXT NOT NULL,
  temperature_c REAL NOT NULL, humidity_percent REAL NOT NULL,
  at TEXT NOT NULL, cured_at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
, began_at TEXT, fixture_at TEXT, handling_at TEXT, overruled TEXT NOT NULL DEFAULT '');
CREATE TABLE glue_up_piece (glue_up INTEGER NOT NULL REFERENCES glue_up, piece INTEGER NOT NULL REFERENCES piece,
  PRIMARY KEY (glue_up, piece));
CREATE TABLE gluing (                           -- a session under way: the cement's open time runs
  step INTEGER PRIMARY KEY REFERENCES step,
  cement INTEGER NOT NULL REFERENCES cement, began_at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE handing_over (
  sign INTEGER PRIMARY KEY REFERENCES sign,
  to_name TEXT NOT NULL, at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
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
INSERT INTO "holding" VALUES(1,1,1,'full','full','holds',8.1273,0.00558,0.0,0.05469,'blower','[]','A full pass: 0.56 % of such pieces are lost and a loss costs 7.56; with a skin pass it is 0.3 %, but the extra pass costs 0.37.',0);
INSERT INTO "holding" VALUES(2,2,2,'skin','skin','with a skin',6.5019,0.00702,0.0,0.06889,'blower','[]','A skin pass: 0.7 % of such pieces are lost, 1.2 % with tabs, and it is no more work.',1);
INSERT INTO "holding" VALUES(2,3,2,'skin','skin','with a skin',9.7528,0.00479,0.0,0.04697,'blower','[]','A skin pass: 0.48 % of such pieces are lost, 1.1 % with tabs, and it is no more work.',0);
CREATE TABLE job (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'J-1042'
  customer TEXT NOT NULL, title TEXT NOT NULL, due TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
  drawing TEXT NOT NULL,                        -- SHA-256 of the drawing's file
  taken_in_at TEXT NOT NULL
);
INSERT INTO "job" VALUES(1,'J-1001','Harbour office','Door','2026-12-01','open','0000000000000000000000000000000000000000000000000000000000000000','2026-11-20T08:12:00.000Z');
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
INSERT INTO "ledger" VALUES(1,'2026-11-20T08:03:00.000Z',1,'Owner','the program','opened the shop','the shop is opened',3,'[{"event":"ShopOpened","owner":"Owner","cement":"Solvent cement"}]','[{"t":"person","b":null,"a":{"id":1,"name":"Owner","roles":"operator assembler owner","is_active":1}},{"t":"cement","b":null,"a":{"id":1,"name":"Solvent cement","cure_hours":24.0,"reference_c":23.0,"coldest_c":16.0,"warmest_c":38.0,"kind":"solvent","open_min":0.0,"fixture_min":0.0,"handling_hours":0.0,"driest_percent":0.0,"dampest_percent":100.0,"ml_per_m2":0.0,"data_sheet":"","is_retired":0}}]','{"sentence":"The shop is open.","codes":[],"data":{},"act":1}',NULL);
INSERT INTO "ledger" VALUES(2,'2026-11-20T08:06:00.000Z',1,'Owner','test tablet','changed the settings','6f7abcaa56ce1a42e911003df73c4d3c',3,'[{"event":"SettingsChanged","values":{"gauge":"/var/thermometer.json","gauge_every_min":15.0,"leakage_share":0.1,"skin_share":0.6,"skin_mm":0.5}}]','[{"t":"setting","b":null,"a":{"name":"gauge","value":"/var/thermometer.json"}},{"t":"setting","b":null,"a":{"name":"gauge_every_min","value":"15.0"}},{"t":"setting","b":null,"a":{"name":"leakage_share","value":"0.1"}},{"t":"setting","b":null,"a":{"name":"skin_share","value":"0.6"}},{"t":"setting","b":null,"a":{"name":"skin_mm","value":"0.5"}}]','{"sentence":"The settings are changed from now on: the gauge at the bench, the minutes from one reading of the gauge to the next, the share of the vacuum that leaks away and 2 more.","codes":[],"data":{"changed":["gauge","gauge_every_min","leakage_share","skin_share","skin_mm"]},"act":2}',NULL);
INSERT INTO "ledger" VALUES(3,'2026-11-20T08:09:00.000Z',1,'Owner','test tablet','changed the settings','43e6a16c614b71e74a25bba3a0052c75',3,'[{"event":"SettingsChanged","values":{"gauge":"/var/other.json"}}]','[{"t":"setting","b":{"name":"gauge","value":"/var/thermometer.json"},"a":{"name":"gauge","value":"/var/other.json"}}]','{"sentence":"The settings are changed from now on: the gauge at the bench.","codes":[],"data":{"changed":["gauge"]},"act":3}',NULL);
INSERT INTO "ledger" VALUES(4,'2026-11-20T08:12:00.000Z',1,'Owner','test tablet','took a job in','d9130e6f4ac7e9c24daf223a1f7e5f02',3,'[{"event":"JobTakenIn","job":"J-1001","customer":"Harbour office","signs":1,"pieces":3}]','[{"t":"stock","b":null,"a":{"id":1,"code":"blue-6","name":"blue","colour":"#33658a","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"stock","b":null,"a":{"id":2,"code":"cream-6","name":"cream","colour":"#f2e8cf","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"colour","b":null,"a":{"colour":"#33658a","stock":1}},{"t":"colour","b":null,"a":{"colour":"#f2e8cf","stock":2}},{"t":"job","b":null,"a":{"id":1,"number":"J-1001","customer":"Harbour office","title":"Door","due":"2026-12-01","state":"open","drawing":"0000000000000000000000000000000000000000000000000000000000000000","taken_in_at":"2026-11-20T08:12:00.000Z"}},{"t":"code","b":null,"a":{"code":"42856564","kind":"sign","is_retired":0}},{"t":"sign","b":null,"a":{"id":1,"code":"42856564","job":1,"mark":"A","name":"Door","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}},{"t":"outline","b":null,"a":{"id":1,"stock":1,"rings":"[[[0.0,0.0],[400.0,0.0],[400.0,200.0],[0.0,200.0]]]","area_mm2":80000.0,"perimeter_mm":1200.0,"width_mm":400.0,"height_mm":200.0,"family":1}},{"t":"part","b":null,"a":{"id":1,"sign":1,"number":1,"name":"no. 1","level":0,"line":1,"lies_on":null,"colour":"#33658a","stock":1,"outline":1,"x_mm":0.0,"y_mm":0.0,"baseline_mm":0.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":2,"stock":2,"rings":"[[[0.0,0.0],[40.0,0.0],[40.0,80.0],[0.0,80.0]]]","area_mm2":3200.0,"perimeter_mm":240.0,"width_mm":40.0,"height_mm":80.0,"family":2}},{"t":"part","b":null,"a":{"id":2,"sign":1,"number":2,"name":"L","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":2,"x_mm":20.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":3,"stock":2,"rings":"[[[0.0,0.0],[60.0,0.0],[60.0,80.0],[0.0,80.0]]]","area_mm2":4800.0,"perimeter_mm":280.0,"width_mm":60.0,"height_mm":80.0,"family":3}},{"t":"part","b":null,"a":{"id":3,"sign":1,"number":3,"name":"O","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":3,"x_mm":100.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"step","b":null,"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":1,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":1,"part":3,"done_at":null,"done_by":null}},{"t":"step","b":null,"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":2,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":2,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":2,"after":1}},{"t":"step","b":null,"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":3,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":3,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":3,"after":2}},{"t":"step","b":null,"a":{"id":4,"sign":1,"number":4,"kind":"clean","title":"Clean","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":4,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":4,"after":3}},{"t":"step","b":null,"a":{"id":5,"sign":1,"number":5,"kind":"polish","title":"Polish","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":5,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":5,"after":4}},{"t":"step","b":null,"a":{"id":6,"sign":1,"number":6,"kind":"inspect","title":"Inspect","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":6,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":6,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":6,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":6,"after":5}},{"t":"step","b":null,"a":{"id":7,"sign":1,"number":7,"kind":"pack","title":"Pack","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":7,"after":6}},{"t":"step","b":null,"a":{"id":8,"sign":1,"number":8,"kind":"hand over","title":"Hand over","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":8,"after":7}},{"t":"code","b":null,"a":{"code":"60152270","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":1,"code":"60152270","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":1,"piece":1,"part":1,"begun_at":"2026-11-20T08:12:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"88925933","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":2,"code":"88925933","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":2,"piece":2,"part":2,"begun_at":"2026-11-20T08:12:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"04866261","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":3,"code":"04866261","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":3,"piece":3,"part":3,"begun_at":"2026-11-20T08:12:00.000Z","ended_at":null,"why_ended":null}}]','{"sentence":"J-1001 is taken in: 1 sign, 3 pieces. A new stock was made for the colour #33658a: blue, 6 mm, 2440 × 1220 mm. A new stock was made for the colour #f2e8cf: cream, 6 mm, 2440 × 1220 mm.","codes":["42856564"],"data":{"job":"J-1001","signs":["42856564"],"stocks":[1,2],"pieces":{"1":["60152270"],"2":["88925933","04866261"]},"warnings":["A new stock was made for the colour #33658a: blue, 6 mm, 2440 × 1220 mm.","A new stock was made for the colour #f2e8cf: cream, 6 mm, 2440 × 1220 mm."],"relabel":[]},"act":4}',NULL);
INSERT INTO "ledger" VALUES(5,'2026-11-20T08:18:00.000Z',1,'Owner','test tablet','nested pieces','a7dc6e8488acc02f341b88e04098ed56',3,'[{"event":"SheetPlanned","sheet":"S-201","nest":1,"pieces":1,"along":"length","used_mm":220.3}]','[{"t":"code","b":null,"a":{"code":"78118513","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":1,"code":"78118513","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"41784107","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":1,"number":"S-201","code":"41784107","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":1,"sheet":1,"number":1,"along":"length","used_mm":220.35,"yield_share":0.2976,"other_yield_share":0.1488,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-20T08:18:00.000Z"}},{"t":"placement","b":null,"a":{"nest":1,"piece":1,"x_mm":212.0,"y_mm":12.0,"turn":90.0,"walk":1}},{"t":"piece","b":{"id":1,"code":"60152270","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":1,"code":"60152270","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":1,"piece":1,"sheet":1,"way":"full","advised":"full","verdict":"holds","margin":8.1273,"chance":0.00558,"chance_low":0.0,"chance_high":0.05469,"pump":"blower","tabs":"[]","why":"A full pass: 0.56 % of such pieces are lost and a loss costs 7.56; with a skin pass it is 0.3 %, but the extra pass costs 0.37.","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":1,"sheet":1,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":7.2,"path_min":0.401}}]','{"sentence":"1 piece is nested on S-201.","codes":["41784107"],"data":{"sheets":["41784107"],"left_out":[]},"act":5}',NULL);
INSERT INTO "ledger" VALUES(6,'2026-11-20T08:24:00.000Z',1,'Owner','test tablet','nested pieces','efbe2cf6bdcaeed27b9ab5558b3e54d6',3,'[{"event":"SheetPlanned","sheet":"S-202","nest":1,"pieces":2,"along":"length","used_mm":80.3}]','[{"t":"code","b":null,"a":{"code":"08699539","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":2,"code":"08699539","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"26315287","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":2,"number":"S-202","code":"26315287","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":2,"sheet":2,"number":1,"along":"length","used_mm":80.35,"yield_share":0.0816,"other_yield_share":0.0408,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-20T08:24:00.000Z"}},{"t":"placement","b":null,"a":{"nest":2,"piece":3,"x_mm":12.0,"y_mm":12.0,"turn":0.0,"walk":1}},{"t":"piece","b":{"id":3,"code":"04866261","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":3,"code":"04866261","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":2,"x_mm":12.0,"y_mm":100.35,"turn":0.0,"walk":2}},{"t":"piece","b":{"id":2,"code":"88925933","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":2,"code":"88925933","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":2,"piece":3,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":9.7528,"chance":0.00479,"chance_low":0.0,"chance_high":0.04697,"pump":"blower","tabs":"[]","why":"A skin pass: 0.48 % of such pieces are lost, 1.1 % with tabs, and it is no more work.","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":2,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":6.5019,"chance":0.00702,"chance_low":0.0,"chance_high":0.06889,"pump":"blower","tabs":"[]","why":"A skin pass: 0.7 % of such pieces are lost, 1.2 % with tabs, and it is no more work.","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":2,"sheet":2,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":7.2,"path_min":0.476}}]','{"sentence":"2 pieces are nested on S-202.","codes":["26315287"],"data":{"sheets":["26315287"],"left_out":[]},"act":6}',NULL);
INSERT INTO "ledger" VALUES(7,'2026-11-20T08:27:00.000Z',1,'Owner','test tablet','started a sheet','4b0bf4add1c9e7908692611cca16f3c2',3,'[{"event":"SheetStarted","sheet":"S-201"}]','[{"t":"sheet","b":{"id":1,"number":"S-201","code":"41784107","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":1,"number":"S-201","code":"41784107","stock":1,"blank":1,"state":"cutting","nest":1,"started_at":"2026-11-20T08:27:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":1,"code":"78118513","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":1,"code":"78118513","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"sentence":"Sheet S-201 is being cut. Its blank was still to be bought: it counts as bought now.","codes":["41784107"],"data":{},"act":7}',NULL);
INSERT INTO "ledger" VALUES(8,'2026-11-20T08:30:00.000Z',1,'Owner','test tablet','started a sheet','a4e67be26f4474cf9cd0ef1d4b0e7311',3,'[{"event":"SheetStarted","sheet":"S-202"}]','[{"t":"sheet","b":{"id":2,"number":"S-202","code":"26315287","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":2,"number":"S-202","code":"26315287","stock":2,"blank":2,"state":"cutting","nest":2,"started_at":"2026-11-20T08:30:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":2,"code":"08699539","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":2,"code":"08699539","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"sentence":"Sheet S-202 is being cut. Its blank was still to be bought: it counts as bought now.","codes":["26315287"],"data":{},"act":8}',NULL);
INSERT INTO "ledger" VALUES(9,'2026-11-20T08:33:00.000Z',1,'Owner','test tablet','marked pieces','a loss',3,'[{"event":"PieceLost","piece":2,"was":"nested","cause":"went down the hose"},{"event":"AssignmentEnded","piece":2,"why":"lost"},{"event":"RecutQueued","code":"18992805","part":2,"outline":2,"stock":2,"attempt":2,"tabs":2}]','[{"t":"code","b":null,"a":{"code":"18992805","kind":"piece","is_retired":0}},{"t":"piece","b":{"id":2,"code":"88925933","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":2,"code":"88925933","outline":2,"stock":2,"state":"lost","attempt":1,"tabs":0,"sheet":2,"was":"nested","cause":"went down the hose"}},{"t":"assignment","b":{"id":2,"piece":2,"part":2,"begun_at":"2026-11-20T08:12:00.000Z","ended_at":null,"why_ended":null},"a":{"id":2,"piece":2,"part":2,"begun_at":"2026-11-20T08:12:00.000Z","ended_at":"2026-11-20T08:33:00.000Z","why_ended":"lost"}},{"t":"piece","b":null,"a":{"id":4,"code":"18992805","outline":2,"stock":2,"state":"waiting","attempt":2,"tabs":2,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":4,"piece":4,"part":2,"begun_at":"2026-11-20T08:33:00.000Z","ended_at":null,"why_ended":null}},{"t":"holding","b":{"nest":2,"piece":2,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":6.5019,"chance":0.00702,"chance_low":0.0,"chance_high":0.06889,"pump":"blower","tabs":"[]","why":"A skin pass: 0.7 % of such pieces are lost, 1.2 % with tabs, and it is no more work.","came_free":0},"a":{"nest":2,"piece":2,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":6.5019,"chance":0.00702,"chance_low":0.0,"chance_high":0.06889,"pump":"blower","tabs":"[]","why":"A skin pass: 0.7 % of such pieces are lost, 1.2 % with tabs, and it is no more work.","came_free":1}}]','{"sentence":"''L'' of J-1001 A is lost. Its recut 1899 2805 is queued, with tabs.","codes":["88925933"],"data":{"recuts":["18992805"],"changed":true,"pieces":[{"code":"88925933","state":"lost","was":"nested"}]},"act":9}',NULL);
INSERT INTO "ledger" VALUES(10,'2026-11-20T08:36:00.000Z',1,'Owner','test tablet','marked pieces','17736847cd476ecef3b570a9c29196c4',3,'[{"event":"PieceCut","piece":3,"state":"ready"}]','[{"t":"piece","b":{"id":3,"code":"04866261","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"04866261","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}}]','{"sentence":"''O'' of J-1001 A is ready.","codes":["04866261"],"data":{"recuts":[],"changed":true,"pieces":[{"code":"04866261","state":"ready","was":"nested"}]},"act":10}',NULL);
INSERT INTO "ledger" VALUES(11,'2026-11-20T08:39:00.000Z',1,'Owner','test tablet','changed the settings','122a3186e1c0fef70f100092b0505d50',3,'[{"event":"SettingsChanged","values":{"friction":0.4}}]','[{"t":"setting","b":null,"a":{"name":"friction","value":"0.4"}}]','{"sentence":"The settings are changed from now on: the friction of masked acrylic on the spoil board.","codes":[],"data":{"changed":["friction"]},"act":11}',NULL);
CREATE TABLE lying (                            -- where a loose piece is; gone when it is fixed, lost, damaged or withdrawn
  piece INTEGER PRIMARY KEY REFERENCES piece,
  tray INTEGER REFERENCES tray,                 -- null: on the bench itself
  picked_for INTEGER REFERENCES sign,           -- it lies ready for this sign's assembly
  at TEXT NOT NULL
);
CREATE TABLE machine_file (                     -- which file went to the machine
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  nest INTEGER NOT NULL REFERENCES nest, sheet INTEGER NOT NULL REFERENCES sheet,
  name TEXT NOT NULL, sha256 TEXT NOT NULL,
  layout TEXT NOT NULL,                         -- a mark of all that the file depends on: another one, another file
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE measured_place (                   -- a distance that the assembler measured, against the drawing
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part, piece INTEGER REFERENCES piece,
  across_mm REAL,                               -- error along the line: positive is too far to the right; null: not measured
  up_mm REAL,                                   -- error across it: positive is too high; null: not measured
  allowed_mm REAL NOT NULL,
  at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE nest (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sheet INTEGER NOT NULL REFERENCES sheet, number INTEGER NOT NULL,
  along TEXT NOT NULL CHECK (along IN ('length', 'width')),
  used_mm REAL NOT NULL, yield_share REAL NOT NULL, other_yield_share REAL,
  gap_mm REAL NOT NULL, margin_mm REAL NOT NULL, made_at TEXT NOT NULL,
  UNIQUE (sheet, number)
);
INSERT INTO "nest" VALUES(1,1,1,'length',220.35,0.2976,0.1488,8.35,12.0,'2026-11-20T08:18:00.000Z');
INSERT INTO "nest" VALUES(2,2,1,'length',80.35,0.0816,0.0408,8.35,12.0,'2026-11-20T08:24:00.000Z');
CREATE TABLE nest_run (                         -- what a layout was worked out for
  nest INTEGER PRIMARY KEY REFERENCES nest,
  sheet INTEGER NOT NULL REFERENCES sheet,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one, by the settings of that time
  cutter_mm REAL NOT NULL,
  pump TEXT NOT NULL, vacuum_inhg REAL NOT NULL,
  path_min REAL NOT NULL                        -- minutes on the router by path, feed and acceleration, not corrected
);
INSERT INTO "nest_run" VALUES(1,1,NULL,6.35,'blower',7.2,0.401);
INSERT INTO "nest_run" VALUES(2,2,NULL,6.35,'blower',7.2,0.476);
CREATE TABLE outline (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  stock INTEGER NOT NULL REFERENCES stock,
  rings TEXT NOT NULL,                          -- JSON, lower left corner of the box at 0, 0
  area_mm2 REAL NOT NULL, perimeter_mm REAL NOT NULL, width_mm REAL NOT NULL, height_mm REAL NOT NULL,
  family INTEGER NOT NULL REFERENCES outline    -- the reference outline of its family; its own id if it is that
);
INSERT INTO "outline" VALUES(1,1,'[[[0.0,0.0],[400.0,0.0],[400.0,200.0],[0.0,200.0]]]',80000.0,1200.0,400.0,200.0,1);
INSERT INTO "outline" VALUES(2,2,'[[[0.0,0.0],[40.0,0.0],[40.0,80.0],[0.0,80.0]]]',3200.0,240.0,40.0,80.0,2);
INSERT INTO "outline" VALUES(3,2,'[[[0.0,0.0],[60.0,0.0],[60.0,80.0],[0.0,80.0]]]',4800.0,280.0,60.0,80.0,3);
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
INSERT INTO "part" VALUES(1,1,1,'no. 1',0,1,NULL,'#33658a',1,1,0.0,0.0,0.0,NULL);
INSERT INTO "part" VALUES(2,1,2,'L',1,1,1,'#f2e8cf',2,2,20.0,50.0,50.0,NULL);
INSERT INTO "part" VALUES(3,1,3,'O',1,1,1,'#f2e8cf',2,3,100.0,50.0,50.0,NULL);
CREATE TABLE part_also_on (                     -- what a part needs under or round it besides `lies_on`: it bridges, or is let in
  part INTEGER NOT NULL REFERENCES part, under INTEGER NOT NULL REFERENCES part,
  PRIMARY KEY (part, under)
) WITHOUT ROWID;
CREATE TABLE person (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  roles TEXT NOT NULL,                          -- 'operator assembler owner', a blank between
  is_active INTEGER NOT NULL DEFAULT 1
);
INSERT INTO "person" VALUES(1,'Owner','operator assembler owner',1);
CREATE TABLE photo (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  sign INTEGER NOT NULL REFERENCES sign, sha256 TEXT NOT NULL,
  note TEXT NOT NULL, at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE TABLE photo_file (                       -- kept outside the ledger, like drawing files
  sha256 TEXT PRIMARY KEY, file BLOB NOT NULL, wide_px INTEGER NOT NULL, high_px INTEGER NOT NULL, kept_at TEXT NOT NULL
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
INSERT INTO "piece" VALUES(1,'60152270',1,1,'nested',1,0,1,NULL,NULL);
INSERT INTO "piece" VALUES(2,'88925933',2,2,'lost',1,0,2,'nested','went down the hose');
INSERT INTO "piece" VALUES(3,'04866261',3,2,'ready',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(4,'18992805',2,2,'waiting',2,2,NULL,NULL,NULL);
CREATE TABLE pin (person INTEGER PRIMARY KEY REFERENCES person ON DELETE CASCADE, hash TEXT NOT NULL);
CREATE TABLE pin_try (person INTEGER PRIMARY KEY REFERENCES person ON DELETE CASCADE,
  failures INTEGER NOT NULL, last_at TEXT NOT NULL);
CREATE TABLE placement (
  nest INTEGER NOT NULL REFERENCES nest, piece INTEGER NOT NULL REFERENCES piece,
  x_mm REAL NOT NULL, y_mm REAL NOT NULL, turn REAL NOT NULL,
  walk INTEGER NOT NULL,                        -- its turn on the walk along the table with the labels
  PRIMARY KEY (nest, piece)
);
INSERT INTO "placement" VALUES(1,1,212.0,12.0,90.0,1);
INSERT INTO "placement" VALUES(2,3,12.0,12.0,0.0,1);
INSERT INTO "placement" VALUES(2,2,12.0,100.35,0.0,2);
CREATE TABLE session (token TEXT PRIMARY KEY,   -- SHA-256 of the cookie, never the cookie itself
  person INTEGER NOT NULL REFERENCES person ON DELETE CASCADE, tablet TEXT NOT NULL, seen_at TEXT NOT NULL);
CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL);
INSERT INTO "setting" VALUES('gauge','/var/other.json');
INSERT INTO "setting" VALUES('gauge_every_min','15.0');
INSERT INTO "setting" VALUES('leakage_share','0.1');
INSERT INTO "setting" VALUES('skin_share','0.6');
INSERT INTO "setting" VALUES('skin_mm','0.5');
INSERT INTO "setting" VALUES('friction','0.4');
CREATE TABLE sheet (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'S-207'
  code TEXT NOT NULL UNIQUE REFERENCES code,
  stock INTEGER NOT NULL REFERENCES stock, blank INTEGER NOT NULL REFERENCES blank,
  state TEXT NOT NULL CHECK (state IN ('planned', 'cutting', 'off the table', 'closed', 'abandoned')),
  nest INTEGER REFERENCES nest,                 -- the layout in force
  started_at TEXT, started_by INTEGER REFERENCES person, finished_at TEXT, closed_at TEXT
);
INSERT INTO "sheet" VALUES(1,'S-201','41784107',1,1,'cutting',1,'2026-11-20T08:27:00.000Z',1,NULL,NULL);
INSERT INTO "sheet" VALUES(2,'S-202','26315287',2,2,'cutting',2,'2026-11-20T08:30:00.000Z',1,NULL,NULL);
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
INSERT INTO "sign" VALUES(1,'42856564',1,'A','Door',400.0,200.0,2,'open');
CREATE TABLE site (                             -- how cold and warm it gets where a sign hangs
  sign INTEGER PRIMARY KEY REFERENCES sign, coldest_c REAL NOT NULL, warmest_c REAL NOT NULL
);
CREATE TABLE "step" (
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
INSERT INTO "step" VALUES(1,1,1,'lay out','Lay out level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(2,1,2,'glue','Glue level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(3,1,3,'cure','Cure level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(4,1,4,'clean','Clean',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(5,1,5,'polish','Polish',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(6,1,6,'inspect','Inspect',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(7,1,7,'pack','Pack',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(8,1,8,'hand over','Hand over',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE step_after (step INTEGER NOT NULL REFERENCES step, after INTEGER NOT NULL REFERENCES step,
  PRIMARY KEY (step, after));
INSERT INTO "step_after" VALUES(2,1);
INSERT INTO "step_after" VALUES(3,2);
INSERT INTO "step_after" VALUES(4,3);
INSERT INTO "step_after" VALUES(5,4);
INSERT INTO "step_after" VALUES(6,5);
INSERT INTO "step_after" VALUES(7,6);
INSERT INTO "step_after" VALUES(8,7);
CREATE TABLE step_part (step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part,
  done_at TEXT, done_by INTEGER REFERENCES person, PRIMARY KEY (step, part));
INSERT INTO "step_part" VALUES(1,2,NULL,NULL);
INSERT INTO "step_part" VALUES(1,3,NULL,NULL);
INSERT INTO "step_part" VALUES(2,2,NULL,NULL);
INSERT INTO "step_part" VALUES(2,3,NULL,NULL);
INSERT INTO "step_part" VALUES(3,2,NULL,NULL);
INSERT INTO "step_part" VALUES(3,3,NULL,NULL);
INSERT INTO "step_part" VALUES(4,1,NULL,NULL);
INSERT INTO "step_part" VALUES(4,2,NULL,NULL);
INSERT INTO "step_part" VALUES(4,3,NULL,NULL);
INSERT INTO "step_part" VALUES(5,1,NULL,NULL);
INSERT INTO "step_part" VALUES(5,2,NULL,NULL);
INSERT INTO "step_part" VALUES(5,3,NULL,NULL);
INSERT INTO "step_part" VALUES(6,1,NULL,NULL);
INSERT INTO "step_part" VALUES(6,2,NULL,NULL);
INSERT INTO "step_part" VALUES(6,3,NULL,NULL);
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
INSERT INTO "stock" VALUES(1,'blue-6','blue','#33658a','gloss','cast',6.0,2440.0,1220.0,'any',0.0);
INSERT INTO "stock" VALUES(2,'cream-6','cream','#f2e8cf','gloss','cast',6.0,2440.0,1220.0,'any',0.0);
CREATE TABLE stock_cutting (                    -- how a stock is cut, where it differs from the shop's usual way
  stock INTEGER PRIMARY KEY REFERENCES stock,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one
  rev_per_min REAL NOT NULL,
  chip_mm REAL NOT NULL,                        -- a tooth
  cutting_energy REAL NOT NULL,                 -- J/mm3
  source TEXT NOT NULL                          -- where these figures come from, in the shop's words
);
CREATE TABLE stock_expansion (                  -- where it is not acrylic's usual figure
  stock INTEGER PRIMARY KEY REFERENCES stock, per_k REAL NOT NULL, source TEXT NOT NULL   -- per_k in millionths a kelvin
);
CREATE TABLE touched (                          -- a cache of ledger.changes: which act wrote which record, or leaned on it
  tbl TEXT NOT NULL, record TEXT NOT NULL, act INTEGER NOT NULL REFERENCES ledger,
  is_written INTEGER NOT NULL,
  PRIMARY KEY (tbl, record, act)
) WITHOUT ROWID;
INSERT INTO "touched" VALUES('assignment','1',4,1);
INSERT INTO "touched" VALUES('assignment','2',4,1);
INSERT INTO "touched" VALUES('assignment','2',9,1);
INSERT INTO "touched" VALUES('assignment','3',4,1);
INSERT INTO "touched" VALUES('assignment','4',9,1);
INSERT INTO "touched" VALUES('blank','1',5,1);
INSERT INTO "touched" VALUES('blank','1',7,1);
INSERT INTO "touched" VALUES('blank','2',6,1);
INSERT INTO "touched" VALUES('blank','2',8,1);
INSERT INTO "touched" VALUES('cement','1',1,1);
INSERT INTO "touched" VALUES('code','04866261',4,1);
INSERT INTO "touched" VALUES('code','08699539',6,1);
INSERT INTO "touched" VALUES('code','18992805',9,1);
INSERT INTO "touched" VALUES('code','26315287',6,1);
INSERT INTO "touched" VALUES('code','41784107',5,1);
INSERT INTO "touched" VALUES('code','42856564',4,1);
INSERT INTO "touched" VALUES('code','60152270',4,1);
INSERT INTO "touched" VALUES('code','78118513',5,1);
INSERT INTO "touched" VALUES('code','88925933',4,1);
INSERT INTO "touched" VALUES('colour','#33658a',4,1);
INSERT INTO "touched" VALUES('colour','#f2e8cf',4,1);
INSERT INTO "touched" VALUES('holding','1,1',5,1);
INSERT INTO "touched" VALUES('holding','2,2',6,1);
INSERT INTO "touched" VALUES('holding','2,2',9,1);
INSERT INTO "touched" VALUES('holding','2,3',6,1);
INSERT INTO "touched" VALUES('job','1',4,1);
INSERT INTO "touched" VALUES('nest','1',5,1);
INSERT INTO "touched" VALUES('nest','2',6,1);
INSERT INTO "touched" VALUES('nest_run','1',5,1);
INSERT INTO "touched" VALUES('nest_run','2',6,1);
INSERT INTO "touched" VALUES('outline','1',4,1);
INSERT INTO "touched" VALUES('outline','2',4,1);
INSERT INTO "touched" VALUES('outline','3',4,1);
INSERT INTO "touched" VALUES('part','1',4,1);
INSERT INTO "touched" VALUES('part','2',4,1);
INSERT INTO "touched" VALUES('part','2',9,0);
INSERT INTO "touched" VALUES('part','3',4,1);
INSERT INTO "touched" VALUES('person','1',1,1);
INSERT INTO "touched" VALUES('piece','1',4,1);
INSERT INTO "touched" VALUES('piece','1',5,1);
INSERT INTO "touched" VALUES('piece','2',4,1);
INSERT INTO "touched" VALUES('piece','2',6,1);
INSERT INTO "touched" VALUES('piece','2',9,1);
INSERT INTO "touched" VALUES('piece','3',4,1);
INSERT INTO "touched" VALUES('piece','3',6,1);
INSERT INTO "touched" VALUES('piece','3',10,1);
INSERT INTO "touched" VALUES('piece','4',9,1);
INSERT INTO "touched" VALUES('placement','1,1',5,1);
INSERT INTO "touched" VALUES('placement','2,2',6,1);
INSERT INTO "touched" VALUES('placement','2,3',6,1);
INSERT INTO "touched" VALUES('setting','friction',11,1);
INSERT INTO "touched" VALUES('setting','gauge',2,1);
INSERT INTO "touched" VALUES('setting','gauge',3,1);
INSERT INTO "touched" VALUES('setting','gauge_every_min',2,1);
INSERT INTO "touched" VALUES('setting','leakage_share',2,1);
INSERT INTO "touched" VALUES('setting','skin_mm',2,1);
INSERT INTO "touched" VALUES('setting','skin_share',2,1);
INSERT INTO "touched" VALUES('sheet','1',5,1);
INSERT INTO "touched" VALUES('sheet','1',7,1);
INSERT INTO "touched" VALUES('sheet','2',6,1);
INSERT INTO "touched" VALUES('sheet','2',8,1);
INSERT INTO "touched" VALUES('sheet','2',9,0);
INSERT INTO "touched" VALUES('sheet','2',10,0);
INSERT INTO "touched" VALUES('sheet','None',4,0);
INSERT INTO "touched" VALUES('sheet','None',5,0);
INSERT INTO "touched" VALUES('sheet','None',6,0);
INSERT INTO "touched" VALUES('sheet','None',9,0);
INSERT INTO "touched" VALUES('sign','1',4,1);
INSERT INTO "touched" VALUES('step','1',4,1);
INSERT INTO "touched" VALUES('step','2',4,1);
INSERT INTO "touched" VALUES('step','3',4,1);
INSERT INTO "touched" VALUES('step','4',4,1);
INSERT INTO "touched" VALUES('step','5',4,1);
INSERT INTO "touched" VALUES('step','6',4,1);
INSERT INTO "touched" VALUES('step','7',4,1);
INSERT INTO "touched" VALUES('step','8',4,1);
INSERT INTO "touched" VALUES('step_after','2,1',4,1);
INSERT INTO "touched" VALUES('step_after','3,2',4,1);
INSERT INTO "touched" VALUES('step_after','4,3',4,1);
INSERT INTO "touched" VALUES('step_after','5,4',4,1);
INSERT INTO "touched" VALUES('step_after','6,5',4,1);
INSERT INTO "touched" VALUES('step_after','7,6',4,1);
INSERT INTO "touched" VALUES('step_after','8,7',4,1);
INSERT INTO "touched" VALUES('step_part','1,2',4,1);
INSERT INTO "touched" VALUES('step_part','1,3',4,1);
INSERT INTO "touched" VALUES('step_part','2,2',4,1);
INSERT INTO "touched" VALUES('step_part','2,3',4,1);
INSERT INTO "touched" VALUES('step_part','3,2',4,1);
INSERT INTO "touched" VALUES('step_part','3,3',4,1);
INSERT INTO "touched" VALUES('step_part','4,1',4,1);
INSERT INTO "touched" VALUES('step_part','4,2',4,1);
INSERT INTO "touched" VALUES('step_part','4,3',4,1);
INSERT INTO "touched" VALUES('step_part','5,1',4,1);
INSERT INTO "touched" VALUES('step_part','5,2',4,1);
INSERT INTO "touched" VALUES('step_part','5,3',4,1);
INSERT INTO "touched" VALUES('step_part','6,1',4,1);
INSERT INTO "touched" VALUES('step_part','6,2',4,1);
INSERT INTO "touched" VALUES('step_part','6,3',4,1);
INSERT INTO "touched" VALUES('stock','1',4,1);
INSERT INTO "touched" VALUES('stock','2',4,1);
CREATE TABLE tray (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  code TEXT NOT NULL UNIQUE REFERENCES code,
  kind TEXT NOT NULL CHECK (kind IN ('tray', 'bag', 'shelf', 'rack')),
  name TEXT NOT NULL,                           -- 'bench tray 2'
  stands_in INTEGER REFERENCES tray,            -- a bag in a tray on a shelf
  is_retired INTEGER NOT NULL DEFAULT 0
);
CREATE TRIGGER ledger_is_not_changed BEFORE UPDATE ON ledger
  BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER ledger_is_not_cut BEFORE DELETE ON ledger
  BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE INDEX blank_free ON blank (stock, state);
CREATE INDEX blank_left_of ON blank (cut_from) WHERE cut_from IS NOT NULL;
CREATE INDEX job_open ON job (due) WHERE state = 'open';
CREATE INDEX sign_live ON sign (state) WHERE state IN ('open', 'on hold', 'packed');
CREATE INDEX outline_alike ON outline (stock, area_mm2);
CREATE INDEX part_also_under ON part_also_on (under);
CREATE INDEX sheet_live ON sheet (state) WHERE state IN ('planned', 'cutting', 'off the table');
CREATE INDEX piece_of_sheet ON piece (sheet);
CREATE INDEX piece_waiting ON piece (stock) WHERE state = 'waiting';
CREATE UNIQUE INDEX one_live_piece ON assignment (part) WHERE ended_at IS NULL;
CREATE UNIQUE INDEX one_live_part ON assignment (piece) WHERE ended_at IS NULL;
CREATE INDEX assignment_of_piece ON assignment (piece);
CREATE INDEX assignment_of_part ON assignment (part);
CREATE INDEX step_part_of_part ON step_part (part);
CREATE INDEX glue_up_of_piece ON glue_up_piece (piece);
CREATE INDEX holding_of_piece ON holding (piece);
CREATE INDEX machine_file_of_sheet ON machine_file (sheet);
CREATE INDEX step_of_sign ON step (sign);
CREATE INDEX lying_in ON lying (tray) WHERE tray IS NOT NULL;
CREATE INDEX lying_for ON lying (picked_for) WHERE picked_for IS NOT NULL;
CREATE INDEX measured_place_of ON measured_place (step, part);
CREATE INDEX climate_at ON climate (at);
CREATE INDEX photo_of_sign ON photo (sign);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('person',1);
INSERT INTO "sqlite_sequence" VALUES('cement',1);
INSERT INTO "sqlite_sequence" VALUES('stock',2);
INSERT INTO "sqlite_sequence" VALUES('job',1);
INSERT INTO "sqlite_sequence" VALUES('sign',1);
INSERT INTO "sqlite_sequence" VALUES('outline',3);
INSERT INTO "sqlite_sequence" VALUES('part',3);
INSERT INTO "sqlite_sequence" VALUES('step',8);
INSERT INTO "sqlite_sequence" VALUES('piece',4);
INSERT INTO "sqlite_sequence" VALUES('assignment',4);
INSERT INTO "sqlite_sequence" VALUES('blank',2);
INSERT INTO "sqlite_sequence" VALUES('sheet',2);
INSERT INTO "sqlite_sequence" VALUES('nest',2);
COMMIT;
