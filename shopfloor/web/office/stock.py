"""Stock: what the shop cuts from, drawn to one scale, and what of it lies in the rack.

Owns how these pages are asked for and answered, and how a blank is drawn. Must not decide what is booked.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import stock as actions
from ...domain import codes, lengths
from ...domain import pieces as life
from ...domain import stock as rules
from ...domain.drawing.colours import colour_word
from ...store import cutters as cutter_store
from ...store import pieces as piece_store
from ...store import stock as store
from ...store.db import Connection, Row
from ...store.stock import Blank, Stock
from ...wording import fields as field_wording
from ...wording import office as office_wording
from ...wording import pieces as pieces_wording
from ...wording.message import Message
from ..forms import FormField, form_field
from ..page import current_actor, current_settings, do, done, go, show, snapshot
from ..pictures import piece_cards
from .stock_cutting import stock_cut
from .stock_expansion import stock_expansion

IN_LIST_PX, ON_PAGE_PX, IN_ROW_PX = 220, 460, 190  # the longest sheet of the page
SPARE_PX, MOST_SPARES = (110, 70), 60
LEAST_PX = 10  # an offcut is never drawn smaller
pages = Blueprint("stock", __name__)


@dataclass(frozen=True)
class Drawn:
    """A blank to scale: pixels, and the texts of its two dimension lines."""

    wide_px: int
    high_px: int
    length: str
    width: str


@dataclass(frozen=True)
class Card:
    """A blank in the rack. `booked` is the sheet (number, code) that it is booked for, `measured` its thickness by the
    caliper, None where nobody measured or where it is not shown."""

    blank: Blank
    drawn: Drawn
    booked: Row | None
    measured: float | None = None


@dataclass(frozen=True)
class StockRow:
    """A stock and its rack: full sheets free, booked and still to be bought; the other blanks one by one; how many spares."""

    stock: Stock
    drawn: Drawn
    turns: Message
    free: int
    booked: int
    to_buy: int
    offcuts: list[Card]
    spares: int


@pages.get("/stock")
def stock() -> Response:
    """What the shop cuts from."""
    with snapshot() as db:
        stocks = store.all_stocks(db)
        scale = IN_LIST_PX / max((max(s.length_mm, s.width_mm) for s in stocks), default=1)
        racks = _racks(db)
        rows = [_row(s, scale, racks) for s in stocks]
        view = {"rows": rows, "to_buy": [row for row in rows if row.to_buy]}
        return show(
            "office/stock/stock.html", view, title=office_wording.page_title("stock"), here="Stock"
        )


Racks = tuple[dict[int, list[Blank]], dict[int, Row], Counter[int]]


def _racks(db: Connection) -> Racks:
    """Blanks by stock, the sheets that they are booked for, and how many spares each stock has."""
    by_stock: dict[int, list[Blank]] = {}
    for blank in store.blanks_in_rack(db):
        by_stock.setdefault(blank.stock, []).append(blank)
    return (
        by_stock,
        store.booked_for(db),
        Counter(piece.stock for _, piece in piece_store.spares(db)),
    )


def _row(known: Stock, scale: float, racks: Racks) -> StockRow:
    by_stock, booked, spares = racks
    blanks = by_stock.get(known.id, [])
    full = [blank for blank in blanks if is_full(blank, known)]
    others = [Card(b, drawn(b, scale), booked.get(b.id)) for b in blanks if not is_full(b, known)]
    return StockRow(
        known,
        drawn(known, scale),
        field_wording.choice("stock", "turns", known.turns),
        free=sum(blank.state == "free" for blank in full),
        booked=sum(blank.state == "booked" and bool(blank.is_bought) for blank in full),
        to_buy=sum(not blank.is_bought for blank in full),
        offcuts=others,
        spares=spares.get(known.id, 0),
    )


def is_full(blank: Blank, known: Stock) -> bool:
    """True for a sheet as it is bought now: no offcut, and none of an earlier size."""
    return not blank.is_offcut and (blank.length_mm, blank.width_mm) == (
        known.length_mm,
        known.width_mm,
    )


def drawn(thing: Blank | Stock, scale: float) -> Drawn:
    """A blank or a stock's full sheet at `scale` pixels a mm."""
    units = current_settings().units
    long, wide = lengths.show(thing.length_mm, units), lengths.show(thing.width_mm, units)
    return Drawn(
        max(LEAST_PX, round(thing.length_mm * scale)),
        max(LEAST_PX, round(thing.width_mm * scale)),
        long.removesuffix(" mm"),
        wide.removesuffix(" mm"),
    )


