"""Office's page of what the losses say: pieces that came free or chipped, whether the chances came true, minutes, sources.

Owns how this page reads the records and draws its charts. Must not compute a chance or an interval itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from flask import Blueprint, Response

from ...domain.holding import loss_statistics
from ...domain.holding.holding import WAYS, shop_vacuum_inhg
from ...domain.holding.loss_statistics import Bin, Kind, Tally
from ...domain.routing import feeds, running_time
from ...domain.routing.running_time import Correction
from ...store import holding as store
from ..page import current_actor, current_settings, show, snapshot

WAY_WORDS = {"full": "full pass", "skin": "skin pass", "tabs": "tabs", "tape": "tape"}
TOPS = (0.1, 0.2, 0.5, 1.0)  # a chart of shares ends at the first of these that holds all of it
TICKS = {0.1: (0, 0.05, 0.1), 0.2: (0, 0.1, 0.2), 0.5: (0, 0.25, 0.5), 1.0: (0, 0.5, 1.0)}
BAR_PX = 160  # a row's interval
PLOT_PX, LEFT_PX, FOOT_PX = 400, 80, 56  # the square of the curve, and the room for its figures
CURVE_TICKS = {
    0.1: (0, 0.01, 0.02, 0.05, 0.1),
    0.2: (0, 0.01, 0.05, 0.1, 0.2),
    0.5: (0, 0.01, 0.05, 0.1, 0.2, 0.5),
    1.0: (0, 0.01, 0.05, 0.2, 0.5, 1.0),
}
LEAST_DOT_PX, MOST_DOT_PX = 4.0, 15.0
MOST_SHEETS = 12
FEW_PIECES = 20  # fewer say little about the chances, whatever came of them: from memory

pages = Blueprint("holding_office", __name__)


@dataclass(frozen=True)
class Tick:
    """A figure on an axis, `at` pixels from where the axis begins."""

    at: float
    words: str


@dataclass(frozen=True)
class LossRow:
    """What pieces of one size, held one way, came to; the interval in words and in pixels of the row's chart."""

    size: str
    way: str
    cut: int
    lost: int
    share: str
    between: str
    low_px: float
    high_px: float
    dot_px: float


@dataclass(frozen=True)
class Losses:
    """The counted pieces of the shop's pump, and how many others were cut with another pump."""

    rows: list[LossRow]
    ticks: tuple[Tick, ...]
    bar_px: int
    others: int


@dataclass(frozen=True)
class Dot:
    """The pieces whose chance was `said` ('2 to 5 %'): the dot and its interval in pixels of the curve, and in words."""

    x: float
    y: float
    radius: float
    low_y: float
    high_y: float
    said: str
    count: int
    predicted: str
    observed: str
    between: str
    is_borne_out: bool


@dataclass(frozen=True)
class Curve:
    """Chances against what came of them, on axes that give small shares more room: pixels go with the root of a share.

    `verdict` says what it means for the owner, `sentence` what the dot of the most pieces says.
    """

    dots: tuple[Dot, ...]
    ticks: tuple[Tick, ...]
    px: int
    left: int
    foot: int
    pieces: int
    borne_out: int
    verdict: str
    sentence: str


@dataclass(frozen=True)
class SheetTime:
    """A sheet that was cut: minutes by its path, by the clock, this over that; whether the correction leaves it out."""

    code: str
    number: str
    finished_at: str
    reckoned: str
    real: str
    times: str
    is_left_out: bool


@dataclass(frozen=True)
class HoldingPage:
    """All that the losses and the clock say."""

    pump: str
    vacuum: str
    is_read: bool
    losses: Losses
    curve: Curve | None
    correction: Correction
    sheets: list[SheetTime]
    sources: tuple[tuple[str, str], ...]
    is_owner: bool


@pages.get("/office/holding")
def holding() -> Response:
    """What the losses say."""
    shop_settings = current_settings()
    with snapshot() as db:
        curve = _curve(loss_statistics.reliability(store.predictions(db)))
        counted = _losses(store.tallies(db), shop_settings.pump)
        timed = store.times(db)
    records = [(reckoned, _minutes(start, end)) for reckoned, start, end, *_ in timed]
    view = HoldingPage(
        shop_settings.pump,
        f"{shop_vacuum_inhg(shop_settings):.1f}",
        bool(shop_settings.gauge_inhg),
        counted,
        curve,
        running_time.correction(records),
        _sheet_times(timed, records),
        feeds.SOURCES,
        current_actor().holds("owner"),
    )
    return show("office/hold_down_record.html", view, title="What the losses say", here="Office")


def percent(share: float) -> str:
    """'0.4 %', '3.1 %', '42 %'."""
    hundredths = 100 * share
    return f"{hundredths:.1f} %" if 0 < hundredths < 9.95 else f"{hundredths:.0f} %"


def _top(shares: Sequence[float]) -> float:
    return next(top for top in TOPS if top >= max(shares, default=0) - 1e-9)


# Pieces that came free or chipped. ------------------------------------------------------------------------------------


