-- Form 4. A setting called "gauge" was a thermometer. From this form on the ledger keeps an answer as a message's
-- name and values; older rows keep their sentence.
BEGIN IMMEDIATE;
UPDATE setting SET name = 'thermometer' WHERE name = 'gauge';
UPDATE setting SET name = 'thermometer_every_min' WHERE name = 'gauge_every_min';
UPDATE touched SET record = 'thermometer' WHERE tbl = 'setting' AND record = 'gauge';
UPDATE touched SET record = 'thermometer_every_min' WHERE tbl = 'setting' AND record = 'gauge_every_min';
PRAGMA user_version = 4;
COMMIT;
