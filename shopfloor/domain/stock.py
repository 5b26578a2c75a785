"""What may be said of a stock and of a blank: their words, sizes and bounds. Pure: no idea where they are kept."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from dataclasses import dataclass

from .errors import Refused
from .settings import number

KINDS = ("cast", "extruded", "other")
FINISHES = ("gloss", "matt", "satin", "frosted", "mirror", "textured")
TURNS = {"any": "any way", "180": "half a turn only", "none": "not at all"}
TIGHTNESS = ("any", "180", "none")  # each allows fewer turns than the one before
MOST_AT_ONCE = 200

# (title, least, most) of each number; the bounds only keep slips of the finger out.
LENGTH = ("The length of a sheet, in mm,", 50, 10_000)
WIDTH = ("The width of a sheet, in mm,", 50, 10_000)
THICKNESS = ("The thickness, in mm,", 0.5, 100)
COST = ("The cost of a full sheet", 0, 1_000_000)
COUNT = ("How many sheets", 1, MOST_AT_ONCE)
OFFCUT_LENGTH = ("The length of the offcut, in mm,", 20, 10_000)
OFFCUT_WIDTH = ("The width of the offcut, in mm,", 20, 10_000)


@dataclass(frozen=True)
class StockAdded:
    """A further sheet material."""

    code: str
    name: str
    thickness_mm: float


@dataclass(frozen=True)
class StockChanged:
    """A sheet material is not what it was; `changed` names the columns."""

    code: str
    changed: tuple[str, ...]


@dataclass(frozen=True)
class BlanksCameIn:
    """Full sheets came in: `waited_for` of them had been planned on already."""

    stock: str
    count: int
    waited_for: int


@dataclass(frozen=True)
class OffcutAdded:
    """An offcut was put into the rack. Lengths mm."""

    stock: str
    code: str
    length_mm: float
    width_mm: float


@dataclass(frozen=True)
class BlankGone:
    """A full sheet or an offcut is no longer in the rack."""

    code: str


@dataclass(frozen=True)
class ColourForgotten:
    """A colour of drawings stands for no stock any more."""

    colour: str


def checked_material(values: Mapping[str, str]) -> dict[str, str | float]:
    """A stock's columns, all but its code, from what was typed. Raises Refused."""
    return {
        "name": _words(values, "name", "The stock's name", 40),
        "colour": _colour(values.get("colour", "")),
        "finish": _words(values, "finish", "The finish", 30),
        "kind": _one_of(values, "kind", KINDS, "cast, extruded or other"),
        "thickness_mm": number(values.get("thickness_mm", "").strip(), *THICKNESS),
        "length_mm": number(values.get("length_mm", "").strip(), *LENGTH),
        "width_mm": number(values.get("width_mm", "").strip(), *WIDTH),
        "turns": _one_of(values, "turns", TIGHTNESS, "any way, half a turn only or not at all"),
        "cost": number(values.get("cost", "").strip() or "0", *COST),
    }


def code_for(name: str, thickness_mm: float, taken: Container[str]) -> str:
    """The shop's own code for a stock, such as 'cream-6', unlike those that are `taken` (in small letters)."""
    stem = re.sub(r"[^\w.]+", "-", f"{name.lower()}-{thickness_mm:g}").strip("-.")
    numbered = (f"{stem}-{again}" for again in range(2, 100_000))
    return stem if stem not in taken else next(code for code in numbered if code not in taken)


def is_tighter(turns: str, than: str) -> bool:
    """True where `turns` allows fewer turns than the other does."""
    return TIGHTNESS.index(turns) > TIGHTNESS.index(than)


def _words(values: Mapping[str, str], name: str, title: str, most: int) -> str:
    tidy = " ".join(values.get(name, "").split())
    if not 1 <= len(tidy) <= most:
        raise Refused(f"{title} has 1 to {most} letters: type it again.")
    return tidy


def _one_of(values: Mapping[str, str], name: str, known: tuple[str, ...], words: str) -> str:
    if values.get(name) not in known:
        raise Refused(f"Choose one of these: {words}.")
    return values[name]


def _colour(text: str) -> str:
    tidy = text.strip().lower()
    if not re.fullmatch(r"#[0-9a-f]{6}", tidy):
        raise Refused("Choose the colour of the sheet, as in #f2e8cf.")
    return tidy
