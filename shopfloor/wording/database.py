"""The database file, backups and the check of the ledger."""

from __future__ import annotations

from .message import gettext as _
from .message import message


@message
def no_database(path: str) -> str:
    return _("There is no database at {path}. Choose one that exists.")


@message
def no_folder(path: str) -> str:
    return _("There is no folder {path}. Make it first.")


@message
def not_a_database(path: str) -> str:
    return _("{path} is not a shopfloor database. Choose another file.")


@message
def this_is_not_a_database() -> str:
    return _("This file is not a shopfloor database. Choose another file.")


@message
def newer_database() -> str:
    return _("A newer shopfloor wrote this database. Install that version and try again.")


@message
def something_depends_on_this() -> str:
    return _("Something done since needs this. Undo that first.")


@message
def file_exists(path: str) -> str:
    return _("The file {path} already exists. Choose another name.")


@message
def no_backup(path: str) -> str:
    return _("There is no file {path}. Choose a backup that exists.")


@message
def not_a_backup(path: str) -> str:
    return _("{path} is not a backup of a shopfloor database. Choose another file.")


@message
def damaged_backup(path: str) -> str:
    return _("The backup {path} is damaged. Use an older one.")


@message
def database_in_use(path: str) -> str:
    return _("{path} is in use. Stop the server first.")


@message
def row_differs(table: str, keys: str) -> str:
    return _("{table} {keys}: ledger and database do not match.")
