"""Opens the database. Owns connections and the one write lock; must not know what is written."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..domain.errors import Conflict, Refused
from . import ledger, migrate

# What the layers above name in a signature; nothing else of sqlite3 is theirs.
Connection = sqlite3.Connection
Row = sqlite3.Row


class Database:
    """One shop's database file: one connection that writes, under one lock, and a reading one for each thread.

    The writer alone bears the ledger's triggers, and keeps its statements compiled whichever thread acts; the readers
    cannot write at all.
    """

    def __init__(self, path: str | Path, *, create: bool = True):
        """Opens `path` and brings it to the present form. Refused where it is missing or not a shopfloor database."""
        self.path = Path(path)
        if not create and not self.path.exists():
            raise Refused(f"There is no database at {self.path}: name one that exists.")
        if not self.path.parent.is_dir():
            raise Refused(f"There is no folder {self.path.parent}: make it first.")
        self._own = threading.local()
        self._write_lock = threading.Lock()
        self._all: list[sqlite3.Connection] = []
        self.writer = self._connect()
        migrate.to_present(self.writer)
        ledger.install_triggers(self.writer)

    def read(self) -> sqlite3.Connection:
        """This thread's connection, for reading."""
        connection = getattr(self._own, "connection", None)
        if connection is None:
            connection = self._own.connection = self._connect()
            connection.execute("PRAGMA query_only = ON")
        return connection

    def hurry(self) -> None:
        """Acts no longer wait for the disk: for a demo, which nobody minds to lose with the power."""
        self.writer.execute("PRAGMA synchronous = OFF")

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """The writing connection inside BEGIN IMMEDIATE … COMMIT; rolled back where anything is raised."""
        with self._write_lock:
            self.writer.execute("BEGIN IMMEDIATE")
            try:
                yield self.writer
                self.writer.execute("COMMIT")
            except sqlite3.IntegrityError as error:
                self.writer.execute("ROLLBACK")
                raise Conflict("Something else rests on it by now: undo that first.") from error
            except BaseException:
                self.writer.execute("ROLLBACK")
                raise

    @contextmanager
    def snapshot(self) -> Iterator[sqlite3.Connection]:
        """This thread's connection in one read transaction: a page sees one moment."""
        connection = self.read()
        connection.execute("BEGIN")
        try:
            yield connection
        finally:
            connection.execute("ROLLBACK")

    def close(self) -> None:
        """Closes every connection."""
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
    """A connection with the project's settings; rows are reached by name."""
    connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False, timeout=10)
    connection.row_factory = sqlite3.Row
    try:
        for pragma in (
            "journal_mode = WAL",
            "synchronous = FULL",
            "foreign_keys = ON",
            "recursive_triggers = ON",  # else REPLACE gets past the ledger's triggers
            "busy_timeout = 10000",
            "wal_autocheckpoint = 4000",  # 16 MB: the odd act that writes the pages back is rarer
            "temp_store = MEMORY",  # the ledger's notes: no file for what lives as long as one act
        ):
            connection.execute(f"PRAGMA {pragma}")
    except sqlite3.DatabaseError as error:
        connection.close()
        raise Refused(f"{path} is not a shopfloor database: name another file.") from error
    return connection
