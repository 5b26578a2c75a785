"""Reads the shop's thermometer at the bench: temperature and humidity. Must not decide when, nor keep what it read.

The thermometer is whatever the owner's setting names: a file that something else writes, or an address on the shop's network.
Either is read in one of these forms:

    {"temperature_c": 19.5, "humidity_percent": 45}       or with "temperature_f"; the humidity may be left out
    19.5 45                                               plain text: °C, then % where there is a second number

Whatever answers is not trusted: at most 64 kB, three seconds, no redirect to another host.
"""

from __future__ import annotations

import http.client
import json
import math
import re
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path
from typing import IO, Any

from .domain.bench.climate import checked_humidity, checked_temperature
from .domain.errors import Refused
from .wording import climate as wording

MOST_BYTES = 64 * 1024
TIMEOUT = 3.0  # seconds
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


def read(where: str) -> tuple[float, float | None]:
    """Return the temperature in °C and relative humidity in % (None where not given) from a file's path or an http(s) address.

    Raises Refused where it does not answer, answers too much, or gives what no bench could have.
    """
    raw = _fetched(where) if where.startswith(("http://", "https://")) else _from_disk(where)
    if len(raw) > MOST_BYTES:
        raise Refused(wording.thermometer_unreadable())
    temperature, humidity = _figures(raw)
    try:
        return (
            checked_temperature(temperature),
            None if humidity is None else checked_humidity(humidity),
        )
    except Refused as error:
        raise Refused(wording.thermometer_unreadable()) from error


def _from_disk(where: str) -> bytes:
    try:
        path = Path(where)
        if not path.is_file():  # a pipe or a device would block the reader
            raise Refused(wording.thermometer_silent())
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise Refused(wording.thermometer_silent()) from error


class _SameHost(urllib.request.HTTPRedirectHandler):
    """Follows redirects only on the host that the owner named."""

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: IO[bytes],
        code: int,
        msg: str,
        headers: http.client.HTTPMessage,
        newurl: str,
    ) -> urllib.request.Request | None:
        asked, to = urllib.parse.urlsplit(req.full_url), urllib.parse.urlsplit(newurl)
        if (to.scheme, to.netloc) != (asked.scheme, asked.netloc):
            raise urllib.error.URLError("redirected to another host")
        return super().redirect_request(req, fp, code, msg, headers, newurl)


# Without a proxy: the thermometer is in the shop. Built from these handlers alone, so that no address opens a file.
_OPENER = urllib.request.OpenerDirector()
for _handler in (
    urllib.request.HTTPHandler(),
    urllib.request.HTTPSHandler(),
    urllib.request.HTTPDefaultErrorHandler(),
    urllib.request.HTTPErrorProcessor(),
    _SameHost(),
):
    _OPENER.add_handler(_handler)


def _fetched(where: str) -> bytes:
    try:
        with _OPENER.open(where, timeout=TIMEOUT) as answer:
            return _read(answer)
    except (OSError, http.client.HTTPException, ValueError) as error:  # a URLError is an OSError
        raise Refused(wording.thermometer_silent()) from error


def _read(answer: http.client.HTTPResponse) -> bytes:
    """Return the answer, up to a byte more than is allowed; one that comes too slowly is dropped."""
    raw, until = b"", time.monotonic() + TIMEOUT
    while len(raw) <= MOST_BYTES and (more := answer.read1(MOST_BYTES)):
        raw += more
        if time.monotonic() > until:
            raise TimeoutError
    return raw


def _figures(raw: bytes) -> tuple[float, float | None]:
    text = raw.decode("utf-8", "replace").lstrip("\ufeff").strip()
    if text.startswith("{"):
        return _of_object(text)
    numbers = [float(number.replace(",", ".")) for number in _NUMBER.findall(text)[:2]]
    if not numbers:
        raise Refused(wording.thermometer_unreadable())
    return numbers[0], numbers[1] if len(numbers) > 1 else None


def _of_object(text: str) -> tuple[float, float | None]:
    try:
        answer = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refused(wording.thermometer_unreadable()) from error
    temperature, humidity = _number(answer, "temperature_c"), _number(answer, "humidity_percent")
    if temperature is None and (fahrenheit := _number(answer, "temperature_f")) is not None:
        temperature = (fahrenheit - 32) / 1.8  # definition, NIST SP 811
    if temperature is None:
        raise Refused(wording.thermometer_unreadable())
    return temperature, humidity


def _number(answer: dict[str, Any], name: str) -> float | None:
    """Return a figure of the object, also where it is written as text; None where it is missing or no number."""
    try:
        value = float(answer[name])
    except (KeyError, TypeError, ValueError, OverflowError):
        return None
    return value if math.isfinite(value) else None
