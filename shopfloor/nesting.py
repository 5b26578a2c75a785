"""Nests pieces true to shape: the only importer of the packing library spyrrow.

Owns the way from items to checked sheets, in a worker process with limits. Must not know of jobs or the database.
The library fills a strip of fixed height to the shortest length it can. It panics on input it dislikes, so everything is
tested first, all its answers are checked, and the plain layout of `shelf_packing` is used where it fails.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import asdict, dataclass, replace
from datetime import timedelta
from typing import Any

from shapely import Polygon, box

from . import worker
from .domain.errors import Refused
from .domain.outlines import Outline, Point
from .domain.routing.nests import (
    Item,
    NestedSheet,
    Nesting,
    NestRules,
    Placed,
    Strip,
    better_of,
    faults,
    fitting_turns,
    net_area,
    sheet_of,
    solid,
    turned_box,
    why_left_out,
)
from .domain.routing.shelf_packing import shelved, shelved_sheets
from .wording import routing as wording

# On top of half the gap, since the library counts in single precision; the larger where the smaller was too little.
_SLACKS_MM = (0.02, 0.1)
_NO_SLACK_MM = 0.0  # tried first where there is no gap: with slack, pieces that fill a strip exactly would not fit it
_HAIR_MM = 0.004  # for the last digit, less than the check forgives
_MOST_POINTS = 40  # of an outline that is handed over
_COARSENESS_MM = (0.05, 0.1, 0.2, 0.4, 0.8, 1.6)
_FULL = 0.85  # of a sheet, outlines grown by half the gap: what the library is offered, more than letters ever fill
_USUAL = 0.75  # how full a sheet usually is, by the same measure
_TIGHT = 0.95  # a plain layout that is as full as this needs no better one
_GOLDEN = (math.sqrt(5) - 1) / 2
_SHORTEST_S = 0.2
_USUAL_LIMIT_S = 5.0  # who allows more wants a better nest of few pieces too

Report = Callable[[float], None]
_Shape = tuple[tuple[Point, ...], tuple[float, ...]]  # a grown ring and its allowed turns


def nest(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules | None = None,
    *,
    most_sheets: int | None = None,
    progress: Report | None = None,
) -> Nesting:
    """Nest the items on blanks of one size (mm), true to shape, along the length and along the width at once.

    Of each sheet the better direction is kept. What fits on no sheet, or on none of `most_sheets`, is left out with
    a reason, and the rest is nested. Time: 0.5 s and 0.1 s a piece, in proportion more where `rules.seconds` is above
    5, at most `rules.seconds`; where n sheets are likely, √n times that over all of them; and for the process and the
    library's start about 0.3 s and 1 s for each 100 pieces. `progress` is called with shares from 0 to 1.
    Every sheet has passed `faults`. Raises Refused for rules that make no sense and for two items with one key.
    """
    rules = rules or NestRules()
    _refuse_nonsense(items, rules)
    reasons = {item.key: why_left_out(item, length_mm, width_mm, rules) for item in items}
    left_out = [(key, why) for key, why in reasons.items() if why]
    fitting = [item for item in items if not reasons[item.key]]
    sheets = _sheets_of(fitting, length_mm, width_mm, rules, most_sheets, progress)
    held = {placed.key for sheet in sheets for placed in sheet.placed}
    left_out += [
        (item.key, wording.no_room_left(item.name, len(sheets)))
        for item in fitting
        if item.key not in held
    ]
    return Nesting(tuple(sheets), tuple(left_out))


def _refuse_nonsense(items: Sequence[Item], rules: NestRules) -> None:
    keys = set()
    for item in items:
        if item.key in keys:
            raise Refused(wording.listed_twice(item.name, item.key))
        keys.add(item.key)
    if rules.turns not in ("any", "180", "none"):
        raise Refused(wording.unknown_turns(rules.turns))
    for value, refusal in (
        (rules.gap_mm, wording.gap_is_no_number),
        (rules.margin_mm, wording.margin_is_no_number),
        (rules.seconds, wording.time_is_no_number),
    ):
        if not 0 <= value < math.inf:
            raise Refused(refusal())


def _sheets_of(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules,
    most_sheets: int | None,
    progress: Report | None,
) -> list[NestedSheet]:
    if not items or (most_sheets is not None and most_sheets < 1):
        return []
    message = {
        "items": [
            {"key": item.key, "name": item.name, "rings": item.outline.as_lists()} for item in items
        ],
        "length_mm": length_mm,
        "width_mm": width_mm,
        "rules": asdict(rules),
        "most_sheets": most_sheets,
    }
    patience = 30 + 3 * _plan(items, length_mm, width_mm, rules).total_s + 0.05 * len(items)
    try:
        answer = worker.call(
            "shopfloor.nesting:nest_in_worker", message, seconds=patience, progress=progress
        )
    except worker.WorkerFailed:
        return shelved_sheets(items, length_mm, width_mm, rules, most_sheets)
    return [_sheet_read(sheet) for sheet in answer["sheets"]]


def _sheet_read(sheet: dict[str, Any]) -> NestedSheet:
    return NestedSheet(**{**sheet, "placed": tuple(Placed(**placed) for placed in sheet["placed"])})


def nest_in_worker(message: dict[str, Any], report: Report) -> dict[str, Any]:
    """Do the worker's part of `nest`: return the sheets as plain dicts. Every item must fit an empty sheet."""
    items = [
        Item(item["key"], Outline.of_lists(item["rings"]), item["name"])
        for item in message["items"]
    ]
    length_mm, width_mm = message["length_mm"], message["width_mm"]
    rules = NestRules(**message["rules"])
    plan = _plan(items, length_mm, width_mm, rules)
    started = time.monotonic()
    waiting, most = _mixed(items), message["most_sheets"]
    sheets: list[NestedSheet] = []
    while waiting and (most is None or len(sheets) < most):
        seconds = plan.next_s(time.monotonic() - started, len(sheets))
        tick = _ticker(started, plan.total_s, report)
        sheets.append(
            _best_sheet(waiting, length_mm, width_mm, replace(rules, seconds=seconds), tick)
        )
        held = {placed.key for placed in sheets[-1].placed}
        waiting = [item for item in waiting if item.key not in held]
    report(1.0)
    return {"sheets": [asdict(sheet) for sheet in sheets]}


