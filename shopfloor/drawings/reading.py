"""The door for drawings: bytes in, a Drawing out, whatever the bytes are.

Owns the check that a file is an SVG drawing at all, and the call of the worker process with its limits. Must not
parse anything itself.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable

from .. import worker
from ..domain.drawing import Drawing
from ..domain.errors import Refused

MAX_BYTES = 20 * 1024 * 1024
MEMORY_MB = 2048

_OTHER_KINDS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"%!PS", "a PostScript file"),
    (b"PK\x03\x04", "a zip archive"),
)


def read(
    data: bytes, filename: str, *, seconds: float = 20, progress: Callable[[float], None] | None = None
) -> Drawing:
    """Reads a drawing in a process of its own.

    `filename` is only spoken of, never opened. `seconds` is the time limit; `progress` is told a share from 0 to 1.
    Raises Refused with one sentence for everything that cannot be read.
    """
    name = _shown(filename)
    _refuse_other_kinds(data, name)
    message = {"base64": base64.b64encode(data).decode("ascii")}
    try:
        kept = worker.call(
            "shopfloor.drawings.svg:read_in_worker", message, seconds=seconds, memory_mb=MEMORY_MB, progress=progress
        )
    except worker.WorkerFailed as failed:
        raise Refused(_sentence(failed.why, name, seconds)) from None
    return Drawing.of_dict(kept)


def _shown(filename: str) -> str:
    """The last part of a file's name, fit for a sentence."""
    last = re.split(r"[\\/]", filename)[-1]
    plain = "".join(letter for letter in last if letter.isprintable()).strip()
    return plain if 0 < len(plain) <= 60 else (plain[:59] + "…" if plain else "the file")


def _refuse_other_kinds(data: bytes, name: str) -> None:
    if not data.strip():
        raise Refused(f"The drawing {name} is empty: save it again and send that.")
    if len(data) > MAX_BYTES:
        raise Refused(f"The drawing {name} is over 20 MB: split it, or take the pictures out of it, and send it again.")
    for start, kind in _OTHER_KINDS:
        if data.startswith(start):
            raise Refused(f"{name} is {kind}, not a drawing: export the drawing as SVG at full size and send that.")
    if data.startswith(b"\x1f\x8b"):
        raise Refused(f"The drawing {name} is compressed: save it as plain SVG and send that.")
    head = data[:4096].replace(b"\0", b"")
    if name.lower().endswith(".dxf") or re.match(rb"\s*0\s+SECTION\b", head) or b"Binary DXF" in head[:32]:
        raise Refused(f"{name} is a DXF file, and only SVG is read so far: save it as SVG at full size and send that.")
    if re.search(rb"<([\w.-]+:)?svg\b", data.replace(b"\0", b"")) is None:
        raise Refused(f"{name} is not a drawing: export the drawing as SVG at full size and send that.")


def _sentence(why: str, name: str, seconds: float) -> str:
    if why == "time":
        return f"Reading {name} took longer than {seconds:g} s: simplify its paths or split it into several drawings."
    if why == "memory":
        return f"Reading {name} takes too much memory: simplify its paths or split it into several drawings."
    return f"{name} could not be read: export it again as plain SVG and send that."
