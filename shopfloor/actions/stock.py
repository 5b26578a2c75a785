"""What people do with the rack: a further sheet material, sheets that come in, offcuts put in and thrown away."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..domain import stock as rules
from ..domain.drawing import families
from ..domain.errors import Conflict, Refused
from ..store import outlines as outline_store
from ..store import stock
from ..store.db import Connection
from ..wording import stock as wording
from ..wording.message import joined
from .unit_of_work import Answer, Caller, Transaction, command


@command("added a stock", "operator")
def add_stock(transaction: Transaction, values: Mapping[str, str]) -> Answer:
    """Add a sheet material from what was typed (see `checked_material`). Raises Refused.

    The answer's data: `stock`, its code."""
    material = rules.checked_material(values)
    taken = {known.code.lower() for known in stock.all_stocks(transaction.db)}
    code = rules.code_for(material["name"], material["thickness_mm"], taken)
    stock.add_stock(transaction.db, code=code, **material)
    said = wording.added(material["name"], material["thickness_mm"], code)
    return Answer(said, data={"stock": code})


def change_stock(caller: Caller, code: str, values: Mapping[str, str]) -> Answer:
    """Change a stock to what was typed. Blanks in the rack and planned nests stay as they are.

    Raises Refused, NotFound, and Conflict where a drawing has been taken in since."""
    caller.actor.must_hold(("owner",))
    material = rules.checked_material(values)
    with caller.shop.database.snapshot() as db:
        newest = outline_store.newest_outline(db)
        apart = _set_apart(db, stock.stock_by_code(db, code), material["turns"])
    return _change_stock(caller, code, material, apart, newest)


def _set_apart(db: Connection, known: stock.Stock, turns: str) -> dict[int, int]:
    """Return the outlines that are no longer interchangeable once fewer turns are allowed, each with its new reference."""
    apart: dict[int, int] = {}
    if not rules.is_tighter(turns, than=known.turns):
        return apart
    for ids in outline_store.families_of(db, known.id):
        outlines = outline_store.by_ids(db, ids)
        matches = families.sort_into([outlines[id] for id in ids], [], turns).matches
        first: dict[int, int] = {}
        for id, match in zip(ids, matches, strict=True):
            reference = first.setdefault(match.family, id)
            if reference != ids[0]:
                apart[id] = reference
    return apart


@command("changed a stock", "owner")
def _change_stock(
    transaction: Transaction,
    code: str,
    material: dict[str, Any],
    apart: dict[int, int],
    newest: int,
) -> Answer:
    known = stock.stock_by_code(transaction.db, code)
    if outline_store.newest_outline(transaction.db) != newest:
        raise Conflict(wording.drawing_came_meanwhile())
    changed = tuple(name for name, value in material.items() if value != getattr(known, name))
    if not changed:
        return Answer(wording.unchanged(known.called), data={"stock": known.code})
    stock.change_stock(transaction.db, known.id, **{name: material[name] for name in changed})
    for outline, reference in apart.items():
        outline_store.set_family(transaction.db, outline, reference)
    messages = [wording.changed(stock.stock(transaction.db, known.id).called)]
    if {"length_mm", "width_mm", "turns"} & set(changed):
        messages.append(wording.planned_nests_stay())
    return Answer(joined(messages), data={"stock": known.code})


@command("added sheets", "operator")
def add_blanks(transaction: Transaction, code: str, count: str) -> Answer:
    """Add full sheets of a stock that came in; those that sheets are planned on come first. Raises Refused, NotFound."""
    known = stock.stock_by_code(transaction.db, code)
    many = rules.sheets_that_came(count)
    size = (known.length_mm, known.width_mm)
    awaited = [
        blank
        for blank in stock.blanks_in_rack(transaction.db)
        if blank.stock == known.id
        and not blank.is_bought
        and (blank.length_mm, blank.width_mm) == size
    ][:many]
    for blank in awaited:
        stock.set_bought(transaction.db, blank.id)
    codes = [blank.code for blank in awaited]
    for _ in range(many - len(awaited)):
        codes.append(transaction.new_code("blank"))
        stock.add_blank(transaction.db, codes[-1], known.id, *size, is_offcut=False)
    came = wording.sheets_came(known.called, many)
    planned = wording.planned_sheets_came(len(awaited)) if awaited else None
    return Answer(joined([came, planned]), tuple(codes), {"stock": known.code})


@command("added an offcut", "operator")
def add_offcut(transaction: Transaction, code: str, length: str, width: str) -> Answer:
    """Add an offcut that lies about to the rack, with a code (mm, as typed). Raises Refused, NotFound."""
    known = stock.stock_by_code(transaction.db, code)
    size = rules.offcut_size(length, width)
    full = (known.length_mm, known.width_mm)
    if max(size) > max(full) or min(size) > min(full):
        raise Refused(wording.larger_than_full_sheet(known.called, *full))
    new = transaction.new_code("blank")
    stock.add_blank(transaction.db, new, known.id, *size, is_offcut=True)
    return Answer(wording.offcut_added(known.called, *size, new), (new,), {"stock": known.code})


@command("took a blank out of the rack", "operator")
def discard_blank(transaction: Transaction, code: str) -> Answer:
    """Take a full sheet or an offcut that is broken, thrown away or missing out of the rack. Raises Conflict where it is booked or used."""
    blank = stock.blank_by_code(transaction.db, code)
    known = stock.stock(transaction.db, blank.stock)
    called = wording.offcut_of if blank.is_offcut else wording.full_sheet_of
    named = called(blank.code, known.called)
    if blank.state == "gone":
        return Answer(wording.already_out(named), (blank.code,), {"stock": known.code})
    if blank.state == "used":
        raise Conflict(wording.cut_up(named))
    if blank.state == "booked":
        sheet = stock.booked_for(transaction.db).get(blank.id)
        raise Conflict(
            wording.booked(named, sheet["number"]) if sheet else wording.booked_for_a_sheet(named)
        )
    stock.set_blank(transaction.db, blank.id, "gone")
    return Answer(wording.taken_out(named), (blank.code,), {"stock": known.code})


@command("forgot a colour", "operator")
def forget_colour(transaction: Transaction, colour: str) -> Answer:
    """Forget which stock a colour of drawings is cut from, so that the next intake asks. Raises Conflict where none was kept."""
    stands = {
        one for colours in stock.remembered_colours(transaction.db).values() for one in colours
    }
    if colour not in stands:
        raise Conflict(wording.colour_not_remembered(colour[:20]))
    stock.forget_colour(transaction.db, colour)
    return Answer(wording.colour_forgotten(colour))
