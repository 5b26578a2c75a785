"""The counts on every page. Each reads only what is live, so that closed jobs cost nothing."""

from __future__ import annotations

from dataclasses import dataclass
from sqlite3 import Connection

from .sql import scalar

# Written as in the partial indexes, so that SQLite may use them.
_LIVE_SHEET = "state IN ('planned', 'cutting', 'off the table')"
_LIVE_SIGN = "s.state IN ('open', 'on hold', 'packed')"


@dataclass(frozen=True)
class Counts:
    """Sheets still to cut, recuts that wait for a sheet, signs that can be worked on at the bench now."""

    sheets_to_cut: int
    recuts_waiting: int
    signs_ready: int


SHEETS_TO_CUT = (
    f"SELECT count(*) FROM sheet WHERE {_LIVE_SHEET} AND state IN ('planned', 'cutting')"
)
RECUTS_WAITING = "SELECT count(*) FROM piece WHERE state = 'waiting' AND attempt > 1"
# Open signs with a step that can be done now: the steps before it are done, its parts and what they lie on are in hand.
SIGNS_READY = f"""
SELECT count(*) FROM sign s WHERE {_LIVE_SIGN} AND s.state = 'open' AND EXISTS (
  SELECT 1 FROM step st WHERE st.sign = s.id AND st.kind NOT IN ('cure', 'hand over') AND st.done_at IS NULL
  AND NOT EXISTS (
    SELECT 1 FROM step_after w JOIN step x ON x.id = w.after WHERE w.step = st.id AND x.done_at IS NULL
    AND NOT (x.kind = 'cure' AND x.shut_until IS NOT NULL AND x.shut_until <= :at))
  AND NOT (st.kind = 'lay out' AND EXISTS (
    SELECT 1 FROM step g WHERE g.sign = s.id AND g.kind = 'glue' AND g.done_at IS NULL AND g.shut_until > :at))
  AND NOT EXISTS (
    SELECT 1 FROM step_part sp JOIN part pt ON pt.id = sp.part
    LEFT JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL LEFT JOIN piece p ON p.id = a.piece
    LEFT JOIN assignment b ON b.part = pt.lies_on AND b.ended_at IS NULL AND st.kind IN ('lay out', 'glue')
    LEFT JOIN piece q ON q.id = b.piece
    WHERE sp.step = st.id AND (coalesce(p.state, '') NOT IN ('ready', 'fixed')
      OR (st.kind IN ('lay out', 'glue') AND (
        (pt.lies_on IS NOT NULL AND coalesce(q.state, '') NOT IN ('ready', 'fixed'))
        OR EXISTS (
          SELECT 1 FROM part_also_on y LEFT JOIN assignment c ON c.part = y.under AND c.ended_at IS NULL
          LEFT JOIN piece r ON r.id = c.piece
          WHERE y.part = pt.id AND coalesce(r.state, '') NOT IN ('ready', 'fixed')))))))"""
CURES_ENDED = f"SELECT count(*) FROM sign s JOIN step c ON c.sign = s.id WHERE {_LIVE_SIGN} AND c.shut_until <= :at"


def counts(db: Connection, at: str) -> Counts:
    """Return the counts at the moment `at` (as stored)."""
    return Counts(
        scalar(db, int, SHEETS_TO_CUT),
        scalar(db, int, RECUTS_WAITING),
        scalar(db, int, SIGNS_READY, {"at": at}),
    )


def cures_ended(db: Connection, at: str) -> int:
    """Return how many cures of live signs have ended at the moment `at`."""
    return scalar(db, int, CURES_ENDED, {"at": at})
