"""Measuring a letter at its place, and scanning a piece into its place.

The plain tap is `bench.set_out`; both commands here set the same tick.
"""

from __future__ import annotations

from ..domain import pieces as life
from ..domain.bench.records import RecordedPlace
from ..domain.bench.steps import Sign, Step
from ..domain.bench.waiting import must_be_settable
from ..domain.errors import Conflict
from ..domain.setting_out import placement, setting_out
from ..domain.setting_out.setting_out import Row
from ..domain.settings import Settings
from ..store import bench, jobs, pieces, settings
from ..store import placement as store
from ..store.db import Connection
from ..wording import bench as bench_wording
from ..wording import setting_out as wording
from ..wording.message import Message, joined
from .bench import laying_out, must_be_loose, still_to_set_out, tick
from .unit_of_work import Answer, Transaction, command


def rows_of(
    db: Connection,
    sign: int,
    step: Step,
    shop_settings: Settings,
    datum: str = setting_out.DATUMS[0],
) -> list[Row]:
    """Return the lines of the parts that a step sets out, with the shop's tolerance. `sign` is its id."""
    parts = [part for part in jobs.parts_of(db, sign) if part.id in step.parts]
    width = jobs.sign(db, sign).width_mm
    return setting_out.rows(store.placed(db, parts), width, datum, shop_settings)


@command("measured a place", "assembler")
def measure(
    transaction: Transaction, step: int, part: int, across_mm: float | None, up_mm: float | None
) -> Answer:
    """Keep what was measured of a part: its left edge from the sign's left edge, its foot above the sign's lower edge.

    On a line that is not level: along it from the foot of the first letter, and above the line. None: not measured. Within
    the tolerance the part is set out; otherwise it must be set out again, and the answer says which way to move it. Raises
    Refused where nothing was measured, Conflict where the part is not in hand, or glued.
    """
    sign, laying = laying_out(transaction, step, [part])
    must_be_loose(transaction, sign, laying, part)
    must_be_settable(sign.parts[part], laying, sign, transaction.now)
    shop_settings = settings.load(transaction.db)
    row = setting_out.row_of(rows_of(transaction.db, sign.id, laying, shop_settings), part)
    letter = row.letter(part)
    stored_sign = jobs.sign(transaction.db, sign.id)
    placement.must_be_near(stored_sign.width_mm + stored_sign.height_mm, across_mm, up_mm)
    across, up = (
        None if measured is None else placement.error(measured, wanted)
        for measured, wanted in zip((across_mm, up_mm), row.wanted(letter), strict=True)
    )
    verdict = placement.verdict(across, up, letter.allowed_mm, is_level=row.is_level)
    is_right = placement.is_right(letter.allowed_mm, across, up)
    (piece,) = pieces.of_part(transaction.db, part)  # the part is in hand, so it has one
    store.add_measured(
        transaction.db,
        laying.id,
        RecordedPlace(part, across, up, letter.allowed_mm),
        piece.id,
        transaction.at,
        transaction.actor.person,
    )
    left = _set(transaction, sign, laying, part, is_right=is_right)
    message = wording.part_verdict(sign.parts[part].called, verdict)
    return Answer(joined([message, left]), (sign.code,), {"is_right": is_right})


def _set(
    transaction: Transaction, sign: Sign, laying: Step, part: int, *, is_right: bool
) -> Message | None:
    """Tick a part that is right, clear the tick of one that is not. Return what is left to set out, None for the latter."""
    if is_right:
        # again where it was ticked: its place is measured now
        tick(transaction, sign, laying, part)
        return still_to_set_out(transaction, laying.id)
    if part in laying.ticks:
        bench.set_tick(transaction.db, laying.id, part, None, None)
        bench.set_done(transaction.db, laying.id, None, None)
    return None


@command("scanned into place", "assembler")
def place_scanned(transaction: Transaction, step: int, code: str) -> Answer:
    """Set out the piece with this label. Raises NotFound for an unknown piece; Conflict, saying where it belongs, where it
    is for another place, or cannot be set out now; Refused where the step sets nothing out."""
    sign, laying = laying_out(transaction, step, [])
    piece = pieces.by_code(transaction.db, code)
    if piece.part is None or piece.part not in laying.parts:
        raise Conflict(_elsewhere(transaction.db, piece, sign))
    name = sign.parts[piece.part].called
    if piece.part in laying.ticks:
        return Answer(bench_wording.already_set_out(name), (code, sign.code))
    tick(transaction, sign, laying, piece.part)
    left = still_to_set_out(transaction, step)
    return Answer(joined([bench_wording.part_ok(name), left]), (code, sign.code))


def _elsewhere(db: Connection, piece: life.Piece, here: Sign) -> Message:
    """Return why a scanned piece is none of those to set out, and what to do with it."""
    if piece.part is not None:
        place = jobs.place_of(db, piece.part)
        if place.sign.id == here.id:
            return wording.of_another_level(piece.code, place.words)
        return wording.of_another_sign(piece.code, place.sign.called, place.words)
    if piece.state in life.GONE:
        return wording.marked_gone(piece.code, piece.state, pieces.recut_of(db, piece))
    if piece.state == "withdrawn":
        return wording.not_needed(piece.code)
    return wording.spare(piece.code)
