"""What an owner changes in Office beside people: the settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..domain.errors import Refused
from ..domain.settings import FIELDS, checked
from ..store import cutters, settings
from ..wording import fields as wording
from ..wording.message import Message
from .unit_of_work import Answer, Transaction, command

MOST_NAMED = 3  # settings that the answer names one by one


@command("changed the settings", "owner")
def change_settings(transaction: Transaction, values: Mapping[str, str]) -> Answer:
    """Keep what differs, by the names of `Settings`, as typed. Raises Refused at the first value that cannot be.

    The answer's data name what was `changed`.
    """
    known = settings.load(transaction.db)
    given = {name: checked(name, typed) for name, typed in values.items()}
    if cutter := int(given.get("cutter", 0)):
        cutters.must_be_in_use(transaction.db, cutter)
    changed = {name: value for name, value in given.items() if value != getattr(known, name)}
    for name, value in changed.items():
        settings.write(transaction.db, name, value)
    if not changed:
        return Answer(wording.nothing_different())
    return Answer(wording.settings_changed(_named(list(changed))), data={"changed": list(changed)})


@command("went back to the usual settings", "owner")
def use_default(transaction: Transaction, name: str) -> Answer:
    """Go back to the default of a setting that is no longer on any form. Raises Refused for any other name."""
    if name not in FIELDS or FIELDS[name].is_offered:
        raise Refused(wording.no_such_setting(name[:40]))
    settings.forget(transaction.db, name)
    return Answer(wording.settings_changed([FIELDS[name].title]), data={"changed": [name]})


def _named(names: Sequence[str]) -> list[Message]:
    """Return the titles of the first few settings, then how many more."""
    titles = [FIELDS[name].title for name in names]
    if len(titles) > MOST_NAMED:
        titles[MOST_NAMED:] = [wording.and_more(len(titles) - MOST_NAMED)]
    return titles
