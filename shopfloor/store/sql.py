"""Values and new ids out of SQL with a type. The columns of a row are Any: name their type where they are read,
`state: str = row["state"]`, or build a dataclass from the row at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from sqlite3 import Connection
from typing import TypeVar

Value = TypeVar("Value")
Values = Sequence[object] | Mapping[str, object]


def scalar(db: Connection, kind: type[Value], sql: str, values: Values = ()) -> Value:
    """Return the first column of the first row. Raises LookupError where there is no row, TypeError where it is no `kind`.

    act = scalar(db, int, "SELECT max(act) FROM ledger WHERE person = ?", (person,))
    """
    row = db.execute(sql, values).fetchone()
    if row is None:
        raise LookupError(f"no row: {sql}")
    return _checked(kind, row[0], sql)


def scalar_or_none(
    db: Connection, kind: type[Value], sql: str, values: Values = ()
) -> Value | None:
    """Return the first column of the first row; None where there is no row or the value is null."""
    row = db.execute(sql, values).fetchone()
    return None if row is None or row[0] is None else _checked(kind, row[0], sql)


def insert(db: Connection, sql: str, values: Values = ()) -> int:
    """Insert one row and return its id."""
    cursor = db.execute(sql, values)
    if cursor.lastrowid is None:
        raise LookupError(f"nothing was inserted: {sql}")
    return cursor.lastrowid


def _checked(kind: type[Value], value: object, sql: str) -> Value:
    if not isinstance(value, kind):
        raise TypeError(f"{value!r} is no {kind.__name__}: {sql}")
    return value
