"""How the pieces of a sheet are held: on the sheet's own picture and page, and the page on which a person overrules it.

Owns what is shown of it. What is advised, and why, comes from actions/holding.py and actions/hold_down_advice.py.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, request, url_for

from ...actions import hold_down_advice, setup_sheets
from ...actions import holding as actions
from ...actions.holding import Choice
from ...actions.unit_of_work import Answer
from ...domain.codes import show as show_code
from ...domain.holding.hold_down_choice import Option
from ...domain.holding.holding import HOLD_DOWNS, HOLDS, NEEDS_MORE, WITH_ONION_SKIN
from ...domain.routing import sheets as rules
from ...domain.routing.running_time import Estimate
from ...domain.routing.setup_sheets import MachineFile
from ...scenes.scene import Shape
from ...store import holding as store
from ...store import sheets as sheet_store
from ...store import stock
from ...store.db import Connection
from ...store.holding import Held
from ...store.sheets import OnSheet, SheetRow
from ...wording import holding as wording
from ...wording.message import Message
from ..page import (
    answered,
    do,
    done,
    holds,
    local_now,
    refreshed,
    show,
    snapshot,
)
from ..pictures.sheet_pictures import is_crowded, picture_of
from ..pictures.svg import SignPicture, sign_picture

BOX, THUMBNAIL = (1180, 240), (92, 72)
WORST_FIRST = (NEEDS_MORE, WITH_ONION_SKIN, HOLDS)
MOST_NAMES = 4  # of the pieces that a renewal is about

pages = Blueprint("holding", __name__)


# On the sheet's own page. ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RenewalShown:
    """That the advice would be another one today, why, and what the button that takes it over says."""

    headline: Message
    why: Message
    button: Message


@dataclass(frozen=True)
class HoldDownSummary:
    """What a sheet's page says of its hold-down.

    `counts` None: nothing to count; `has_none`: nothing has been worked out for this nest; `other_cutter`: that the stock
    is now cut with another one.
    """

    has_none: bool
    counts: Message | None = None
    renewal: RenewalShown | None = None
    file: MachineFile | None = None
    estimate: Estimate | None = None
    other_cutter: Message | str | None = None


def hold_down_summary(db: Connection, row: SheetRow) -> HoldDownSummary:
    """How a live sheet's pieces are held, and what is out of date about that."""
    run = store.run_of(db, row.nest)
    if row.state == "off the table":  # the page is for marking now, and each tap asks again
        return HoldDownSummary(has_none=run is None)
    here = {piece.piece: piece for piece in sheet_store.on_sheet(db, row.id) if piece.is_here}
    held = {id: piece for id, piece in store.of_nest(db, row.nest).items() if id in here}
    sheet, is_planned = sheet_store.sheet(db, row.id), row.state == "planned"
    file = None
    if held and row.state in rules.LIVE:
        file = setup_sheets.last_file(db, setup_sheets.on_table(db, row.code))
    return HoldDownSummary(
        has_none=not held,
        counts=_counts(held) if held else None,
        renewal=_renewal(db, sheet, here, has_none=not held) if is_planned else None,
        file=file,
        estimate=setup_sheets.estimate_of(db, run.path_min) if run else None,
        other_cutter=setup_sheets.other_cutter(db, sheet) if is_planned else None,
    )


def _counts(held: Mapping[int, Held]) -> Message:
    verdicts = Counter(piece.verdict for piece in held.values())
    hold_downs = Counter(piece.hold_down for piece in held.values())
    return wording.counted(
        [
            wording.with_verdict(verdict, verdicts[verdict])
            for verdict in reversed(WORST_FIRST)
            if verdicts[verdict]
        ],
        [
            wording.with_count(wording.hold_down(name), count)
            for name, count in hold_downs.most_common()
        ],
    )


def _renewal(
    db: Connection, sheet: rules.Sheet, here: Mapping[int, OnSheet], *, has_none: bool
) -> RenewalShown | None:
    renewal = hold_down_advice.renewal(db, sheet, local_now().date())
    if renewal is None:
        return None
    if has_none:
        return RenewalShown(wording.not_worked_out_yet(), renewal.why, wording.work_it_out())
    if not renewal.pieces:
        return RenewalShown(wording.another_pump(), renewal.why, wording.work_it_out_again())
    names: list[Message | str] = [
        here[id].name or show_code(here[id].code) for id in renewal.pieces
    ]
    if len(names) > MOST_NAMES:
        names = [*names[:MOST_NAMES], wording.others(len(names) - MOST_NAMES)]
    headline = wording.would_change(len(renewal.pieces), names)
    return RenewalShown(headline, renewal.why, wording.use_this())


# The page. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Group:
    """Like pieces that are held alike: their codes (in one string, for the form), their name and how many they are."""

    codes: str
    name: Message | str
    count: int
    size: tuple[float, float]
    picture: SignPicture
    verdict: str
    vacuum_alone: Message
    safety_factors: Message
    options: tuple[dict[str, object], ...]
    no_tabs: Message | None
    why: Message
    is_overruled: bool


