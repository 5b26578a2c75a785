"""How the pieces of a sheet are held: on the sheet's own picture and page, and the page on which a person overrules it.

Owns what is shown of it. What is advised, and why, comes from actions/holding.py and actions/hold_down_advice.py.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, request, url_for

from ...actions import hold_down_advice, setup_sheets
from ...actions import holding as actions
from ...actions.holding import Choice
from ...domain.codes import show as show_code
from ...domain.holding import hold_down_choice
from ...domain.holding.holding import NEEDS_MORE, WITH_A_SKIN
from ...domain.holding.loss_statistics import band_words
from ...domain.routing import sheets as rules
from ...domain.routing.running_time import Estimate
from ...domain.routing.setup_sheets import MachineFile
from ...store import holding as store
from ...store import sheets as sheet_store
from ...store import stock
from ...store.db import Connection
from ...store.holding import Held
from ...store.sheets import OnSheet, SheetRow
from ...store.stock import Stock
from ..page import (
    Notice,
    current_actor,
    current_caller,
    done,
    fragment,
    local_now,
    notice_of,
    show,
    snapshot,
    unchanged,
    version,
    wants_fragment,
)
from ..pictures.pictures import PicturePart, SheetPicture, SignPicture, sign_picture
from ..pictures.sheet_pictures import is_crowded, picture_of

BOX, THUMBNAIL = (1180, 240), (92, 72)
SHOWN = {"full": "full pass", "skin": "skin pass", "tabs": "tabs", "tape": "tape"}
SHORT = {
    "holds": "hold",
    "with a skin": "hold with a skin",
    "needs tabs or tape": "need tabs or tape",
}

pages = Blueprint("holding", __name__)


# On the sheet's own page. ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Holds:
    """What a sheet's page says of it. `verdicts` and `chosen` are (how many, words); `renewal` why the advice would be another
    one today; `has_none`: nothing has been worked out for this nest; `named` are
    the pieces of the renewal; `other_cutter` that the stock is cut with another one by now."""

    verdicts: tuple[tuple[int, str], ...]
    chosen: tuple[tuple[int, str], ...]
    renewal: hold_down_advice.Renewal | None
    file: MachineFile | None
    estimate: Estimate | None
    has_none: bool
    named: str
    other_cutter: str | None


def holds_of(db: Connection, row: SheetRow) -> Holds:
    """What is known of how a live sheet's pieces are held."""
    if row.state == "off the table":  # it is for the marks by now, and each tap asks again
        return Holds((), (), None, None, None, store.run_of(db, row.nest) is None, "", None)
    here = {piece.piece for piece in sheet_store.on_sheet(db, row.id) if piece.is_here}
    held = {piece: one for piece, one in store.of_nest(db, row.nest).items() if piece in here}
    sheet = sheet_store.sheet(db, row.id)
    run = store.run_of(db, row.nest)
    is_planned = row.state == "planned"
    verdicts = Counter(one.verdict for one in held.values())
    renewal = hold_down_advice.renewal(db, sheet, local_now().date()) if is_planned else None
    return Holds(
        tuple((verdicts[verdict], words) for verdict, words in SHORT.items() if verdicts[verdict]),
        tuple((count, words) for words, count in setup_sheets.ways_counted(held)),
        renewal,
        setup_sheets.last_file(db, setup_sheets.on_table(db, row.code))
        if held and row.state in rules.LIVE
        else None,
        setup_sheets.estimate_of(db, run.path_min) if run else None,
        not held,
        _named(db, row, renewal),
        setup_sheets.other_cutter(db, sheet) if is_planned else None,
    )


def _named(db: Connection, row: SheetRow, renewal: hold_down_advice.Renewal | None) -> str:
    """The first of the pieces that a renewal is about, by their names."""
    if renewal is None:
        return ""
    names = [
        piece.name or show_code(piece.code)
        for piece in sheet_store.on_sheet(db, row.id)
        if piece.piece in renewal.pieces
    ]
    return ", ".join(names[:4]) + (" …" if len(names) > 4 else "")


# The page. ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class WayShown:
    """One way of holding as a button: its chance of loss and its expected cost; `is_held` now, `is_advised`;
    `is_allowed`: this person may choose it."""

    way: str
    words: str
    chance: str
    interval: str
    total: str
    is_held: bool
    is_advised: bool
    is_allowed: bool


@dataclass(frozen=True)
class Group:
    """Like pieces that are held alike. `margins` is (way, figure) of the vacuum alone."""

    codes: str
    names: str
    count: int
    size: tuple[float, float]
    picture: SignPicture
    verdict: str
    margin_full: str
    margin_skin: str
    band: str
    ways: tuple[WayShown, ...]
    no_tabs: str | None
    why: str
    is_overruled: bool


@dataclass(frozen=True)
class HoldingPage:
    """One sheet's holding. `can_change`: it is planned, and an operator looks."""

    seen: str
    row: SheetRow
    stock: Stock
    picture: SheetPicture
    holds: Holds
    groups: tuple[Group, ...]
    pump: str
    vacuum_inhg: float
    told: Notice | None
    can_change: bool
    is_large: bool


