"""Whether a recut may visibly differ in thickness from the pieces beside it. Reads only."""

from __future__ import annotations

from collections.abc import Sequence

from ..domain.recuts.thickness import flag
from ..store import cutters
from ..store.db import Connection
from ..wording.message import Message
from .cutting_setup import CuttingSetup


def flag_for(
    db: Connection, blank: int, pieces: Sequence[int], cutting_setup: CuttingSetup
) -> Message | None:
    """Return a warning where pieces (ids) cut from a sheet or offcut may visibly differ from their neighbours, else None.

    Neighbours are the pieces of the same stock and level of the same sign that are in hand.
    """
    beside = cutters.blanks_beside(db, list(pieces))
    lots = [
        lot
        for other, count in beside.items()
        for lot in [cutters.lot_of(db, other, cutting_setup.material)] * count
    ]
    return flag(
        cutters.lot_of(db, blank, cutting_setup.material),
        lots,
        cutting_setup.shop_settings.eye_forgives_mm,
    )
