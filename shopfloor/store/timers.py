"""The timers of the bench: open times, stages of glue-ups, cures. Must not say how they are shown."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime

# Written as in the partial index, so that SQLite may use it. A CROSS JOIN keeps to the order that is written: the few
# sessions first, not every part of every live sign.
_LIVE = "s.state IN ('open', 'on hold', 'packed')"


@dataclass(frozen=True)
class Timer:
    """One thing of one sign that ends at a moment. `kind` is 'open', 'fixture', 'handling' or 'cure'; `id` never changes,
    such as 'cure-31'; `sign` is 'J-1003 A'."""

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

# Both stages of a glue-up, for each of its signs that a cure still keeps shut; not what an owner opened early.
_STAGES = f"""
SELECT DISTINCT g.id, s.id AS of, g.fixture_at, g.handling_at, j.number || ' ' || s.mark AS sign, s.code
FROM glue_up g CROSS JOIN glue_up_piece x ON x.glue_up = g.id
CROSS JOIN piece p ON p.id = x.piece AND p.state = 'fixed'
CROSS JOIN assignment a ON a.piece = x.piece AND a.ended_at IS NULL CROSS JOIN step_part sp ON sp.part = a.part
CROSS JOIN step st ON st.id = sp.step AND st.kind IN ('glue', 'cure') AND st.done_at IS NULL AND st.shut_until IS NOT NULL
CROSS JOIN sign s ON s.id = st.sign JOIN job j ON j.id = s.job
WHERE (g.fixture_at > :since OR g.handling_at > :since) AND {_LIVE}"""

_CURE = f"""
SELECT 'cure-' || st.id AS id, 'cure' AS kind, j.number || ' ' || s.mark AS sign, s.code, st.shut_until AS until
FROM sign s JOIN step st ON st.sign = s.id JOIN job j ON j.id = s.job
WHERE {_LIVE} AND st.kind IN ('glue', 'cure') AND st.done_at IS NULL AND st.shut_until > :since"""


def since(db: sqlite3.Connection, moment: str) -> list[Timer]:
    """Return what runs, and what has ended after a moment (as stored), soonest first."""
    values = {"since": moment}
    timers = [
        _timer(**dict(row))
        for row in [*db.execute(_OPEN), *db.execute(_CURE, values)]
        if row["until"] > moment
    ]
    for row in db.execute(_STAGES, values):
        timers += [
            _timer(f"{kind}-{row['id']}-{row['of']}", kind, row["sign"], row["code"], until)
            for kind, until in (("fixture", row["fixture_at"]), ("handling", row["handling_at"]))
            if until and until > moment
        ]
    return sorted(timers, key=lambda timer: (timer.until, timer.sign, timer.id))


def _timer(id: str, kind: str, sign: str, code: str, until: str) -> Timer:
    return Timer(id, kind, sign, code, datetime.fromisoformat(until))
