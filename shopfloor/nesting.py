"""Nests pieces true to shape: the only importer of the packing library spyrrow.

Owns the way from items to checked sheets, in a worker process with limits. Must not know of jobs or the database.
The library fills a strip of fixed height as short as it can. It panics on what it dislikes, so everything is tested
first, all that it answers is checked, and the plain layout of `domain/shelves` stands in where it fails.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import asdict, dataclass, replace
from datetime import timedelta

from shapely import Polygon, box

from . import worker
from .domain.errors import Refused
from .domain.outlines import Outline
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

_SLACKS_MM = (
    0.02,
    0.1,
)  # on top of half the gap: the library counts in single precision; more if that was too little
_NO_SLACK_MM = 0.0  # tried first where there is no gap: with slack, what fills a strip exactly would not fit it
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


def nest(
    items: Sequence[Item],
    length_mm: float,
    width_mm: float,
    rules: NestRules | None = None,
    *,
    most_sheets: int | None = None,
    progress: Report | None = None,
) -> Nesting:
    """Nests the items on blanks of one size (mm), true to shape, along the length and along the width at once.

    Of each sheet the better direction is kept. What fits on no sheet, or on none of `most_sheets`, is left out with
    a sentence, and the rest goes on. Time: 0.5 s and 0.1 s a piece, in proportion more where `rules.seconds` is above
    5, at most `rules.seconds`; where n sheets are likely, √n times that over all of them; and for the process and the
    library's start about 0.3 s and 1 s for each 100 pieces. `progress` is told shares from 0 to 1.
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
        (item.key, _no_room(item, len(sheets))) for item in fitting if item.key not in held
    ]
    return Nesting(tuple(sheets), tuple(left_out))


def _refuse_nonsense(items: Sequence[Item], rules: NestRules) -> None:
    keys = set()
    for item in items:
        if item.key in keys:
            raise Refused(
                f"The part '{item.name}' is listed twice ({item.key}): list each piece once."
            )
        keys.add(item.key)
    if rules.turns not in ("any", "180", "none"):
        raise Refused(f"'{rules.turns}' is no way of turning: allow 'any', '180' or 'none'.")
    for value, name in (
        (rules.gap_mm, "gap"),
        (rules.margin_mm, "margin"),
        (rules.seconds, "time limit"),
    ):
        if not 0 <= value < math.inf:
            raise Refused(
                f"The {name} for nesting must be a number from 0 up: correct it in Stock or Office."
            )


def _no_room(item: Item, sheets: int) -> str:
    word = "sheet" if sheets == 1 else "sheets"
    return f"There is no room left for the part '{item.name}' on {sheets} {word}: nest it on a further one."


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


def _sheet_read(sheet: dict) -> NestedSheet:
    return NestedSheet(**{**sheet, "placed": tuple(Placed(**placed) for placed in sheet["placed"])})


def nest_in_worker(message: dict, report: Report) -> dict:
    """The worker's side of `nest`: the sheets as plain dicts. Every item must fit an empty sheet."""
    items = [Item(i["key"], Outline.of_lists(i["rings"]), i["name"]) for i in message["items"]]
    length_mm, width_mm, rules = (
        message["length_mm"],
        message["width_mm"],
        NestRules(**message["rules"]),
    )
    plan = _plan(items, length_mm, width_mm, rules)
    started = time.monotonic()
    sheets, waiting, most = [], _mixed(items), message["most_sheets"]
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
        """Seconds for the next sheet: the library runs over with many pieces, so what is left is shared out anew."""
        return max(_SHORTEST_S, (self.total_s - elapsed_s) / max(1, self.sheets - done))


def _plan(items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules) -> _Plan:
    share = sum(_grown_area(item, rules) for item in items) / _room(length_mm, width_mm, rules)
    sheets = max(1, math.ceil(share / _USUAL))
    times_longer = max(1.0, rules.seconds / _USUAL_LIMIT_S)
    seconds = min(rules.seconds, times_longer * (0.5 + 0.1 * len(items)))
    return _Plan(sheets, max(_SHORTEST_S, seconds * math.sqrt(sheets)))