@dataclass(frozen=True)
class _Plan:
    """How many sheets are likely and how long all of them may take."""

    sheets: int
    total_s: float

    def next_s(self, elapsed_s: float, done: int) -> float:
        """Return the seconds for the next sheet: its share of what is left, since the library runs over with many pieces."""
        return max(_SHORTEST_S, (self.total_s - elapsed_s) / max(1, self.sheets - done))


def _plan(items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules) -> _Plan:
    share = sum(_grown_area(item, rules) for item in items) / _room(length_mm, width_mm, rules)
    sheets = max(1, math.ceil(share / _USUAL))
    times_longer = max(1.0, rules.seconds / _USUAL_LIMIT_S)
    seconds = min(rules.seconds, times_longer * (0.5 + 0.1 * len(items)))
    return _Plan(sheets, max(_SHORTEST_S, seconds * math.sqrt(sheets)))


def _room(length_mm: float, width_mm: float, rules: NestRules) -> float:
    """Return the area between the margins, a gap larger since the outermost pieces need no gap outwards."""
    return math.prod(side - 2 * rules.margin_mm + rules.gap_mm for side in (length_mm, width_mm))


def _grown_area(item: Item, rules: NestRules) -> float:
    ring = solid(item.outline)
    return float(ring.area + ring.length * rules.gap_mm / 2)


def _ticker(started: float, total_s: float, report: Report) -> Callable[[], None]:
    return lambda: report(min(0.99, (time.monotonic() - started) / total_s))


def _mixed(items: Sequence[Item]) -> list[Item]:
    """Mix large and small items by golden steps through their sizes, so that every sheet gets small ones to fill in with."""
    by_size = sorted(items, key=lambda item: net_area(item.outline))
    dealt = sorted(range(len(by_size)), key=lambda index: (index + 1) * _GOLDEN % 1)
    return [by_size[index] for index in dealt]


def _sheetful(
    items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules
) -> list[Item]:
    """Return the first items that one sheet might hold by area: a few more than it can."""
    room = _FULL * _room(length_mm, width_mm, rules)
    chosen: list[Item] = []
    for item in items:
        area = _grown_area(item, rules)
        if area <= room:
            chosen.append(item)
            room -= area
    return chosen


def _best_sheet(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules,
    tick: Callable[[], None],
) -> NestedSheet:
    """Return the better of the two directions. The library releases the interpreter's lock, so both run at once."""
    with ThreadPoolExecutor(2) as pool:
        both = [
            pool.submit(_one_way, items, length_mm, width_mm, rules, along)
            for along in ("length", "width")
        ]
        while wait(both, timeout=0.2).not_done:
            tick()
    lengthwise, crosswise = (direction.result() for direction in both)
    return better_of(lengthwise, crosswise, items)


