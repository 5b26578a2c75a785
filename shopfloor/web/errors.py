"""Error pages: one sentence, in place for htmx, else as a page. A traceback goes to the log only."""

from __future__ import annotations

import logging

from flask import Flask, Response, make_response, render_template, request
from werkzeug.exceptions import HTTPException

from ..domain.errors import Conflict, NotAllowed, NotFound, Refused, ShopError
from ..wording import pages as wording
from ..wording.message import Message, text
from .page import Notice, show, wants_fragment

STATUS = {NotAllowed: 403, NotFound: 404, Conflict: 409, Refused: 422}
HTTP_ERRORS = {
    404: wording.no_such_page(),
    405: wording.no_such_request(),
    413: wording.file_too_large(),
}

log = logging.getLogger("shopfloor")


def register_error_handlers(app: Flask) -> None:
    """Set the handlers."""
    app.register_error_handler(ShopError, _refused)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


def _refused(error: ShopError) -> Response:
    return refusal(error.message, STATUS.get(type(error), 422))


def _http(error: HTTPException) -> Response:
    if error.response is not None or (error.code or 500) < 400:
        return make_response(error.get_response())
    code = error.code or 500
    response = refusal(HTTP_ERRORS.get(code, wording.cannot_be_read()), code)
    if error.code == 405:
        response.headers["Allow"] = dict(error.get_headers()).get("Allow", "GET")
    return response


def _unexpected(error: Exception) -> Response:
    log.error("an unexpected error", exc_info=error)
    # What was sent may have been done before the answer failed; its key lets it be done once only.
    is_read = request.method in ("GET", "HEAD")
    message = wording.unexpected() if is_read else wording.unexpected_after_sending()
    try:
        return refusal(message, 500)
    except Exception as second:  # the frame itself may be what is broken: then the sentence alone
        log.error("the page of the error failed too", exc_info=second)
        return Response(text(message), 500, mimetype="text/plain")


def refusal(message: Message, status: int) -> Response:
    """Return a refusal: a fragment that htmx puts into #says, or a page."""
    notice = Notice(message, is_refusal=True)
    if not wants_fragment():
        return show(
            "errors/error.html",
            notice,
            title=str(wording.error_title(status)),
            status=status,
        )
    response = make_response(render_template("errors/_notice.html", view=notice), status)
    response.headers["HX-Retarget"] = "#says"
    response.headers["HX-Reswap"] = "outerHTML"
    return response