@pages.get("/sheets/<code>/holding")
def holding(code: str):
    """How each piece is held, what the other ways would cost, and why."""
    with snapshot() as db:
        view = _page(db, code)
        return show(
            "sheets/holding/holding.html",
            view,
            title=f"{view.row.number}: how it is held",
            here="Sheets",
        )


@pages.get("/sheets/<code>/holding/now")
def now(code: str):
    """The same again, where something changed."""
    with snapshot() as db:
        if unchanged(version(db)):
            return "", 204
        return fragment("sheets/holding/_holding.html", _page(db, code))


@pages.post("/sheets/<code>/holding")
def overrule(code: str):
    """Another way for some pieces, or back to the advice."""
    form = request.form
    answer = actions.overrule(
        current_caller(),
        code,
        form.get("codes", "").split(),
        form.get("way", ""),
    )
    return _told(code, answer)


@pages.post("/sheets/<code>/holding/renew")
def renew(code: str):
    """The advice of today for all that nobody overruled."""
    answer = actions.renew(
        current_caller(),
        code,
    )
    if request.form.get("from") == "sheet":
        return done(answer, url_for("sheets.sheet", code=code))
    return _told(code, answer)


def _told(code: str, answer):
    if not wants_fragment():
        return done(answer, url_for("holding.holding", code=code))
    with snapshot() as db:
        return fragment("sheets/holding/_holding.html", _page(db, code, notice_of(db, answer)))


def _page(db: Connection, code: str, notice: Notice | None = None) -> HoldingPage:
    sheet = sheet_store.sheet_by_code(db, code)
    row, material = sheet_store.row(db, sheet.id), stock.stock(db, sheet.stock)
    on_it = sheet_store.on_sheet(db, sheet.id)
    found = hold_down_advice.found_today(db, sheet, local_now().date())
    held = store.of_nest(db, row.nest)
    cutting_setup = found[0].cutting_setup if found else None
    asked = request.args.get("large")
    is_large = asked == "1" or (asked is None and is_crowded(db, row, on_it, BOX))
    return HoldingPage(
        version(db),
        row,
        material,
        picture_of(db, row, on_it, material.colour, BOX, held=held, is_large=is_large),
        holds_of(db, row),
        _groups(found, held, {piece.piece: piece for piece in on_it}, material.colour),
        cutting_setup.shop_settings.pump if cutting_setup else "",
        cutting_setup.vacuum_inhg if cutting_setup else 0.0,
        notice,
        row.state == "planned" and current_actor().holds("operator"),
        is_large,
    )


def _groups(
    found: Sequence[Choice], held: Mapping[int, Held], said: Mapping[int, OnSheet], colour: str
) -> tuple[Group, ...]:
    """Like pieces together; those that are held worst come first."""
    alike: dict[tuple, list[Choice]] = {}
    for choice in found:
        kept = held.get(choice.lying.piece.id)
        outline = choice.lying.outline
        key = (
            said[choice.lying.piece.id].name,
            outline.width_mm,
            outline.height_mm,
            kept and kept.way,
            choice.advice.best.way,
            choice.lying.piece.attempt > 1,
        )
        alike.setdefault(key, []).append(choice)
    groups = [
        _group(some, held.get(some[0].lying.piece.id), said, colour) for some in alike.values()
    ]
    worst = {NEEDS_MORE: 0, WITH_A_SKIN: 1}
    return tuple(sorted(groups, key=lambda group: (worst.get(group.verdict, 2), -group.count)))


def _group(
    some: Sequence[Choice], kept: Held | None, said: Mapping[int, OnSheet], colour: str
) -> Group:
    first = some[0]
    piece, outline = first.lying.piece, first.lying.outline
    name = said[piece.id].name or "spare"
    thumb = PicturePart(piece.code, 1, name, outline, colour, "nested")
    return Group(
        " ".join(one.lying.piece.code for one in some),
        name,
        len(some),
        (outline.width_mm, outline.height_mm),
        sign_picture(
            f"held-{piece.code}",
            [thumb],
            outline.width_mm,
            outline.height_mm,
            title=name,
            box=THUMBNAIL,
            width_text="",
        ),
        first.verdict,
        _figure(first.margins["full"]),
        _figure(first.margins["skin"]),
        band_words(first.advice.band),
        tuple(
            _way(option, kept, first)
            for option in sorted(first.advice.options, key=lambda one: list(SHOWN).index(one.way))
        ),
        first.tabs.why_none,
        first.why,
        bool(kept and kept.is_overruled),
    )


def _figure(margin: float) -> str:
    """Two figures that mean something."""
    return f"{margin:.2g}" if margin < 10 else f"{margin:,.0f}"


def _way(option: hold_down_choice.Option, kept: Held | None, choice: Choice) -> WayShown:
    chance, best = option.chance, choice.advice.best.way
    return WayShown(
        option.way,
        SHOWN[option.way],
        hold_down_choice.percent(chance.mean),
        f"{100 * chance.low:.0f} to {hold_down_choice.percent(chance.high)}",
        f"{option.total:.2f}",
        bool(kept and kept.way == option.way),
        option.way == best,
        current_actor().holds("owner") or choice.margins[option.way] >= choice.margins[best],
    )
