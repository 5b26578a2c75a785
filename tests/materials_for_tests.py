"""Signs for the tests of dissimilar materials and fixings: their stocks, letters, and how a drawing of them is taken in."""

from __future__ import annotations

from shopfloor.actions import drawings, jobs
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.drawing.drawing import Drawing, DrawnOutline
from shopfloor.domain.drawing.signs import Order
from shopfloor.domain.outlines import Outline
from shopfloor.store import jobs as job_store

BLUE, CREAM, BRUSHED = "#33658a", "#f2e8cf", "#b8bcc0"
COMPOSITE = dict(
    name="composite",
    colour=BRUSHED,
    finish="satin",
    kind="other",
    thickness_mm="3",
    length_mm="2440",
    width_mm="1220",
    turns="any",
    cost="70",
)


def letter(x: float, y: float, wide: float, high: float) -> Outline:
    """An L: it lies on its board, and leaves some of its box free."""
    foot, stem = 0.25 * high, 0.3 * wide
    corners = ((0, 0), (wide, 0), (wide, foot), (stem, foot), (stem, high), (0, high))
    return Outline((tuple((x + dx, y + dy) for dx, dy in corners),))


def take_in(shop, by, shapes, customer) -> job_store.Sign:
    """The sign that a drawing of these (outline, colour, name) makes."""
    drawn = tuple(
        DrawnOutline(o, colour, name, None, order) for order, (o, colour, name) in enumerate(shapes)
    )
    wide, high = (max(o.bounds[at] for o, _, _ in shapes) for at in (2, 3))
    read = drawings.ReadDrawing(
        f"{len(customer):064d}", "sign.svg", b"", Drawing(drawn, wide, high, ())
    )
    proposed = drawings.proposal(shop, [read])
    stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
    jobs.intake(Caller(shop, by), proposed, Order(customer, "Fascia", "2026-12-01", stocks=stocks))
    db = shop.read()
    return job_store.signs_of_job(db, db.execute("SELECT max(id) FROM job").fetchone()[0])[0]
