"""Opens the database. Owns connections and the one write lock; must not know what is written.

`Connection` and `Row` are what other modules name in a signature; `sql` takes typed values out of a query.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..domain.errors import Conflict, Refused
from ..wording import database as wording
from . import ledger, migrate

Connection = sqlite3.Connection
Row = sqlite3.Row


class Database:
    """One shop's database file: one connection that writes, under one lock, and a reading one for each thread.

    Only the writer has the ledger's triggers. It keeps its statements compiled, whichever thread acts. The readers cannot
    write at all.
    """

    def __init__(self, path: str | Path, *, create: bool = True) -> None:
        """Open `path` and bring it to the present form. Raises Refused where it is missing or not a shopfloor database."""
        self.path = Path(path)
        if not create and not self.path.exists():
            raise Refused(wording.no_database(str(self.path)))
        if not self.path.parent.is_dir():
            raise Refused(wording.no_folder(str(self.path.parent)))
        self._own = threading.local()
        self._write_lock = threading.Lock()
        self._all: list[sqlite3.Connection] = []
        self.writer = self._connect()
        migrate.to_present(self.writer)
        ledger.install_triggers(self.writer)

    def read(self) -> sqlite3.Connection:
        """Return this thread's connection, for reading."""
        connection: sqlite3.Connection | None = getattr(self._own, "connection", None)
        if connection is None:
            connection = self._own.connection = self._connect()
            connection.execute("PRAGMA query_only = ON")
        return connection

    def hurry(self) -> None:
        """Let acts no longer wait for the disk: for a demo, which may be lost in a power cut."""
        self.writer.execute("PRAGMA synchronous = OFF")

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """Give the writing connection inside BEGIN IMMEDIATE … COMMIT; rolled back where anything is raised."""
        with self._write_lock:
            self.writer.execute("BEGIN IMMEDIATE")
            try:
                yield self.writer
                self.writer.execute("COMMIT")
            except sqlite3.IntegrityError as error:
                self.writer.execute("ROLLBACK")
                raise Conflict(wording.something_depends_on_this()) from error
            except BaseException:
                self.writer.execute("ROLLBACK")
                raise

    @contextmanager
    def snapshot(self) -> Iterator[sqlite3.Connection]:
        """Give this thread's connection in one read transaction: a page sees one moment."""
        connection = self.read()
        connection.execute("BEGIN")
        try:
            yield connection
        finally:
            connection.execute("ROLLBACK")

    def close(self) -> None:
        """Close every connection."""
        with self._write_lock:
            for connection in self._all:
                connection.close()
            self._all.clear()
            self._own = threading.local()

    def _connect(self) -> sqlite3.Connection:
        connection = connect(self.path)
        self._all.append(connection)
        return connection


def connect(path: str | Path) -> sqlite3.Connection:
    """Open a connection with the project's settings; columns of a row are reached by name."""
    connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    connection.row_factory = sqlite3.Row
    try:
        for pragma in (
            "busy_timeout = 10000",
            "journal_mode = WAL",
            "synchronous = FULL",
            "foreign_keys = ON",
            "recursive_triggers = ON",  # else REPLACE bypasses the ledger's triggers
            "wal_autocheckpoint = 4000",  # 16 MB: acts seldom have to write the pages back
            "temp_store = MEMORY",  # pending changes live only as long as one act
        ):
            connection.execute(f"PRAGMA {pragma}")
    except sqlite3.DatabaseError as error:
        connection.close()
        raise Refused(wording.not_a_database(str(path))) from error
    return connection