@pages.get("/sheets/<code>/holding")
def holding(code: str) -> Response:
    """Show how each piece is held, what the other hold-downs would cost, and why."""
    with snapshot() as db:
        title = wording.sheet_title(sheet_store.sheet_by_code(db, code).number)
        return show("sheets/holding/holding.html", _page(db, code), title=title, here="Sheets")


@pages.get("/sheets/<code>/holding/now")
def now(code: str) -> Response:
    """Answer with the page's content again, where anything has changed."""
    return refreshed("sheets/holding/_holding.html", lambda db: _page(db, code))


@pages.post("/sheets/<code>/holding")
def overrule(code: str) -> Response:
    """Hold some pieces another way, or go back to the advice."""
    form = request.form
    answer = do(actions.overrule, code, form.get("codes", "").split(), form.get("way", ""))
    return _answered(code, answer)


@pages.post("/sheets/<code>/holding/renew")
def renew(code: str) -> Response:
    """Take over today's advice for all that nobody overruled."""
    answer = do(actions.renew, code)
    if request.form.get("from") == "sheet":
        return done(answer, url_for("sheets.sheet", code=code))
    return _answered(code, answer)


def _answered(code: str, answer: Answer) -> Response:
    to = url_for("holding.holding", code=code)
    return answered(answer, to, "sheets/holding/_holding.html", lambda db: _page(db, code))


def _page(db: Connection, code: str) -> dict[str, object]:
    """One sheet's hold-down. `can_change`: it is planned, and an operator looks. `pump` None: no piece is left on it."""
    sheet = sheet_store.sheet_by_code(db, code)
    row, material = sheet_store.row(db, sheet.id), stock.stock(db, sheet.stock)
    on_sheet = sheet_store.on_sheet(db, sheet.id)
    choices = hold_down_advice.choices_today(db, sheet, local_now().date())
    held = store.of_nest(db, row.nest)
    asked = request.args.get("large")
    is_large = asked == "1" or (asked is None and is_crowded(db, row, BOX))
    names = {piece.piece: piece for piece in on_sheet}
    return {
        "row": row,
        "stock": material,
        "picture": picture_of(
            db, row, on_sheet, material.colour, BOX, held=held, is_large=is_large
        ),
        "holds": hold_down_summary(db, row),
        "groups": _groups(choices, held, names, material.colour),
        "pump": _pump(choices[0]) if choices else None,
        "can_change": row.state == "planned" and holds("operator"),
        "is_large": is_large,
    }


def _pump(choice: Choice) -> Message:
    setup = choice.cutting_setup
    return wording.pump_at_sheet(wording.pump(setup.shop_settings.pump), setup.vacuum_inhg)


def _groups(
    choices: Sequence[Choice],
    held: Mapping[int, Held],
    on_sheet: Mapping[int, OnSheet],
    colour: str,
) -> tuple[Group, ...]:
    """Like pieces together; those that are held worst come first."""
    alike: dict[tuple[object, ...], list[Choice]] = {}
    for choice in choices:
        piece, outline = choice.placed.piece, choice.placed.outline
        kept = held.get(piece.id)
        key = (
            on_sheet[piece.id].name,
            outline.width_mm,
            outline.height_mm,
            kept and kept.hold_down,
            choice.advice.best.hold_down,
            piece.attempt > 1,
        )
        alike.setdefault(key, []).append(choice)
    groups = [
        _group(some, held.get(some[0].placed.piece.id), on_sheet, colour) for some in alike.values()
    ]
    return tuple(sorted(groups, key=lambda group: (WORST_FIRST.index(group.verdict), -group.count)))


def _group(
    some: Sequence[Choice], kept: Held | None, on_sheet: Mapping[int, OnSheet], colour: str
) -> Group:
    first = some[0]
    piece, outline = first.placed.piece, first.placed.outline
    name = on_sheet[piece.id].name or str(wording.spare())
    thumbnail = sign_picture(
        f"held-{piece.code}",
        [Shape(piece.code, 1, name, outline, colour, "nested")],
        outline.width_mm,
        outline.height_mm,
        title=name,
        box=THUMBNAIL,
        width_text="",
    )
    by_name = {option.hold_down: option for option in first.advice.options}
    return Group(
        " ".join(choice.placed.piece.code for choice in some),
        name,
        len(some),
        (outline.width_mm, outline.height_mm),
        thumbnail,
        first.verdict,
        wording.vacuum_alone(first.verdict),
        wording.vacuum_factors(first.safety_factors["full"], first.safety_factors["skin"]),
        tuple(_option(by_name[each], kept, first) for each in HOLD_DOWNS if each in by_name),
        first.tabs.why_none,
        first.why,
        bool(kept and kept.is_overruled),
    )


def _option(option: Option, kept: Held | None, choice: Choice) -> dict[str, object]:
    """Return one hold-down as a button: `name` is what it sends, `is_allowed` that this person may."""
    name, chance, best = option.hold_down, option.chance, choice.advice.best.hold_down
    factors = choice.safety_factors
    return {
        "name": name,
        "label": wording.hold_down(name),
        "loss": wording.share_lost(chance.mean),
        "interval": wording.interval(chance.low, chance.high),
        "cost": wording.likely_cost(option.total),
        "is_held": bool(kept and kept.hold_down == name),
        "is_advised": name == best,
        "is_allowed": holds("owner") or factors[name] >= factors[best],
    }
