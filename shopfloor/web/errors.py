"""What went wrong, in one sentence: where it happened for htmx, else as a page. A traceback goes to the log only."""

from __future__ import annotations

import logging

from flask import Flask, Response, make_response, render_template, request
from werkzeug.exceptions import HTTPException

from ..domain.errors import Conflict, NotAllowed, NotFound, Refused, ShopError
from ..wording.message import Message
from .page import Notice, show, wants_fragment

STATUS = {NotAllowed: 403, NotFound: 404, Conflict: 409, Refused: 422}
SENTENCES = {
    400: "The request cannot be read: load the page again.",
    404: "There is no such page: choose a place in the title block.",
    405: "This address takes no such request: choose a place in the title block.",
    413: "That is more than 20 MB: send a smaller file.",
}
UNEXPECTED = (
    "Something went wrong here, and nothing was changed: try again, and tell the owner if it stays."
)
# What was sent may have been done before the answer failed; its key lets it be done once only.
UNEXPECTED_ACT = "Something went wrong here. Whether it was done stands in Office, Ledger; sending it again does not do it twice."
TITLES = {
    403: "Not for you",
    404: "Not there",
    409: "Not now",
    413: "Too large",
    422: "Not like that",
}

log = logging.getLogger("shopfloor")


def register_error_handlers(app: Flask) -> None:
    """Sets the handlers."""
    app.register_error_handler(ShopError, _refused)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


def _refused(error: ShopError) -> Response:
    return refusal(error.message, STATUS.get(type(error), 422))


def _http(error: HTTPException) -> Response:
    if error.response is not None or (error.code or 500) < 400:
        return error.get_response()
    response = refusal(SENTENCES.get(error.code, SENTENCES[400]), error.code)
    if error.code == 405:
        response.headers["Allow"] = dict(error.get_headers()).get("Allow", "GET")
    return response


def _unexpected(error: Exception) -> Response:
    log.error("an unexpected error", exc_info=error)
    sentence = UNEXPECTED if request.method in ("GET", "HEAD") else UNEXPECTED_ACT
    try:
        return refusal(sentence, 500)
    except Exception as second:  # the frame itself may be what is broken: then the sentence alone
        log.error("the page of the error failed too", exc_info=second)
        return Response(sentence, 500, mimetype="text/plain")


def refusal(message: Message | str, status: int) -> Response:
    """A refusal: a fragment that htmx puts into #says, or a page."""
    notice = Notice(message, is_refusal=True)
    if not wants_fragment():
        return show(
            "errors/error.html",
            notice,
            title=TITLES.get(status, "That did not work"),
            status=status,
        )
    response = make_response(render_template("errors/_notice.html", view=notice), status)
    response.headers["HX-Retarget"] = "#says"
    response.headers["HX-Reswap"] = "outerHTML"
    return response