def _room(length_mm: float, width_mm: float, rules: NestRules) -> float:
    """Area between the margins, a gap larger since the outermost pieces need no gap outwards."""
    return math.prod(side - 2 * rules.margin_mm + rules.gap_mm for side in (length_mm, width_mm))


def _grown_area(item: Item, rules: NestRules) -> float:
    ring = solid(item.outline)
    return ring.area + ring.length * rules.gap_mm / 2


def _ticker(started: float, total_s: float, report: Report) -> Callable[[], None]:
    return lambda: report(min(0.99, (time.monotonic() - started) / total_s))


def _mixed(items: Sequence[Item]) -> list[Item]:
    """Large and small in turn, so that every sheet has small ones to fill in with: by size, dealt by golden steps."""
    by_size = sorted(items, key=lambda item: net_area(item.outline))
    dealt = sorted(range(len(by_size)), key=lambda index: (index + 1) * _GOLDEN % 1)
    return [by_size[index] for index in dealt]


def _sheetful(
    items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules
) -> list[Item]:
    """The first items, as many as one sheet might hold by area: a little more than it can."""
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
    """The better of the two directions. The library lets go of the interpreter's lock, so both run at once."""
    with ThreadPoolExecutor(2) as pool:
        both = [
            pool.submit(_one_way, items, length_mm, width_mm, rules, way)
            for way in ("length", "width")
        ]
        while wait(both, timeout=0.2).not_done:
            tick()
    along, across = (one.result() for one in both)
    return better_of(along, across, items)


def _one_way(
    items: Sequence[Item], length_mm: float, width_mm: float, rules: NestRules, along: str
) -> NestedSheet:
    """The best checked sheet along one direction: true to shape, or plain where that is as good or the other failed."""
    plain = shelved(items, length_mm, width_mm, rules, along)
    chosen = _sheetful(items, length_mm, width_mm, rules)
    if len(chosen) < 2 or _is_tight(plain, items, length_mm, width_mm, rules):
        return plain
    for slack in _SLACKS_MM if rules.gap_mm else (_NO_SLACK_MM, *_SLACKS_MM):
        try:
            placed = _packed(chosen, length_mm, width_mm, rules, along, slack)
        except BaseException:
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
    """Whether so little is wasted, as with equal rectangles, that there is nothing to gain."""
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
    """What the library lays wholly onto the sheet. Raises what the library raises, panics included."""
    import spyrrow  # in the worker only: what it breaks, it breaks there

    strip = Strip.of_blank(along, length_mm, width_mm, rules.margin_mm)
    turns = {item.key: fitting_turns(item.outline, length_mm, width_mm, rules) for item in items}
    outlines = {item.key: item.outline.turned(strip.quarter) for item in items}
    pad = rules.gap_mm / 2 + slack
    alike = _alike(outlines, turns, pad)
    offered = [
        spyrrow.Item(keys[0], list(ring), len(keys), some) for (ring, some), keys in alike.items()
    ]
    instance = spyrrow.StripPackingInstance("sheet", strip.height_mm + 2 * pad + _HAIR_MM, offered)
    found = instance.solve(_settings(spyrrow, rules.seconds))
    waiting = {keys[0]: iter(keys) for keys in alike.values()}
    placed = []
    for lying in found.placed_items:
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
) -> dict[tuple, list[str]]:
    """The keys by grown ring and allowed turns. A shape that is offered once with its number starts the library three times
    as quickly as many equal ones do."""
    alike: dict[tuple, list[str]] = {}
    for key, outline in outlines.items():
        alike.setdefault((tuple(_grown(outline, pad).exterior.coords[:-1]), turns[key]), []).append(
            key
        )
    return alike


def _settings(spyrrow, seconds: float):
    """One thread a direction. The library's own figures are whole seconds; its fields take fractions."""
    settings = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=1, num_workers=1, seed=1
    )
    settings.exploration_time = timedelta(seconds=0.8 * seconds)
    settings.compression_time = timedelta(seconds=0.2 * seconds)
    return settings


def _grown(outline: Outline, pad: float) -> Polygon:
    """The filled outline grown by `pad` mm at least, with few points, and by no more than `pad` beyond its box.

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
