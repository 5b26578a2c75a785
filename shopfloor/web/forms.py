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


def form_field(field: Field, value: Value) -> FormField:
    """A field with its value in force."""
    unit, stored = field.declared.unit, shown(value)
    choices = tuple(
        Choice(each, wording.choice(field.table, field.name, each), "", each == stored)
        for each in field.declared.choices
    )
    return FormField(
        field.name,
        wording.with_unit(field.title, unit) if unit else field.title,
        stored,
        field.note,
        choices,
        field.kind is not str,
    )


def shown(value: Value) -> str:
    """A value as a field begins with it."""
    return value if isinstance(value, str) else f"{value:.10g}"
