"""What the command line prints."""

from __future__ import annotations

from .message import Message, message, ngettext
from .message import gettext as _


@message
def tls_needs_files() -> str:
    return _("--tls needs --cert FILE and --key FILE. Give both.")


@message
def serving(path: str, address: str) -> str:
    return _("Serving {path} at {address}. Stop with Ctrl-C.")


@message
def cannot_serve(address: str, why: str, has_certificate: bool) -> str:
    if has_certificate:
        return _(
            "Cannot serve at {address} ({why}). Choose another --port, or other files for "
            "--cert and --key."
        )
    return _("Cannot serve at {address} ({why}). Choose another --port.")


@message
def labels_written(count: int, file: str) -> str:
    return ngettext("{count} label is in {file}.", "{count} labels are in {file}.", count)


@message
def replayed(count: int, is_sound: bool) -> str:
    if is_sound:
        return ngettext(
            "{count} action replayed. The ledger matches the database.",
            "{count} actions replayed. The ledger matches the database.",
            count,
        )
    return ngettext(
        "{count} action replayed. The ledger does not match the database.",
        "{count} actions replayed. The ledger does not match the database.",
        count,
    )


@message
def backup_written(file: str) -> str:
    return _("The backup is in {file}.")


@message
def restored(file: str, source: str) -> str:
    return _("{file} is restored from {source}.")


@message
def old_one_kept(file: str) -> str:
    return _("The old database is kept as {file}.")


@message
def cannot_read_file(file: str) -> str:
    return _("The file {file} cannot be read. Choose a drawing that exists.")


@message
def measure_needs_source() -> str:
    return _("`measure` needs the source copy of shopfloor: run it there.")


@message
def setting_line(name: str, title: Message, value: str, default: str) -> str:
    if value == default:
        return _("{name} = {value}  ({title})")
    return _("{name} = {value}  ({title}; default {default})")
