"""Signs as pictures: each part at its place, drawn as its piece stands.

Owns what is kept between requests: the shapes of signs, which never change, and their pictures, which change only with
a piece. So a page on the wall costs little however often it asks. Must not know pages: they say how large and what leads where.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from sqlite3 import Connection

from flask import current_app

from ..domain import lengths
from ..domain.steps import Part, Sign
from ..store import floor
from ..store.floor import SignShape
from .frame import current_settings
from .pictures import PicturePart, SignPicture, sign_picture

MOST_KEPT = 400  # of each; a shop has some dozens of live signs


def shape_of(db: Connection, sign: int) -> SignShape:
    """The shape of a sign, kept. Raises NotFound."""
    return _kept("sign shapes", sign, lambda: floor.shape(db, sign))


def picture_of(
    db: Connection,
    sign: Sign,
    box: tuple[int, int],
    *,
    picked: int | None = None,
    has_sizes: bool = True,
    has_height: bool = False,
) -> SignPicture:
    """The sign as large as `box` (pixels) allows; `picked` is the id of a part to point at.

    `has_sizes` draws the dimension line of the width, `has_height` that of the height too.
    """
    units = current_settings().units
    states = tuple((part.id, drawn_state(part)) for part in sign.parts.values())
    spot = (sign.id, sign.name, box, picked, states, units, has_sizes, has_height)
    return _kept("sign pictures", spot, lambda: _draw(shape_of(db, sign.id), sign, *spot[2:]))


def _draw(shape: SignShape, sign: Sign, box, picked, states, units, has_sizes, has_height) -> SignPicture:
    state_of = dict(states)
    parts = [
        PicturePart(
            str(part.part), sign.parts[part.part].number, sign.parts[part.part].name, part.outline, part.colour,
            state_of[part.part], is_picked=part.part == picked,
        )
        for part in shape.parts
    ]  # fmt: skip
    return sign_picture(
        f"s{sign.id}-{box[0]}", parts, shape.width_mm, shape.height_mm, title=f"{sign.job} {sign.mark}, {sign.name}",
        box=box, width_text=lengths.show(shape.width_mm, units) if has_sizes else "",
        height_text=lengths.show(shape.height_mm, units) if has_height else "",
    )  # fmt: skip


def drawn_state(part: Part) -> str:
    """How a part is drawn. One whose piece is gone stays crossed until its recut is in hand: that is what is missed."""
    if part.gone and part.state in (None, "waiting", "nested"):
        return part.gone
    return part.state or "waiting"


def _kept(name: str, key: object, make: Callable):
    shelf: OrderedDict = current_app.extensions.setdefault(name, OrderedDict())
    thing = shelf.get(key)
    if thing is None:
        thing = shelf[key] = make()
        while len(shelf) > MOST_KEPT:
            shelf.popitem(last=False)
    return thing
