BEGIN TRANSACTION;
CREATE TABLE assignment (                       -- which piece is for which part, with its history
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES piece, part INTEGER NOT NULL REFERENCES part,
  begun_at TEXT NOT NULL, ended_at TEXT, why_ended TEXT
);
INSERT INTO "assignment" VALUES(1,1,1,'2026-11-24T08:09:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(2,2,2,'2026-11-24T08:09:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(3,3,3,'2026-11-24T08:09:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(4,4,4,'2026-11-24T08:09:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(5,5,5,'2026-11-24T08:09:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(6,6,6,'2026-11-24T08:09:00.000Z','2026-11-24T09:39:00.000Z','the sign was cancelled');
INSERT INTO "assignment" VALUES(7,7,7,'2026-11-24T09:45:00.000Z',NULL,NULL);
INSERT INTO "assignment" VALUES(8,8,8,'2026-11-24T09:45:00.000Z','2026-11-24T10:33:00.000Z','damaged');
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
INSERT INTO "blank" VALUES(1,'03324778',1,2440.0,1220.0,0,1,'used',NULL);
INSERT INTO "blank" VALUES(2,'92174336',2,2440.0,1220.0,0,1,'used',NULL);
INSERT INTO "blank" VALUES(3,'09872891',1,2219.65,1220.0,1,1,'used',1);
INSERT INTO "blank" VALUES(4,'37233369',2,2359.65,1220.0,1,1,'used',2);
INSERT INTO "blank" VALUES(5,'17814605',1,2099.3,1220.0,1,1,'free',3);
INSERT INTO "blank" VALUES(6,'43909252',2,2309.3,1220.0,1,1,'free',4);
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
INSERT INTO "climate" VALUES(1,'2026-11-24T08:48:00.000Z',21.0,45.0,'typed',1);
INSERT INTO "climate" VALUES(2,'2026-11-24T09:00:00.000Z',21.0,45.0,'typed',1);
INSERT INTO "climate" VALUES(3,'2026-11-24T09:12:00.000Z',21.0,45.0,'typed',1);
INSERT INTO "climate" VALUES(4,'2026-11-24T10:21:00.000Z',21.0,45.0,'typed',1);
CREATE TABLE "code" (                         -- one namespace over everything that bears a label
  code TEXT PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('piece', 'sheet', 'sign', 'blank', 'tray')),
  is_retired INTEGER NOT NULL DEFAULT 0
);
INSERT INTO "code" VALUES('39602296','sign',0);
INSERT INTO "code" VALUES('50885059','sign',0);
INSERT INTO "code" VALUES('17308383','piece',0);
INSERT INTO "code" VALUES('66447547','piece',0);
INSERT INTO "code" VALUES('80342468','piece',0);
INSERT INTO "code" VALUES('26000033','piece',0);
INSERT INTO "code" VALUES('15116316','piece',0);
INSERT INTO "code" VALUES('11159382','piece',0);
INSERT INTO "code" VALUES('03324778','blank',0);
INSERT INTO "code" VALUES('67375798','sheet',0);
INSERT INTO "code" VALUES('92174336','blank',0);
INSERT INTO "code" VALUES('48549193','sheet',0);
INSERT INTO "code" VALUES('09872891','blank',0);
INSERT INTO "code" VALUES('37233369','blank',0);
INSERT INTO "code" VALUES('87298448','sign',0);
INSERT INTO "code" VALUES('90039961','piece',0);
INSERT INTO "code" VALUES('60439067','piece',0);
INSERT INTO "code" VALUES('46419642','sheet',0);
INSERT INTO "code" VALUES('28968305','sheet',0);
INSERT INTO "code" VALUES('17814605','blank',0);
INSERT INTO "code" VALUES('43909252','blank',0);
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
INSERT INTO "drawing" VALUES('6bea4dad2bb06aebdb984152691ac5d29b51a1b5b9c4d70836028ae262254a39','board.svg',X'7B226F75746C696E6573223A205B7B2272696E6773223A205B5B5B302C20305D2C205B3430302C20305D2C205B3430302C203230305D2C205B302C203230305D5D5D2C2022636F6C6F7572223A202223333336353861222C20226E616D65223A206E756C6C2C202267726F7570223A206E756C6C2C20226F72646572223A20302C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B32302C2035305D2C205B36302C2035305D2C205B36302C203133305D2C205B32302C203133305D5D5D2C2022636F6C6F7572223A202223663265386366222C20226E616D65223A20224C222C202267726F7570223A206E756C6C2C20226F72646572223A20312C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B3130302C2035305D2C205B3136302C2035305D2C205B3136302C203133305D2C205B3130302C203133305D5D5D2C2022636F6C6F7572223A202223663265386366222C20226E616D65223A20224F222C202267726F7570223A206E756C6C2C20226F72646572223A20322C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B3530302C20305D2C205B3930302C20305D2C205B3930302C203230305D2C205B3530302C203230305D5D5D2C2022636F6C6F7572223A202223333336353861222C20226E616D65223A206E756C6C2C202267726F7570223A206E756C6C2C20226F72646572223A20332C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B3532302C2035305D2C205B3536302C2035305D2C205B3536302C203133305D2C205B3532302C203133305D5D5D2C2022636F6C6F7572223A202223663265386366222C20226E616D65223A202249222C202267726F7570223A206E756C6C2C20226F72646572223A20342C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B3630302C2035305D2C205B3634302C2035305D2C205B3634302C203133305D2C205B3630302C203133305D5D5D2C2022636F6C6F7572223A202223663265386366222C20226E616D65223A202249222C202267726F7570223A206E756C6C2C20226F72646572223A20352C20226C61796572223A206E756C6C7D5D2C202277696474685F6D6D223A203930302C20226865696768745F6D6D223A203230302C20227761726E696E6773223A205B5D2C2022677565737365645F756E6974223A206E756C6C7D','{"outlines":[{"rings":[[[0,0],[400,0],[400,200],[0,200]]],"colour":"#33658a","name":null,"group":null,"order":0,"layer":null},{"rings":[[[20,50],[60,50],[60,130],[20,130]]],"colour":"#f2e8cf","name":"L","group":null,"order":1,"layer":null},{"rings":[[[100,50],[160,50],[160,130],[100,130]]],"colour":"#f2e8cf","name":"O","group":null,"order":2,"layer":null},{"rings":[[[500,0],[900,0],[900,200],[500,200]]],"colour":"#33658a","name":null,"group":null,"order":3,"layer":null},{"rings":[[[520,50],[560,50],[560,130],[520,130]]],"colour":"#f2e8cf","name":"I","group":null,"order":4,"layer":null},{"rings":[[[600,50],[640,50],[640,130],[600,130]]],"colour":"#f2e8cf","name":"I","group":null,"order":5,"layer":null}],"width_mm":900,"height_mm":200,"warnings":[],"guessed_unit":null}','2026-11-24T08:06:00.000Z');
INSERT INTO "drawing" VALUES('4605e054ea3f0210880faa26a07f1c39b076337088ea878c45d945290f9701d9','board.svg',X'7B226F75746C696E6573223A205B7B2272696E6773223A205B5B5B302C20305D2C205B3630302C20305D2C205B3630302C203130305D2C205B302C203130305D5D5D2C2022636F6C6F7572223A202223333336353861222C20226E616D65223A2022626F617264222C202267726F7570223A206E756C6C2C20226F72646572223A20302C20226C61796572223A206E756C6C7D2C207B2272696E6773223A205B5B5B32302C2032305D2C205B35302C2032305D2C205B35302C2038305D2C205B33302C2038305D2C205B32302C2036355D5D5D2C2022636F6C6F7572223A202223663265386366222C20226E616D65223A202241222C202267726F7570223A206E756C6C2C20226F72646572223A20312C20226C61796572223A206E756C6C7D5D2C202277696474685F6D6D223A203630302C20226865696768745F6D6D223A203130302C20227761726E696E6773223A205B5D2C2022677565737365645F756E6974223A206E756C6C7D','{"outlines":[{"rings":[[[0,0],[600,0],[600,100],[0,100]]],"colour":"#33658a","name":"board","group":null,"order":0,"layer":null},{"rings":[[[20,20],[50,20],[50,80],[30,80],[20,65]]],"colour":"#f2e8cf","name":"A","group":null,"order":1,"layer":null}],"width_mm":600,"height_mm":100,"warnings":[],"guessed_unit":null}','2026-11-24T09:42:00.000Z');
INSERT INTO "drawing" VALUES('451292ef2b46ab2d7986d6887c018c034ee37c65526eea7a85fad50426f8dee7','board.svg',X'7B226F75746C696E6573223A205B7B2272696E6773223A205B5B5B302C20305D2C205B3630302C20305D2C205B3630302C203130305D2C205B302C203130305D5D5D2C2022636F6C6F7572223A202223333336353861222C20226E616D65223A2022626F617264222C202267726F7570223A206E756C6C2C20226F72646572223A20302C20226C61796572223A206E756C6C7D5D2C202277696474685F6D6D223A203630302C20226865696768745F6D6D223A203130302C20227761726E696E6773223A205B5D2C2022677565737365645F756E6974223A206E756C6C7D','{"outlines":[{"rings":[[[0,0],[600,0],[600,100],[0,100]]],"colour":"#33658a","name":"board","group":null,"order":0,"layer":null}],"width_mm":600,"height_mm":100,"warnings":[],"guessed_unit":null}','2026-11-24T10:30:00.000Z');
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
INSERT INTO "glue_up" VALUES(1,1,'A-1',21.0,45.0,'2026-11-24T08:48:00.000Z','2026-11-25T12:23:00.000Z',1,NULL,NULL,NULL,'');
INSERT INTO "glue_up" VALUES(2,1,'A-1',21.0,45.0,'2026-11-24T09:00:00.000Z','2026-11-25T12:35:00.000Z',1,NULL,NULL,NULL,'');
INSERT INTO "glue_up" VALUES(3,1,'A-1',21.0,45.0,'2026-11-24T09:12:00.000Z','2026-11-25T12:47:00.000Z',1,NULL,NULL,NULL,'');
INSERT INTO "glue_up" VALUES(4,1,'A-1',21.0,45.0,'2026-11-24T10:21:00.000Z','2026-11-25T13:56:00.000Z',1,NULL,NULL,NULL,'');
CREATE TABLE glue_up_piece (glue_up INTEGER NOT NULL REFERENCES glue_up, piece INTEGER NOT NULL REFERENCES piece,
  PRIMARY KEY (glue_up, piece));
INSERT INTO "glue_up_piece" VALUES(1,2);
INSERT INTO "glue_up_piece" VALUES(1,3);
INSERT INTO "glue_up_piece" VALUES(2,3);
INSERT INTO "glue_up_piece" VALUES(3,5);
INSERT INTO "glue_up_piece" VALUES(4,8);
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
INSERT INTO "holding" VALUES(1,1,1,'full','full','holds',9.0304,0.00509,0.0,0.04989,'blower','[]','{"message":"holding.not_worth_the_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"full"}},"chance":0.005088088238088732,"other":{"message":"holding.with_hold_down","values":{"name":"skin"}},"others":0.0030045572113314625,"work":{"message":"holding.extra_work","values":{"name":"skin"}},"cost":0.31746031746031744,"instead_of":null,"loss":7.5555555555555545}}',0);
INSERT INTO "holding" VALUES(1,4,1,'full','full','holds',9.0304,0.00509,0.0,0.04989,'blower','[]','{"message":"holding.not_worth_the_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"full"}},"chance":0.005088088238088732,"other":{"message":"holding.with_hold_down","values":{"name":"skin"}},"others":0.0030045572113314625,"work":{"message":"holding.extra_work","values":{"name":"skin"}},"cost":0.31746031746031744,"instead_of":null,"loss":7.5555555555555545}}',0);
INSERT INTO "holding" VALUES(2,2,2,'skin','skin','with a skin',7.7403,0.00584,0.0,0.05728,'blower','[]','{"message":"holding.better_for_no_more_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"skin"}},"chance":0.00583990564543481,"other":{"message":"holding.with_hold_down","values":{"name":"tabs"}},"others":0.011889411556088917}}',0);
INSERT INTO "holding" VALUES(2,3,2,'skin','skin','with a skin',11.6105,0.00426,0.0,0.0418,'blower','[]','{"message":"holding.better_for_no_more_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"skin"}},"chance":0.004264242984083689,"other":{"message":"holding.with_hold_down","values":{"name":"tabs"}},"others":0.011202363709134727}}',0);
INSERT INTO "holding" VALUES(2,5,2,'skin','skin','with a skin',7.7403,0.00584,0.0,0.05728,'blower','[]','{"message":"holding.better_for_no_more_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"skin"}},"chance":0.00583990564543481,"other":{"message":"holding.with_hold_down","values":{"name":"tabs"}},"others":0.011889411556088917}}',0);
INSERT INTO "holding" VALUES(2,6,2,'skin','skin','with a skin',7.7403,0.00584,0.0,0.05728,'blower','[]','{"message":"holding.better_for_no_more_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"skin"}},"chance":0.00583990564543481,"other":{"message":"holding.with_hold_down","values":{"name":"tabs"}},"others":0.011889411556088917}}',0);
INSERT INTO "holding" VALUES(3,7,3,'full','full','holds',6.7728,0.00591,0.0,0.058,'blower','[]','{"message":"holding.not_worth_the_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"full"}},"chance":0.0059129022789704295,"other":{"message":"holding.with_hold_down","values":{"name":"skin"}},"others":0.0030081016793373472,"work":{"message":"holding.extra_work","values":{"name":"skin"}},"cost":0.37037037037037035,"instead_of":null,"loss":7.592592592592593}}',0);
INSERT INTO "holding" VALUES(4,8,4,'skin','skin','with a skin',4.1725,0.01013,0.0,0.0995,'blower','[]','{"message":"holding.better_for_no_more_work","values":{"best":{"message":"holding.hold_down_first","values":{"name":"skin"}},"chance":0.010129741047697443,"other":{"message":"holding.with_hold_down","values":{"name":"tabs"}},"others":0.012601950513115238}}',0);
CREATE TABLE job (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  number TEXT NOT NULL UNIQUE,                  -- 'J-1042'
  customer TEXT NOT NULL, title TEXT NOT NULL, due TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
  drawing TEXT NOT NULL,                        -- SHA-256 of the drawing's file
  taken_in_at TEXT NOT NULL
);
INSERT INTO "job" VALUES(1,'J-1001','Harbour office','Signs','2026-12-11','open','6bea4dad2bb06aebdb984152691ac5d29b51a1b5b9c4d70836028ae262254a39','2026-11-24T08:09:00.000Z');
INSERT INTO "job" VALUES(2,'J-1002','Harbour library','Signs','2026-12-11','open','451292ef2b46ab2d7986d6887c018c034ee37c65526eea7a85fad50426f8dee7','2026-11-24T09:45:00.000Z');
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
INSERT INTO "ledger" VALUES(1,'2026-11-24T08:03:00.000Z',1,'Owner','the program','opened the shop','the shop is opened',4,'[]','[{"t":"person","b":null,"a":{"id":1,"name":"Owner","roles":"operator assembler owner","is_active":1}},{"t":"cement","b":null,"a":{"id":1,"name":"Solvent cement","cure_hours":24.0,"reference_c":23.0,"coldest_c":16.0,"warmest_c":38.0,"kind":"solvent","open_min":0.0,"fixture_min":0.0,"handling_hours":0.0,"driest_percent":0.0,"dampest_percent":100.0,"ml_per_m2":0.0,"data_sheet":"","is_retired":0}}]','{"message":"people.shop_is_open","values":{},"codes":[],"data":{},"act":1}',NULL);
INSERT INTO "ledger" VALUES(2,'2026-11-24T08:09:00.000Z',1,'Owner','test tablet','took a job in','5bc8fbbcbde5c0994164d8399f767c45',4,'[]','[{"t":"stock","b":null,"a":{"id":1,"code":"blue-6","name":"blue","colour":"#33658a","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"stock","b":null,"a":{"id":2,"code":"cream-6","name":"cream","colour":"#f2e8cf","finish":"gloss","kind":"cast","thickness_mm":6.0,"length_mm":2440.0,"width_mm":1220.0,"turns":"any","cost":0.0}},{"t":"colour","b":null,"a":{"colour":"#33658a","stock":1}},{"t":"colour","b":null,"a":{"colour":"#f2e8cf","stock":2}},{"t":"job","b":null,"a":{"id":1,"number":"J-1001","customer":"Harbour office","title":"Signs","due":"2026-12-11","state":"open","drawing":"6bea4dad2bb06aebdb984152691ac5d29b51a1b5b9c4d70836028ae262254a39","taken_in_at":"2026-11-24T08:09:00.000Z"}},{"t":"code","b":null,"a":{"code":"39602296","kind":"sign","is_retired":0}},{"t":"sign","b":null,"a":{"id":1,"code":"39602296","job":1,"mark":"A","name":"LO","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}},{"t":"outline","b":null,"a":{"id":1,"stock":1,"rings":"[[[0.0,0.0],[400.0,0.0],[400.0,200.0],[0.0,200.0]]]","area_mm2":80000.0,"perimeter_mm":1200.0,"width_mm":400.0,"height_mm":200.0,"family":1}},{"t":"part","b":null,"a":{"id":1,"sign":1,"number":1,"name":"no. 1","level":0,"line":1,"lies_on":null,"colour":"#33658a","stock":1,"outline":1,"x_mm":0.0,"y_mm":0.0,"baseline_mm":0.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":2,"stock":2,"rings":"[[[0.0,0.0],[40.0,0.0],[40.0,80.0],[0.0,80.0]]]","area_mm2":3200.0,"perimeter_mm":240.0,"width_mm":40.0,"height_mm":80.0,"family":2}},{"t":"part","b":null,"a":{"id":2,"sign":1,"number":2,"name":"L","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":2,"x_mm":20.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":3,"stock":2,"rings":"[[[0.0,0.0],[60.0,0.0],[60.0,80.0],[0.0,80.0]]]","area_mm2":4800.0,"perimeter_mm":280.0,"width_mm":60.0,"height_mm":80.0,"family":3}},{"t":"part","b":null,"a":{"id":3,"sign":1,"number":3,"name":"O","level":1,"line":1,"lies_on":1,"colour":"#f2e8cf","stock":2,"outline":3,"x_mm":100.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"step","b":null,"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":1,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":1,"part":3,"done_at":null,"done_by":null}},{"t":"step","b":null,"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":2,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":2,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":2,"after":1}},{"t":"step","b":null,"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":3,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":3,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":3,"after":2}},{"t":"step","b":null,"a":{"id":4,"sign":1,"number":4,"kind":"clean","title":"Clean","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":4,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":4,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":4,"after":3}},{"t":"step","b":null,"a":{"id":5,"sign":1,"number":5,"kind":"polish","title":"Polish","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":5,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":5,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":5,"after":4}},{"t":"step","b":null,"a":{"id":6,"sign":1,"number":6,"kind":"inspect","title":"Inspect","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":6,"part":1,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":6,"part":2,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":6,"part":3,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":6,"after":5}},{"t":"step","b":null,"a":{"id":7,"sign":1,"number":7,"kind":"pack","title":"Pack","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":7,"after":6}},{"t":"step","b":null,"a":{"id":8,"sign":1,"number":8,"kind":"hand over","title":"Hand over","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":8,"after":7}},{"t":"code","b":null,"a":{"code":"50885059","kind":"sign","is_retired":0}},{"t":"sign","b":null,"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}},{"t":"part","b":null,"a":{"id":4,"sign":2,"number":1,"name":"no. 1","level":0,"line":1,"lies_on":null,"colour":"#33658a","stock":1,"outline":1,"x_mm":0.0,"y_mm":0.0,"baseline_mm":0.0,"gone_at":null}},{"t":"part","b":null,"a":{"id":5,"sign":2,"number":2,"name":"I","level":1,"line":1,"lies_on":4,"colour":"#f2e8cf","stock":2,"outline":2,"x_mm":20.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"part","b":null,"a":{"id":6,"sign":2,"number":3,"name":"I","level":1,"line":1,"lies_on":4,"colour":"#f2e8cf","stock":2,"outline":2,"x_mm":100.0,"y_mm":50.0,"baseline_mm":50.0,"gone_at":null}},{"t":"step","b":null,"a":{"id":9,"sign":2,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":9,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":9,"part":6,"done_at":null,"done_by":null}},{"t":"step","b":null,"a":{"id":10,"sign":2,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":10,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":10,"part":6,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":10,"after":9}},{"t":"step","b":null,"a":{"id":11,"sign":2,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":11,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":11,"part":6,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":11,"after":10}},{"t":"step","b":null,"a":{"id":12,"sign":2,"number":4,"kind":"clean","title":"Clean","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":12,"part":4,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":12,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":12,"part":6,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":12,"after":11}},{"t":"step","b":null,"a":{"id":13,"sign":2,"number":5,"kind":"polish","title":"Polish","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":13,"part":4,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":13,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":13,"part":6,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":13,"after":12}},{"t":"step","b":null,"a":{"id":14,"sign":2,"number":6,"kind":"inspect","title":"Inspect","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":14,"part":4,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":14,"part":5,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":14,"part":6,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":14,"after":13}},{"t":"step","b":null,"a":{"id":15,"sign":2,"number":7,"kind":"pack","title":"Pack","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":15,"after":14}},{"t":"step","b":null,"a":{"id":16,"sign":2,"number":8,"kind":"hand over","title":"Hand over","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":16,"after":15}},{"t":"code","b":null,"a":{"code":"17308383","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":1,"piece":1,"part":1,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"66447547","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":2,"piece":2,"part":2,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"80342468","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":3,"piece":3,"part":3,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"26000033","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":4,"piece":4,"part":4,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"15116316","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":5,"piece":5,"part":5,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"11159382","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":6,"code":"11159382","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}}]','{"message":"message.sentences","values":{"first":{"message":"message.sentences","values":{"first":{"message":"jobs.taken_in","values":{"job":"J-1001","signs":{"message":"jobs.signs","values":{"count":2}},"pieces":{"message":"jobs.pieces","values":{"count":6}}}},"second":{"message":"jobs.stock_made","values":{"colour":"#33658a","stock":"blue, 6 mm","length":"2440","width":"1220"}}}},"second":{"message":"jobs.stock_made","values":{"colour":"#f2e8cf","stock":"cream, 6 mm","length":"2440","width":"1220"}}},"codes":["39602296","50885059"],"data":{"job":"J-1001","signs":["39602296","50885059"],"stocks":[1,2],"pieces":{"1":["17308383","26000033"],"2":["66447547","80342468","15116316","11159382"]},"warnings":[{"message":"jobs.stock_made","values":{"colour":"#33658a","stock":"blue, 6 mm","length":"2440","width":"1220"}},{"message":"jobs.stock_made","values":{"colour":"#f2e8cf","stock":"cream, 6 mm","length":"2440","width":"1220"}}],"relabel":[]},"act":2}',NULL);
INSERT INTO "ledger" VALUES(3,'2026-11-24T08:15:00.000Z',1,'Owner','test tablet','nested pieces','5bc8fbbcbde5c0994164d8399f767c45/1',4,'[]','[{"t":"code","b":null,"a":{"code":"03324778","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":1,"code":"03324778","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"67375798","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":1,"sheet":1,"number":1,"along":"length","used_mm":220.35,"yield_share":0.5952,"other_yield_share":0.2976,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-24T08:15:00.000Z"}},{"t":"placement","b":null,"a":{"nest":1,"piece":1,"x_mm":212.0,"y_mm":12.0,"turn":90.0,"walk":1}},{"t":"piece","b":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":1,"piece":4,"x_mm":212.0,"y_mm":420.35,"turn":90.0,"walk":2}},{"t":"piece","b":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":1,"piece":1,"sheet":1,"way":"full","advised":"full","verdict":"holds","margin":9.0304,"chance":0.00509,"chance_low":0.0,"chance_high":0.04989,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.not_worth_the_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"full\"}},\"chance\":0.005088088238088732,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"skin\"}},\"others\":0.0030045572113314625,\"work\":{\"message\":\"holding.extra_work\",\"values\":{\"name\":\"skin\"}},\"cost\":0.31746031746031744,\"instead_of\":null,\"loss\":7.5555555555555545}}","came_free":0}},{"t":"holding","b":null,"a":{"nest":1,"piece":4,"sheet":1,"way":"full","advised":"full","verdict":"holds","margin":9.0304,"chance":0.00509,"chance_low":0.0,"chance_high":0.04989,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.not_worth_the_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"full\"}},\"chance\":0.005088088238088732,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"skin\"}},\"others\":0.0030045572113314625,\"work\":{\"message\":\"holding.extra_work\",\"values\":{\"name\":\"skin\"}},\"cost\":0.31746031746031744,\"instead_of\":null,\"loss\":7.5555555555555545}}","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":1,"sheet":1,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.811}}]','{"message":"sheets.nested","values":{"pieces":2,"sheets":["S-201"]},"codes":["67375798"],"data":{"sheets":["67375798"],"left_out":[]},"act":3}',NULL);
INSERT INTO "ledger" VALUES(4,'2026-11-24T08:21:00.000Z',1,'Owner','test tablet','nested pieces','5bc8fbbcbde5c0994164d8399f767c45/2',4,'[]','[{"t":"code","b":null,"a":{"code":"92174336","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":2,"code":"92174336","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null}},{"t":"code","b":null,"a":{"code":"48549193","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":2,"sheet":2,"number":1,"along":"length","used_mm":80.35,"yield_share":0.1469,"other_yield_share":0.0734,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-24T08:21:00.000Z"}},{"t":"placement","b":null,"a":{"nest":2,"piece":3,"x_mm":12.0,"y_mm":12.0,"turn":0.0,"walk":1}},{"t":"piece","b":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":2,"x_mm":12.0,"y_mm":100.35,"turn":0.0,"walk":2}},{"t":"piece","b":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":5,"x_mm":12.0,"y_mm":188.7,"turn":0.0,"walk":3}},{"t":"piece","b":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"placement","b":null,"a":{"nest":2,"piece":6,"x_mm":12.0,"y_mm":277.05,"turn":0.0,"walk":4}},{"t":"piece","b":{"id":6,"code":"11159382","outline":2,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":6,"code":"11159382","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":2,"piece":3,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":11.6105,"chance":0.00426,"chance_low":0.0,"chance_high":0.0418,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.better_for_no_more_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"skin\"}},\"chance\":0.004264242984083689,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"tabs\"}},\"others\":0.011202363709134727}}","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":2,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":7.7403,"chance":0.00584,"chance_low":0.0,"chance_high":0.05728,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.better_for_no_more_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"skin\"}},\"chance\":0.00583990564543481,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"tabs\"}},\"others\":0.011889411556088917}}","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":5,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":7.7403,"chance":0.00584,"chance_low":0.0,"chance_high":0.05728,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.better_for_no_more_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"skin\"}},\"chance\":0.00583990564543481,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"tabs\"}},\"others\":0.011889411556088917}}","came_free":0}},{"t":"holding","b":null,"a":{"nest":2,"piece":6,"sheet":2,"way":"skin","advised":"skin","verdict":"with a skin","margin":7.7403,"chance":0.00584,"chance_low":0.0,"chance_high":0.05728,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.better_for_no_more_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"skin\"}},\"chance\":0.00583990564543481,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"tabs\"}},\"others\":0.011889411556088917}}","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":2,"sheet":2,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.854}}]','{"message":"sheets.nested","values":{"pieces":4,"sheets":["S-202"]},"codes":["48549193"],"data":{"sheets":["48549193"],"left_out":[]},"act":4}',NULL);
INSERT INTO "ledger" VALUES(5,'2026-11-24T08:24:00.000Z',1,'Owner','test tablet','started a sheet','d76d4330f1446beab0c11fdecb91ce37',4,'[]','[{"t":"sheet","b":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"planned","nest":1,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"cutting","nest":1,"started_at":"2026-11-24T08:24:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":1,"code":"03324778","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":1,"code":"03324778","stock":1,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"message":"sheets.started_before_received","values":{"sheet":"S-201"},"codes":["67375798"],"data":{},"act":5}',NULL);
INSERT INTO "ledger" VALUES(6,'2026-11-24T08:27:00.000Z',1,'Owner','test tablet','took a sheet off the table','87b0b125ec1d7da0a6eb8c9ebd69fe29',4,'[]','[{"t":"sheet","b":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"cutting","nest":1,"started_at":"2026-11-24T08:24:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"off the table","nest":1,"started_at":"2026-11-24T08:24:00.000Z","started_by":1,"finished_at":"2026-11-24T08:27:00.000Z","closed_at":null}}]','{"message":"sheets.off_the_table","values":{"sheet":"S-201"},"codes":["67375798"],"data":{},"act":6}',NULL);
INSERT INTO "ledger" VALUES(7,'2026-11-24T08:30:00.000Z',1,'Owner','test tablet','marked the rest cut','c6a5387777330bdbd7210dff076ce2ef',4,'[{"event":"PieceCut","piece":1,"state":"ready"},{"event":"PieceCut","piece":4,"state":"ready"}]','[{"t":"piece","b":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"piece","b":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"09872891","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":3,"code":"09872891","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":1}},{"t":"sheet","b":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"off the table","nest":1,"started_at":"2026-11-24T08:24:00.000Z","started_by":1,"finished_at":"2026-11-24T08:27:00.000Z","closed_at":null},"a":{"id":1,"number":"S-201","code":"67375798","stock":1,"blank":1,"state":"closed","nest":1,"started_at":"2026-11-24T08:24:00.000Z","started_by":1,"finished_at":"2026-11-24T08:27:00.000Z","closed_at":"2026-11-24T08:30:00.000Z"}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.rest_marked","values":{"pieces":2}},"second":{"message":"sheets.closed_with_offcut","values":{"sheet":"S-201","offcut":"09872891"}}},"codes":["67375798","17308383","26000033"],"data":{"left":[],"is_closed":true,"offcut":"09872891"},"act":7}',NULL);
INSERT INTO "ledger" VALUES(8,'2026-11-24T08:33:00.000Z',1,'Owner','test tablet','started a sheet','0d464138a62332553fc1ea36f17fd374',4,'[]','[{"t":"sheet","b":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"planned","nest":2,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"cutting","nest":2,"started_at":"2026-11-24T08:33:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":2,"code":"92174336","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":0,"state":"booked","cut_from":null},"a":{"id":2,"code":"92174336","stock":2,"length_mm":2440.0,"width_mm":1220.0,"is_offcut":0,"is_bought":1,"state":"used","cut_from":null}}]','{"message":"sheets.started_before_received","values":{"sheet":"S-202"},"codes":["48549193"],"data":{},"act":8}',NULL);
INSERT INTO "ledger" VALUES(9,'2026-11-24T08:36:00.000Z',1,'Owner','test tablet','took a sheet off the table','5f2dd97f1cfb10f62827688de6a16a3b',4,'[]','[{"t":"sheet","b":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"cutting","nest":2,"started_at":"2026-11-24T08:33:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"off the table","nest":2,"started_at":"2026-11-24T08:33:00.000Z","started_by":1,"finished_at":"2026-11-24T08:36:00.000Z","closed_at":null}}]','{"message":"sheets.off_the_table","values":{"sheet":"S-202"},"codes":["48549193"],"data":{},"act":9}',NULL);
INSERT INTO "ledger" VALUES(10,'2026-11-24T08:39:00.000Z',1,'Owner','test tablet','marked the rest cut','617959ce3f1f65a8de5271007814e8a2',4,'[{"event":"PieceCut","piece":2,"state":"ready"},{"event":"PieceCut","piece":3,"state":"ready"},{"event":"PieceCut","piece":5,"state":"ready"},{"event":"PieceCut","piece":6,"state":"ready"}]','[{"t":"piece","b":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":6,"code":"11159382","outline":2,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":6,"code":"11159382","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"37233369","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":4,"code":"37233369","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":2}},{"t":"sheet","b":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"off the table","nest":2,"started_at":"2026-11-24T08:33:00.000Z","started_by":1,"finished_at":"2026-11-24T08:36:00.000Z","closed_at":null},"a":{"id":2,"number":"S-202","code":"48549193","stock":2,"blank":2,"state":"closed","nest":2,"started_at":"2026-11-24T08:33:00.000Z","started_by":1,"finished_at":"2026-11-24T08:36:00.000Z","closed_at":"2026-11-24T08:39:00.000Z"}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.rest_marked","values":{"pieces":4}},"second":{"message":"sheets.closed_with_offcut","values":{"sheet":"S-202","offcut":"37233369"}}},"codes":["48549193","66447547","80342468","15116316","11159382"],"data":{"left":[],"is_closed":true,"offcut":"37233369"},"act":10}',NULL);
INSERT INTO "ledger" VALUES(11,'2026-11-24T08:42:00.000Z',1,'Owner','test tablet','set out a part','3fd4235992edcf451a1afe878b33e968',4,'[]','[{"t":"step_part","b":{"step":1,"part":2,"done_at":null,"done_by":null},"a":{"step":1,"part":2,"done_at":"2026-11-24T08:42:00.000Z","done_by":1}}]','{"message":"message.sentences","values":{"first":{"message":"bench.part_ok","values":{"part":{"message":"bench.part","values":{"number":2,"name":"L"}}}},"second":{"message":"bench.are_set_out","values":{"count":1,"of":2}}},"codes":["39602296"],"data":{},"act":11}',NULL);
INSERT INTO "ledger" VALUES(12,'2026-11-24T08:45:00.000Z',1,'Owner','test tablet','set out a part','687c966c377b9aa2bb2edb20035b7399',4,'[]','[{"t":"step_part","b":{"step":1,"part":3,"done_at":null,"done_by":null},"a":{"step":1,"part":3,"done_at":"2026-11-24T08:45:00.000Z","done_by":1}},{"t":"step","b":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-24T08:45:00.000Z","done_by":1,"shut_until":null,"opened_why":null}}]','{"message":"message.sentences","values":{"first":{"message":"bench.part_ok","values":{"part":{"message":"bench.part","values":{"number":3,"name":"O"}}}},"second":{"message":"bench.level_is_set_out","values":{"level":1,"sign":"J-1001 A"}}},"codes":["39602296"],"data":{},"act":12}',NULL);
INSERT INTO "ledger" VALUES(13,'2026-11-24T08:48:00.000Z',1,'Owner','test tablet','glued up','de11cc9dea959c212e9c82b1478c281d',4,'[{"event":"PieceFixed","piece":2},{"event":"PieceFixed","piece":3},{"event":"PieceFixed","piece":1}]','[{"t":"glue_up","b":null,"a":{"id":1,"cement":1,"batch":"A-1","temperature_c":21.0,"humidity_percent":45.0,"at":"2026-11-24T08:48:00.000Z","cured_at":"2026-11-25T12:23:00.000Z","person":1,"began_at":null,"fixture_at":null,"handling_at":null,"overruled":""}},{"t":"piece","b":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":2,"code":"66447547","outline":2,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":1,"code":"17308383","outline":1,"stock":1,"state":"fixed","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"glue_up_piece","b":null,"a":{"glue_up":1,"piece":2}},{"t":"glue_up_piece","b":null,"a":{"glue_up":1,"piece":3}},{"t":"step_part","b":{"step":2,"part":2,"done_at":null,"done_by":null},"a":{"step":2,"part":2,"done_at":"2026-11-24T08:48:00.000Z","done_by":1}},{"t":"step_part","b":{"step":2,"part":3,"done_at":null,"done_by":null},"a":{"step":2,"part":3,"done_at":"2026-11-24T08:48:00.000Z","done_by":1}},{"t":"step","b":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-24T08:48:00.000Z","done_by":1,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:23:00.000Z","opened_why":null}},{"t":"climate","b":null,"a":{"id":1,"at":"2026-11-24T08:48:00.000Z","temperature_c":21.0,"humidity_percent":45.0,"source":"typed","person":1}}]','{"message":"message.sentences","values":{"first":{"message":"gluing.signs_glued","values":{"signs":["J-1001 A"],"count":1}},"second":{"message":"gluing.curing","values":{"end":"2026-11-25T12:23:00+00:00"}}},"codes":["39602296"],"data":{},"act":13}',NULL);
INSERT INTO "ledger" VALUES(14,'2026-11-24T08:51:00.000Z',1,'Owner','test tablet','opened a cure early','c30d8b7628dbd25e63b229f1c4069545',4,'[{"event":"CureOpened","step":3,"reason":"held by a clamp","shut_until":"2026-11-25T12:23:00.000Z"}]','[{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:23:00.000Z","opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T08:51:00.000Z","done_by":1,"shut_until":"2026-11-25T12:23:00.000Z","opened_why":"held by a clamp"}}]','{"message":"gluing.opened_early","values":{"level":1,"sign":"J-1001 A","why":"held by a clamp"},"codes":["39602296"],"data":{},"act":14}',NULL);
INSERT INTO "ledger" VALUES(15,'2026-11-24T08:54:00.000Z',1,'Owner','test tablet','marked pieces','9e30691c238642ea126a1e48cc11d357',4,'[{"event":"PieceCameOff","piece":3}]','[{"t":"piece","b":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"step_part","b":{"step":1,"part":3,"done_at":"2026-11-24T08:45:00.000Z","done_by":1},"a":{"step":1,"part":3,"done_at":null,"done_by":null}},{"t":"step_part","b":{"step":2,"part":3,"done_at":"2026-11-24T08:48:00.000Z","done_by":1},"a":{"step":2,"part":3,"done_at":null,"done_by":null}},{"t":"step","b":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-24T08:45:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-24T08:48:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T08:51:00.000Z","done_by":1,"shut_until":"2026-11-25T12:23:00.000Z","opened_why":"held by a clamp"},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}}]','{"message":"message.sentences","values":{"first":{"message":"pieces.piece_is","values":{"what":{"message":"pieces.part_of_sign","values":{"name":"O","sign":"J-1001 A"}},"state":"ready"}},"second":{"message":"pieces.redo","values":{"steps":[{"message":"bench.task","values":{"kind":"lay out","level":1,"title":"Lay out level 1"}},{"message":"bench.task","values":{"kind":"glue","level":1,"title":"Glue level 1"}}]}}},"codes":["80342468"],"data":{"recuts":[],"changed":true,"pieces":[{"code":"80342468","state":"ready","was":"fixed"}]},"act":15}',NULL);
INSERT INTO "ledger" VALUES(16,'2026-11-24T08:57:00.000Z',1,'Owner','test tablet','set out a part','21da8978206f5c6671e0c07e9e115e4b',4,'[]','[{"t":"step_part","b":{"step":1,"part":3,"done_at":null,"done_by":null},"a":{"step":1,"part":3,"done_at":"2026-11-24T08:57:00.000Z","done_by":1}},{"t":"step","b":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":1,"sign":1,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-24T08:57:00.000Z","done_by":1,"shut_until":null,"opened_why":null}}]','{"message":"message.sentences","values":{"first":{"message":"bench.part_ok","values":{"part":{"message":"bench.part","values":{"number":3,"name":"O"}}}},"second":{"message":"bench.level_is_set_out","values":{"level":1,"sign":"J-1001 A"}}},"codes":["39602296"],"data":{},"act":16}',NULL);
INSERT INTO "ledger" VALUES(17,'2026-11-24T09:00:00.000Z',1,'Owner','test tablet','glued up','015c33b2df1461aaf8eb18b900745130',4,'[{"event":"PieceFixed","piece":3}]','[{"t":"glue_up","b":null,"a":{"id":2,"cement":1,"batch":"A-1","temperature_c":21.0,"humidity_percent":45.0,"at":"2026-11-24T09:00:00.000Z","cured_at":"2026-11-25T12:35:00.000Z","person":1,"began_at":null,"fixture_at":null,"handling_at":null,"overruled":""}},{"t":"piece","b":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":3,"code":"80342468","outline":3,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"glue_up_piece","b":null,"a":{"glue_up":2,"piece":3}},{"t":"step_part","b":{"step":2,"part":3,"done_at":null,"done_by":null},"a":{"step":2,"part":3,"done_at":"2026-11-24T09:00:00.000Z","done_by":1}},{"t":"step","b":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":2,"sign":1,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-24T09:00:00.000Z","done_by":1,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:35:00.000Z","opened_why":null}},{"t":"climate","b":null,"a":{"id":2,"at":"2026-11-24T09:00:00.000Z","temperature_c":21.0,"humidity_percent":45.0,"source":"typed","person":1}}]','{"message":"message.sentences","values":{"first":{"message":"gluing.signs_glued","values":{"signs":["J-1001 A"],"count":1}},"second":{"message":"gluing.curing","values":{"end":"2026-11-25T12:35:00+00:00"}}},"codes":["39602296"],"data":{},"act":17}',NULL);
INSERT INTO "ledger" VALUES(18,'2026-11-24T09:03:00.000Z',1,'Owner','test tablet','opened a cure early','f5cae3bf3729c619c60a3cab359eeefb',4,'[{"event":"CureOpened","step":3,"reason":"the van is here","shut_until":"2026-11-25T12:35:00.000Z"}]','[{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:35:00.000Z","opened_why":null},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T09:03:00.000Z","done_by":1,"shut_until":"2026-11-25T12:35:00.000Z","opened_why":"the van is here"}}]','{"message":"gluing.opened_early","values":{"level":1,"sign":"J-1001 A","why":"the van is here"},"codes":["39602296"],"data":{},"act":18}',NULL);
INSERT INTO "ledger" VALUES(19,'2026-11-24T09:06:00.000Z',1,'Owner','test tablet','undid','2a9eba0cdf561d802a759159fb7ff337',4,'[]','[{"t":"step","b":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T09:03:00.000Z","done_by":1,"shut_until":"2026-11-25T12:35:00.000Z","opened_why":"the van is here"},"a":{"id":3,"sign":1,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:35:00.000Z","opened_why":null}}]','{"message":"ledger.undone","values":{"what":{"message":"gluing.opened_early","values":{"level":1,"sign":"J-1001 A","why":"the van is here"}}},"codes":["39602296"],"data":{},"act":19}',18);
INSERT INTO "ledger" VALUES(20,'2026-11-24T09:09:00.000Z',1,'Owner','test tablet','set out a part','32ea6928f6236bf2504b74ba4a0fe75d',4,'[]','[{"t":"step_part","b":{"step":9,"part":5,"done_at":null,"done_by":null},"a":{"step":9,"part":5,"done_at":"2026-11-24T09:09:00.000Z","done_by":1}}]','{"message":"message.sentences","values":{"first":{"message":"bench.part_ok","values":{"part":{"message":"bench.part","values":{"number":2,"name":"I"}}}},"second":{"message":"bench.are_set_out","values":{"count":1,"of":2}}},"codes":["50885059"],"data":{},"act":20}',NULL);
INSERT INTO "ledger" VALUES(21,'2026-11-24T09:12:00.000Z',1,'Owner','test tablet','glued up','a02fdaa1ad864c44e049548e8a0a8c96',4,'[{"event":"PieceFixed","piece":5},{"event":"PieceFixed","piece":4}]','[{"t":"glue_up","b":null,"a":{"id":3,"cement":1,"batch":"A-1","temperature_c":21.0,"humidity_percent":45.0,"at":"2026-11-24T09:12:00.000Z","cured_at":"2026-11-25T12:47:00.000Z","person":1,"began_at":null,"fixture_at":null,"handling_at":null,"overruled":""}},{"t":"piece","b":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null},"a":{"id":5,"code":"15116316","outline":2,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":2,"was":null,"cause":null}},{"t":"piece","b":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null},"a":{"id":4,"code":"26000033","outline":1,"stock":1,"state":"fixed","attempt":1,"tabs":0,"sheet":1,"was":null,"cause":null}},{"t":"glue_up_piece","b":null,"a":{"glue_up":3,"piece":5}},{"t":"step_part","b":{"step":10,"part":5,"done_at":null,"done_by":null},"a":{"step":10,"part":5,"done_at":"2026-11-24T09:12:00.000Z","done_by":1}},{"t":"step","b":{"id":10,"sign":2,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":10,"sign":2,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:47:00.000Z","opened_why":null}},{"t":"climate","b":null,"a":{"id":3,"at":"2026-11-24T09:12:00.000Z","temperature_c":21.0,"humidity_percent":45.0,"source":"typed","person":1}}]','{"message":"message.sentences","values":{"first":{"message":"gluing.glued","values":{"parts":[{"message":"gluing.parts_of_level","values":{"count":1,"of":2,"level":1,"sign":"J-1001 B"}}]}},"second":{"message":"gluing.curing","values":{"end":"2026-11-25T12:47:00+00:00"}}},"codes":["50885059"],"data":{},"act":21}',NULL);
INSERT INTO "ledger" VALUES(22,'2026-11-24T09:15:00.000Z',1,'Owner','test tablet','opened a cure early','f7f35634f0e3cd972e81d66d346c6e2b',4,'[{"event":"CureOpened","step":10,"reason":"one letter only","shut_until":"2026-11-25T12:47:00.000Z"}]','[{"t":"step","b":{"id":10,"sign":2,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T12:47:00.000Z","opened_why":null},"a":{"id":10,"sign":2,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}}]','{"message":"gluing.opened_early","values":{"level":1,"sign":"J-1001 B","why":"one letter only"},"codes":["50885059"],"data":{},"act":22}',NULL);
INSERT INTO "ledger" VALUES(23,'2026-11-24T09:18:00.000Z',1,'Owner','test tablet','put a sign on hold','f7108e96f770c2263266aa3bb0cde917',4,'[{"event":"SignChanged","sign":2,"was":"open","state":"on hold","reason":"no red acrylic"}]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"}}]','{"message":"signs.held","values":{"sign":"J-1001 B","why":"no red acrylic"},"codes":["50885059"],"data":{},"act":23}',NULL);
INSERT INTO "ledger" VALUES(24,'2026-11-24T09:21:00.000Z',1,'Owner','test tablet','cancelled a sign','0585a01c4c7d6df0621aef57e4cc4132',4,'[{"event":"AssignmentEnded","piece":6,"why":"the sign was cancelled"},{"event":"SignChanged","sign":2,"was":"on hold","state":"cancelled","reason":"the customer called"}]','[{"t":"assignment","b":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null},"a":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":"2026-11-24T09:21:00.000Z","why_ended":"the sign was cancelled"}},{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"cancelled"}}]','{"message":"signs.cancelled","values":{"sign":"J-1001 B","why":"the customer called","not_needed":0,"spare":1,"glued":2},"codes":["50885059"],"data":{},"act":24}',NULL);
INSERT INTO "ledger" VALUES(25,'2026-11-24T09:24:00.000Z',1,'Owner','test tablet','undid','ef901b932a7c18806a3753915c76f18a',4,'[]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"cancelled"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"}},{"t":"assignment","b":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":"2026-11-24T09:21:00.000Z","why_ended":"the sign was cancelled"},"a":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null}}]','{"message":"ledger.undone","values":{"what":{"message":"signs.cancelled","values":{"sign":"J-1001 B","why":"the customer called","not_needed":0,"spare":1,"glued":2}}},"codes":["50885059"],"data":{},"act":25}',24);
INSERT INTO "ledger" VALUES(26,'2026-11-24T09:27:00.000Z',1,'Owner','test tablet','resumed a sign','54f46a6910acff0043892dfc254cb864',4,'[{"event":"SignChanged","sign":2,"was":"on hold","state":"open","reason":""}]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}}]','{"message":"signs.resumed","values":{"sign":"J-1001 B"},"codes":["50885059"],"data":{},"act":26}',NULL);
INSERT INTO "ledger" VALUES(27,'2026-11-24T09:30:00.000Z',1,'Owner','test tablet','put a sign on hold','960d5a8f9a656aafd14125844d25deb3',4,'[{"event":"SignChanged","sign":2,"was":"open","state":"on hold","reason":""}]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"}}]','{"message":"signs.held","values":{"sign":"J-1001 B","why":""},"codes":["50885059"],"data":{},"act":27}',NULL);
INSERT INTO "ledger" VALUES(28,'2026-11-24T09:33:00.000Z',1,'Owner','test tablet','undid','b52a43abad8d194a9892139600ddb74d',4,'[]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"}}]','{"message":"ledger.undone","values":{"what":{"message":"signs.held","values":{"sign":"J-1001 B","why":""}}},"codes":["50885059"],"data":{},"act":28}',27);
INSERT INTO "ledger" VALUES(29,'2026-11-24T09:36:00.000Z',1,'Owner','test tablet','put a sign on hold','5af84e6b4f59672710e6d8e6568068b9',4,'[{"event":"SignChanged","sign":2,"was":"open","state":"on hold","reason":"the wall is wet"}]','[{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"open"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"}}]','{"message":"signs.held","values":{"sign":"J-1001 B","why":"the wall is wet"},"codes":["50885059"],"data":{},"act":29}',NULL);
INSERT INTO "ledger" VALUES(30,'2026-11-24T09:39:00.000Z',1,'Owner','test tablet','cancelled a sign','b24891917b121dc54e5a3a26d18a669a',4,'[{"event":"AssignmentEnded","piece":6,"why":"the sign was cancelled"},{"event":"SignChanged","sign":2,"was":"on hold","state":"cancelled","reason":"the shop closes"}]','[{"t":"assignment","b":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":null,"why_ended":null},"a":{"id":6,"piece":6,"part":6,"begun_at":"2026-11-24T08:09:00.000Z","ended_at":"2026-11-24T09:39:00.000Z","why_ended":"the sign was cancelled"}},{"t":"sign","b":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"on hold"},"a":{"id":2,"code":"50885059","job":1,"mark":"B","name":"II","width_mm":400.0,"height_mm":200.0,"levels":2,"state":"cancelled"}}]','{"message":"signs.cancelled","values":{"sign":"J-1001 B","why":"the shop closes","not_needed":0,"spare":1,"glued":2},"codes":["50885059"],"data":{},"act":30}',NULL);
INSERT INTO "ledger" VALUES(31,'2026-11-24T09:45:00.000Z',1,'Owner','test tablet','took a job in','78f845f57b3120df2f4d4c8650d7d13f',4,'[]','[{"t":"job","b":null,"a":{"id":2,"number":"J-1002","customer":"Harbour library","title":"Signs","due":"2026-12-11","state":"open","drawing":"4605e054ea3f0210880faa26a07f1c39b076337088ea878c45d945290f9701d9","taken_in_at":"2026-11-24T09:45:00.000Z"}},{"t":"code","b":null,"a":{"code":"87298448","kind":"sign","is_retired":0}},{"t":"sign","b":null,"a":{"id":3,"code":"87298448","job":2,"mark":"A","name":"Signs","width_mm":600.0,"height_mm":100.0,"levels":2,"state":"open"}},{"t":"outline","b":null,"a":{"id":4,"stock":1,"rings":"[[[0.0,0.0],[600.0,0.0],[600.0,100.0],[0.0,100.0]]]","area_mm2":60000.0,"perimeter_mm":1400.0,"width_mm":600.0,"height_mm":100.0,"family":4}},{"t":"part","b":null,"a":{"id":7,"sign":3,"number":1,"name":"board","level":0,"line":1,"lies_on":null,"colour":"#33658a","stock":1,"outline":4,"x_mm":0.0,"y_mm":0.0,"baseline_mm":0.0,"gone_at":null}},{"t":"outline","b":null,"a":{"id":5,"stock":2,"rings":"[[[0.0,0.0],[30.0,0.0],[30.0,60.0],[10.0,60.0],[0.0,45.0]]]","area_mm2":1725.0,"perimeter_mm":173.028,"width_mm":30.0,"height_mm":60.0,"family":5}},{"t":"part","b":null,"a":{"id":8,"sign":3,"number":2,"name":"A","level":1,"line":1,"lies_on":7,"colour":"#f2e8cf","stock":2,"outline":5,"x_mm":20.0,"y_mm":20.0,"baseline_mm":20.0,"gone_at":null}},{"t":"step","b":null,"a":{"id":17,"sign":3,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":17,"part":8,"done_at":null,"done_by":null}},{"t":"step","b":null,"a":{"id":18,"sign":3,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":18,"part":8,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":18,"after":17}},{"t":"step","b":null,"a":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":19,"part":8,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":19,"after":18}},{"t":"step","b":null,"a":{"id":20,"sign":3,"number":4,"kind":"clean","title":"Clean","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":20,"part":7,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":20,"part":8,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":20,"after":19}},{"t":"step","b":null,"a":{"id":21,"sign":3,"number":5,"kind":"polish","title":"Polish","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":21,"part":7,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":21,"part":8,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":21,"after":20}},{"t":"step","b":null,"a":{"id":22,"sign":3,"number":6,"kind":"inspect","title":"Inspect","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_part","b":null,"a":{"step":22,"part":7,"done_at":null,"done_by":null}},{"t":"step_part","b":null,"a":{"step":22,"part":8,"done_at":null,"done_by":null}},{"t":"step_after","b":null,"a":{"step":22,"after":21}},{"t":"step","b":null,"a":{"id":23,"sign":3,"number":7,"kind":"pack","title":"Pack","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":23,"after":22}},{"t":"step","b":null,"a":{"id":24,"sign":3,"number":8,"kind":"hand over","title":"Hand over","level":null,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null}},{"t":"step_after","b":null,"a":{"step":24,"after":23}},{"t":"code","b":null,"a":{"code":"90039961","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":7,"piece":7,"part":7,"begun_at":"2026-11-24T09:45:00.000Z","ended_at":null,"why_ended":null}},{"t":"code","b":null,"a":{"code":"60439067","kind":"piece","is_retired":0}},{"t":"piece","b":null,"a":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null}},{"t":"assignment","b":null,"a":{"id":8,"piece":8,"part":8,"begun_at":"2026-11-24T09:45:00.000Z","ended_at":null,"why_ended":null}}]','{"message":"jobs.taken_in","values":{"job":"J-1002","signs":{"message":"jobs.signs","values":{"count":1}},"pieces":{"message":"jobs.pieces","values":{"count":2}}},"codes":["87298448"],"data":{"job":"J-1002","signs":["87298448"],"stocks":[1,2],"pieces":{"1":["90039961"],"2":["60439067"]},"warnings":[],"relabel":[]},"act":31}',NULL);
INSERT INTO "ledger" VALUES(32,'2026-11-24T09:51:00.000Z',1,'Owner','test tablet','nested pieces','78f845f57b3120df2f4d4c8650d7d13f/1',4,'[]','[{"t":"blank","b":{"id":3,"code":"09872891","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":1},"a":{"id":3,"code":"09872891","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"booked","cut_from":1}},{"t":"code","b":null,"a":{"code":"46419642","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"planned","nest":3,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":3,"sheet":3,"number":1,"along":"length","used_mm":120.35,"yield_share":0.4086,"other_yield_share":0.2246,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-24T09:51:00.000Z"}},{"t":"placement","b":null,"a":{"nest":3,"piece":7,"x_mm":112.0,"y_mm":12.0,"turn":90.0,"walk":1}},{"t":"piece","b":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":3,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":3,"piece":7,"sheet":3,"way":"full","advised":"full","verdict":"holds","margin":6.7728,"chance":0.00591,"chance_low":0.0,"chance_high":0.058,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.not_worth_the_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"full\"}},\"chance\":0.0059129022789704295,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"skin\"}},\"others\":0.0030081016793373472,\"work\":{\"message\":\"holding.extra_work\",\"values\":{\"name\":\"skin\"}},\"cost\":0.37037037037037035,\"instead_of\":null,\"loss\":7.592592592592593}}","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":3,"sheet":3,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.44}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.nested","values":{"pieces":1,"sheets":["S-203"]}},"second":{"message":"recuts.cut_from","values":{"blank":"0987 2891","waste_cm2":868}}},"codes":["46419642"],"data":{"sheets":["46419642"],"left_out":[]},"act":32}',NULL);
INSERT INTO "ledger" VALUES(33,'2026-11-24T09:57:00.000Z',1,'Owner','test tablet','nested pieces','78f845f57b3120df2f4d4c8650d7d13f/2',4,'[]','[{"t":"blank","b":{"id":4,"code":"37233369","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":2},"a":{"id":4,"code":"37233369","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"booked","cut_from":2}},{"t":"code","b":null,"a":{"code":"28968305","kind":"sheet","is_retired":0}},{"t":"sheet","b":null,"a":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"planned","nest":4,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null}},{"t":"nest","b":null,"a":{"id":4,"sheet":4,"number":1,"along":"length","used_mm":50.35,"yield_share":0.0281,"other_yield_share":0.0145,"gap_mm":8.35,"margin_mm":12.0,"made_at":"2026-11-24T09:57:00.000Z"}},{"t":"placement","b":null,"a":{"nest":4,"piece":8,"x_mm":12.0,"y_mm":12.0,"turn":0.0,"walk":1}},{"t":"piece","b":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"waiting","attempt":1,"tabs":0,"sheet":null,"was":null,"cause":null},"a":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null}},{"t":"holding","b":null,"a":{"nest":4,"piece":8,"sheet":4,"way":"skin","advised":"skin","verdict":"with a skin","margin":4.1725,"chance":0.01013,"chance_low":0.0,"chance_high":0.0995,"pump":"blower","tabs":"[]","why":"{\"message\":\"holding.better_for_no_more_work\",\"values\":{\"best\":{\"message\":\"holding.hold_down_first\",\"values\":{\"name\":\"skin\"}},\"chance\":0.010129741047697443,\"other\":{\"message\":\"holding.with_hold_down\",\"values\":{\"name\":\"tabs\"}},\"others\":0.012601950513115238}}","came_free":0}},{"t":"nest_run","b":null,"a":{"nest":4,"sheet":4,"cutter":null,"cutter_mm":6.35,"pump":"blower","vacuum_inhg":8.0,"path_min":0.159}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.nested","values":{"pieces":1,"sheets":["S-204"]}},"second":{"message":"recuts.cut_from","values":{"blank":"3723 3369","waste_cm2":597}}},"codes":["28968305"],"data":{"sheets":["28968305"],"left_out":[]},"act":33}',NULL);
INSERT INTO "ledger" VALUES(34,'2026-11-24T10:00:00.000Z',1,'Owner','test tablet','started a sheet','419521fe0e979cf32d1634b4b4653252',4,'[]','[{"t":"sheet","b":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"planned","nest":3,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"cutting","nest":3,"started_at":"2026-11-24T10:00:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":3,"code":"09872891","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"booked","cut_from":1},"a":{"id":3,"code":"09872891","stock":1,"length_mm":2219.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"used","cut_from":1}}]','{"message":"sheets.started","values":{"sheet":"S-203"},"codes":["46419642"],"data":{},"act":34}',NULL);
INSERT INTO "ledger" VALUES(35,'2026-11-24T10:03:00.000Z',1,'Owner','test tablet','took a sheet off the table','f3001cee05da8467f06313fff9a01fe8',4,'[]','[{"t":"sheet","b":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"cutting","nest":3,"started_at":"2026-11-24T10:00:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"off the table","nest":3,"started_at":"2026-11-24T10:00:00.000Z","started_by":1,"finished_at":"2026-11-24T10:03:00.000Z","closed_at":null}}]','{"message":"sheets.off_the_table","values":{"sheet":"S-203"},"codes":["46419642"],"data":{},"act":35}',NULL);
INSERT INTO "ledger" VALUES(36,'2026-11-24T10:06:00.000Z',1,'Owner','test tablet','marked the rest cut','677fd139d84a1d3a5b8e8fb2bff29101',4,'[{"event":"PieceCut","piece":7,"state":"ready"}]','[{"t":"piece","b":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"nested","attempt":1,"tabs":0,"sheet":3,"was":null,"cause":null},"a":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":3,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"17814605","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":5,"code":"17814605","stock":1,"length_mm":2099.3,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":3}},{"t":"sheet","b":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"off the table","nest":3,"started_at":"2026-11-24T10:00:00.000Z","started_by":1,"finished_at":"2026-11-24T10:03:00.000Z","closed_at":null},"a":{"id":3,"number":"S-203","code":"46419642","stock":1,"blank":3,"state":"closed","nest":3,"started_at":"2026-11-24T10:00:00.000Z","started_by":1,"finished_at":"2026-11-24T10:03:00.000Z","closed_at":"2026-11-24T10:06:00.000Z"}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.rest_marked","values":{"pieces":1}},"second":{"message":"sheets.closed_with_offcut","values":{"sheet":"S-203","offcut":"17814605"}}},"codes":["46419642","90039961"],"data":{"left":[],"is_closed":true,"offcut":"17814605"},"act":36}',NULL);
INSERT INTO "ledger" VALUES(37,'2026-11-24T10:09:00.000Z',1,'Owner','test tablet','started a sheet','6b384309c9a937a68c8f95ef04a012e8',4,'[]','[{"t":"sheet","b":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"planned","nest":4,"started_at":null,"started_by":null,"finished_at":null,"closed_at":null},"a":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"cutting","nest":4,"started_at":"2026-11-24T10:09:00.000Z","started_by":1,"finished_at":null,"closed_at":null}},{"t":"blank","b":{"id":4,"code":"37233369","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"booked","cut_from":2},"a":{"id":4,"code":"37233369","stock":2,"length_mm":2359.65,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"used","cut_from":2}}]','{"message":"sheets.started","values":{"sheet":"S-204"},"codes":["28968305"],"data":{},"act":37}',NULL);
INSERT INTO "ledger" VALUES(38,'2026-11-24T10:12:00.000Z',1,'Owner','test tablet','took a sheet off the table','d75b1e249419cf4d60597bdc5dbe4409',4,'[]','[{"t":"sheet","b":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"cutting","nest":4,"started_at":"2026-11-24T10:09:00.000Z","started_by":1,"finished_at":null,"closed_at":null},"a":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"off the table","nest":4,"started_at":"2026-11-24T10:09:00.000Z","started_by":1,"finished_at":"2026-11-24T10:12:00.000Z","closed_at":null}}]','{"message":"sheets.off_the_table","values":{"sheet":"S-204"},"codes":["28968305"],"data":{},"act":38}',NULL);
INSERT INTO "ledger" VALUES(39,'2026-11-24T10:15:00.000Z',1,'Owner','test tablet','marked the rest cut','b52fa53c0bf64ef773ec28d00252f615',4,'[{"event":"PieceCut","piece":8,"state":"ready"}]','[{"t":"piece","b":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"nested","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null},"a":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null}},{"t":"code","b":null,"a":{"code":"43909252","kind":"blank","is_retired":0}},{"t":"blank","b":null,"a":{"id":6,"code":"43909252","stock":2,"length_mm":2309.3,"width_mm":1220.0,"is_offcut":1,"is_bought":1,"state":"free","cut_from":4}},{"t":"sheet","b":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"off the table","nest":4,"started_at":"2026-11-24T10:09:00.000Z","started_by":1,"finished_at":"2026-11-24T10:12:00.000Z","closed_at":null},"a":{"id":4,"number":"S-204","code":"28968305","stock":2,"blank":4,"state":"closed","nest":4,"started_at":"2026-11-24T10:09:00.000Z","started_by":1,"finished_at":"2026-11-24T10:12:00.000Z","closed_at":"2026-11-24T10:15:00.000Z"}}]','{"message":"message.sentences","values":{"first":{"message":"sheets.rest_marked","values":{"pieces":1}},"second":{"message":"sheets.closed_with_offcut","values":{"sheet":"S-204","offcut":"43909252"}}},"codes":["28968305","60439067"],"data":{"left":[],"is_closed":true,"offcut":"43909252"},"act":39}',NULL);
INSERT INTO "ledger" VALUES(40,'2026-11-24T10:18:00.000Z',1,'Owner','test tablet','set out a part','f453324ef486ab739faba8272e50bd4e',4,'[]','[{"t":"step_part","b":{"step":17,"part":8,"done_at":null,"done_by":null},"a":{"step":17,"part":8,"done_at":"2026-11-24T10:18:00.000Z","done_by":1}},{"t":"step","b":{"id":17,"sign":3,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":17,"sign":3,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-24T10:18:00.000Z","done_by":1,"shut_until":null,"opened_why":null}}]','{"message":"message.sentences","values":{"first":{"message":"bench.part_ok","values":{"part":{"message":"bench.part","values":{"number":2,"name":"A"}}}},"second":{"message":"bench.level_is_set_out","values":{"level":1,"sign":"J-1002 A"}}},"codes":["87298448"],"data":{},"act":40}',NULL);
INSERT INTO "ledger" VALUES(41,'2026-11-24T10:21:00.000Z',1,'Owner','test tablet','glued up','3eff8b3fc177f1131e782196324f3e81',4,'[{"event":"PieceFixed","piece":8},{"event":"PieceFixed","piece":7}]','[{"t":"glue_up","b":null,"a":{"id":4,"cement":1,"batch":"A-1","temperature_c":21.0,"humidity_percent":45.0,"at":"2026-11-24T10:21:00.000Z","cured_at":"2026-11-25T13:56:00.000Z","person":1,"began_at":null,"fixture_at":null,"handling_at":null,"overruled":""}},{"t":"piece","b":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"ready","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null},"a":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null}},{"t":"piece","b":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"ready","attempt":1,"tabs":0,"sheet":3,"was":null,"cause":null},"a":{"id":7,"code":"90039961","outline":4,"stock":1,"state":"fixed","attempt":1,"tabs":0,"sheet":3,"was":null,"cause":null}},{"t":"glue_up_piece","b":null,"a":{"glue_up":4,"piece":8}},{"t":"step_part","b":{"step":18,"part":8,"done_at":null,"done_by":null},"a":{"step":18,"part":8,"done_at":"2026-11-24T10:21:00.000Z","done_by":1}},{"t":"step","b":{"id":18,"sign":3,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":18,"sign":3,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-24T10:21:00.000Z","done_by":1,"shut_until":null,"opened_why":null}},{"t":"step","b":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":null,"opened_why":null},"a":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T13:56:00.000Z","opened_why":null}},{"t":"climate","b":null,"a":{"id":4,"at":"2026-11-24T10:21:00.000Z","temperature_c":21.0,"humidity_percent":45.0,"source":"typed","person":1}}]','{"message":"message.sentences","values":{"first":{"message":"gluing.signs_glued","values":{"signs":["J-1002 A"],"count":1}},"second":{"message":"gluing.curing","values":{"end":"2026-11-25T13:56:00+00:00"}}},"codes":["87298448"],"data":{},"act":41}',NULL);
INSERT INTO "ledger" VALUES(42,'2026-11-24T10:24:00.000Z',1,'Owner','test tablet','opened a cure early','76531737f129c8c6d1ca4dc4edfde416',4,'[{"event":"CureOpened","step":19,"reason":"hung tonight","shut_until":"2026-11-25T13:56:00.000Z"}]','[{"t":"step","b":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":null,"done_by":null,"shut_until":"2026-11-25T13:56:00.000Z","opened_why":null},"a":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T10:24:00.000Z","done_by":1,"shut_until":"2026-11-25T13:56:00.000Z","opened_why":"hung tonight"}}]','{"message":"gluing.opened_early","values":{"level":1,"sign":"J-1002 A","why":"hung tonight"},"codes":["87298448"],"data":{},"act":42}',NULL);
INSERT INTO "ledger" VALUES(43,'2026-11-24T10:27:00.000Z',1,'Owner','test tablet','put a sign on hold','e488b6c85ad3ba328332f05a58296818',4,'[{"event":"SignChanged","sign":3,"was":"open","state":"on hold","reason":"a new text comes"}]','[{"t":"sign","b":{"id":3,"code":"87298448","job":2,"mark":"A","name":"Signs","width_mm":600.0,"height_mm":100.0,"levels":2,"state":"open"},"a":{"id":3,"code":"87298448","job":2,"mark":"A","name":"Signs","width_mm":600.0,"height_mm":100.0,"levels":2,"state":"on hold"}}]','{"message":"signs.held","values":{"sign":"J-1002 A","why":"a new text comes"},"codes":["87298448"],"data":{},"act":43}',NULL);
INSERT INTO "ledger" VALUES(44,'2026-11-24T10:33:00.000Z',1,'Owner','test tablet','changed a job''s drawing','767d5274c68deb5d403a960a8652dbd0',4,'[{"event":"PieceDamaged","piece":8,"was":"fixed","cause":"the drawing changed"},{"event":"AssignmentEnded","piece":8,"why":"damaged"}]','[{"t":"part","b":{"id":8,"sign":3,"number":2,"name":"A","level":1,"line":1,"lies_on":7,"colour":"#f2e8cf","stock":2,"outline":5,"x_mm":20.0,"y_mm":20.0,"baseline_mm":20.0,"gone_at":null},"a":{"id":8,"sign":3,"number":2,"name":"A","level":1,"line":1,"lies_on":7,"colour":"#f2e8cf","stock":2,"outline":5,"x_mm":20.0,"y_mm":20.0,"baseline_mm":20.0,"gone_at":"2026-11-24T10:33:00.000Z"}},{"t":"step_part","b":{"step":17,"part":8,"done_at":"2026-11-24T10:18:00.000Z","done_by":1},"a":null},{"t":"step_part","b":{"step":18,"part":8,"done_at":"2026-11-24T10:21:00.000Z","done_by":1},"a":null},{"t":"step_part","b":{"step":19,"part":8,"done_at":null,"done_by":null},"a":null},{"t":"step_part","b":{"step":20,"part":8,"done_at":null,"done_by":null},"a":null},{"t":"step_part","b":{"step":21,"part":8,"done_at":null,"done_by":null},"a":null},{"t":"step_part","b":{"step":22,"part":8,"done_at":null,"done_by":null},"a":null},{"t":"sign","b":{"id":3,"code":"87298448","job":2,"mark":"A","name":"Signs","width_mm":600.0,"height_mm":100.0,"levels":2,"state":"on hold"},"a":{"id":3,"code":"87298448","job":2,"mark":"A","name":"Signs","width_mm":600.0,"height_mm":100.0,"levels":1,"state":"on hold"}},{"t":"step_after","b":{"step":18,"after":17},"a":null},{"t":"step","b":{"id":17,"sign":3,"number":1,"kind":"lay out","title":"Lay out level 1","level":1,"done_at":"2026-11-24T10:18:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":null},{"t":"step_after","b":{"step":19,"after":18},"a":null},{"t":"step","b":{"id":18,"sign":3,"number":2,"kind":"glue","title":"Glue level 1","level":1,"done_at":"2026-11-24T10:21:00.000Z","done_by":1,"shut_until":null,"opened_why":null},"a":null},{"t":"step_after","b":{"step":20,"after":19},"a":null},{"t":"step","b":{"id":19,"sign":3,"number":3,"kind":"cure","title":"Cure level 1","level":1,"done_at":"2026-11-24T10:24:00.000Z","done_by":1,"shut_until":"2026-11-25T13:56:00.000Z","opened_why":"hung tonight"},"a":null},{"t":"piece","b":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"fixed","attempt":1,"tabs":0,"sheet":4,"was":null,"cause":null},"a":{"id":8,"code":"60439067","outline":5,"stock":2,"state":"damaged","attempt":1,"tabs":0,"sheet":4,"was":"fixed","cause":"the drawing changed"}},{"t":"assignment","b":{"id":8,"piece":8,"part":8,"begun_at":"2026-11-24T09:45:00.000Z","ended_at":null,"why_ended":null},"a":{"id":8,"piece":8,"part":8,"begun_at":"2026-11-24T09:45:00.000Z","ended_at":"2026-11-24T10:33:00.000Z","why_ended":"damaged"}},{"t":"job","b":{"id":2,"number":"J-1002","customer":"Harbour library","title":"Signs","due":"2026-12-11","state":"open","drawing":"4605e054ea3f0210880faa26a07f1c39b076337088ea878c45d945290f9701d9","taken_in_at":"2026-11-24T09:45:00.000Z"},"a":{"id":2,"number":"J-1002","customer":"Harbour library","title":"Signs","due":"2026-12-11","state":"open","drawing":"451292ef2b46ab2d7986d6887c018c034ee37c65526eea7a85fad50426f8dee7","taken_in_at":"2026-11-24T09:45:00.000Z"}}]','{"message":"revisions.follows_the_drawing","values":{"job":"J-1002","outcome":[{"message":"revisions.pieces_by_outcome","values":{"outcome":"spoiled","count":1}}]},"codes":[],"data":{"job":"J-1002","pools":{},"waiting":{},"relabel":[],"same":1,"moved":0,"new":0,"gone":1,"to_cut":0,"used":0,"withdrawn":0,"spare":0,"spoiled":1},"act":44}',NULL);
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
INSERT INTO "nest" VALUES(1,1,1,'length',220.35,0.5952,0.2976,8.35,12.0,'2026-11-24T08:15:00.000Z');
INSERT INTO "nest" VALUES(2,2,1,'length',80.35,0.1469,0.0734,8.35,12.0,'2026-11-24T08:21:00.000Z');
INSERT INTO "nest" VALUES(3,3,1,'length',120.35,0.4086,0.2246,8.35,12.0,'2026-11-24T09:51:00.000Z');
INSERT INTO "nest" VALUES(4,4,1,'length',50.35,0.0281,0.0145,8.35,12.0,'2026-11-24T09:57:00.000Z');
CREATE TABLE nest_run (                         -- what a layout was worked out for
  nest INTEGER PRIMARY KEY REFERENCES nest,
  sheet INTEGER NOT NULL REFERENCES sheet,
  cutter INTEGER REFERENCES cutter,             -- null: the usual one, by the settings of that time
  cutter_mm REAL NOT NULL,
  pump TEXT NOT NULL, vacuum_inhg REAL NOT NULL,
  path_min REAL NOT NULL                        -- minutes on the router by path, feed and acceleration, not corrected
);
INSERT INTO "nest_run" VALUES(1,1,NULL,6.35,'blower',8.0,0.811);
INSERT INTO "nest_run" VALUES(2,2,NULL,6.35,'blower',8.0,0.854);
INSERT INTO "nest_run" VALUES(3,3,NULL,6.35,'blower',8.0,0.44);
INSERT INTO "nest_run" VALUES(4,4,NULL,6.35,'blower',8.0,0.159);
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
INSERT INTO "outline" VALUES(4,1,'[[[0.0,0.0],[600.0,0.0],[600.0,100.0],[0.0,100.0]]]',60000.0,1400.0,600.0,100.0,4);
INSERT INTO "outline" VALUES(5,2,'[[[0.0,0.0],[30.0,0.0],[30.0,60.0],[10.0,60.0],[0.0,45.0]]]',1725.0,173.028,30.0,60.0,5);
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
INSERT INTO "part" VALUES(4,2,1,'no. 1',0,1,NULL,'#33658a',1,1,0.0,0.0,0.0,NULL);
INSERT INTO "part" VALUES(5,2,2,'I',1,1,4,'#f2e8cf',2,2,20.0,50.0,50.0,NULL);
INSERT INTO "part" VALUES(6,2,3,'I',1,1,4,'#f2e8cf',2,2,100.0,50.0,50.0,NULL);
INSERT INTO "part" VALUES(7,3,1,'board',0,1,NULL,'#33658a',1,4,0.0,0.0,0.0,NULL);
INSERT INTO "part" VALUES(8,3,2,'A',1,1,7,'#f2e8cf',2,5,20.0,20.0,20.0,'2026-11-24T10:33:00.000Z');
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
INSERT INTO "piece" VALUES(1,'17308383',1,1,'fixed',1,0,1,NULL,NULL);
INSERT INTO "piece" VALUES(2,'66447547',2,2,'fixed',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(3,'80342468',3,2,'fixed',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(4,'26000033',1,1,'fixed',1,0,1,NULL,NULL);
INSERT INTO "piece" VALUES(5,'15116316',2,2,'fixed',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(6,'11159382',2,2,'ready',1,0,2,NULL,NULL);
INSERT INTO "piece" VALUES(7,'90039961',4,1,'fixed',1,0,3,NULL,NULL);
INSERT INTO "piece" VALUES(8,'60439067',5,2,'damaged',1,0,4,'fixed','the drawing changed');
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
INSERT INTO "placement" VALUES(1,4,212.0,420.35,90.0,2);
INSERT INTO "placement" VALUES(2,3,12.0,12.0,0.0,1);
INSERT INTO "placement" VALUES(2,2,12.0,100.35,0.0,2);
INSERT INTO "placement" VALUES(2,5,12.0,188.7,0.0,3);
INSERT INTO "placement" VALUES(2,6,12.0,277.05,0.0,4);
INSERT INTO "placement" VALUES(3,7,112.0,12.0,90.0,1);
INSERT INTO "placement" VALUES(4,8,12.0,12.0,0.0,1);
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
INSERT INTO "sheet" VALUES(1,'S-201','67375798',1,1,'closed',1,'2026-11-24T08:24:00.000Z',1,'2026-11-24T08:27:00.000Z','2026-11-24T08:30:00.000Z');
INSERT INTO "sheet" VALUES(2,'S-202','48549193',2,2,'closed',2,'2026-11-24T08:33:00.000Z',1,'2026-11-24T08:36:00.000Z','2026-11-24T08:39:00.000Z');
INSERT INTO "sheet" VALUES(3,'S-203','46419642',1,3,'closed',3,'2026-11-24T10:00:00.000Z',1,'2026-11-24T10:03:00.000Z','2026-11-24T10:06:00.000Z');
INSERT INTO "sheet" VALUES(4,'S-204','28968305',2,4,'closed',4,'2026-11-24T10:09:00.000Z',1,'2026-11-24T10:12:00.000Z','2026-11-24T10:15:00.000Z');
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
INSERT INTO "sign" VALUES(1,'39602296',1,'A','LO',400.0,200.0,2,'open');
INSERT INTO "sign" VALUES(2,'50885059',1,'B','II',400.0,200.0,2,'cancelled');
INSERT INTO "sign" VALUES(3,'87298448',2,'A','Signs',600.0,100.0,1,'on hold');
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
INSERT INTO "step" VALUES(1,1,1,'lay out','Lay out level 1',1,'2026-11-24T08:57:00.000Z',1,NULL,NULL);
INSERT INTO "step" VALUES(2,1,2,'glue','Glue level 1',1,'2026-11-24T09:00:00.000Z',1,NULL,NULL);
INSERT INTO "step" VALUES(3,1,3,'cure','Cure level 1',1,NULL,NULL,'2026-11-25T12:35:00.000Z',NULL);
INSERT INTO "step" VALUES(4,1,4,'clean','Clean',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(5,1,5,'polish','Polish',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(6,1,6,'inspect','Inspect',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(7,1,7,'pack','Pack',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(8,1,8,'hand over','Hand over',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(9,2,1,'lay out','Lay out level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(10,2,2,'glue','Glue level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(11,2,3,'cure','Cure level 1',1,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(12,2,4,'clean','Clean',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(13,2,5,'polish','Polish',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(14,2,6,'inspect','Inspect',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(15,2,7,'pack','Pack',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(16,2,8,'hand over','Hand over',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(20,3,4,'clean','Clean',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(21,3,5,'polish','Polish',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(22,3,6,'inspect','Inspect',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(23,3,7,'pack','Pack',NULL,NULL,NULL,NULL,NULL);
INSERT INTO "step" VALUES(24,3,8,'hand over','Hand over',NULL,NULL,NULL,NULL,NULL);
CREATE TABLE step_after (step INTEGER NOT NULL REFERENCES step, after INTEGER NOT NULL REFERENCES step,
  PRIMARY KEY (step, after));
INSERT INTO "step_after" VALUES(2,1);
INSERT INTO "step_after" VALUES(3,2);
INSERT INTO "step_after" VALUES(4,3);
INSERT INTO "step_after" VALUES(5,4);
INSERT INTO "step_after" VALUES(6,5);
INSERT INTO "step_after" VALUES(7,6);
INSERT INTO "step_after" VALUES(8,7);
INSERT INTO "step_after" VALUES(10,9);
INSERT INTO "step_after" VALUES(11,10);
INSERT INTO "step_after" VALUES(12,11);
INSERT INTO "step_after" VALUES(13,12);
INSERT INTO "step_after" VALUES(14,13);
INSERT INTO "step_after" VALUES(15,14);
INSERT INTO "step_after" VALUES(16,15);
INSERT INTO "step_after" VALUES(21,20);
INSERT INTO "step_after" VALUES(22,21);
INSERT INTO "step_after" VALUES(23,22);
INSERT INTO "step_after" VALUES(24,23);
CREATE TABLE step_part (step INTEGER NOT NULL REFERENCES step, part INTEGER NOT NULL REFERENCES part,
  done_at TEXT, done_by INTEGER REFERENCES person, PRIMARY KEY (step, part));
INSERT INTO "step_part" VALUES(1,2,'2026-11-24T08:42:00.000Z',1);
INSERT INTO "step_part" VALUES(1,3,'2026-11-24T08:57:00.000Z',1);
INSERT INTO "step_part" VALUES(2,2,'2026-11-24T08:48:00.000Z',1);
INSERT INTO "step_part" VALUES(2,3,'2026-11-24T09:00:00.000Z',1);
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
INSERT INTO "step_part" VALUES(9,5,'2026-11-24T09:09:00.000Z',1);
INSERT INTO "step_part" VALUES(9,6,NULL,NULL);
INSERT INTO "step_part" VALUES(10,5,'2026-11-24T09:12:00.000Z',1);
INSERT INTO "step_part" VALUES(10,6,NULL,NULL);
INSERT INTO "step_part" VALUES(11,5,NULL,NULL);
INSERT INTO "step_part" VALUES(11,6,NULL,NULL);
INSERT INTO "step_part" VALUES(12,4,NULL,NULL);
INSERT INTO "step_part" VALUES(12,5,NULL,NULL);
INSERT INTO "step_part" VALUES(12,6,NULL,NULL);
INSERT INTO "step_part" VALUES(13,4,NULL,NULL);
INSERT INTO "step_part" VALUES(13,5,NULL,NULL);
INSERT INTO "step_part" VALUES(13,6,NULL,NULL);
INSERT INTO "step_part" VALUES(14,4,NULL,NULL);
INSERT INTO "step_part" VALUES(14,5,NULL,NULL);
INSERT INTO "step_part" VALUES(14,6,NULL,NULL);
INSERT INTO "step_part" VALUES(20,7,NULL,NULL);
INSERT INTO "step_part" VALUES(21,7,NULL,NULL);
INSERT INTO "step_part" VALUES(22,7,NULL,NULL);
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
INSERT INTO "touched" VALUES('assignment','1',2,1);
INSERT INTO "touched" VALUES('assignment','2',2,1);
INSERT INTO "touched" VALUES('assignment','3',2,1);
INSERT INTO "touched" VALUES('assignment','4',2,1);
INSERT INTO "touched" VALUES('assignment','5',2,1);
INSERT INTO "touched" VALUES('assignment','6',2,1);
INSERT INTO "touched" VALUES('assignment','6',24,1);
INSERT INTO "touched" VALUES('assignment','6',25,1);
INSERT INTO "touched" VALUES('assignment','6',30,1);
INSERT INTO "touched" VALUES('assignment','7',31,1);
INSERT INTO "touched" VALUES('assignment','8',31,1);
INSERT INTO "touched" VALUES('assignment','8',44,1);
INSERT INTO "touched" VALUES('blank','1',3,1);
INSERT INTO "touched" VALUES('blank','1',5,1);
INSERT INTO "touched" VALUES('blank','1',6,0);
INSERT INTO "touched" VALUES('blank','1',7,0);
INSERT INTO "touched" VALUES('blank','2',4,1);
INSERT INTO "touched" VALUES('blank','2',8,1);
INSERT INTO "touched" VALUES('blank','2',9,0);
INSERT INTO "touched" VALUES('blank','2',10,0);
INSERT INTO "touched" VALUES('blank','3',7,1);
INSERT INTO "touched" VALUES('blank','3',32,1);
INSERT INTO "touched" VALUES('blank','3',34,1);
INSERT INTO "touched" VALUES('blank','3',35,0);
INSERT INTO "touched" VALUES('blank','3',36,0);
INSERT INTO "touched" VALUES('blank','4',10,1);
INSERT INTO "touched" VALUES('blank','4',33,1);
INSERT INTO "touched" VALUES('blank','4',37,1);
INSERT INTO "touched" VALUES('blank','4',38,0);
INSERT INTO "touched" VALUES('blank','4',39,0);
INSERT INTO "touched" VALUES('blank','5',36,1);
INSERT INTO "touched" VALUES('blank','6',39,1);
INSERT INTO "touched" VALUES('cement','1',1,1);
INSERT INTO "touched" VALUES('climate','1',13,1);
INSERT INTO "touched" VALUES('climate','2',17,1);
INSERT INTO "touched" VALUES('climate','3',21,1);
INSERT INTO "touched" VALUES('climate','4',41,1);
INSERT INTO "touched" VALUES('code','03324778',3,1);
INSERT INTO "touched" VALUES('code','09872891',7,1);
INSERT INTO "touched" VALUES('code','11159382',2,1);
INSERT INTO "touched" VALUES('code','15116316',2,1);
INSERT INTO "touched" VALUES('code','17308383',2,1);
INSERT INTO "touched" VALUES('code','17814605',36,1);
INSERT INTO "touched" VALUES('code','26000033',2,1);
INSERT INTO "touched" VALUES('code','28968305',33,1);
INSERT INTO "touched" VALUES('code','37233369',10,1);
INSERT INTO "touched" VALUES('code','39602296',2,1);
INSERT INTO "touched" VALUES('code','43909252',39,1);
INSERT INTO "touched" VALUES('code','46419642',32,1);
INSERT INTO "touched" VALUES('code','48549193',4,1);
INSERT INTO "touched" VALUES('code','50885059',2,1);
INSERT INTO "touched" VALUES('code','60439067',31,1);
INSERT INTO "touched" VALUES('code','66447547',2,1);
INSERT INTO "touched" VALUES('code','67375798',3,1);
INSERT INTO "touched" VALUES('code','80342468',2,1);
INSERT INTO "touched" VALUES('code','87298448',31,1);
INSERT INTO "touched" VALUES('code','90039961',31,1);
INSERT INTO "touched" VALUES('code','92174336',4,1);
INSERT INTO "touched" VALUES('colour','#33658a',2,1);
INSERT INTO "touched" VALUES('colour','#f2e8cf',2,1);
INSERT INTO "touched" VALUES('glue_up','1',13,1);
INSERT INTO "touched" VALUES('glue_up','2',17,1);
INSERT INTO "touched" VALUES('glue_up','3',21,1);
INSERT INTO "touched" VALUES('glue_up','4',41,1);
INSERT INTO "touched" VALUES('glue_up_piece','1,2',13,1);
INSERT INTO "touched" VALUES('glue_up_piece','1,3',13,1);
INSERT INTO "touched" VALUES('glue_up_piece','2,3',17,1);
INSERT INTO "touched" VALUES('glue_up_piece','3,5',21,1);
INSERT INTO "touched" VALUES('glue_up_piece','4,8',41,1);
INSERT INTO "touched" VALUES('holding','1,1',3,1);
INSERT INTO "touched" VALUES('holding','1,4',3,1);
INSERT INTO "touched" VALUES('holding','2,2',4,1);
INSERT INTO "touched" VALUES('holding','2,3',4,1);
INSERT INTO "touched" VALUES('holding','2,5',4,1);
INSERT INTO "touched" VALUES('holding','2,6',4,1);
INSERT INTO "touched" VALUES('holding','3,7',32,1);
INSERT INTO "touched" VALUES('holding','4,8',33,1);
INSERT INTO "touched" VALUES('job','1',2,1);
INSERT INTO "touched" VALUES('job','1',23,0);
INSERT INTO "touched" VALUES('job','1',24,0);
INSERT INTO "touched" VALUES('job','1',25,0);
INSERT INTO "touched" VALUES('job','1',26,0);
INSERT INTO "touched" VALUES('job','1',27,0);
INSERT INTO "touched" VALUES('job','1',28,0);
INSERT INTO "touched" VALUES('job','1',29,0);
INSERT INTO "touched" VALUES('job','1',30,0);
INSERT INTO "touched" VALUES('job','2',31,1);
INSERT INTO "touched" VALUES('job','2',43,0);
INSERT INTO "touched" VALUES('job','2',44,1);
INSERT INTO "touched" VALUES('nest','1',3,1);
INSERT INTO "touched" VALUES('nest','2',4,1);
INSERT INTO "touched" VALUES('nest','3',32,1);
INSERT INTO "touched" VALUES('nest','4',33,1);
INSERT INTO "touched" VALUES('nest_run','1',3,1);
INSERT INTO "touched" VALUES('nest_run','2',4,1);
INSERT INTO "touched" VALUES('nest_run','3',32,1);
INSERT INTO "touched" VALUES('nest_run','4',33,1);
INSERT INTO "touched" VALUES('outline','1',2,1);
INSERT INTO "touched" VALUES('outline','2',2,1);
INSERT INTO "touched" VALUES('outline','3',2,1);
INSERT INTO "touched" VALUES('outline','4',31,1);
INSERT INTO "touched" VALUES('outline','5',31,1);
INSERT INTO "touched" VALUES('part','1',2,1);
INSERT INTO "touched" VALUES('part','2',2,1);
INSERT INTO "touched" VALUES('part','2',11,0);
INSERT INTO "touched" VALUES('part','2',13,0);
INSERT INTO "touched" VALUES('part','3',2,1);
INSERT INTO "touched" VALUES('part','3',12,0);
INSERT INTO "touched" VALUES('part','3',13,0);
INSERT INTO "touched" VALUES('part','3',15,0);
INSERT INTO "touched" VALUES('part','3',16,0);
INSERT INTO "touched" VALUES('part','3',17,0);
INSERT INTO "touched" VALUES('part','4',2,1);
INSERT INTO "touched" VALUES('part','5',2,1);
INSERT INTO "touched" VALUES('part','5',20,0);
INSERT INTO "touched" VALUES('part','5',21,0);
INSERT INTO "touched" VALUES('part','6',2,1);
INSERT INTO "touched" VALUES('part','6',24,0);
INSERT INTO "touched" VALUES('part','6',25,0);
INSERT INTO "touched" VALUES('part','6',30,0);
INSERT INTO "touched" VALUES('part','7',31,1);
INSERT INTO "touched" VALUES('part','8',31,1);
INSERT INTO "touched" VALUES('part','8',40,0);
INSERT INTO "touched" VALUES('part','8',41,0);
INSERT INTO "touched" VALUES('part','8',44,1);
INSERT INTO "touched" VALUES('person','1',1,1);
INSERT INTO "touched" VALUES('piece','1',2,1);
INSERT INTO "touched" VALUES('piece','1',3,1);
INSERT INTO "touched" VALUES('piece','1',7,1);
INSERT INTO "touched" VALUES('piece','1',13,1);
INSERT INTO "touched" VALUES('piece','2',2,1);
INSERT INTO "touched" VALUES('piece','2',4,1);
INSERT INTO "touched" VALUES('piece','2',10,1);
INSERT INTO "touched" VALUES('piece','2',13,1);
INSERT INTO "touched" VALUES('piece','3',2,1);
INSERT INTO "touched" VALUES('piece','3',4,1);
INSERT INTO "touched" VALUES('piece','3',10,1);
INSERT INTO "touched" VALUES('piece','3',13,1);
INSERT INTO "touched" VALUES('piece','3',15,1);
INSERT INTO "touched" VALUES('piece','3',17,1);
INSERT INTO "touched" VALUES('piece','4',2,1);
INSERT INTO "touched" VALUES('piece','4',3,1);
INSERT INTO "touched" VALUES('piece','4',7,1);
INSERT INTO "touched" VALUES('piece','4',21,1);
INSERT INTO "touched" VALUES('piece','5',2,1);
INSERT INTO "touched" VALUES('piece','5',4,1);
INSERT INTO "touched" VALUES('piece','5',10,1);
INSERT INTO "touched" VALUES('piece','5',21,1);
INSERT INTO "touched" VALUES('piece','6',2,1);
INSERT INTO "touched" VALUES('piece','6',4,1);
INSERT INTO "touched" VALUES('piece','6',10,1);
INSERT INTO "touched" VALUES('piece','6',24,1);
INSERT INTO "touched" VALUES('piece','6',25,1);
INSERT INTO "touched" VALUES('piece','6',30,1);
INSERT INTO "touched" VALUES('piece','7',31,1);
INSERT INTO "touched" VALUES('piece','7',32,1);
INSERT INTO "touched" VALUES('piece','7',36,1);
INSERT INTO "touched" VALUES('piece','7',41,1);
INSERT INTO "touched" VALUES('piece','8',31,1);
INSERT INTO "touched" VALUES('piece','8',33,1);
INSERT INTO "touched" VALUES('piece','8',39,1);
INSERT INTO "touched" VALUES('piece','8',41,1);
INSERT INTO "touched" VALUES('piece','8',44,1);
INSERT INTO "touched" VALUES('placement','1,1',3,1);
INSERT INTO "touched" VALUES('placement','1,4',3,1);
INSERT INTO "touched" VALUES('placement','2,2',4,1);
INSERT INTO "touched" VALUES('placement','2,3',4,1);
INSERT INTO "touched" VALUES('placement','2,5',4,1);
INSERT INTO "touched" VALUES('placement','2,6',4,1);
INSERT INTO "touched" VALUES('placement','3,7',32,1);
INSERT INTO "touched" VALUES('placement','4,8',33,1);
INSERT INTO "touched" VALUES('sheet','1',3,1);
INSERT INTO "touched" VALUES('sheet','1',5,1);
INSERT INTO "touched" VALUES('sheet','1',6,1);
INSERT INTO "touched" VALUES('sheet','1',7,1);
INSERT INTO "touched" VALUES('sheet','1',13,0);
INSERT INTO "touched" VALUES('sheet','1',21,0);
INSERT INTO "touched" VALUES('sheet','2',4,1);
INSERT INTO "touched" VALUES('sheet','2',8,1);
INSERT INTO "touched" VALUES('sheet','2',9,1);
INSERT INTO "touched" VALUES('sheet','2',10,1);
INSERT INTO "touched" VALUES('sheet','2',13,0);
INSERT INTO "touched" VALUES('sheet','2',15,0);
INSERT INTO "touched" VALUES('sheet','2',17,0);
INSERT INTO "touched" VALUES('sheet','2',21,0);
INSERT INTO "touched" VALUES('sheet','3',32,1);
INSERT INTO "touched" VALUES('sheet','3',34,1);
INSERT INTO "touched" VALUES('sheet','3',35,1);
INSERT INTO "touched" VALUES('sheet','3',36,1);
INSERT INTO "touched" VALUES('sheet','3',41,0);
INSERT INTO "touched" VALUES('sheet','4',33,1);
INSERT INTO "touched" VALUES('sheet','4',37,1);
INSERT INTO "touched" VALUES('sheet','4',38,1);
INSERT INTO "touched" VALUES('sheet','4',39,1);
INSERT INTO "touched" VALUES('sheet','4',41,0);
INSERT INTO "touched" VALUES('sheet','4',44,0);
INSERT INTO "touched" VALUES('sheet','None',2,0);
INSERT INTO "touched" VALUES('sheet','None',3,0);
INSERT INTO "touched" VALUES('sheet','None',4,0);
INSERT INTO "touched" VALUES('sheet','None',31,0);
INSERT INTO "touched" VALUES('sheet','None',32,0);
INSERT INTO "touched" VALUES('sheet','None',33,0);
INSERT INTO "touched" VALUES('sign','1',2,1);
INSERT INTO "touched" VALUES('sign','1',12,0);
INSERT INTO "touched" VALUES('sign','1',13,0);
INSERT INTO "touched" VALUES('sign','1',14,0);
INSERT INTO "touched" VALUES('sign','1',15,0);
INSERT INTO "touched" VALUES('sign','1',16,0);
INSERT INTO "touched" VALUES('sign','1',17,0);
INSERT INTO "touched" VALUES('sign','1',18,0);
INSERT INTO "touched" VALUES('sign','1',19,0);
INSERT INTO "touched" VALUES('sign','2',2,1);
INSERT INTO "touched" VALUES('sign','2',21,0);
INSERT INTO "touched" VALUES('sign','2',22,0);
INSERT INTO "touched" VALUES('sign','2',23,1);
INSERT INTO "touched" VALUES('sign','2',24,1);
INSERT INTO "touched" VALUES('sign','2',25,1);
INSERT INTO "touched" VALUES('sign','2',26,1);
INSERT INTO "touched" VALUES('sign','2',27,1);
INSERT INTO "touched" VALUES('sign','2',28,1);
INSERT INTO "touched" VALUES('sign','2',29,1);
INSERT INTO "touched" VALUES('sign','2',30,1);
INSERT INTO "touched" VALUES('sign','3',31,1);
INSERT INTO "touched" VALUES('sign','3',40,0);
INSERT INTO "touched" VALUES('sign','3',41,0);
INSERT INTO "touched" VALUES('sign','3',42,0);
INSERT INTO "touched" VALUES('sign','3',43,1);
INSERT INTO "touched" VALUES('sign','3',44,1);
INSERT INTO "touched" VALUES('step','1',2,1);
INSERT INTO "touched" VALUES('step','1',11,0);
INSERT INTO "touched" VALUES('step','1',12,1);
INSERT INTO "touched" VALUES('step','1',15,1);
INSERT INTO "touched" VALUES('step','1',16,1);
INSERT INTO "touched" VALUES('step','10',2,1);
INSERT INTO "touched" VALUES('step','10',21,1);
INSERT INTO "touched" VALUES('step','10',22,1);
INSERT INTO "touched" VALUES('step','11',2,1);
INSERT INTO "touched" VALUES('step','12',2,1);
INSERT INTO "touched" VALUES('step','13',2,1);
INSERT INTO "touched" VALUES('step','14',2,1);
INSERT INTO "touched" VALUES('step','15',2,1);
INSERT INTO "touched" VALUES('step','16',2,1);
INSERT INTO "touched" VALUES('step','17',31,1);
INSERT INTO "touched" VALUES('step','17',40,1);
INSERT INTO "touched" VALUES('step','17',44,1);
INSERT INTO "touched" VALUES('step','18',31,1);
INSERT INTO "touched" VALUES('step','18',41,1);
INSERT INTO "touched" VALUES('step','18',44,1);
INSERT INTO "touched" VALUES('step','19',31,1);
INSERT INTO "touched" VALUES('step','19',41,1);
INSERT INTO "touched" VALUES('step','19',42,1);
INSERT INTO "touched" VALUES('step','19',44,1);
INSERT INTO "touched" VALUES('step','2',2,1);
INSERT INTO "touched" VALUES('step','2',13,1);
INSERT INTO "touched" VALUES('step','2',15,1);
INSERT INTO "touched" VALUES('step','2',17,1);
INSERT INTO "touched" VALUES('step','20',31,1);
INSERT INTO "touched" VALUES('step','20',44,0);
INSERT INTO "touched" VALUES('step','21',31,1);
INSERT INTO "touched" VALUES('step','21',44,0);
INSERT INTO "touched" VALUES('step','22',31,1);
INSERT INTO "touched" VALUES('step','22',44,0);
INSERT INTO "touched" VALUES('step','23',31,1);
INSERT INTO "touched" VALUES('step','24',31,1);
INSERT INTO "touched" VALUES('step','3',2,1);
INSERT INTO "touched" VALUES('step','3',13,1);
INSERT INTO "touched" VALUES('step','3',14,1);
INSERT INTO "touched" VALUES('step','3',15,1);
INSERT INTO "touched" VALUES('step','3',17,1);
INSERT INTO "touched" VALUES('step','3',18,1);
INSERT INTO "touched" VALUES('step','3',19,1);
INSERT INTO "touched" VALUES('step','4',2,1);
INSERT INTO "touched" VALUES('step','5',2,1);
INSERT INTO "touched" VALUES('step','6',2,1);
INSERT INTO "touched" VALUES('step','7',2,1);
INSERT INTO "touched" VALUES('step','8',2,1);
INSERT INTO "touched" VALUES('step','9',2,1);
INSERT INTO "touched" VALUES('step','9',20,0);
INSERT INTO "touched" VALUES('step_after','10,9',2,1);
INSERT INTO "touched" VALUES('step_after','11,10',2,1);
INSERT INTO "touched" VALUES('step_after','12,11',2,1);
INSERT INTO "touched" VALUES('step_after','13,12',2,1);
INSERT INTO "touched" VALUES('step_after','14,13',2,1);
INSERT INTO "touched" VALUES('step_after','15,14',2,1);
INSERT INTO "touched" VALUES('step_after','16,15',2,1);
INSERT INTO "touched" VALUES('step_after','18,17',31,1);
INSERT INTO "touched" VALUES('step_after','18,17',44,1);
INSERT INTO "touched" VALUES('step_after','19,18',31,1);
INSERT INTO "touched" VALUES('step_after','19,18',44,1);
INSERT INTO "touched" VALUES('step_after','2,1',2,1);
INSERT INTO "touched" VALUES('step_after','20,19',31,1);
INSERT INTO "touched" VALUES('step_after','20,19',44,1);
INSERT INTO "touched" VALUES('step_after','21,20',31,1);
INSERT INTO "touched" VALUES('step_after','22,21',31,1);
INSERT INTO "touched" VALUES('step_after','23,22',31,1);
INSERT INTO "touched" VALUES('step_after','24,23',31,1);
INSERT INTO "touched" VALUES('step_after','3,2',2,1);
INSERT INTO "touched" VALUES('step_after','4,3',2,1);
INSERT INTO "touched" VALUES('step_after','5,4',2,1);
INSERT INTO "touched" VALUES('step_after','6,5',2,1);
INSERT INTO "touched" VALUES('step_after','7,6',2,1);
INSERT INTO "touched" VALUES('step_after','8,7',2,1);
INSERT INTO "touched" VALUES('step_part','1,2',2,1);
INSERT INTO "touched" VALUES('step_part','1,2',11,1);
INSERT INTO "touched" VALUES('step_part','1,3',2,1);
INSERT INTO "touched" VALUES('step_part','1,3',12,1);
INSERT INTO "touched" VALUES('step_part','1,3',15,1);
INSERT INTO "touched" VALUES('step_part','1,3',16,1);
INSERT INTO "touched" VALUES('step_part','10,5',2,1);
INSERT INTO "touched" VALUES('step_part','10,5',21,1);
INSERT INTO "touched" VALUES('step_part','10,6',2,1);
INSERT INTO "touched" VALUES('step_part','11,5',2,1);
INSERT INTO "touched" VALUES('step_part','11,6',2,1);
INSERT INTO "touched" VALUES('step_part','12,4',2,1);
INSERT INTO "touched" VALUES('step_part','12,5',2,1);
INSERT INTO "touched" VALUES('step_part','12,6',2,1);
INSERT INTO "touched" VALUES('step_part','13,4',2,1);
INSERT INTO "touched" VALUES('step_part','13,5',2,1);
INSERT INTO "touched" VALUES('step_part','13,6',2,1);
INSERT INTO "touched" VALUES('step_part','14,4',2,1);
INSERT INTO "touched" VALUES('step_part','14,5',2,1);
INSERT INTO "touched" VALUES('step_part','14,6',2,1);
INSERT INTO "touched" VALUES('step_part','17,8',31,1);
INSERT INTO "touched" VALUES('step_part','17,8',40,1);
INSERT INTO "touched" VALUES('step_part','17,8',44,1);
INSERT INTO "touched" VALUES('step_part','18,8',31,1);
INSERT INTO "touched" VALUES('step_part','18,8',41,1);
INSERT INTO "touched" VALUES('step_part','18,8',44,1);
INSERT INTO "touched" VALUES('step_part','19,8',31,1);
INSERT INTO "touched" VALUES('step_part','19,8',44,1);
INSERT INTO "touched" VALUES('step_part','2,2',2,1);
INSERT INTO "touched" VALUES('step_part','2,2',13,1);
INSERT INTO "touched" VALUES('step_part','2,3',2,1);
INSERT INTO "touched" VALUES('step_part','2,3',13,1);
INSERT INTO "touched" VALUES('step_part','2,3',15,1);
INSERT INTO "touched" VALUES('step_part','2,3',17,1);
INSERT INTO "touched" VALUES('step_part','20,7',31,1);
INSERT INTO "touched" VALUES('step_part','20,8',31,1);
INSERT INTO "touched" VALUES('step_part','20,8',44,1);
INSERT INTO "touched" VALUES('step_part','21,7',31,1);
INSERT INTO "touched" VALUES('step_part','21,8',31,1);
INSERT INTO "touched" VALUES('step_part','21,8',44,1);
INSERT INTO "touched" VALUES('step_part','22,7',31,1);
INSERT INTO "touched" VALUES('step_part','22,8',31,1);
INSERT INTO "touched" VALUES('step_part','22,8',44,1);
INSERT INTO "touched" VALUES('step_part','3,2',2,1);
INSERT INTO "touched" VALUES('step_part','3,3',2,1);
INSERT INTO "touched" VALUES('step_part','4,1',2,1);
INSERT INTO "touched" VALUES('step_part','4,2',2,1);
INSERT INTO "touched" VALUES('step_part','4,3',2,1);
INSERT INTO "touched" VALUES('step_part','5,1',2,1);
INSERT INTO "touched" VALUES('step_part','5,2',2,1);
INSERT INTO "touched" VALUES('step_part','5,3',2,1);
INSERT INTO "touched" VALUES('step_part','6,1',2,1);
INSERT INTO "touched" VALUES('step_part','6,2',2,1);
INSERT INTO "touched" VALUES('step_part','6,3',2,1);
INSERT INTO "touched" VALUES('step_part','9,5',2,1);
INSERT INTO "touched" VALUES('step_part','9,5',20,1);
INSERT INTO "touched" VALUES('step_part','9,6',2,1);
INSERT INTO "touched" VALUES('stock','1',2,1);
INSERT INTO "touched" VALUES('stock','2',2,1);
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
INSERT INTO "sqlite_sequence" VALUES('job',2);
INSERT INTO "sqlite_sequence" VALUES('sign',3);
INSERT INTO "sqlite_sequence" VALUES('outline',5);
INSERT INTO "sqlite_sequence" VALUES('part',8);
INSERT INTO "sqlite_sequence" VALUES('step',24);
INSERT INTO "sqlite_sequence" VALUES('piece',8);
INSERT INTO "sqlite_sequence" VALUES('assignment',8);
INSERT INTO "sqlite_sequence" VALUES('blank',6);
INSERT INTO "sqlite_sequence" VALUES('sheet',4);
INSERT INTO "sqlite_sequence" VALUES('nest',4);
INSERT INTO "sqlite_sequence" VALUES('glue_up',4);
INSERT INTO "sqlite_sequence" VALUES('climate',4);
COMMIT;
