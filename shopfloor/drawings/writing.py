"""The door for files to the machine: a nest in, the bytes of an SVG or DXF file out.

Owns the choice of the format. The same nest gives the same bytes, so that a checksum says which nest a file holds. Must not
write a line itself.
"""

from __future__ import annotations

from importlib import import_module

from ..domain.errors import Refused
from ..domain.routing.machine_files import MachineSheet
from ..wording import reading as wording

KINDS = ("svg", "dxf")


def write(sheet: MachineSheet, kind: str) -> bytes:
    """The nest at full size in mm, as 'svg' or 'dxf'. Raises Refused for another kind."""
    if kind not in KINDS:
        raise Refused(wording.not_a_machine_format())
    writer = import_module(f".{kind}.writer", __package__)  # a server that only reads loads neither
    written: bytes = writer.written(sheet)
    return written
