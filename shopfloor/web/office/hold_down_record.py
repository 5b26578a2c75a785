"""Office's page of what we lost: pieces that moved or chipped, whether the forecasts held, minutes, sources.

Owns how this page reads the records and draws its charts. Must not compute a chance or an interval itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from flask import Blueprint
from flask.typing import ResponseReturnValue

from ...domain.holding.holding import HOLD_DOWNS, shop_vacuum_inhg
from ...domain.holding.loss_statistics import Bin, Kind, Tally, band_name, reliability, wilson
from ...domain.routing import feeds, running_time
from ...store import holding as store
from ...wording import hold_down_record as wording
from ...wording import holding as hold_downs
from ...wording.message import Message
from ..page import current_settings, show, snapshot

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
FEW_PIECES = 20  # fewer say little about the forecasts, whatever came of them: from memory

pages = Blueprint("holding_office", __name__)


@dataclass(frozen=True)
class Tick:
    """A figure on an axis, `at` pixels from where the axis begins."""

    at: float
    words: Message


@pages.get("/office/holding")
def holding() -> ResponseReturnValue:
    """Show what the shop lost at the router, and how well that was forecast."""
    shop_settings = current_settings()
    with snapshot() as db:
        curve = _curve(reliability(store.predictions(db)))
        losses = _losses(store.tallies(db), shop_settings.pump)
        timed = store.times(db)
    as_pumped = wording.pump_as_read if shop_settings.gauge_inhg else wording.pump_as_usual
    view = {
        "pump": as_pumped(hold_downs.pump(shop_settings.pump), shop_vacuum_inhg(shop_settings)),
        "losses": losses,
        "curve": curve,
        "correction": running_time.correction(
            [(sheet.path_min, sheet.real_min) for sheet in timed]
        ),
        "sheets": _timed_sheets(timed),
        "sources": feeds.SOURCES,
    }
    return show("office/hold_down_record.html", view, title=wording.title(), here="Office")


def _top(shares: Sequence[float]) -> float:
    return next(top for top in TOPS if top >= max(shares, default=0) - 1e-9)


# Pieces that moved or chipped. ----------------------------------------------------------------------------------------


def _losses(tallies: Mapping[Kind, Tally], pump: str) -> dict[str, object]:
    """The counted pieces of the shop's pump, and how many others were cut with another pump."""
    ours = sorted(
        ((kind, tally) for kind, tally in tallies.items() if kind.pump == pump and tally.cut),
        key=lambda row: (row[0].band, HOLD_DOWNS.index(row[0].hold_down)),
    )
    others = sum(tally.cut for kind, tally in tallies.items() if kind.pump != pump)
    top = _top([wilson(tally.lost, tally.cut)[1] for _, tally in ours])
    ticks = tuple(Tick(round(BAR_PX * at / top, 1), wording.tick(at)) for at in TICKS[top])
    rows = [_loss_row(kind, tally, BAR_PX / top) for kind, tally in ours]
    return {"rows": rows, "ticks": ticks, "bar_px": BAR_PX, "others": others}


def _loss_row(kind: Kind, tally: Tally, scale: float) -> dict[str, object]:
    """Return what became of pieces of one size, held one way; the interval in words and in pixels."""
    share, (low, high) = tally.lost / tally.cut, wilson(tally.lost, tally.cut)
    words, between = wording.share(share), hold_downs.interval(low, high)
    low_px, high_px, dot_px = (round(scale * each, 1) for each in (low, high, share))
    return {
        "size": band_name(kind.band),
        "hold_down": hold_downs.hold_down(kind.hold_down),
        "cut": tally.cut,
        "lost": tally.lost,
        "share": words,
        "between": between,
        "label": wording.chart_row(words, between),
        "low_px": low_px,
        "high_px": high_px,
        "dot_px": dot_px,
    }


# Whether the forecasts held. ------------------------------------------------------------------------------------------


def _curve(bins: Sequence[Bin]) -> dict[str, object] | None:
    """Forecasts against results, on axes that stretch small shares: pixels go with the root of a share.

    `verdict` says what it means for the owner, `sentence` what the dot of the most pieces says.
    """
    if not bins:
        return None
    top = _top([max(each.observed_high, each.predicted) for each in bins])
    pieces = sum(each.count for each in bins)
    lost = sum(round(each.observed * each.count) for each in bins)
    expected = sum(each.predicted * each.count for each in bins)
    most = max(bins, key=lambda each: each.count)
    return {
        "dots": [_dot(each, top) for each in bins],
        "ticks": [Tick(_px(at, top), wording.tick(at)) for at in CURVE_TICKS[top]],
        "px": PLOT_PX,
        "left": LEFT_PX,
        "foot": FOOT_PX,
        "pieces": pieces,
        "held": sum(each.has_held for each in bins),
        "verdict": _verdict(lost, pieces, expected),
        "sentence": wording.of_most_pieces(most.count, _band(most), wording.share(most.observed)),
    }


def _verdict(lost: int, pieces: int, expected: float) -> Message:
    """What the results of all pieces mean for the owner; what luck alone may do, Wilson's interval says."""
    low, high = wilson(lost, pieces)
    if expected < low * pieces:
        return wording.more_than_forecast(lost, expected)
    if expected > high * pieces:
        return wording.fewer_than_forecast(lost, expected)
    if pieces < FEW_PIECES:
        return wording.too_few_to_tell(lost, expected)
    return wording.as_forecast(lost, expected)


def _px(share: float, top: float) -> float:
    return round(PLOT_PX * math.sqrt(share / top), 1)


def _dot(each: Bin, top: float) -> dict[str, object]:
    """Return the pieces whose forecast was in one band: the dot and its interval, in pixels and in words."""
    return {
        "x": _px(each.predicted, top),
        "y": PLOT_PX - _px(each.observed, top),
        "radius": round(_radius(each.count), 1),
        "low_y": PLOT_PX - _px(each.observed_low, top),
        "high_y": PLOT_PX - _px(each.observed_high, top),
        "band": _band(each),
        "count": each.count,
        "predicted": wording.share(each.predicted),
        "observed": wording.share(each.observed),
        "between": hold_downs.interval(each.observed_low, each.observed_high),
        "has_held": each.has_held,
    }


def _band(each: Bin) -> Message:
    return wording.forecast_band(each.low, each.high)


def _radius(count: int) -> float:
    """The dot's area grows with the pieces, until it would cover its neighbours."""
    return min(MOST_DOT_PX, LEAST_DOT_PX * math.sqrt(1 + count / 20))


# Minutes. -------------------------------------------------------------------------------------------------------------


def _timed_sheets(timed: Sequence[store.SheetTime]) -> list[dict[str, object]]:
    """The latest of the sheets."""
    left_out = running_time.left_out([(sheet.path_min, sheet.real_min) for sheet in timed])
    return [
        {
            "sheet": sheet,
            "path_min": _rounded(sheet.path_min),
            "real_min": _rounded(sheet.real_min),
            "times": f"{sheet.real_min / sheet.path_min:.2f}",
            "is_left_out": is_out,
        }
        for sheet, is_out in islice(zip(timed, left_out, strict=True), MOST_SHEETS)
    ]


def _rounded(minutes: float) -> str:
    return f"{minutes:.1f}" if minutes < 9.95 else f"{minutes:,.0f}"
