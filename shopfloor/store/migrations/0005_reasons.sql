-- Form 5. A reason that is read is a column. Before, it was only in the ledger's events.
BEGIN IMMEDIATE;

ALTER TABLE sign ADD COLUMN why_in_state TEXT NOT NULL DEFAULT '';   -- '': no reason was given
UPDATE sign SET why_in_state = coalesce(
  (SELECT e.value ->> 'reason' FROM touched t JOIN ledger l ON l.act = t.act, json_each(l.events) e
   WHERE t.tbl = 'sign' AND t.record = CAST(sign.id AS TEXT) AND t.is_written AND e.value ->> 'event' = 'SignChanged'
     AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act) ORDER BY l.act DESC LIMIT 1), '');

CREATE TABLE early_opening (                    -- an owner went on before a cure's end; stays when the cure starts again
  id INTEGER PRIMARY KEY AUTOINCREMENT,         -- of forms 1 to 4: the act
  step INTEGER NOT NULL,                        -- no reference: a new drawing may take the step away
  at TEXT NOT NULL, shut_until TEXT NOT NULL,   -- shut_until: when the cure would have ended
  why TEXT NOT NULL, person INTEGER NOT NULL REFERENCES person
);
CREATE INDEX early_opening_of_step ON early_opening (step);
INSERT INTO early_opening
  SELECT l.act, e.value ->> 'step', l.at, e.value ->> 'shut_until', e.value ->> 'reason', l.person
  FROM ledger l, json_each(l.events) e WHERE e.value ->> 'event' = 'CureOpened'
    AND NOT EXISTS (SELECT 1 FROM ledger u WHERE u.undoes = l.act);

PRAGMA user_version = 5;
COMMIT;
