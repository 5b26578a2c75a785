"""The first look at a DXF file: text or binary, whole or damaged, in which unit.

Owns the opening of the file and the unit that its header names. Must not look at any entity's geometry.
"""

from __future__ import annotations

import io
import logging
import re
from dataclasses import dataclass

from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import dxf_stream_info
from ezdxf.filemanagement import read as read_dxf_text
from ezdxf.lldxf.tagger import binary_tags_loader

from ...domain.errors import Refused
from ...wording import reading as wording
from ..reading import BINARY_DXF

# The library logs what it finds wrong with the file's own bytes in it; what matters of that becomes a finding or a refusal.
logging.getLogger("ezdxf").setLevel(logging.CRITICAL + 1)

_BOM = b"\xef\xbb\xbf"
_INCH, _FOOT, _SURVEY_FOOT = 25.4, 304.8, 1200 / 3937 * 1000
# DXF reference, header variables, $INSUNITS: the code, and mm in one such unit. 0 stands for none.
_MM_BY_CODE = {
    1: _INCH,
    2: _FOOT,
    3: 63360 * _INCH,
    4: 1.0,
    5: 10.0,
    6: 1e3,
    7: 1e6,
    8: _INCH * 1e-6,
    9: _INCH * 1e-3,
    10: 36 * _INCH,
    11: 1e-7,
    12: 1e-6,
    13: 1e-3,
    14: 1e2,
    15: 1e4,
    16: 1e5,
    17: 1e12,
    18: 1.495978707e14,
    19: 9.4607304725808e18,
    20: 3.0856775814913673e19,
    21: _SURVEY_FOOT,
    22: _SURVEY_FOOT / 12,
    23: _SURVEY_FOOT * 3,
    24: _SURVEY_FOOT * 5280,
}
_MM_BY_NAME = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": _INCH,
    "ft": _FOOT,
    "pt": _INCH / 72,
    "px": _INCH / 96,
}


@dataclass(frozen=True)
class Opened:
    """An opened file. `mm` is the length of its unit, None where it names none; `is_damaged` where it was mended."""

    document: Document
    mm: float | None
    is_damaged: bool


def load(data: bytes) -> Opened:
    """Opens a file, strictly first, then with what can be saved of a damaged one. Raises Refused."""
    try:
        document, is_damaged = _strictly(data), False
    except MemoryError:
        raise
    except Exception as error:  # the library raises whatever broken tags lead it to
        _refuse_bad_numbers(error)
        document, is_damaged = _leniently(data), True
    return Opened(document, _named_unit(document, data), is_damaged)


def mm_of(unit: str) -> float:
    """The length in mm of a unit that a person named ('mm', 'cm', 'm', 'in', 'ft', 'pt', 'px'). Raises Refused."""
    if unit not in _MM_BY_NAME:
        raise Refused(wording.no_such_unit(unit[:20], tuple(_MM_BY_NAME)))
    return _MM_BY_NAME[unit]


def _strictly(data: bytes) -> Document:
    if BINARY_DXF in data[:32]:
        return Document.load(binary_tags_loader(data, errors="surrogateescape"))
    plain = data.removeprefix(_BOM)
    info = dxf_stream_info(_text(plain, "utf-8", "ignore"))
    return read_dxf_text(_text(plain, info.encoding, "surrogateescape"))


def _refuse_bad_numbers(error: Exception) -> None:
    """The lenient way would take 60 for '60,5'."""
    if "floating point" in str(error):
        line = re.search(r"line:? (\d+)", str(error))
        raise Refused(wording.broken_number(int(line[1]) if line else None)) from None


def _leniently(data: bytes) -> Document:
    document = None
    if BINARY_DXF not in data[:32]:
        try:
            document, _ = recover.read(io.BytesIO(data.removeprefix(_BOM)))
        except MemoryError:
            raise
        except Exception:  # nothing could be saved
            document = None
    if document is None or len(document.modelspace()) == 0:  # it makes an empty drawing of rubbish
        raise Refused(wording.broken_dxf())
    return document


def _text(data: bytes, encoding: str, errors: str) -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(data), encoding=encoding, errors=errors)


def _named_unit(document: Document, data: bytes) -> float | None:
    """None also where the header lacks the variable: the library then answers metres, its own default."""
    if b"$INSUNITS" not in data:
        return None
    return _MM_BY_CODE.get(document.header.get("$INSUNITS", 0))
