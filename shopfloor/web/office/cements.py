"""Office's list of cements: what each data sheet says, its batches, and which of them have expired.

Owns how the list is asked for and answered. Must not decide what may stand in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, Response, request, url_for

from ...actions import cements as actions
from ...domain.bench.cements import KINDS, Batch
from ...domain.bench.cure import Cement
from ...store import cements as store
from ..page import current_actor, current_shop, do, done, local_now, show, snapshot

FIGURES = (
    "name",
    "kind",
    "open_min",
    "fixture_min",
    "handling_hours",
    "cure_hours",
    "reference_c",
    "coldest_c",
    "warmest_c",
    "driest_percent",
    "dampest_percent",
    "ml_per_m2",
    "data_sheet",
)
KIND_WORDS = {
    "solvent": "solvent: softens and dries",
    "reactive": "reactive: two parts that set",
    "tape": "tape: grips with time",
}
BENCH = (
    "assembler",
)  # who uses a cement sees its figures and keeps its batches; an owner may do everything

pages = Blueprint("cements", __name__)


@dataclass(frozen=True)
class CementRow:
    """A cement of the list: how many batches the shop has of it, and how many of those are past their last day."""

    cement: Cement
    batches: int
    expired: int


@dataclass(frozen=True)
class CementsPage:
    """The list, those in use first, and what the form for one more is filled with."""

    rows: list[CementRow]
    new: Cement
    is_owner: bool
    kinds: tuple[tuple[str, str], ...] = tuple((kind, KIND_WORDS[kind]) for kind in KINDS)


@dataclass(frozen=True)
class BatchRow:
    """A batch and whether its last day is over."""

    batch: Batch
    is_expired: bool


@dataclass(frozen=True)
class CementPage:
    """One cement with its batches. `has_link`: its data sheet is an address to follow."""

    cement: Cement
    batches: list[BatchRow]
    is_owner: bool
    has_link: bool
    kinds: tuple[tuple[str, str], ...] = tuple((kind, KIND_WORDS[kind]) for kind in KINDS)


@pages.get("/office/cements")
def cements() -> Response:
    """The cements of the shop."""
    current_actor().must_hold(BENCH)
    with snapshot() as db:
        today = local_now().date()
        rows = [_row(one, store.batches(db, one.id), today) for one in store.cements(db)]
        rows.sort(key=lambda row: row.cement.is_retired)
        view = CementsPage(rows, Cement(0, ""), current_actor().holds("owner"))
        return show("office/cements.html", view, title="Cements", here="Office")


def _row(cement: Cement, batches: list[Batch], today: date) -> CementRow:
    kept = [batch for batch in batches if not batch.is_used_up]
    return CementRow(cement, len(kept), sum(batch.is_expired(today) for batch in kept))


@pages.post("/office/cements")
def add() -> Response:
    """A further cement."""
    answer = do(actions.add_cement, _typed())
    return done(answer, url_for("cements.cement", id=answer.data["cement"]))


@pages.get("/office/cements/<int:id>")
def cement(id: int) -> Response:
    """One cement: its batches, and what its data sheet says."""
    current_actor().must_hold(BENCH)
    with snapshot() as db:
        known, today = store.cement(db, id), local_now().date()
        batches = [BatchRow(batch, batch.is_expired(today)) for batch in store.batches(db, id)]
        has_link = known.data_sheet.startswith(("http://", "https://"))
        view = CementPage(known, batches, current_actor().holds("owner"), has_link)
        return show("office/cement.html", view, title=known.name, here="Office")


@pages.post("/office/cements/<int:id>")
def change(id: int) -> Response:
    """Other figures from its data sheet."""
    return done(do(actions.change_cement, id, _typed()), url_for("cements.cement", id=id))


@pages.post("/office/cements/<int:id>/retired")
def retire(id: int) -> Response:
    """No longer offered at the bench, or offered again."""
    return done(
        do(actions.retire, id, request.form.get("retired") == "1"), url_for("cements.cement", id=id)
    )


@pages.post("/office/cements/<int:id>/batches")
def add_batch(id: int) -> Response:
    """A batch that the shop has now."""
    form = request.form
    answer = do(actions.add_batch, id, form.get("batch", ""), form.get("expires", ""))
    return done(answer, url_for("cements.cement", id=id))


@pages.post("/office/batches/<int:id>/used-up")
def use_up(id: int) -> Response:
    """Nothing is left of a batch, or there is some after all."""
    cement = store.batch(current_shop().read(), id).cement
    return done(
        do(actions.use_up, id, request.form.get("used") == "1"),
        url_for("cements.cement", id=cement),
    )


def _typed() -> dict[str, str]:
    return {name: request.form[name] for name in FIGURES if name in request.form}
