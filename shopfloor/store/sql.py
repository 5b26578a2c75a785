"""Rows and values out of SQL with a type, and rows into it. The columns of a row are Any: name their type where they are read,
`state: str = row["state"]`, or make a dataclass of the row at once:

    read_one(db, Stock, wording.no_such_stock(), "SELECT * FROM stock WHERE id = ?", (id,))
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from sqlite3 import Connection
from typing import Any, TypeVar

from ..domain.errors import NotFound
from ..wording.message import Message

Value = TypeVar("Value")
Made = TypeVar("Made")
Values = Sequence[object] | Mapping[str, object]

LISTED = "(SELECT value FROM json_each(?))"  # `id IN {LISTED}` takes `listed(ids)`, however many


def read_all(
    db: Connection, make: Callable[..., Made], sql: str, values: Values = ()
) -> list[Made]:
    """Return what `make` makes of each row. It takes the columns by name."""
    return [make(**row) for row in db.execute(sql, values)]


def read_one_or_none(
    db: Connection, make: Callable[..., Made], sql: str, values: Values = ()
) -> Made | None:
    """Return what `make` makes of the first row; None where there is no row."""
    row = db.execute(sql, values).fetchone()
    return None if row is None else make(**row)


def read_one(
    db: Connection, make: Callable[..., Made], missing: Message, sql: str, values: Values = ()
) -> Made:
    """Return what `make` makes of the first row. Raises NotFound, with the message `missing`, where there is no row."""
    made = read_one_or_none(db, make, sql, values)
    if made is None:
        raise NotFound(missing)
    return made


def read_column(db: Connection, sql: str, values: Values = ()) -> list[Any]:
    """Return the first column of each row."""
    return [row[0] for row in db.execute(sql, values)]


def read_pairs(db: Connection, sql: str, values: Values = ()) -> dict[Any, Any]:
    """Return the second column of each row by the first; of rows with the same first column the last."""
    return dict(db.execute(sql, values).fetchall())


def read_groups(db: Connection, sql: str, values: Values = ()) -> dict[Any, list[Any]]:
    """Return the second columns of all rows by the first, in the order of the rows."""
    groups: dict[Any, list[Any]] = {}
    for key, value in db.execute(sql, values):
        groups.setdefault(key, []).append(value)
    return groups


def listed(values: Collection[object]) -> str:
    """Return the values as `LISTED` takes them."""
    return json.dumps(list(values))


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


def insert(db: Connection, table: str, **columns: object) -> int:
    """Insert one row and return its id."""
    marks = ", ".join("?" for _ in columns)
    sql = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})"
    cursor = db.execute(sql, list(columns.values()))
    if cursor.lastrowid is None:
        raise LookupError(f"nothing was inserted: {sql}")
    return cursor.lastrowid


def update(db: Connection, table: str, id: int, **columns: object) -> None:
    """Set some columns of the row with this id."""
    to_set = ", ".join(f"{name} = ?" for name in columns)
    db.execute(f"UPDATE {table} SET {to_set} WHERE id = ?", (*columns.values(), id))


def _checked(kind: type[Value], value: object, sql: str) -> Value:
    if not isinstance(value, kind):
        raise TypeError(f"{value!r} is no {kind.__name__}: {sql}")
    return value
