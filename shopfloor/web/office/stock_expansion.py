"""A stock's thermal expansion on its page of Stock. domain/fixings/expansion.py says what follows from it."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import fixings as actions
from ...domain.fixings import expansion as rules
from ...domain.fixings.expansion import shown_per_k
from ...store import fixings as store
from ...store.db import Connection
from ...store.stock import Stock
from ...wording import fixings as wording
from ...wording.message import Message
from ..page import do, done

pages = Blueprint("stock_expansion", __name__)


@dataclass(frozen=True)
class StockExpansionShown:
    """A stock's expansion: `figure` is None where it is not known; `value` is what its form field begins with."""

    figure: Message | None
    source: Message | str
    is_own: bool
    value: str


def stock_expansion(db: Connection, known: Stock) -> StockExpansionShown:
    """The expansion of a stock: its own figure, else the usual one of its kind."""
    own, usual = store.expansion_of(db, known.id), rules.usual_per_k(known.kind)
    per_k = own.per_k if own else usual
    if per_k is None:
        return StockExpansionShown(None, wording.source_missing(), False, "")
    figure = wording.expansion(rules.mm_per_metre(per_k))
    source = own.source if own else wording.source_usual()
    return StockExpansionShown(figure, source, own is not None, shown_per_k(per_k))


@pages.post("/stock/<code>/expansion")
def set_expansion(code: str) -> Response:
    """Enter a stock's figure from its data sheet (an owner); an empty one: as its kind usually does."""
    answer = do(
        actions.set_expansion, code, request.form.get("moves", ""), request.form.get("source", "")
    )
    return done(answer, url_for("stock.material", code=code))
