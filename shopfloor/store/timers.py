"""What runs against the clock at the bench: open times, fixtures, cures. Must not say how they are shown."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime

# Written as in the partial index, so that SQLite may use it. A CROSS JOIN keeps to the order that is written: the few
# sessions first, not every part of every live sign.
_LIVE = "s.state IN ('open', 'on hold', 'packed')"


@dataclass(frozen=True)
class Timer:
    """One thing that ends at a moment. `kind` is 'open', 'fixture' or 'cure'; `id` names it for ever, such as 'cure-31'.

    `sign` is 'J-1003 A', with 'and 2 more' where one glue-up joined several; `code` is the first one's.
    """

    id: str
    kind: str
    sign: str
    code: str
    until: datetime


_OPEN = f"""
SELECT 'open-' || g.step AS id, 'open' AS kind, j.number || ' ' || s.mark AS sign, s.code,
  strftime('%Y-%m-%dT%H:%M:%fZ', g.began_at, c.open_min || ' minutes') AS until
FROM gluing g JOIN cement c ON c.id = g.cement AND c.open_min > 0
CROSS JOIN step st ON st.id = g.step JOIN sign s ON s.id = st.sign JOIN job j ON j.id = s.job WHERE {_LIVE}"""

_FIXTURE = f"""
SELECT 'fixture-' || g.id AS id, 'fixture' AS kind, g.fixture_at AS until, min(s.id),
  j.number || ' ' || s.mark || CASE count(DISTINCT s.id)
    WHEN 1 THEN '' ELSE ' and ' || (count(DISTINCT s.id) - 1) || ' more' END AS sign, s.code
FROM glue_up g CROSS JOIN glue_up_piece x ON x.glue_up = g.id
CROSS JOIN piece p ON p.id = x.piece AND p.state = 'fixed'
CROSS JOIN assignment a ON a.piece = x.piece AND a.ended_at IS NULL CROSS JOIN part ON part.id = a.part
CROSS JOIN sign s ON s.id = part.sign JOIN job j ON j.id = s.job
WHERE g.fixture_at > ? AND {_LIVE} GROUP BY g.id"""

_CURE = f"""
SELECT 'cure-' || st.id AS id, 'cure' AS kind, j.number || ' ' || s.mark AS sign, s.code, st.shut_until AS until
FROM sign s JOIN step st ON st.sign = s.id JOIN job j ON j.id = s.job
WHERE {_LIVE} AND st.kind IN ('glue', 'cure') AND st.done_at IS NULL AND st.shut_until > ?"""


def since(db: sqlite3.Connection, moment: str) -> list[Timer]:
    """What runs, and what has ended after a moment (as stored), soonest first."""
    rows = [*db.execute(_OPEN), *db.execute(_FIXTURE, (moment,)), *db.execute(_CURE, (moment,))]
    found = [
        Timer(row["id"], row["kind"], row["sign"], row["code"], datetime.fromisoformat(row["until"]))
        for row in rows
        if row["until"] > moment
    ]
    return sorted(found, key=lambda timer: (timer.until, timer.sign, timer.id))
