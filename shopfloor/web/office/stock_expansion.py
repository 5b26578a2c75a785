"""A stock's thermal expansion on its page of Stock. domain/fixings/expansion.py says what follows from it."""

from __future__ import annotations

from flask import Blueprint, Response, request, url_for

from ...actions import fixings as actions
from ...domain.fixings import expansion as rules
from ...domain.fixings.expansion import shown_per_k
from ...store import fixings as store
from ...store.db import Connection
from ...store.stock import Stock
from ...wording import fixings as wording
from ..page import do, done

pages = Blueprint("stock_expansion", __name__)


def stock_expansion(db: Connection, known: Stock) -> dict[str, object]:
    """The expansion of a stock: its own figure, else the usual one of its kind, None where neither is known; `value` is what
    its form field begins with."""
    own, usual = store.expansion_of(db, known.id), rules.usual_per_k(known.kind)
    per_k = own.per_k if own else usual
    if per_k is None:
        return {"figure": None, "source": wording.source_missing(), "is_own": False, "value": ""}
    return {
        "figure": wording.expansion(rules.mm_per_metre(per_k)),
        "source": own.source if own else wording.source_usual(),
        "is_own": own is not None,
        "value": shown_per_k(per_k),
    }


@pages.post("/stock/<code>/expansion")
def set_expansion(code: str) -> Response:
    """Enter a stock's figure from its data sheet (an owner); an empty one: as its kind usually does."""
    answer = do(
        actions.set_expansion, code, request.form.get("moves", ""), request.form.get("source", "")
    )
    return done(answer, url_for("stock.material", code=code))
