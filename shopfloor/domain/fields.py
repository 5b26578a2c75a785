"""How a field of a form is declared, once: type, unit, bounds, default, group, and where its default comes from.

Settings, cutters, cements and stocks declare their fields with `number`, `choice` and `text` in their own dataclass. Reading what
was typed, the forms, the command line and the table in the README come from that. Titles and notes are in wording/fields.py, under the
same names. Must not know any single field.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ..wording import fields as wording
from ..wording.message import Message
from .errors import Refused

Value = str | float | int

# Where a default comes from. A screen says it in these words; the real source is named beside the field.
MEMORY = "from memory"
PRACTICE = "common practice"
CHART = "published chart"
DATA_SHEET = "data sheet"
MANUAL = "machine manual"

EMPTY, ON = "", "on"


@dataclass(frozen=True)
class Declared:
    """What is declared of a field, beside its name, type and default.

    `group` is the heading it is shown under, '' where no form offers it. `least` and `most` bound a number, or the letters of a text,
    both included. `choices` are the stored words of a field that offers a few; with `is_open` another word may be typed. `check` tidies text or raises Refused.
    """

    group: str = ""
    unit: str = ""
    least: float = 0
    most: float = 0
    source: str = ""
    choices: tuple[str, ...] = ()
    check: Callable[[str], str] | None = None
    is_open: bool = False


@dataclass(frozen=True)
class Field:
    """One field of a table: `table` is the dataclass's own word ('settings', 'cutter', 'cement', 'stock')."""

    table: str
    name: str
    kind: type[str] | type[float] | type[int]
    default: Value
    declared: Declared

    @property
    def title(self) -> Message:
        """'Cutter diameter', as its form and its refusals call it."""
        return wording.title(self.table, self.name)

    @property
    def note(self) -> Message | None:
        """The small line under the field: what to know, and where the default comes from; None for none."""
        return wording.note(self.table, self.name, self.declared.source)

    @property
    def is_offered(self) -> bool:
        """True where a form shows it."""
        return bool(self.declared.group)

    def read(self, typed: str) -> Value:
        """The value of what was typed. Raises Refused, naming the field and what it may be."""
        tidy = " ".join(typed.split())
        declared = self.declared
        if declared.choices and not declared.is_open:
            if tidy not in declared.choices:
                raise Refused(wording.not_a_choice(self.title, declared.choices))
            return self.kind(tidy)
        if self.kind is str:
            if declared.most and not declared.least <= len(tidy) <= declared.most:
                raise Refused(
                    wording.not_so_many_letters(self.title, declared.least, declared.most)
                )
            return declared.check(tidy) if declared.check else tidy
        return read_number(
            tidy,
            self.title,
            declared.least,
            declared.most,
            unit=declared.unit,
            is_whole=self.kind is int,
        )


def number(
    default: float, least: float, most: float, unit: str = "", *, group: str = "", source: str = ""
) -> Any:
    """Declare a number of a dataclass: whole where its default is an int."""
    declared = Declared(group, unit, least, most, source)
    return dataclasses.field(default=default, metadata={"declared": declared})


def choice(
    default: Value,
    choices: tuple[str, ...],
    *,
    others: tuple[int, int] = (0, 0),
    group: str = "",
    source: str = "",
) -> Any:
    """Declare a field that offers a few words; with `others` also other words, of so many letters."""
    least, most = others
    declared = Declared(group, "", least, most, source, choices, is_open=most > 0)
    return dataclasses.field(default=default, metadata={"declared": declared})


def text(
    default: str,
    check: Callable[[str], str] | None = None,
    *,
    letters: tuple[int, int] = (0, 0),
    group: str = "",
) -> Any:
    """Declare a field of text, of so many `letters` ((0, 0): any). `check` gives it tidied or raises Refused."""
    least, most = letters
    declared = Declared(group, least=least, most=most, check=check)
    return dataclasses.field(default=default, metadata={"declared": declared})


def declared_by(table: str, form: type) -> dict[str, Field]:
    """The fields that a dataclass declares, by name, in order."""
    declared = {
        own.name: (getattr(form, own.name), own.metadata["declared"])
        for own in dataclasses.fields(form)
        if "declared" in own.metadata
    }
    return {
        name: Field(table, name, type(default), default, facts)
        for name, (default, facts) in declared.items()
    }


def read_all(table: Mapping[str, Field], typed: Mapping[str, str]) -> dict[str, Value]:
    """The values of what was typed for the fields of a table; what was not typed is read as empty. Raises Refused."""
    return {name: field.read(typed.get(name, EMPTY)) for name, field in table.items()}


def read_number(
    typed: str,
    title: Message | str,
    least: float,
    most: float,
    *,
    unit: str = "",
    is_whole: bool = False,
) -> float | int:
    """A number from what was typed, a comma read as a point, to three places. Raises Refused, naming `title`."""
    value: float | int | None
    try:
        value = int(typed) if is_whole else round(float(typed.replace(",", ".")), 3)
    except (ValueError, OverflowError):
        value = None
    if value is None or not least <= value <= most:
        refusal = wording.not_a_whole_number if is_whole else wording.not_a_number
        raise Refused(refusal(title, least, most, unit))
    return value


def read_line(typed: str, least: int, most: int, refusal: Message) -> str:
    """Return a line of text, tidied. Raises Refused, with `refusal`, where it has too few letters or too many."""
    tidy = " ".join(typed.split())
    if not least <= len(tidy) <= most:
        raise Refused(refusal)
    return tidy
