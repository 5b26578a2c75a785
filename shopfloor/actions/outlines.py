"""Stores the outlines of a job: each with its family, each once.

Sorting into families is slow for large drawings, so it is done before the transaction, and checked in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from ..domain.drawing import families
from ..domain.drawing.stacking import ProposedSign
from ..domain.errors import Conflict
from ..domain.outlines import Outline
from ..store import outlines as store
from ..store import stock
from ..wording import jobs as wording
from .unit_of_work import Shop, Transaction


@dataclass(frozen=True)
class Sorted:
    """The drawing's outlines by (stock, outline), each with its family: the id of a stored reference, or another outline of
    the drawing.

    `newest` is the highest outline id at the time of sorting: another intake since then makes it out of date.
    """

    families: dict[tuple[int, Outline], int | Outline]
    newest: int


def sort_outlines(shop: Shop, signs: Iterable[ProposedSign], stocks: Mapping[str, int]) -> Sorted:
    """Find each outline's family among those of its stock. `stocks`: the stock of each colour; a colour without is left out."""
    by_stock = _by_stock(signs, stocks)
    with shop.database.snapshot() as db:
        newest = store.newest_outline(db)
        known = {id: (store.references(db, id), stock.stock(db, id).turns) for id in by_stock}
    found: dict[tuple[int, Outline], int | Outline] = {}
    for id, outlines in by_stock.items():
        found |= _families(id, outlines, *known[id])
    return Sorted(found, newest)


def sorted_too(
    sorted_: Sorted, signs: Iterable[ProposedSign], new_stocks: Mapping[str, stock.Stock]
) -> Sorted:
    """Return the same with the outlines of colours whose stock was only made now."""
    found = dict(sorted_.families)
    turns = {material.id: material.turns for material in new_stocks.values()}
    ids = {colour: material.id for colour, material in new_stocks.items()}
    for id, outlines in _by_stock(signs, ids).items():
        found |= _families(id, outlines, [], turns[id])
    return replace(sorted_, families=found)


def _by_stock(
    signs: Iterable[ProposedSign], stocks: Mapping[str, int]
) -> dict[int, dict[Outline, None]]:
    """Return the outlines of each stock, each once, in their own frame and in the drawing's order."""
    by_stock: dict[int, dict[Outline, None]] = {}
    for sign in signs:
        for part in sign.parts:
            if part.colour in stocks:
                by_stock.setdefault(stocks[part.colour], {})[part.outline.at_origin()] = None
    return by_stock


def _families(
    stock_id: int, outlines: Iterable[Outline], known: Sequence[tuple[int, Outline]], turns: str
) -> dict[tuple[int, Outline], int | Outline]:
    """Return the family of each outline: the id of one of the `known` references, else another of the outlines."""
    unlike = list(outlines)
    sorted_ = families.sort_into(unlike, [outline for _, outline in known], turns)
    references: list[int | Outline] = [*(id for id, _ in known), *sorted_.references[len(known) :]]
    return {
        (stock_id, outline): references[match.family]
        for outline, match in zip(unlike, sorted_.matches, strict=True)
    }


class KeptOutlines:
    """Stores each outline of a job once, inside a transaction. Raises Conflict where the sorting is out of date."""

    def __init__(self, transaction: Transaction, sorted_: Sorted) -> None:
        if store.newest_outline(transaction.db) != sorted_.newest:
            raise Conflict(wording.another_drawing_meanwhile())
        self._transaction, self._sorted = transaction, sorted_
        self._ids: dict[tuple[int, Outline], int] = {}

    def id_of(self, stock_id: int, outline: Outline) -> int:
        """Return the id of an outline in the piece's local frame, stored now if it was not."""
        key = (stock_id, outline)
        if key not in self._ids:
            stored = store.same_outline(self._transaction.db, stock_id, outline)
            self._ids[key] = stored or self._add(stock_id, outline)
        return self._ids[key]

    def _add(self, stock_id: int, outline: Outline) -> int:
        family = self._sorted.families[stock_id, outline]
        if family == outline:
            reference = None  # it starts a family
        else:
            reference = family if isinstance(family, int) else self.id_of(stock_id, family)
        return store.add_outline(self._transaction.db, stock_id, outline, reference)
