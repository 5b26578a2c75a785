"""The door for drawings: bytes in, a Drawing out, whatever the bytes are.

Owns the choice between SVG and DXF, by the bytes and never by the name, and the call of the worker process with its
limits. Must not parse anything itself.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from importlib import import_module
from typing import Any

from .. import worker
from ..domain.drawing.drawing import Drawing
from ..domain.errors import Refused
from ..wording import reading as wording
from ..wording.message import Message

BINARY_DXF = b" Binary DXF\r\n\x1a\0"  # within the first bytes of a binary DXF file
MAX_BYTES = 20 * 1024 * 1024
MEMORY_MB = 2048
IN_WORKER = "shopfloor.drawings.reading:read_in_worker"
_SPOKEN = {"dxf": "DXF", "svg": "plain SVG"}

_OTHER_KINDS = (
    (b"%PDF", "pdf"),
    (b"\x89PNG", "png"),
    (b"\xff\xd8\xff", "jpeg"),
    (b"GIF8", "gif"),
    (b"II*\0", "tiff"),
    (b"MM\0*", "tiff"),
    (b"%!PS", "postscript"),
    (b"PK\x03\x04", "zip"),
)


def read(
    data: bytes,
    filename: str,
    *,
    unit: str | None = None,
    seconds: float = 20,
    progress: Callable[[float], None] | None = None,
) -> Drawing:
    """Reads an SVG or DXF drawing in a process of its own.

    `filename` is only spoken of, never opened. `unit` ('mm', 'cm', 'm', 'in', 'ft', 'pt', 'px') answers the question of
    a file that names none, and goes before what the file names. `seconds` is the time limit; `progress` gets a share
    from 0 to 1. Raises Refused with one sentence for everything that cannot be read.
    """
    name = _shown(filename)
    kind = _kind(data, name)
    message = {"kind": kind, "base64": base64.b64encode(data).decode("ascii"), "unit": unit}
    try:
        kept = worker.call(
            IN_WORKER, message, seconds=seconds, memory_mb=MEMORY_MB, progress=progress
        )
    except worker.WorkerFailed as failed:
        raise Refused(_message(failed.why, name, seconds, _SPOKEN[kind])) from None
    return Drawing.of_dict(kept)


def read_in_worker(message: dict[str, Any], report: Callable[[float], None]) -> dict[str, Any]:
    """The worker's side: {'kind': 'svg' or 'dxf', 'base64': …, 'unit': … or None} to a Drawing as a dict. Raises Refused."""
    package = import_module(
        f".{message['kind']}", __package__
    )  # of the libraries only what is needed
    reader: Callable[..., Drawing] = getattr(package, f"read_{message['kind']}")
    return reader(base64.b64decode(message["base64"]), message["unit"], report).as_dict()


def _shown(filename: str) -> Message | str:
    """The last part of a file's name, fit for a sentence."""
    last = re.split(r"[\\/]", filename)[-1]
    plain = "".join(letter for letter in last if letter.isprintable()).strip()
    return plain if 0 < len(plain) <= 60 else (plain[:59] + "…" if plain else wording.the_file())


def _kind(data: bytes, name: Message | str) -> str:
    """'dxf' or 'svg'. Raises Refused."""
    _refuse_other_kinds(data, name)
    if _is_dxf(data):
        return "dxf"
    if re.search(rb"<([\w.-]+:)?svg\b", data.replace(b"\0", b"")) is None:
        raise Refused(wording.not_a_drawing(name))
    return "svg"


def _is_dxf(data: bytes) -> bool:
    """Text begins with the pair of lines 0, SECTION; comments (999) may come before it."""
    if BINARY_DXF in data[:32]:
        return True
    lines = [line.strip() for line in data[:8192].removeprefix(b"\xef\xbb\xbf").splitlines()]
    first = next(
        (pair for pair in zip(lines[::2], lines[1::2], strict=False) if pair[0] != b"999"), None
    )
    return first == (b"0", b"SECTION")


def _refuse_other_kinds(data: bytes, name: Message | str) -> None:
    if not data.strip():
        raise Refused(wording.empty_file(name))
    if len(data) > MAX_BYTES:
        raise Refused(wording.too_large(name))
    for start, kind in _OTHER_KINDS:
        if data.startswith(start):
            raise Refused(wording.other_kind(name, wording.kind_of_file(kind)))
    if re.match(rb"AC10\d\d", data):
        raise Refused(wording.dwg(name))
    if data.startswith(b"\x1f\x8b"):
        raise Refused(wording.compressed(name))


def _message(why: str, name: Message | str, seconds: float, kind: str) -> Message:
    if why == "time":
        return wording.took_too_long(name, seconds)
    if why == "memory":
        return wording.took_too_much_memory(name)
    return wording.could_not_be_read(name, kind)
