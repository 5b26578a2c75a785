"""Forms built from the fields that a table declares (domain/fields.py). Must not know any single field."""

from __future__ import annotations

from dataclasses import dataclass

from ..domain.fields import Field, Value
from ..wording import fields as wording
from ..wording.message import Message


@dataclass(frozen=True)
class Choice:
    """One answer of a field that offers a few."""

    value: str
    words: Message | str
    note: Message | str
    is_chosen: bool


@dataclass(frozen=True)
class FormField:
    """A field as a form shows it: its title with its unit, its value as typed, the choices of one that offers a few."""

    name: str
    title: Message
    value: str
    note: Message | None
    choices: tuple[Choice, ...]
    is_number: bool
    is_colour: bool
    is_needed: bool
    most_letters: int


def form_field(field: Field, value: Value) -> FormField:
    """A field with its value in force."""
    unit, stored = field.declared.unit, shown(value)
    offered = field.declared.choices
    if offered and stored not in offered:
        offered = (*offered, stored)  # chosen when the list was another
    choices = tuple(
        Choice(each, wording.choice(field.table, field.name, each), "", each == stored)
        for each in offered
    )
    return FormField(
        field.name,
        wording.with_unit(field.title, unit) if unit else field.title,
        stored,
        field.note,
        choices,
        field.kind is not str,
        stored.startswith("#"),
        field.declared.least > 0,
        int(field.declared.most) or 200,
    )


def shown(value: Value) -> str:
    """A value as a field begins with it."""
    return value if isinstance(value, str) else f"{value:.10g}"