@pages.get("/stock/new")
def new() -> Response:
    """A further stock."""
    current_actor().must_hold(("operator",))
    view = {"fields": _fields(rules.Material())}
    return show(
        "office/stock/new.html", view, title=office_wording.page_title("add material"), here="Stock"
    )


@pages.post("/stock/new")
def add() -> Response:
    """Keeps it."""
    answer = do(actions.add_stock, _values())
    return done(answer, url_for("stock.material", code=answer.data["stock"]))


def _values() -> dict[str, str]:
    return {name: request.form.get(name, "") for name in rules.FIELDS}


def _fields(values: rules.Material | Stock) -> tuple[FormField, ...]:
    return tuple(form_field(field, getattr(values, name)) for name, field in rules.FIELDS.items())


@pages.get("/stock/<code>")
def material(code: str) -> Response:
    """One stock with its rack."""
    with snapshot() as db:
        known = store.stock_by_code(db, code)
        view = _material(db, known)
        return show("office/stock/material.html", view, title=known.called, here="Stock")


def _material(db: Connection, known: Stock) -> dict[str, object]:
    """Its rack blank by blank, how it is cut and moves, the colours that mean it, what may be changed."""
    longest, racks = max(known.length_mm, known.width_mm), _racks(db)
    blanks = racks[0].get(known.id, [])
    cards = [
        Card(
            b, drawn(b, IN_ROW_PX / longest), racks[1].get(b.id), cutter_store.measured_mm(db, b.id)
        )
        for b in blanks
    ]
    colours = [(one, colour_word(one)) for one in store.remembered_colours(db).get(known.id, [])]
    return {
        "row": _row(known, ON_PAGE_PX / longest, racks),
        "sheets": [card for card in cards if is_full(card.blank, known)],
        "offcuts": [card for card in cards if not is_full(card.blank, known)],
        "spares": _spares(db, known),
        "colours": colours,
        "fields": _fields(known),
        "cut": stock_cut(db, known),
        "expansion": stock_expansion(db, known),
    }


def _spares(db: Connection, known: Stock) -> list[dict[str, object]]:
    """The first of a stock's spares, those in hand before those that still lie on a sheet."""
    pieces = sorted(
        (piece for _, piece in piece_store.spares(db, known.id)),
        key=lambda piece: (piece.state == "nested", piece.id),
    )
    return [_spare(db, piece) for piece in pieces[:MOST_SPARES]]


def _spare(db: Connection, piece: life.Piece) -> dict[str, object]:
    """Return a piece that is for no sign, drawn: what state it is in, and which sign it was cut for."""
    picture = piece_cards.card(db, piece.code, SPARE_PX, None, has_sizes=False).outline
    return {
        "code": piece.code,
        "picture": picture,
        "stands": pieces_wording.standing(piece.state),
        "was_for": piece_store.was_for(db, piece.id),
    }


@pages.post("/stock/<code>")
def change(code: str) -> Response:
    """An owner changes what the stock is."""
    return done(do(actions.change_stock, code, _values()), url_for("stock.material", code=code))


@pages.post("/stock/<code>/sheets")
def add_sheets(code: str) -> Response:
    """Full sheets came in."""
    back = "stock.stock" if request.form.get("from") == "list" else "stock.material"
    answer = do(actions.add_blanks, code, request.form.get("count", ""))
    return done(answer, url_for(back) if back == "stock.stock" else url_for(back, code=code))


@pages.post("/stock/<code>/offcut")
def add_offcut(code: str) -> Response:
    """An offcut that lies about gets a code."""
    answer = do(
        actions.add_offcut, code, request.form.get("length", ""), request.form.get("width", "")
    )
    return done(answer, url_for("stock.material", code=code))


@pages.post("/stock/<code>/forget")
def forget(code: str) -> Response:
    """A colour of drawings no longer means this stock."""
    return done(
        do(actions.forget_colour, request.form.get("colour", "")),
        url_for("stock.material", code=code),
    )


@pages.get("/stock/blank/<code>")
def blank(code: str) -> Response:
    """Where the label of a full sheet or an offcut leads: its place on its stock's page."""
    with snapshot() as db:
        found = store.blank_by_code(db, codes.parse(code))
        its = store.stock(db, found.stock)
        return go(url_for("stock.material", code=its.code, _anchor=f"blank-{found.code}"))


@pages.post("/stock/blank/<code>/gone")
def gone(code: str) -> Response:
    """A blank is no longer there."""
    answer = do(actions.discard_blank, codes.parse(code))
    return done(answer, url_for("stock.material", code=answer.data["stock"]))
