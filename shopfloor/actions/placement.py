"""What people do to be sure that a letter sits where it belongs: measure it, or scan it into its place.

The plain tap is `bench.set_out`; both ways here end in the same tick.
"""

from __future__ import annotations

from ..domain import pieces as life
from ..domain.bench import bench as wording
from ..domain.bench import steps
from ..domain.bench.steps import Sign, Step
from ..domain.codes import show
from ..domain.errors import Conflict
from ..domain.setting_out import placement, setting_out
from ..domain.setting_out.setting_out import Row
from ..domain.settings import Settings
from ..store import bench, jobs, pieces, settings
from ..store import placement as store
from ..store.db import Connection
from .bench import laying_out, must_be_loose, still_to_set_out, tick
from .unit_of_work import Answer, Transaction, command, zone_of


def rows_of(
    db: Connection,
    sign: int,
    step: Step,
    shop_settings: Settings,
    datum: str = setting_out.DATUMS[0],
) -> list[Row]:
    """The lines of what a step lays out, with the shop's tolerance. `sign` is its id."""
    parts = [part for part in jobs.parts_of(db, sign) if part.id in step.parts]
    width = jobs.sign(db, sign).width_mm
    return setting_out.rows(
        store.placed(db, parts), width, datum, placement.tolerance(shop_settings)
    )


@command("measured a place", "assembler")
def measure(
    transaction: Transaction, step: int, part: int, across_mm: float | None, up_mm: float | None
) -> Answer:
    """A part was measured at its place: its left edge from the sign's left edge, its foot over the sign's lower edge.

    On a line that is not level: along it from the foot of the first letter, and over the line. None: not measured. Within
    the tolerance it is set out, else it is to set out again, and the answer says which way to move it. Raises Refused where
    nothing was measured, Conflict where the part is not in hand, or glued.
    """
    sign, laying = laying_out(transaction, step, [part])
    must_be_loose(transaction, sign, laying, part)
    wording.must_be_settable(
        sign.parts[part], laying, sign, transaction.now, zone_of(transaction.db)
    )
    shop_settings = settings.load(transaction.db)
    row = setting_out.row_of(rows_of(transaction.db, sign.id, laying, shop_settings), part)
    letter = row.letter(part)
    of = jobs.sign(transaction.db, sign.id)
    placement.must_be_near(of.width_mm + of.height_mm, across_mm, up_mm)
    across, up = (
        None if measured is None else placement.error(measured, wanted)
        for measured, wanted in zip((across_mm, up_mm), row.wanted(letter))
    )
    said = placement.verdict(
        across, up, letter.allowed_mm, shop_settings.units, is_level=row.is_level
    )
    is_right = placement.is_right(letter.allowed_mm, across, up)
    _keep(transaction, laying, part, across, up, letter.allowed_mm, is_right=is_right)
    still = _set(transaction, sign, laying, part, is_right=is_right)
    return Answer(
        f"{wording.called(sign.parts[part])}: {said}{still}", (sign.code,), {"is_right": is_right}
    )


def _keep(
    transaction: Transaction,
    laying: Step,
    part: int,
    across: float | None,
    up: float | None,
    allowed: float,
    *,
    is_right: bool,
) -> None:
    (piece,) = pieces.of_part(transaction.db, part)  # in hand, so there is one
    store.add_measured(
        transaction.db,
        laying.id,
        part,
        piece.id,
        across,
        up,
        allowed,
        transaction.at,
        transaction.actor.person,
    )
    transaction.record(
        placement.PlaceMeasured(laying.id, part, piece.id, across, up, allowed, is_right)
    )


def _set(transaction: Transaction, sign: Sign, laying: Step, part: int, *, is_right: bool) -> str:
    """Ticks a part that sits right, takes the tick from one that does not. Gives what is left, where it tells anything."""
    if is_right:
        tick(transaction, sign, laying, part)  # again, if need be: from now on it sits as measured
        return f" {still_to_set_out(transaction, laying.id)}"
    if part in laying.ticks:
        bench.set_tick(transaction.db, laying.id, part, None, None)
        bench.set_done(transaction.db, laying.id, None, None)
        transaction.record(steps.PartSetOut(laying.id, part, False))
    return ""


@command("scanned into place", "assembler")
def place_scanned(transaction: Transaction, step: int, code: str) -> Answer:
    """The piece that bears this label lies at its place and sits right. Raises NotFound for an unknown piece; Conflict where
    it belongs elsewhere, with where, or cannot be set out now; Refused where the step lays nothing out."""
    sign, laying = laying_out(transaction, step, [])
    piece = pieces.by_code(transaction.db, code)
    if piece.part is None or piece.part not in laying.parts:
        raise Conflict(_elsewhere(transaction.db, piece, sign))
    name = wording.called(sign.parts[piece.part])
    if piece.part in laying.ticks:
        return Answer(f"{name} is set out already.", (code, sign.code))
    tick(transaction, sign, laying, piece.part)
    return Answer(f"{name} sits right. {still_to_set_out(transaction, step)}", (code, sign.code))


def _elsewhere(db: Connection, piece: life.Piece, here: Sign) -> str:
    """Why a scanned piece is none of those to set out, and what to do with it."""
    label = show(piece.code)
    if piece.part is not None:
        place = jobs.place_of(db, piece.part)
        if place.sign.id == here.id:
            return f"{label} is {place.words} of this sign: lay it aside until that level's turn."
        return f"{label} is for another sign, {place.sign.called}, {place.words}: put it with that sign."
    if piece.state in life.GONE:
        recut = pieces.recut_of(db, piece)
        instead = f", and its recut is {show(recut)}" if recut else ""
        return f"{label} is marked {piece.state}{instead}: mark it found first, if it can be used."
    if piece.state == "withdrawn":
        return f"{label} is withdrawn, no sign needs it: lay it aside."
    return f"{label} is a spare, for no sign: put it back with the spares."
