"""The outlines of a job on their way into the store: each with its family, each kept once.

Sorting into families is slow for large drawings, so it is done before the transaction, and checked in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ..domain.drawing import families
from ..domain.drawing.stacking import ProposedSign
from ..domain.errors import Conflict
from ..domain.outlines import Outline
from ..store import outlines as store
from ..store import stock
from .unit_of_work import Shop, Transaction


@dataclass(frozen=True)
class Sorted:
    """The drawing's outlines by (stock, outline), each with its family: a known reference's id, or the place of another one
    in `new`.

    `newest` is the highest outline id at the time of sorting: another intake since then makes it out of date.
    """

    families: dict[tuple[int, Outline], tuple[str, int | Outline]]
    newest: int


def sort_outlines(shop: Shop, signs: Iterable[ProposedSign], stocks: Mapping[str, int]) -> Sorted:
    """Finds each outline's family among those of its stock. `stocks`: the stock of each colour; a colour without is left out."""
    by_stock: dict[int, list[Outline]] = {}
    for sign in signs:
        for part in sign.parts:
            if part.colour in stocks:
                by_stock.setdefault(stocks[part.colour], []).append(part.outline.at_origin())
    with shop.database.snapshot() as db:
        newest = store.newest_outline(db)
        known = {id: (stock.stock(db, id).turns, store.references(db, id)) for id in by_stock}
    found = {}
    for id, outlines in by_stock.items():
        turns, references = known[id]
        for outline, family in _families(list(dict.fromkeys(outlines)), references, turns):
            found[id, outline] = family
    return Sorted(found, newest)


def sorted_too(
    sorted_: Sorted, signs: Iterable[ProposedSign], new_stocks: Mapping[str, stock.Stock]
) -> Sorted:
    """The same with the outlines of colours whose stock was only made now."""
    found = {}
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
    outlines: list[Outline], references: list[tuple[int, Outline]], turns: str
) -> Iterator[tuple[Outline, tuple[str, int | Outline]]]:
    sorted_ = families.sort_into(outlines, [outline for _, outline in references], turns)
    for outline, match in zip(outlines, sorted_.matches, strict=True):
        if match.family < len(references):
            yield outline, ("known", references[match.family][0])
        else:
            yield outline, ("new", sorted_.references[match.family])


class KeptOutlines:
    """Keeps each outline of a job once, inside an act. Raises Conflict where the sorting is out of date."""

    def __init__(self, transaction: Transaction, sorted_: Sorted):
        if store.newest_outline(transaction.db) != sorted_.newest:
            raise Conflict("Another drawing was taken in at this very moment: confirm once more.")
        self._transaction, self._sorted = transaction, sorted_
        self._ids: dict[tuple[int, Outline], int] = {}

    def id_of(self, stock_id: int, outline: Outline) -> int:
        """The id of an outline in the piece's local frame, kept now if it was not."""
        spot = (stock_id, outline)
        if spot not in self._ids:
            self._ids[spot] = store.same_outline(
                self._transaction.db, stock_id, outline
            ) or self._add(spot)
        return self._ids[spot]

    def _add(self, spot: tuple[int, Outline]) -> int:
        stock_id, outline = spot
        where, family = self._sorted.families[spot]
        if where == "new":
            family = None if family == outline else self.id_of(stock_id, family)
        return store.add_outline(self._transaction.db, stock_id, outline, family)