def _one_way(
    items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules, along: str
) -> NestedSheet:
    """Return the best checked sheet along one direction: true to shape, or plain where that is as good or the other failed."""
    plain = shelved(items, length_mm, width_mm, rules, along)
    chosen = _sheetful(items, length_mm, width_mm, rules)
    if len(chosen) < 2 or _is_tight(plain, items, length_mm, width_mm, rules):
        return plain
    for slack in _SLACKS_MM if rules.gap_mm else (_NO_SLACK_MM, *_SLACKS_MM):
        try:
            placed = _packed(chosen, length_mm, width_mm, rules, along, slack)
        except BaseException:  # a panic of the library is no Exception
            return plain
        if not placed:
            return plain
        sheet = sheet_of(placed, items, along, length_mm, width_mm, rules)
        if not faults(sheet, items, length_mm, width_mm, rules):
            return better_of(plain, sheet, items)
    return plain


def _is_tight(
    sheet: NestedSheet, items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules
) -> bool:
    """True where so little is wasted, as with equal rectangles, that there is nothing to gain."""
    held = {placed.key for placed in sheet.placed}
    across = width_mm if sheet.along == "length" else length_mm
    used = (sheet.used_mm - rules.margin_mm) * (across - 2 * rules.margin_mm)
    return sum(_grown_area(item, rules) for item in items if item.key in held) >= _TIGHT * used


def _packed(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules,
    along: str,
    slack: float,
) -> list[Placed]:
    """Return what the library lays wholly onto the sheet. Raises what the library raises, panics included."""
    import spyrrow  # noqa: PLC0415 - in the worker only: what it breaks, it breaks there

    strip = Strip.of_blank(along, length_mm, width_mm, rules.margin_mm)
    turns = {item.key: fitting_turns(item.outline, length_mm, width_mm, rules) for item in items}
    outlines = {item.key: item.outline.turned(strip.quarter) for item in items}
    pad = rules.gap_mm / 2 + slack
    alike = _alike(outlines, turns, pad)
    offered = [
        spyrrow.Item(keys[0], list(ring), len(keys), allowed)
        for (ring, allowed), keys in alike.items()
    ]
    instance = spyrrow.StripPackingInstance("sheet", strip.height_mm + 2 * pad + _HAIR_MM, offered)
    solution = instance.solve(_settings(rules.seconds))
    waiting = {keys[0]: iter(keys) for keys in alike.values()}
    placed = []
    for lying in solution.placed_items:
        key = next(waiting[lying.id])
        turn = min(
            turns[key], key=lambda allowed: abs((allowed - lying.rotation + 180) % 360 - 180)
        )
        x, y = (round(value - pad, 3) for value in lying.translation)
        if x + turned_box(outlines[key], turn)[2] <= strip.reach_mm + _HAIR_MM:
            placed.append(strip.on_sheet(key, x, y, turn))
    return placed


def _alike(
    outlines: dict[str, Outline], turns: dict[str, tuple[float, ...]], pad: float
) -> dict[_Shape, list[str]]:
    """Group the keys by grown ring and allowed turns.

    A shape that is offered once with its count starts the library three times as fast as many equal ones.
    """
    alike: dict[_Shape, list[str]] = {}
    for key, outline in outlines.items():
        ring = tuple(_grown(outline, pad).exterior.coords[:-1])
        alike.setdefault((ring, turns[key]), []).append(key)
    return alike


def _settings(seconds: float) -> Any:
    """Return the library's settings: one thread a direction. Its arguments are whole seconds; its fields take fractions."""
    import spyrrow  # noqa: PLC0415 - see _packed

    settings = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=1, num_workers=1, seed=1
    )
    settings.exploration_time = timedelta(seconds=0.8 * seconds)
    settings.compression_time = timedelta(seconds=0.2 * seconds)
    return settings


def _grown(outline: Outline, pad: float) -> Polygon:
    """Return the filled outline grown by at least `pad` mm, with few points, and by no more than `pad` beyond its box.

    The gap is made here and not by the library, which also keeps it from the strip's edges and panics on short
    strips. Simplifying moves the edge by the coarseness at most, so the outline is grown by that beforehand.
    """
    ring = solid(outline)
    left, bottom, right, top = ring.bounds
    for coarse in _COARSENESS_MM:
        grown = ring.buffer(pad + coarse, join_style="mitre", mitre_limit=1.5).simplify(coarse)
        if len(grown.exterior.coords) <= _MOST_POINTS:
            break
    clipped = Polygon(grown.exterior).intersection(
        box(left - pad, bottom - pad, right + pad, top + pad)
    )
    return (
        clipped
        if clipped.geom_type == "Polygon"
        else box(left - pad, bottom - pad, right + pad, top + pad)
    )
