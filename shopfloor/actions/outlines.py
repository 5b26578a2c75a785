"""Stores the outlines of a job: each with its family, each once.

Sorting into families is slow for large drawings, so it is done before the transaction, and checked in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
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
    by_stock: dict[int, list[Outline]] = {}
    for sign in signs:
        for part in sign.parts:
            if part.colour in stocks:
                by_stock.setdefault(stocks[part.colour], []).append(part.outline.at_origin())
    with shop.database.snapshot() as db:
        newest = store.newest_outline(db)
        known = {id: (stock.stock(db, id).turns, store.references(db, id)) for id in by_stock}
    found: dict[tuple[int, Outline], int | Outline] = {}
    for id, outlines in by_stock.items():
        turns, references = known[id]
        for outline, family in _families(list(dict.fromkeys(outlines)), references, turns):
            found[id, outline] = family
    return Sorted(found, newest)


def sorted_too(
    sorted_: Sorted, signs: Iterable[ProposedSign], new_stocks: Mapping[str, stock.Stock]
) -> Sorted:
    """Return the same with the outlines of colours whose stock was only made now."""
    found: dict[tuple[int, Outline], int | Outline] = {}
    for colour, material in new_stocks.items():
        of_colour = [
            part.outline.at_origin()
            for sign in signs
            for part in sign.parts
            if part.colour == colour
        ]
        for outline, family in _families(list(dict.fromkeys(of_colour)), [], material.turns):
            found[material.id, outline] = family
    return replace(sorted_, families={**sorted_.families, **found})


def _families(
    outlines: Sequence[Outline], references: Sequence[tuple[int, Outline]], turns: str
) -> Iterator[tuple[Outline, int | Outline]]:
    sorted_ = families.sort_into(outlines, [outline for _, outline in references], turns)
    for outline, match in zip(outlines, sorted_.matches, strict=True):
        if match.family < len(references):
            yield outline, references[match.family][0]
        else:
            yield outline, sorted_.references[match.family]


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
