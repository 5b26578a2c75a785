"""Sheet materials and what is in the rack: what a shop may say of them. Must not know where they are kept."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping
from dataclasses import dataclass
from typing import Any

from ..wording import fields as field_wording
from ..wording import stock as wording
from .errors import Refused
from .fields import choice, declared_by, number, read_all, read_number, text

KINDS = ("cast", "extruded", "other")
FINISHES = ("gloss", "matt", "satin", "frosted", "mirror", "textured")
TURNS = ("any", "180", "none")  # each allows fewer turns than the one before
MOST_AT_ONCE = 200


def _colour(typed: str) -> str:
    tidy = typed.lower()
    if not re.fullmatch(r"#[0-9a-f]{6}", tidy):
        raise Refused(wording.choose_a_colour())
    return tidy


@dataclass(frozen=True)
class Material:
    """A sheet material as a person describes it. Lengths are mm; `cost` is that of one full sheet. The bounds keep slips of the thumb out."""

    name: str = text("", letters=(1, 40), group="stock")
    colour: str = text("#cccccc", _colour, group="stock")
    thickness_mm: float = number(6.0, 0.5, 100, "mm", group="stock")
    length_mm: float = number(2440.0, 50, 10_000, "mm", group="stock")
    width_mm: float = number(1220.0, 50, 10_000, "mm", group="stock")
    cost: float = number(0.0, 0, 1_000_000, group="stock")
    finish: str = choice("gloss", FINISHES, others=(1, 30), group="stock")
    kind: str = choice("cast", KINDS, group="stock")
    turns: str = choice("any", TURNS, group="stock")


FIELDS = declared_by("stock", Material)


def checked_material(typed: Mapping[str, str]) -> dict[str, Any]:
    """A stock's columns, all but its code, from what was typed. Raises Refused."""
    return read_all(FIELDS, {**typed, "cost": typed.get("cost", "").strip() or "0"})


def sheets_that_came(typed: str) -> int:
    """How many full sheets came in. Raises Refused."""
    title = field_wording.title("rack", "count")
    return int(read_number(typed.strip(), title, 1, MOST_AT_ONCE, is_whole=True))


def offcut_size(length: str, width: str) -> tuple[float, float]:
    """The sides of an offcut as typed, mm. Raises Refused."""
    return _side("length", length), _side("width", width)


def measured_thickness(typed: str) -> float:
    """The thickness that a caliper read, mm. Raises Refused."""
    title = field_wording.title("rack", "measured_mm")
    return float(read_number(typed.strip(), title, 0.5, 100, unit="mm"))


def _side(name: str, typed: str) -> float:
    title = field_wording.title("rack", name)
    return float(read_number(typed.strip(), title, 20, 10_000, unit="mm"))


def code_for(name: str, thickness_mm: float, taken: Container[str]) -> str:
    """The shop's own code for a stock, such as 'cream-6', unlike those that are `taken` (in small letters)."""
    stem = re.sub(r"[^\w.]+", "-", f"{name.lower()}-{thickness_mm:g}").strip("-.")
    numbered = (f"{stem}-{again}" for again in range(2, 100_000))
    return stem if stem not in taken else next(code for code in numbered if code not in taken)


def is_tighter(turns: str, than: str) -> bool:
    """True where `turns` allows fewer turns than the other does."""
    return TURNS.index(turns) > TURNS.index(than)
