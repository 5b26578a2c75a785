"""The frame of every page, requests that fail, codes and lengths as they are typed, the database
file. Roles are in `people`.
"""

from __future__ import annotations

from .message import Code, message
from .message import gettext as _

# The frame. -------------------------------------------------------------------------------------


@message
def page_name(key: str) -> str:
    """The pages of the title block."""
    return {
        "floor": _("Floor"),
        "scan": _("Scan"),
        "sheets": _("Sheets"),
        "recuts": _("Recuts"),
        "bench": _("Bench"),
        "jobs": _("Jobs"),
        "stock": _("Stock"),
        "office": _("Office"),
    }[key]


@message
def to_cut(count: int) -> str:
    return _("{count} to cut")


@message
def ready(count: int) -> str:
    return _("{count} ready")


@message
def waiting(count: int) -> str:
    return "{count}"


# Requests that fail. ----------------------------------------------------------------------------


@message
def form_not_ours() -> str:
    return _("This form is out of date or not from here. Load the page again.")


@message
def other_site() -> str:
    return _("That came from another site. Open the page here and do it again.")


@message
def cannot_be_read() -> str:
    return _("The request can't be read. Load the page again.")


@message
def no_such_page() -> str:
    return _("There is no such page. Choose a place in the title block.")


@message
def no_such_request() -> str:
    return _("This address can't do that. Choose a place in the title block.")


@message
def file_too_large() -> str:
    return _("The file is larger than 20 MB. Send a smaller one.")


@message
def unexpected() -> str:
    return _(
        "Something went wrong here, and nothing was changed. Try again, and tell the owner if it happens again."
    )


@message
def unexpected_after_sending() -> str:
    return _(
        "Something went wrong here. Office, Ledger shows whether it was done. Sending it again does not do it twice."
    )


@message
def unexpected_in_the_background() -> str:
    return _(
        "Something went wrong during this task, and nothing was changed. Try again, and tell the owner if it happens again."
    )


@message
def task_ended() -> str:
    return _("This task has ended. Finished results are saved; the rest still waits.")


@message
def error_title(status: int) -> str:
    titles = {
        403: _("Not allowed"),
        404: _("Not found"),
        409: _("Not now"),
        413: _("Too large"),
        422: _("Check the entry"),
    }
    return titles.get(status, _("That did not work"))


@message
def nobody_signed_in() -> str:
    return _("Nobody is signed in. Sign in first.")


# Codes. -----------------------------------------------------------------------------------------


@message
def no_code_read() -> str:
    return _("No code was read. Scan the label or type its 8 figures.")


@message
def not_a_code(text: str) -> str:
    return _("“{text}” is not a code. Scan the label or type its 8 figures.")


@message
def wrong_count_of_figures(text: str, count: int) -> str:
    return _("A code has 8 figures, not {count} as in “{text}”. Read it again.")


@message
def mistyped_digit(code: Code) -> str:
    return _("The code {code} has a mistyped digit. Read it again.")


@message
def address_does_not_fit(address: str) -> str:
    return _(
        "The address “{address}” does not fit a label. Use only letters, figures, “.”, “-” and “:”, "
        "as in 192.168.1.20:8080."
    )


# Lengths. ---------------------------------------------------------------------------------------


@message
def not_a_length(text: str, units: str) -> str:
    if units == "mm":
        return _("“{text}” is not a length in mm. Type it like 106.5 or 106,5.")
    return _("“{text}” is not a length in inches. Type it like 4 3/16, 3/4 or 4.1875.")


@message
def length_too_long(text: str) -> str:
    return _("“{text}” is more than 100 m. Type it again.")


@message
def two_readings(text: str, whole: str, decimal: str) -> str:
    return _("“{text}” can be read two ways. Type {whole} or {decimal}.")


# The database file. -----------------------------------------------------------------------------


@message
def no_database(path: str) -> str:
    return _("There is no database at {path}. Name one that exists.")


@message
def no_folder(path: str) -> str:
    return _("There is no folder {path}. Make it first.")


@message
def not_a_database(path: str) -> str:
    return _("{path} is not a shopfloor database. Name another file.")


@message
def this_is_not_a_database() -> str:
    return _("This file is not a shopfloor database. Name another file.")


@message
def newer_database() -> str:
    return _("A newer shopfloor wrote this database. Install that version and try again.")


@message
def something_depends_on_this() -> str:
    return _("Something was done since that needs this. Undo that first.")


@message
def file_exists(path: str) -> str:
    return _("The file {path} exists already. Name a new one.")


@message
def no_backup(path: str) -> str:
    return _("There is no file {path}. Name a backup that exists.")


@message
def not_a_backup(path: str) -> str:
    return _("{path} is not a backup of a shopfloor database. Name another file.")


@message
def damaged_backup(path: str) -> str:
    return _("The backup {path} is damaged. Take an older one.")


@message
def database_in_use(path: str) -> str:
    return _("{path} is in use. Stop the server first.")


@message
def row_differs(table: str, keys: str) -> str:
    return _("{table} {keys}: the ledger and the stored row differ.")
