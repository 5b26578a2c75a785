BEGIN TRANSACTION;
CREATE TABLE assignment (                       -- which piece is for which part, with its history
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES piece, part INTEGER NOT NULL REFERENCES part,
  begun_at TEXT NOT NULL, ended_at TEXT, why_ended TEXT
);
INSERT INTO "assignment" VALUES(1,1,1,'2026-11-02T08:03:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(2,2,2,'2026-11-02T08:03:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(3,3,3,'2026-11-02T08:03:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(4,4,4,'2026-11-02T08:03:00.000Z','2026-11-02T08:16:00.000Z','damaged');
INSERT INTO "assignment" VALUES(5,5,4,'2026-11-02T08:16:00.000Z',NULL,NULL);
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
INSERT INTO "blank" VALUES(1,'26000033',1,2440.0,1220.0,0,1,'used',NULL);
INSERT INTO "blank" VALUES(2,'11159382',2,2440.0,1220.0,0,1,'used',NULL);
INSERT INTO "blank" VALUES(3,'67375798',1,2219.65,1220.0,1,1,'free',1);
INSERT INTO "blank" VALUES(4,'92174336',2,2359.65,1220.0,1,1,'free',2);
CREATE TABLE blank_thickness (                  -- as the caliper read it
  blank INTEGER PRIMARY KEY REFERENCES blank, measured_mm REAL NOT NULL
);
CREATE TABLE cement (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  cure_hours REAL NOT NULL, reference_c REAL NOT NULL, coldest_c REAL NOT NULL, warmest_c REAL NOT NULL
);
INSERT INTO "cement" VALUES(1,'Solvent cement',24.0,23.0,16.0,38.0);
CREATE TABLE code (                             -- one namespace over everything that bears a label
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('piece', 'sheet', 'sign', 'blank')),
  is_retired INTEGER NOT NULL DEFAULT 0
);
INSERT INTO "code" VALUES('39602296','sign',0);
INSERT INTO "code" VALUES('50885059','piece',0);
INSERT INTO "code" VALUES('17308383','piece',0);
INSERT INTO "code" VALUES('66447547','piece',0);
INSERT INTO "code" VALUES('80342468','piece',0);
INSERT INTO "code" VALUES('26000033','blank',0);
INSERT INTO "code" VALUES('15116316','sheet',0);
INSERT INTO "code" VALUES('11159382','blank',0);
INSERT INTO "code" VALUES('03324778','sheet',0);
INSERT INTO "code" VALUES('67375798','blank',0);
INSERT INTO "code" VALUES('92174336','blank',0);
INSERT INTO "code" VALUES('48549193','piece',0);
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
INSERT INTO "drawing" VALUES('0000000000000000000000000000000000000000000000000000000000000000','old.svg',X'3C7376672F3E','{"outlines":[{"rings":[[[0,0],[400,0],[400,200],[0,200]]],"colour":"#33658a","name":"board","group":null,"order":0,"layer":null},{"rings":[[[20,50],[60,50],[60,130],[20,130]]],"colour":"#f2e8cf","name":"L","group":null,"order":1,"layer":null},{"rings":[[[100,50],[160,50],[160,130],[100,130]]],"colour":"#f2e8cf","name":"O","group":null,"order":2,"layer":null},{"rings":[[[200,50],[250,50],[250,130],[200,130]]],"colour":"#f2e8cf","name":"T","group":null,"order":3,"layer":null}],"width_mm":400,"height_mm":200,"warnings":[],"guessed_unit":null}','2026-11-02T08:02:00.000Z');
CREATE TABLE glue_up (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  cement INTEGER NOT NULL REFERENCES cement, batch TEXT NOT NULL,
  temperature_c REAL NOT NULL, humidity_percent REAL NOT NULL,
  at TEXT NOT NULL, cured_at TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
INSERT INTO "glue_up" VALUES(1,1,'A-1',20.0,45.0,'2026-11-02T08:15:00.000Z','2026-11-03T13:48:00.000Z',1);
CREATE TABLE glue_up_piece (glue_up INTEGER NOT NULL REFERENCES glue_up, piece INTEGER NOT NULL REFERENCES piece,
  PRIMARY KEY (glue_up, piece));
INSERT INTO "glue_up_piece" VALUES(1,2);
INSERT INTO "glue_up_piece" VALUES(1,3);
INSERT INTO "glue_up_piece" VALUES(1,4);
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
INSERT INTO "holding" VALUES(1,1,1,'full','full','holds',9.0304,0.00509,0.0,0.04989,'blower','[]','A full pass: 0.51 % of such pieces are lost and a loss costs 7.56; with a skin pass it is 0.3 %, but the extra pass costs 0.32.',0);
INSERT INTO "holding" VALUES(2,2,2,'skin','skin','with a skin',7.7403,0.00584,0.0,0.05728,'blower','[]','A skin pass: 0.58 % of such pieces are lost, 1.2 % with tabs, and it is no more work.',0);
INSERT INTO "holding" VALUES(2,3,2,'skin','skin','with a skin',11.6105,0.00426,0.0,0.0418,'blower','[]','A skin pass: 0.43 % of such pieces are lost, 1.1 % with tabs, and it is no more work.',0);
INSERT INTO "holding" VALUES(2,4,2,'skin','skin','with a skin',9.6754,0.00482,0.0,0.04725,'blower','[]','A skin pass: 0.48 % of such pieces are lost, 1.2 % with tabs, and it is no more work.',0);
CREATE TABLE job (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'J-1042'
  customer TEXT NOT NULL, title TEXT NOT NULL, due TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
  drawing TEXT NOT NULL,                        -- SHA-256 of the drawing's file
  taken_in_at TEXT NOT NULL
);
INSERT INTO "job" VALUES(1,'J-1001','Harbour office','An old sign','2026-12-01','open','0000000000000000000000000000000000000000000000000000000000000000','2026-11-02T08:03:00.000Z');
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
INSERT INTO "ledger" VALUES(1,'2026-11-02T08:01:00.000Z',1,'Owner','the program','opened the shop','the shop is opened',2,'[{"event":"ShopOpened","owner":"Owner","cement":"Solvent cement"}]','[{"t":"person","b":null,"a":{"id":1,"name":"Owner","roles":"operator assembler owner","is_active":1}},{"t":"cement","b":null,"a":{"id":1,"name":"Solvent cement","cure_hours":24.0,"reference_c":23.0,"coldest_c":16.0,"warmest_c":38.0}}]','{"sentence":"The shop is open.","codes":[],"data":{},"act":1}',NULL);
INSERT INTO "ledger" VALUES(2,'2026-11-02T08:03:00.000Z',1,'Owner','old shop','took a job in','0c76c5324efb594fa916c3b810f6a823',2,'[{"event":"JobTakenIn","job":"J-1001","customer":"Harbour office","signs":1,"pieces":4}]','[{"t":"stock","b":null,"a":{"id":1,"code":"blue-6","name":"blue","colour":"#33658a","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"stock","b":null,"a":{"id":2,"code":"cream-6","name":"cream","colour":"#f2e8cf","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"colour","b":null,"a":{"colour":"#33658a","stock":1}},{"t":"colour","b":null,"a":{"colour":"#f2e8cf","stock":2}},{"t":"job","b":null,"a":{"id":1,"number":"J-1001","customer":"Harbour office","title":"An old sign","due":"2026-12-01","state":"open","drawing":"0000000000000000000000000000000000000000000000000000000000000000","taken_in_at":"2026-11-02T08:03:00.000Z"}},{"t":"code","b":null,"a":{"code":"39602296","kind":"sign","is_retired":0}},{"t":"sign","b":null,"a":{"id":1,"code":"39602296","job":1,"mark":"A","name":"An old sign","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}},{"t":"outline","b":null,"a":{"id":1,"stock":1,"rings":"[[[0.0,0.0],[400.0,0.0],[400.0,200.0],[0.0,200.0]]]","area_mm2":80000.0,"perimeter_mm":1200.0,"width_mm":400.0,"height_mm":200.0,"family":1}},{"t":"part","b":null,"a":{"id":1,"sign":1,"number":1,"name":"board","level":0,"line":1,"lies_on":null,"colour":"#33658a","stock":1,"outline":1,"x_mm":0.0,"y_mm":0.0,"baseline_mm":0.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":2,"stock":2,"rings":"[[[0.0,0.0],[40.0,0.0],[40.0,80.0],[0.0,80.0]]]","area_mm2":3200.0,"perimeter_mm":240.0,"width_mm":40.0,"height_mm":80.0,"family":2}},{"t":"part","b":null,"a":{"id":2,"sign":1,"number":2,"name":"L","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":2,"x_mm":20.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":3,"stock":2,"rings":"[[[0.0,0.0],[60.0,0.0],[60.0,80.0],[0.0,80.0]]]","area_mm2":4800.0,"perimeter_mm":280.0,"width_mm":60.0,"height_mm":80.0,"family":3}},{"t":"part","b":null,"a":{"id":3,"sign":1,"number":3,"name":"O","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":3,"x_mm":100.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":4,"stock":2,"rings":"[[[0.0,0.0],[50.0,0.0],[50.0,80.0],[0.0,80.0]]]","area_mm2":4000.0,"perimeter_mm":260.0,"width_mm":50.0,"height_mm":80.0,"family":4}},{"t":"part","b":null,"a":{"id":4,"sign":1,"number":4,"name":"T","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":4,"x_mm":200.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"step","b":null,"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":1,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":1,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":1,"part":4,"done_at":null,"done_by":null}},{"t":"step","b":null,"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":2,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":2,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":2,"part":4,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":2,"after":1}},{"t":"step","b":null,"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":3,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":3,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":3,"part":4,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":3,"after":2}},{"t":"step","b":null,"a":{"id":4,"sign":1,"number":4,"kind":"clean","title":"Clean","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":4,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":4,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":4,"after":3}},{"t":"step","b":null,"a":{"id":5,"sign":1,"number":5,"kind":"inspect","title":"Inspect","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":5,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":4,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":5,"after":4}},{"t":"step","b":null,"a":{"id":6,"sign":1,"number":6,"kind":"pack","title":"Pack","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":6,"after":5}},{"t":"step","b":null,"a":{"id":7,"sign":1,"number":7,"kind":"hand over","title":"Hand over","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":7,"after":6}},{"t":"code","b":null,"a":{"code":"50885059","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":1,"piece":1,"part":1,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"17308383","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":2,"piece":2,"part":2,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"66447547","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":3,"piece":3,"part":3,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"80342468","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":4,"piece":4,"part":4,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":null,"why_ended":null}}]','{"sentence":"J-1001 is taken in: 1 sign, 4 pieces. A new stock was made for the colour #33658a: blue, 6 mm, 2440 × 1220 mm. A new stock was made for the colour #f2e8cf: cream, 6 mm, 2440 × 1220 mm.","codes":["39602296"],"data":{"job":"J-1001","signs":["39602296"],"stocks":[1,2],"pieces":{"1":["50885059"],"2":["17308383","66447547","80342468"]},"warnings":["A new stock was made for the colour #33658a: blue, 6 mm, 2440 × 1220 mm.","A new stock was made for the colour #f2e8cf: cream, 6 mm, 2440 × 1220 mm."],"relabel":[]},"act":2}',NULL);
INSERT INTO "ledger" VALUES(3,'2026-11-02T08:05:00.000Z',1,'Owner','old shop','nested pieces','5e7039d0c11ca1bb74adb9bf5a4ffefd',2,'[{"event":"SheetPlanned","sheet":"S-201","nest":1,"pieces":1,"along":"length","used_mm":220.3}]','[{"t":"code","b":null,"a":{"code":"26000033","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":1,"code":"26000033","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"15116316","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":1,"sheet":1,"number":1,"along":"length","used_mm":220.35,"yield_share":0.2976,"other_yield_share":0.1488,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-02T08:05:00.000Z"}},{"t":"placement","b":null,"a":{"nest":1,"piece":1,"x_mm":212.0,"y_mm":12.0,"turn":90.0,"walk":1}},{"t":"piece","b":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":1,"piece":1,"sheet":1,"way":"full","advised":"full","verdict":"holds","margin":9.0304,"chance":0.00509,"chance_low":0.0,"chance_high":0.04989,"pump":"blower","tabs":"[]","why":"A full pass: 0.51 % of such pieces are lost and a loss costs 7.56; with a skin pass it is 0.3 %, but the extra pass costs 0.32.","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":1,"sheet":1,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.401}}]','{"sentence":"1 piece is nested on S-201.","codes":["15116316"],"data":{"sheets":["15116316"],"left_out":[]},"act":3}',NULL);
INSERT INTO "ledger" VALUES(4,'2026-11-02T08:07:00.000Z',1,'Owner','old shop','nested pieces','8fdc0fbdb821ff15fc8b0213b56b87a3',2,'[{"event":"SheetPlanned","sheet":"S-202","nest":1,"pieces":3,"along":"length","used_mm":80.3}]','[{"t":"code","b":null,"a":{"code":"11159382","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":2,"code":"11159382","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"03324778","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":2,"sheet":2,"number":1,"along":"length","used_mm":80.35,"yield_share":0.1224,"other_yield_share":0.0612,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-02T08:07:00.000Z"}},{"t":"placement","b":null,"a":{"nest":2,"piece":3,"x_mm":12.0,"y_mm":12.0,"turn":0.0,"walk":1}},{"t":"piece","b":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":4,"x_mm":12.0,"y_mm":100.35,"turn":0.0,"walk":2}},{"t":"piece","b":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":2,"x_mm":12.0,"y_mm":188.7,"turn":0.0,"walk":3}},{"t":"piece","b":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":2,"piece":3,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":11.6105,"chance":0.00426,"chance_low":0.0,"chance_high":0.0418,"pump":"blower","tabs":"[]","why":"A skin pass: 0.43 % of such pieces are lost, 1.1 % with tabs, and it is no more work.","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":4,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":9.6754,"chance":0.00482,"chance_low":0.0,"chance_high":0.04725,"pump":"blower","tabs":"[]","why":"A skin pass: 0.48 % of such pieces are lost, 1.2 % with tabs, and it is no more work.","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":2,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":7.7403,"chance":0.00584,"chance_low":0.0,"chance_high":0.05728,"pump":"blower","tabs":"[]","why":"A skin pass: 0.58 % of such pieces are lost, 1.2 % with tabs, and it is no more work.","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":2,"sheet":2,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.66}}]','{"sentence":"3 pieces are nested on S-202.","codes":["03324778"],"data":{"sheets":["03324778"],"left_out":[]},"act":4}',NULL);
INSERT INTO "ledger" VALUES(5,'2026-11-02T08:08:00.000Z',1,'Owner','old shop','started a sheet','2c2134e41c4fec42388fe5434e31ba7c',2,'[{"event":"SheetStarted","sheet":"S-201"}]','[{"t":"sheet","b":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"cutting","nest":1,"started_at":"2026-11-02T08:08:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":1,"code":"26000033","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":1,"code":"26000033","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"sentence":"Sheet S-201 is being cut. Its blank was still to be bought: it counts as bought now.","codes":["15116316"],"data":{},"act":5}',NULL);
INSERT INTO "ledger" VALUES(6,'2026-11-02T08:09:00.000Z',1,'Owner','old shop','took a sheet off the table','f08a42e063d937b4cea47ba9191420ad',2,'[{"event":"SheetFinished","sheet":"S-201"}]','[{"t":"sheet","b":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"cutting","nest":1,"started_at":"2026-11-02T08:08:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"off the table","nest":1,"started_at":"2026-11-02T08:08:00.000Z","started_by":1,"finished_at":"2026-11-02T08:09:00.000Z","closed_at":null}}]','{"sentence":"Sheet S-201 is off the table: tap once what is lost, twice what is damaged.","codes":["15116316"],"data":{},"act":6}',NULL);
INSERT INTO "ledger" VALUES(7,'2026-11-02T08:10:00.000Z',1,'Owner','old shop','marked the rest cut','07739a18807ea15b9e38fbb1f3f5fee3',2,'[{"event":"PieceCut","piece":1,"state":"ready"},{"event":"SheetClosed","sheet":"S-201","offcut":"67375798"}]','[{"t":"piece","b":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"67375798","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":3,"code":"67375798","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":1}},{"t":"sheet","b":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"off the table","nest":1,"started_at":"2026-11-02T08:08:00.000Z","started_by":1,"finished_at":"2026-11-02T08:09:00.000Z","closed_at":null},"a":{"id":1,"number":"S-201","code":"15116316","stock":1,"blank":1,"state":"closed","nest":1,"started_at":"2026-11-02T08:08:00.000Z","started_by":1,"finished_at":"2026-11-02T08:09:00.000Z","closed_at":"2026-11-02T08:10:00.000Z"}}]','{"sentence":"1 marked cut. Sheet S-201 is closed; its offcut is 6737 5798 in Stock.","codes":["15116316","50885059"],"data":{"left":[],"is_closed":true,"offcut":"67375798"},"act":7}',NULL);
INSERT INTO "ledger" VALUES(8,'2026-11-02T08:11:00.000Z',1,'Owner','old shop','started a sheet','edb952f22274df4812df2af09f931b87',2,'[{"event":"SheetStarted","sheet":"S-202"}]','[{"t":"sheet","b":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"cutting","nest":2,"started_at":"2026-11-02T08:11:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":2,"code":"11159382","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":2,"code":"11159382","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"sentence":"Sheet S-202 is being cut. Its blank was still to be bought: it counts as bought now.","codes":["03324778"],"data":{},"act":8}',NULL);
INSERT INTO "ledger" VALUES(9,'2026-11-02T08:12:00.000Z',1,'Owner','old shop','took a sheet off the table','3d8c5fee6d1d6c0fd1a36256a8613164',2,'[{"event":"SheetFinished","sheet":"S-202"}]','[{"t":"sheet","b":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"cutting","nest":2,"started_at":"2026-11-02T08:11:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"off the table","nest":2,"started_at":"2026-11-02T08:11:00.000Z","started_by":1,"finished_at":"2026-11-02T08:12:00.000Z","closed_at":null}}]','{"sentence":"Sheet S-202 is off the table: tap once what is lost, twice what is damaged.","codes":["03324778"],"data":{},"act":9}',NULL);
INSERT INTO "ledger" VALUES(10,'2026-11-02T08:13:00.000Z',1,'Owner','old shop','marked the rest cut','a675cd8e00bd32811acaa4390ce8511e',2,'[{"event":"PieceCut","piece":2,"state":"ready"},{"event":"PieceCut","piece":3,"state":"ready"},{"event":"PieceCut","piece":4,"state":"ready"},{"event":"SheetClosed","sheet":"S-202","offcut":"92174336"}]','[{"t":"piece","b":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"92174336","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":4,"code":"92174336","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":2}},{"t":"sheet","b":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"off the table","nest":2,"started_at":"2026-11-02T08:11:00.000Z","started_by":1,"finished_at":"2026-11-02T08:12:00.000Z","closed_at":null},"a":{"id":2,"number":"S-202","code":"03324778","stock":2,"blank":2,"state":"closed","nest":2,"started_at":"2026-11-02T08:11:00.000Z","started_by":1,"finished_at":"2026-11-02T08:12:00.000Z","closed_at":"2026-11-02T08:13:00.000Z"}}]','{"sentence":"3 marked cut. Sheet S-202 is closed; its offcut is 9217 4336 in Stock.","codes":["03324778","17308383","66447547","80342468"],"data":{"left":[],"is_closed":true,"offcut":"92174336"},"act":10}',NULL);
INSERT INTO "ledger" VALUES(11,'2026-11-02T08:14:00.000Z',1,'Owner','old shop','set out the rest','422f04870346380fa11c9a8cd44c605c',2,'[{"event":"PartSetOut","step":1,"part":2,"is_right":true},{"event":"PartSetOut","step":1,"part":3,"is_right":true},{"event":"PartSetOut","step":1,"part":4,"is_right":true},{"event":"StepDone","step":1,"title":"Lay out level 1"}]','[{"t":"step_part","b":{"step":1,"part":2,"done_at":null,"done_by":null},"a":{"step":1,"part":2,"done_at":"2026-11-02T08:14:00.000Z","done_by":1}},{"t":"step_part","b":{"step":1,"part":3,"done_at":null,"done_by":null},"a":{"step":1,"part":3,"done_at":"2026-11-02T08:14:00.000Z","done_by":1}},{"t":"step_part","b":{"step":1,"part":4,"done_at":null,"done_by":null},"a":{"step":1,"part":4,"done_at":"2026-11-02T08:14:00.000Z","done_by":1}},{"t":"step","b":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-02T08:14:00.000Z","done_by":1,"shut_until":null,"opened_why":null}}]','{"sentence":"Level 1 is set out: glue it.","codes":["39602296"],"data":{},"act":11}',NULL);
INSERT INTO "ledger" VALUES(12,'2026-11-02T08:15:00.000Z',1,'Owner','old shop','glued up','7a438ee73cace7e5983c596b2aad9c8e',2,'[{"event":"PieceFixed","piece":2},{"event":"PieceFixed","piece":3},{"event":"PieceFixed","piece":4},{"event":"PieceFixed","piece":1},{"event":"StepDone","step":2,"title":"Glue level 1"},{"event":"LevelGlued","step":2,"glue_up":1,"pieces":["17308383","66447547","80342468"],"until":"2026-11-03T13:48:00.000Z"}]','[{"t":"glue_up","b":null,"a":{"id":1,"cement":1,"batch":"A-1","temperature_c":20.0,"humidity_percent":45.0,"at":"2026-11-02T08:15:00.000Z","cured_at":"2026-11-03T13:48:00.000Z","person":1}},{"t":"piece","b":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":2,"code":"17308383","outline":2,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"66447547","outline":3,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":1,"code":"50885059","outline":1,"stock":1,"state":"fixed","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"glue_up_piece","b":null,"a":{"glue_up":1,"piece":2}},{"t":"glue_up_piece","b":null,"a":{"glue_up":1,"piece":3}},{"t":"glue_up_piece","b":null,"a":{"glue_up":1,"piece":4}},{"t":"step","b":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-02T08:15:00.000Z","done_by":1,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-03T13:48:00.000Z","opened_why":null}}]','{"sentence":"J-1001 A is glued, curing until Tue 13:48: do not move it.","codes":["39602296"],"data":{},"act":12}',NULL);
INSERT INTO "ledger" VALUES(13,'2026-11-02T08:16:00.000Z',1,'Owner','old shop','marked pieces','46d5513749bb5dfed25c1f7945bd3bdd',2,'[{"event":"PieceDamaged","piece":4,"was":"fixed","cause":"glued crooked"},{"event":"AssignmentEnded","piece":4,"why":"damaged"},{"event":"RecutQueued","code":"48549193","part":4,"outline":4,"stock":2,"attempt":2,"tabs":2}]','[{"t":"code","b":null,"a":{"code":"48549193","kind":"piece","is_retired":0}},{"t":"piece","b":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":4,"code":"80342468","outline":4,"stock":2,"state":"damaged","attempt":1,"tabs":0,"sheet":2,"was":"fixed","cause":"glued crooked"}},{"t":"assignment","b":{"id":4,"piece":4,"part":4,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":null,"why_ended":null},"a":{"id":4,"piece":4,"part":4,"begun_at":"2026-11-02T08:03:00.000Z","ended_at":"2026-11-02T08:16:00.000Z","why_ended":"damaged"}},{"t":"piece","b":null,"a":{"id":5,"code":"48549193","outline":4,"stock":2,"state":"waiting","attempt":2,"tabs":2,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":5,"piece":5,"part":4,"begun_at":"2026-11-02T08:16:00.000Z","ended_at":null,"why_ended":null}},{"t":"step_part","b":{"step":1,"part":4,"done_at":"2026-11-02T08:14:00.000Z","done_by":1},"a":{"step":1,"part":4,"done_at":null,"done_by":null}},{"t":"step","b":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-02T08:14:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-02T08:15:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-03T13:48:00.000Z","opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}}]','{"sentence":"''T'' of J-1001 A is damaged. Its recut 4854 9193 is queued, with tabs.","codes":["80342468"],"data":{"recuts":["48549193"],"changed":true,"pieces":[{"code":"80342468","state":"damaged","was":"fixed"}]},"act":13}',NULL);
CREATE TABLE machine_file (                     -- which file went to the machine
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  nest INTEGER NOT NULL REFERENCES nest, sheet INTEGER NOT NULL REFERENCES sheet,
  name TEXT NOT NULL, sha256 TEXT NOT NULL,
  layout TEXT NOT NULL,                         -- a mark of all that the file depends on: another one, another file
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
INSERT INTO "nest" VALUES(1,1,1,'length',220.35,0.2976,0.1488,8.35,12.0,'2026-11-02T08:05:00.000Z');
INSERT INTO "nest" VALUES(2,2,1,'length',80.35,0.1224,0.0612,8.35,12.0,'2026-11-02T08:07:00.000Z');
CREATE TABLE nest_run (                         -- what a layout was worked out for
  nest INTEGER PRIMARY KEY REFERENCES nest,
  sheet INTEGER NOT NULL REFERENCES sheet,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one, by the settings of that time
  cutter_mm REAL NOT NULL,
  pump TEXT NOT NULL, vacuum_inhg REAL NOT NULL,
  path_min REAL NOT NULL                        -- minutes on the router by path, feed and acceleration, not corrected
);
INSERT INTO "nest_run" VALUES(1,1,NULL,6.35,'blower',8.0,0.401);
INSERT INTO "nest_run" VALUES(2,2,NULL,6.35,'blower',8.0,0.66);
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
INSERT INTO "outline" VALUES(4,2,'[[[0.0,0.0],[50.0,0.0],[50.0,80.0],[0.0,80.0]]]',4000.0,260.0,50.0,80.0,4);
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
INSERT INTO "part" VALUES(1,1,1,'board',0,1,NULL,'#33658a',1,1,0.0,0.0,0.0,NULL);
INSERT INTO "part" VALUES(2,1,2,'L',1,1,1,'#f2e8cf',2,2,20.0,50.0,50.0,NULL);
INSERT INTO "part" VALUES(3,1,3,'O',1,1,1,'#f2e8cf',2,3,100.0,50.0,50.0,NULL);
INSERT INTO "part" VALUES(4,1,4,'T',1,1,1,'#f2e8cf',2,4,200.0,50.0,50.0,NULL);
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
INSERT INTO "piece" VALUES(1,'50885059',1,1,'fixed',1,0,1,NULL,NULL);
INSERT INTO "piece" VALUES(2,'17308383',2,2,'fixed',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(3,'66447547',3,2,'fixed',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(4,'80342468',4,2,'damaged',1,0,2,'fixed','glued crooked');
INSERT INTO "piece" VALUES(5,'48549193',4,2,'waiting',2,2,NULL,NULL,NULL);
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
INSERT INTO "placement" VALUES(2,4,12.0,100.35,0.0,2);
INSERT INTO "placement" VALUES(2,2,12.0,188.7,0.0,3);
CREATE TABLE session (token TEXT PRIMARY KEY,   -- SHA-256 of the cookie, never the cookie itself
  person INTEGER NOT NULL REFERENCES person ON DELETE CASCADE, tablet TEXT NOT NULL, seen_at TEXT NOT NULL);
CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE sheet (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'S-207'
  code TEXT NOT NULL UNIQUE REFERENCES code,
  stock INTEGER NOT NULL REFERENCES stock, blank INTEGER NOT NULL REFERENCES blank,
  state TEXT NOT NULL CHECK (state IN ('planned', 'cutting', 'off the table', 'closed', 'abandoned')),
  nest INTEGER REFERENCES nest,                 -- the layout in force
  started_at TEXT, started_by INTEGER REFERENCES person, finished_at TEXT, closed_at TEXT
);
INSERT INTO "sheet" VALUES(1,'S-201','15116316',1,1,'closed',1,'2026-11-02T08:08:00.000Z',1,'2026-11-02T08:09:00.000Z','2026-11-02T08:10:00.000Z');
INSERT INTO "sheet" VALUES(2,'S-202','03324778',2,2,'closed',2,'2026-11-02T08:11:00.000Z',1,'2026-11-02T08:12:00.000Z','2026-11-02T08:13:00.000Z');
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
INSERT INTO "sign" VALUES(1,'39602296',1,'A','An old sign',400.0,200.0,2,'open');
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
INSERT INTO "step" VALUES(1,1,1,'lay out','Lay out level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(2,1,2,'glue','Glue level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(3,1,3,'cure','Cure level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(4,1,4,'clean','Clean',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(5,1,5,'inspect','Inspect',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(6,1,6,'pack','Pack',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(7,1,7,'hand over','Hand over',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE step_after (step INTEGER NOT NULL REFERENCES step, after INTEGER NOT NULL REFERENCES step,
  PRIMARY KEY (step, after));
INSERT INTO "step_after" VALUES(2,1);
INSERT INTO "step_after" VALUES(3,2);
INSERT INTO "step_after" VALUES(4,3);
INSERT INTO "step_after" VALUES(5,4);
INSERT INTO "step_after" VALUES(6,5);
INSERT INTO "step_after" VALUES(7,6);
CREATE TABLE step_part (step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part,
  done_at TEXT, done_by INTEGER REFERENCES person, PRIMARY KEY (step, part));
INSERT INTO "step_part" VALUES(1,2,'2026-11-02T08:14:00.000Z',1);
INSERT INTO "step_part" VALUES(1,3,'2026-11-02T08:14:00.000Z',1);
INSERT INTO "step_part" VALUES(1,4,NULL,NULL);
INSERT INTO "step_part" VALUES(2,2,NULL,NULL);
INSERT INTO "step_part" VALUES(2,3,NULL,NULL);
INSERT INTO "step_part" VALUES(2,4,NULL,NULL);
INSERT INTO "step_part" VALUES(3,2,NULL,NULL);
INSERT INTO "step_part" VALUES(3,3,NULL,NULL);
INSERT INTO "step_part" VALUES(3,4,NULL,NULL);
INSERT INTO "step_part" VALUES(4,1,NULL,NULL);
INSERT INTO "step_part" VALUES(4,2,NULL,NULL);
INSERT INTO "step_part" VALUES(4,3,NULL,NULL);
INSERT INTO "step_part" VALUES(4,4,NULL,NULL);
INSERT INTO "step_part" VALUES(5,1,NULL,NULL);
INSERT INTO "step_part" VALUES(5,2,NULL,NULL);
INSERT INTO "step_part" VALUES(5,3,NULL,NULL);
INSERT INTO "step_part" VALUES(5,4,NULL,NULL);
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
CREATE TABLE touched (                          -- a cache of ledger.changes: which act wrote which record, or leaned on it
  tbl TEXT NOT NULL, record TEXT NOT NULL, act INTEGER NOT NULL REFERENCES ledger,
  is_written INTEGER NOT NULL,
  PRIMARY KEY (tbl, record, act)
) WITHOUT ROWID;
INSERT INTO "touched" VALUES('assignment','1',2,1);
INSERT INTO "touched" VALUES('assignment','2',2,1);
INSERT INTO "touched" VALUES('assignment','3',2,1);
INSERT INTO "touched" VALUES('assignment','4',2,1);
INSERT INTO "touched" VALUES('assignment','4',13,1);
INSERT INTO "touched" VALUES('assignment','5',13,1);
INSERT INTO "touched" VALUES('blank','1',3,1);
INSERT INTO "touched" VALUES('blank','1',5,1);
INSERT INTO "touched" VALUES('blank','1',6,0);
INSERT INTO "touched" VALUES('blank','1',7,0);
INSERT INTO "touched" VALUES('blank','2',4,1);
INSERT INTO "touched" VALUES('blank','2',8,1);
INSERT INTO "touched" VALUES('blank','2',9,0);
INSERT INTO "touched" VALUES('blank','2',10,0);
INSERT INTO "touched" VALUES('blank','3',7,1);
INSERT INTO "touched" VALUES('blank','4',10,1);
INSERT INTO "touched" VALUES('cement','1',1,1);
INSERT INTO "touched" VALUES('code','03324778',4,1);
INSERT INTO "touched" VALUES('code','11159382',4,1);
INSERT INTO "touched" VALUES('code','15116316',3,1);
INSERT INTO "touched" VALUES('code','17308383',2,1);
INSERT INTO "touched" VALUES('code','26000033',3,1);
INSERT INTO "touched" VALUES('code','39602296',2,1);
INSERT INTO "touched" VALUES('code','48549193',13,1);
INSERT INTO "touched" VALUES('code','50885059',2,1);
INSERT INTO "touched" VALUES('code','66447547',2,1);
INSERT INTO "touched" VALUES('code','67375798',7,1);
INSERT INTO "touched" VALUES('code','80342468',2,1);
INSERT INTO "touched" VALUES('code','92174336',10,1);
INSERT INTO "touched" VALUES('colour','#33658a',2,1);
INSERT INTO "touched" VALUES('colour','#f2e8cf',2,1);
INSERT INTO "touched" VALUES('glue_up','1',12,1);
INSERT INTO "touched" VALUES('glue_up_piece','1,2',12,1);
INSERT INTO "touched" VALUES('glue_up_piece','1,3',12,1);
INSERT INTO "touched" VALUES('glue_up_piece','1,4',12,1);
INSERT INTO "touched" VALUES('holding','1,1',3,1);
INSERT INTO "touched" VALUES('holding','2,2',4,1);
INSERT INTO "touched" VALUES('holding','2,3',4,1);
INSERT INTO "touched" VALUES('holding','2,4',4,1);
INSERT INTO "touched" VALUES('job','1',2,1);
INSERT INTO "touched" VALUES('nest','1',3,1);
INSERT INTO "touched" VALUES('nest','2',4,1);
INSERT INTO "touched" VALUES('nest_run','1',3,1);
INSERT INTO "touched" VALUES('nest_run','2',4,1);
INSERT INTO "touched" VALUES('outline','1',2,1);
INSERT INTO "touched" VALUES('outline','2',2,1);
INSERT INTO "touched" VALUES('outline','3',2,1);
INSERT INTO "touched" VALUES('outline','4',2,1);
INSERT INTO "touched" VALUES('part','1',2,1);
INSERT INTO "touched" VALUES('part','2',2,1);
INSERT INTO "touched" VALUES('part','2',11,0);
INSERT INTO "touched" VALUES('part','3',2,1);
INSERT INTO "touched" VALUES('part','3',11,0);
INSERT INTO "touched" VALUES('part','4',2,1);
INSERT INTO "touched" VALUES('part','4',11,0);
INSERT INTO "touched" VALUES('part','4',13,0);
INSERT INTO "touched" VALUES('person','1',1,1);
INSERT INTO "touched" VALUES('piece','1',2,1);
INSERT INTO "touched" VALUES('piece','1',3,1);
INSERT INTO "touched" VALUES('piece','1',7,1);
INSERT INTO "touched" VALUES('piece','1',12,1);
INSERT INTO "touched" VALUES('piece','2',2,1);
INSERT INTO "touched" VALUES('piece','2',4,1);
INSERT INTO "touched" VALUES('piece','2',10,1);
INSERT INTO "touched" VALUES('piece','2',12,1);
INSERT INTO "touched" VALUES('piece','3',2,1);
INSERT INTO "touched" VALUES('piece','3',4,1);
INSERT INTO "touched" VALUES('piece','3',10,1);
INSERT INTO "touched" VALUES('piece','3',12,1);
INSERT INTO "touched" VALUES('piece','4',2,1);
INSERT INTO "touched" VALUES('piece','4',4,1);
INSERT INTO "touched" VALUES('piece','4',10,1);
INSERT INTO "touched" VALUES('piece','4',12,1);
INSERT INTO "touched" VALUES('piece','4',13,1);
INSERT INTO "touched" VALUES('piece','5',13,1);
INSERT INTO "touched" VALUES('placement','1,1',3,1);
INSERT INTO "touched" VALUES('placement','2,2',4,1);
INSERT INTO "touched" VALUES('placement','2,3',4,1);
INSERT INTO "touched" VALUES('placement','2,4',4,1);
INSERT INTO "touched" VALUES('sheet','1',3,1);
INSERT INTO "touched" VALUES('sheet','1',5,1);
INSERT INTO "touched" VALUES('sheet','1',6,1);
INSERT INTO "touched" VALUES('sheet','1',7,1);
INSERT INTO "touched" VALUES('sheet','1',12,0);
INSERT INTO "touched" VALUES('sheet','2',4,1);
INSERT INTO "touched" VALUES('sheet','2',8,1);
INSERT INTO "touched" VALUES('sheet','2',9,1);
INSERT INTO "touched" VALUES('sheet','2',10,1);
INSERT INTO "touched" VALUES('sheet','2',12,0);
INSERT INTO "touched" VALUES('sheet','2',13,0);
INSERT INTO "touched" VALUES('sheet','None',2,0);
INSERT INTO "touched" VALUES('sheet','None',3,0);
INSERT INTO "touched" VALUES('sheet','None',4,0);
INSERT INTO "touched" VALUES('sheet','None',13,0);
INSERT INTO "touched" VALUES('sign','1',2,1);
INSERT INTO "touched" VALUES('sign','1',11,0);
INSERT INTO "touched" VALUES('sign','1',12,0);
INSERT INTO "touched" VALUES('sign','1',13,0);
INSERT INTO "touched" VALUES('step','1',2,1);
INSERT INTO "touched" VALUES('step','1',11,1);
INSERT INTO "touched" VALUES('step','1',13,1);
INSERT INTO "touched" VALUES('step','2',2,1);
INSERT INTO "touched" VALUES('step','2',12,1);
INSERT INTO "touched" VALUES('step','2',13,1);
INSERT INTO "touched" VALUES('step','3',2,1);
INSERT INTO "touched" VALUES('step','3',12,1);
INSERT INTO "touched" VALUES('step','3',13,1);
INSERT INTO "touched" VALUES('step','4',2,1);
INSERT INTO "touched" VALUES('step','5',2,1);
INSERT INTO "touched" VALUES('step','6',2,1);
INSERT INTO "touched" VALUES('step','7',2,1);
INSERT INTO "touched" VALUES('step_after','2,1',2,1);
INSERT INTO "touched" VALUES('step_after','3,2',2,1);
INSERT INTO "touched" VALUES('step_after','4,3',2,1);
INSERT INTO "touched" VALUES('step_after','5,4',2,1);
INSERT INTO "touched" VALUES('step_after','6,5',2,1);
INSERT INTO "touched" VALUES('step_after','7,6',2,1);
INSERT INTO "touched" VALUES('step_part','1,2',2,1);
INSERT INTO "touched" VALUES('step_part','1,2',11,1);
INSERT INTO "touched" VALUES('step_part','1,3',2,1);
INSERT INTO "touched" VALUES('step_part','1,3',11,1);
INSERT INTO "touched" VALUES('step_part','1,4',2,1);
INSERT INTO "touched" VALUES('step_part','1,4',11,1);
INSERT INTO "touched" VALUES('step_part','1,4',13,1);
INSERT INTO "touched" VALUES('step_part','2,2',2,1);
INSERT INTO "touched" VALUES('step_part','2,3',2,1);
INSERT INTO "touched" VALUES('step_part','2,4',2,1);
INSERT INTO "touched" VALUES('step_part','3,2',2,1);
INSERT INTO "touched" VALUES('step_part','3,3',2,1);
INSERT INTO "touched" VALUES('step_part','3,4',2,1);
INSERT INTO "touched" VALUES('step_part','4,1',2,1);
INSERT INTO "touched" VALUES('step_part','4,2',2,1);
INSERT INTO "touched" VALUES('step_part','4,3',2,1);
INSERT INTO "touched" VALUES('step_part','4,4',2,1);
INSERT INTO "touched" VALUES('step_part','5,1',2,1);
INSERT INTO "touched" VALUES('step_part','5,2',2,1);
INSERT INTO "touched" VALUES('step_part','5,3',2,1);
INSERT INTO "touched" VALUES('step_part','5,4',2,1);
INSERT INTO "touched" VALUES('stock','1',2,1);
INSERT INTO "touched" VALUES('stock','2',2,1);
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
CREATE INDEX step_of_sign ON step (sign);
CREATE INDEX step_part_of_part ON step_part (part);
CREATE INDEX glue_up_of_piece ON glue_up_piece (piece);
CREATE INDEX holding_of_piece ON holding (piece);
CREATE INDEX machine_file_of_sheet ON machine_file (sheet);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('person',1);
INSERT INTO "sqlite_sequence" VALUES('cement',1);
INSERT INTO "sqlite_sequence" VALUES('stock',2);
INSERT INTO "sqlite_sequence" VALUES('job',1);
INSERT INTO "sqlite_sequence" VALUES('sign',1);
INSERT INTO "sqlite_sequence" VALUES('outline',4);
INSERT INTO "sqlite_sequence" VALUES('part',4);
INSERT INTO "sqlite_sequence" VALUES('step',7);
INSERT INTO "sqlite_sequence" VALUES('piece',5);
INSERT INTO "sqlite_sequence" VALUES('assignment',5);
INSERT INTO "sqlite_sequence" VALUES('blank',4);
INSERT INTO "sqlite_sequence" VALUES('sheet',2);
INSERT INTO "sqlite_sequence" VALUES('nest',2);
INSERT INTO "sqlite_sequence" VALUES('glue_up',1);
COMMIT;