def _losses(tallies: Mapping[Kind, Tally], pump: str) -> Losses:
    ours = sorted(
        ((kind, tally) for kind, tally in tallies.items() if kind.pump == pump and tally.cut),
        key=lambda one: (one[0].band, WAYS.index(one[0].way)),
    )
    others = sum(tally.cut for kind, tally in tallies.items() if kind.pump != pump)
    top = _top([loss_statistics.wilson(tally.lost, tally.cut)[1] for _, tally in ours])
    ticks = tuple(Tick(round(BAR_PX * at / top, 1), f"{100 * at:.0f} %") for at in TICKS[top])
    return Losses(
        [_loss_row(kind, tally, BAR_PX / top) for kind, tally in ours], ticks, BAR_PX, others
    )


def _loss_row(kind: Kind, tally: Tally, scale: float) -> LossRow:
    share, (low, high) = tally.lost / tally.cut, loss_statistics.wilson(tally.lost, tally.cut)
    pixels = (round(scale * one, 1) for one in (low, high, share))
    return LossRow(
        loss_statistics.band_words(kind.band),
        WAY_WORDS[kind.way],
        tally.cut,
        tally.lost,
        percent(share),
        _between(low, high),
        *pixels,
    )


def _between(low: float, high: float) -> str:
    return f"{percent(low).removesuffix(' %')} to {percent(high)}"


# Whether the chances came true. ---------------------------------------------------------------------------------------


def _curve(bins: Sequence[Bin]) -> Curve | None:
    if not bins:
        return None
    top = _top([max(one.observed_high, one.predicted) for one in bins])
    dots = tuple(_dot(one, top) for one in bins)
    pieces = sum(one.count for one in bins)
    lost = sum(round(one.observed * one.count) for one in bins)
    expected = sum(one.predicted * one.count for one in bins)
    ticks = tuple(Tick(_px(at, top), f"{100 * at:.0f} %") for at in CURVE_TICKS[top])
    return Curve(
        dots,
        ticks,
        PLOT_PX,
        LEFT_PX,
        FOOT_PX,
        pieces,
        sum(dot.is_borne_out for dot in dots),
        _verdict(lost, pieces, expected),
        _sentence(max(bins, key=lambda one: one.count)),
    )


def _verdict(lost: int, pieces: int, expected: float) -> str:
    """What the losses of all pieces together mean for the owner; what luck alone may do, Wilson's interval says."""
    low, high = loss_statistics.wilson(lost, pieces)
    came, learned = (
        f"({lost:,} against {expected:.1f})",
        "The advice for the next sheets has learned from it.",
    )
    if expected < low * pieces:
        return f"More pieces came free or chipped than the chances said {came}: they were too low so far. {learned}"
    if expected > high * pieces:
        return f"Fewer pieces came free or chipped than the chances said {came}: they were too high so far. {learned}"
    if pieces < FEW_PIECES:
        return f"Nothing speaks against the chances yet {came}, but so few pieces say little."
    return f"About as many pieces came free or chipped as the chances said {came}: trust them."


def _px(share: float, top: float) -> float:
    return round(PLOT_PX * math.sqrt(share / top), 1)


def _dot(one: Bin, top: float) -> Dot:
    return Dot(
        _px(one.predicted, top),
        PLOT_PX - _px(one.observed, top),
        round(_radius(one.count), 1),
        PLOT_PX - _px(one.observed_low, top),
        PLOT_PX - _px(one.observed_high, top),
        _said(one),
        one.count,
        percent(one.predicted),
        percent(one.observed),
        _between(one.observed_low, one.observed_high),
        one.is_borne_out,
    )


def _radius(count: int) -> float:
    """The dot's area grows with the pieces, until it would cover its neighbours."""
    return min(MOST_DOT_PX, LEAST_DOT_PX * math.sqrt(1 + count / 20))


def _said(one: Bin) -> str:
    return f"{100 * one.low:g} to {100 * one.high:g} %"


def _sentence(one: Bin) -> str:
    """What the bin of the most pieces says."""
    pieces = "1 piece" if one.count == 1 else f"{one.count:,} pieces"
    return (
        f"Of {pieces} with a chance of {_said(one)}, {percent(one.observed)} came free or chipped."
    )


# Minutes. -------------------------------------------------------------------------------------------------------------


def _minutes(start: str, end: str) -> float:
    return (datetime.fromisoformat(end) - datetime.fromisoformat(start)).total_seconds() / 60


def _sheet_times(timed: Sequence[tuple], records: Sequence[tuple[float, float]]) -> list[SheetTime]:
    """The latest of the `timed` sheets; `records` are the (reckoned, real) minutes of all of them."""
    rows = zip(timed, records, running_time.left_out(records))
    return [
        SheetTime(
            code,
            number,
            end,
            _whole_or_not(reckoned),
            _whole_or_not(real),
            f"{real / reckoned:.2f}",
            is_out,
        )
        for (_, _, end, code, number), (reckoned, real), is_out in islice(rows, MOST_SHEETS)
    ]


def _whole_or_not(minutes: float) -> str:
    return f"{minutes:.1f}" if minutes < 9.95 else f"{minutes:,.0f}"
