"""How much a stock expands with warmth, on its page of Stock. What follows from it is in domain/fixings/expansion.py."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import fixings as actions
from ...domain.fixings import expansion as rules
from ...domain.fixings.expansion import shown_per_k
from ...store import fixings as store
from ...store.db import Connection
from ...store.stock import Stock
from ..page import do, done

pages = Blueprint("stock_expansion", __name__)


@dataclass(frozen=True)
class StockExpansionShown:
    """How much a stock expands: `figure` in words, '' where nobody knows; `source` who says so."""

    figure: str
    source: str
    is_own: bool
    value: str


def stock_expansion(db: Connection, known: Stock) -> StockExpansionShown:
    """A stock's own figure, else the usual one of its kind."""
    own, usual = store.expansion_of(db, known.id), rules.usual_per_k(known.kind)
    per_k = own.per_k if own else usual
    if per_k is None:
        return StockExpansionShown("", "its data sheet, once an owner has entered it", False, "")
    figure = f"{shown_per_k(per_k)} mm for each metre and 10 °C"
    source = own.source if own else "sheet makers' data for acrylic"
    return StockExpansionShown(figure, source, own is not None, shown_per_k(per_k))


@pages.post("/stock/<code>/expansion")
def set_expansion(code: str) -> Response:
    """An owner enters a stock's figure from its data sheet; an empty one: as its kind usually does."""
    answer = do(
        actions.set_expansion, code, request.form.get("moves", ""), request.form.get("source", "")
    )
    return done(answer, url_for("stock.material", code=code))
