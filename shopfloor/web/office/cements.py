"""Office's list of cements: what each data sheet says, its batches, and which of them have expired."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, request, url_for
from flask.typing import ResponseReturnValue

from ...actions import cements as actions
from ...domain.bench import cements as rules
from ...domain.bench.cements import Batch, Cement
from ...store import cements as store
from ...wording import cements as wording
from ...wording.message import Message
from ..forms import FormField, form_field
from ..page import current_actor, current_shop, do, done, local_now, show, snapshot

# Who uses a cement sees its figures and keeps its batches; an owner may do everything.
BENCH = ("assembler",)

pages = Blueprint("cements", __name__)


@dataclass(frozen=True)
class CementRow:
    """A cement of the list: how many batches the shop has of it, and how many of those have expired."""

    cement: Cement
    limits: Message
    batches: int
    expired: int


@pages.get("/office/cements")
def cements() -> ResponseReturnValue:
    """Show the cements of the shop."""
    current_actor().must_hold(BENCH)
    with snapshot() as db:
        today = local_now().date()
        rows = [_row(cement, store.batches(db, cement.id), today) for cement in store.cements(db)]
        rows.sort(key=lambda row: row.cement.is_retired)
        view = {"rows": rows, "form": _form(Cement(0))}
        return show("office/cements.html", view, title=wording.title(), here="Office")


def _row(cement: Cement, batches: list[Batch], today: date) -> CementRow:
    left = [batch for batch in batches if not batch.is_used_up]
    expired = sum(batch.is_expired(today) for batch in left)
    return CementRow(cement, limits_of(cement), len(left), expired)


def limits_of(cement: Cement) -> Message:
    """Return the limits of a cement's data sheet in short."""
    return wording.limits(
        cement.coldest_c, cement.warmest_c, cement.driest_percent, cement.dampest_percent
    )


def _form(cement: Cement) -> dict[str, tuple[FormField, ...]]:
    """Return the fields of a cement (what it is, its times, its limits) in the order of a data sheet, which is not that of
    the table's columns."""

    def fields(*names: str) -> tuple[FormField, ...]:
        return tuple(form_field(rules.FIELDS[name], getattr(cement, name)) for name in names)

    return {
        "cement": fields("name", "kind", "data_sheet"),
        "times": fields(
            "reference_c", "open_min", "fixture_min", "handling_hours", "cure_hours", "ml_per_m2"
        ),
        "limits": fields("coldest_c", "warmest_c", "driest_percent", "dampest_percent"),
    }


@pages.post("/office/cements")
def add() -> ResponseReturnValue:
    """Add a cement."""
    answer = do(actions.add_cement, _typed())
    return done(answer, url_for("cements.cement", id=answer.data["cement"]))


@pages.get("/office/cements/<int:id>")
def cement(id: int) -> ResponseReturnValue:
    """Show one cement: its batches, and what its data sheet says."""
    current_actor().must_hold(BENCH)
    with snapshot() as db:
        known = store.cement(db, id)
        view = {
            "cement": known,
            "limits": limits_of(known),
            "batches": store.batches(db, id),
            "today": local_now().date(),
            "has_link": known.data_sheet.startswith(("http://", "https://")),
            "form": _form(known),
        }
        return show("office/cement.html", view, title=known.name, here="Office")


@pages.post("/office/cements/<int:id>")
def change(id: int) -> ResponseReturnValue:
    """Take other figures from its data sheet."""
    return done(do(actions.change_cement, id, _typed()), url_for("cements.cement", id=id))


@pages.post("/office/cements/<int:id>/retired")
def retire(id: int) -> ResponseReturnValue:
    """Stop offering it at the bench, or offer it again."""
    return done(
        do(actions.retire, id, request.form.get("retired") == "1"), url_for("cements.cement", id=id)
    )


@pages.post("/office/cements/<int:id>/batches")
def add_batch(id: int) -> ResponseReturnValue:
    """Add a batch that the shop has now."""
    form = request.form
    answer = do(actions.add_batch, id, form.get("batch", ""), form.get("expires", ""))
    return done(answer, url_for("cements.cement", id=id))


@pages.post("/office/batches/<int:id>/used-up")
def use_up(id: int) -> ResponseReturnValue:
    """Keep that a batch is used up, or that some is left after all."""
    cement = store.batch(current_shop().read(), id).cement
    return done(
        do(actions.use_up, id, request.form.get("used") == "1"),
        url_for("cements.cement", id=cement),
    )


def _typed() -> dict[str, str]:
    return {name: request.form[name] for name in rules.FIELDS if name in request.form}
