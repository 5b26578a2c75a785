"""The frame of every page, requests that fail, and long tasks."""

from __future__ import annotations

from .message import gettext as _
from .message import message

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
    return _("This form is out of date. Reload the page.")


@message
def other_site() -> str:
    return _("That came from another site. Open the page here and do it again.")


@message
def cannot_be_read() -> str:
    return _("The request can't be read. Reload the page.")


@message
def no_such_page() -> str:
    return _("Page not found. Choose one at the foot of the screen.")


@message
def no_such_request() -> str:
    return _("This address can't do that. Choose a page at the foot of the screen.")


@message
def file_too_large() -> str:
    return _("The file is over 20 MB. Choose a smaller one.")


@message
def unexpected() -> str:
    return _(
        "Something went wrong here, and nothing was changed. Try again, and tell the owner if it happens again."
    )


@message
def unexpected_after_sending() -> str:
    return _(
        "Something went wrong. Look in Office, Ledger, to see if it was done. Trying again "
        "does not do it twice."
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
