"""Answers over the wire: gzip, and how long a browser may keep a static file. Must not know any page."""

from __future__ import annotations

import gzip
import re

from flask import Flask, Response, request

WORTH_IT = 3000  # bytes: two packets on the wire; compressing less saves no time
PACKING = 2  # gzip level: tablets are near, so speed matters more than the last byte
PACKED = (
    "text/",
    "application/json",
    "application/javascript",
    "image/svg+xml",
    "application/manifest+json",
)
_VERSIONED = re.compile(r"-\d+(\.\d+)+[.\w-]*$")
YEAR = 365 * 86400


def init_app(app: Flask) -> None:
    """Set it up; Flask sends static files with an ETag anyway."""
    app.after_request(_keep_static)
    app.after_request(_pack)


def _keep_static(response: Response) -> Response:
    if request.endpoint == "static" and response.status_code in (200, 206, 304):
        is_versioned = _VERSIONED.search(request.path.rsplit("/", 1)[-1])
        response.headers["Cache-Control"] = (
            f"public, max-age={YEAR}, immutable" if is_versioned else "no-cache"
        )
    return response


def _pack(response: Response) -> Response:
    if not _is_worth_packing(response):
        return response
    response.vary.add("Accept-Encoding")
    if not request.accept_encodings["gzip"]:
        return response
    response.direct_passthrough = False
    whole = response.get_data()
    if len(whole) < WORTH_IT:
        return response
    response.set_data(gzip.compress(whole, PACKING, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    etag, _ = response.get_etag()
    if etag:
        response.set_etag(etag, weak=True)  # the same file in other bytes
    return response


def _is_worth_packing(response: Response) -> bool:
    return (
        response.status_code in (200, 403, 404, 409, 422)
        and "Content-Encoding" not in response.headers
        and (response.mimetype or "").startswith(PACKED)
        and (request.endpoint == "static" or not response.is_streamed)
        and request.method != "HEAD"
    )
