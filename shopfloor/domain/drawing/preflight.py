"""What a shop should look at before it cuts a drawing: rules of the trade over the proposed signs.

Owns the findings of preflight. Must not refuse anything, change the signs, or know about files and pages. Lengths are
millimetres; findings are in drawing coordinates, y up.

What repeats is reported once: like outlines share a finding, which counts the others and points at the first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, product
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon, Polygon, STRtree

from ...wording import drawings as wording
from ...wording.message import Message
from ..holding.holding import NEEDS_MORE, HoldingRules, hold, shop_vacuum_inhg
from ..outlines import PLACES, Point
from ..routing.nests import NestRules, fitting_turns
from ..settings import Settings
from . import tool_access
from .drawing import Finding
from .scale import plain, wrong_scale
from .signs import name_of
from .stacking import ProposedPart, ProposedSign

NEAR_MM = 0.5  # closer neighbours look like one letter and are hard to set by hand: from memory
ROUNDING_MM = 0.002  # outlines are kept to a thousandth
SLIVER_MM = 0.1  # anything thinner comes from the chords of curves
LEAST_OVERHANG = 0.01  # share of a part's area: below it, or below 1 mm², the part is supported
LEAST_MM2 = 1.0
ALIKE_MM = 0.11  # points this close are the same: drawing programs round places, many to 0.1 mm
THINNED_MM = 0.01
MOST_POINTS = 10_000  # of one outline, dense curves thinned: a rougher one takes many seconds
MOST_POINTS_IN_ALL = 150_000  # of all shapes: a page must not wait for minutes
STEP_MM = 0.25  # grid of the look-up; wider than like outlines may differ in size

Thing = TypeVar("Thing")
Key = TypeVar("Key")


@dataclass(frozen=True)
class Sheet:
    """A full sheet of the stock that a colour is cut from, in mm. `turns`: how it may turn ('any', '180', 'none')."""

    name: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    turns: str = "any"


@dataclass(frozen=True)
class _Piece:
    """A part at its place in the drawing. `sign` counts from 0; `kind` is the same number for all like outlines.

    `sign_name` is the name of its sign, or its number where it has none; None where the drawing has one sign.
    """

    part: ProposedPart
    sign: int
    sign_name: str | int | None
    area: Polygon | MultiPolygon
    kind: int

    @property
    def name(self) -> Message:
        return wording.part(self.part.number, self.part.name or "")

    def with_sign(self, what: Message) -> Message:
        """The name of a part, or of two, with the sign that they are on."""
        match self.sign_name:
            case None:
                return what
            case int(number):
                return wording.of_sign_number(what, number)
            case name:
                return wording.of_sign(what, name)

    @property
    def rests_on(self) -> tuple[int, ...]:
        """The numbers of the parts that this one lies on, bridges or fills."""
        return tuple(
            n for n in (self.part.on, *self.part.also_on, self.part.inlay_in) if n is not None
        )

    @property
    def points(self) -> int:
        """The number of points of the outline."""
        return sum(map(len, self.part.outline.rings))


Pair = tuple[_Piece, _Piece, float]  # two neighbours and the mm between them


def look(
    signs: Sequence[ProposedSign], sheets: Mapping[str, Sheet], settings: Settings
) -> tuple[Finding, ...]:
    """Return the findings about these signs.

    `sheets` has the full sheet for each colour '#rrggbb'; checks that need one skip a colour without. The cutter is the
    shop's usual one, and the feed the full one, to be on the safe side.
    Kinds: 'scale', 'too large', 'narrow', 'corner', 'overlap', 'near', 'overhang', 'will not hold'.
    """
    pieces = _pieces(signs)
    return (
        *wrong_scale(signs),
        *_too_large(pieces, sheets, settings),
        *_against_the_cutter(pieces, settings.tool_mm),
        *_overlaps(pieces),
        *_near(pieces),
        *_overhangs(pieces),
        *_will_not_hold(pieces, sheets, settings),
    )


def _pieces(signs: Sequence[ProposedSign]) -> list[_Piece]:
    kinds, pieces = _Kinds(), []
    for place, sign in enumerate(signs):
        title = name_of(sign, "", is_only_one=False)
        sign_name = None if len(signs) == 1 else title or place + 1
        corner = np.array([sign.left_mm, sign.bottom_mm])
        for part in sign.parts:
            area = shapely.transform(
                part.outline.polygon, lambda points, corner=corner: points + corner
            )
            if not area.is_valid:
                area = shapely.buffer(area, 0)  # rounding may let a ring touch itself
            if not area.is_empty:
                pieces.append(_Piece(part, place, sign_name, area, kinds.of(part)))
    return pieces


class _Kinds:
    """Numbers outlines from 0. Alike outlines have the same points to 0.1 mm after a shift, in the same order."""

    def __init__(self) -> None:
        self._known: dict[tuple[Any, ...], list[tuple[npt.NDArray[np.float64], int]]] = {}
        self._count = 0

    def of(self, part: ProposedPart) -> int:
        points = np.array(list(chain.from_iterable(part.outline.rings)))
        points -= points.min(axis=0)
        rings = tuple(map(len, part.outline.rings))
        # looked up by first point and size: alike outlines are at most one step apart
        steps = (np.concatenate([points[0], points.max(axis=0)]) // STEP_MM).astype(int)
        for off in _AROUND:
            for known, kind in self._known.get((rings, *(steps + off)), ()):
                if np.abs(points - known).max() <= ALIKE_MM:
                    return kind
        self._known.setdefault((rings, *steps), []).append((points, self._count))
        self._count += 1
        return self._count - 1


_AROUND = np.array(list(product((0, -1, 1), repeat=4)))


def _too_large(
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], settings: Settings
) -> Iterator[Finding]:
    for same in _grouped(pieces, lambda piece: (piece.kind, piece.part.colour)).values():
        outline, sheet = same[0].part.outline, sheets.get(same[0].part.colour)
        if sheet is None:
            continue
        nest = NestRules(settings.gap_mm, settings.margin_mm, sheet.turns)
        if fitting_turns(outline, sheet.length_mm, sheet.width_mm, nest):
            continue
        message = wording.too_large(
            _with_others(same),
            _mm(outline.width_mm),
            _mm(outline.height_mm),
            sheet.turns,
            sheet=sheet.name,
            sheet_length=_mm(sheet.length_mm),
            sheet_width=_mm(sheet.width_mm),
            margin=_mm(settings.margin_mm),
        )
        yield _finding("too large", shapely.box(*same[0].area.bounds), message)


def _against_the_cutter(pieces: Sequence[_Piece], tool_mm: float) -> Iterator[Finding]:
    """'narrow' and 'corner': where the cutter does not fit each distinct outline. See `tool_access`."""
    looked_at, tool = 0, _mm(tool_mm)
    kinds = list(_grouped(pieces, lambda piece: piece.kind).values())
    for place, same in enumerate(kinds):
        looked_at += same[0].points
        if looked_at > MOST_POINTS_IN_ALL:
            message = wording.shapes_not_checked(len(kinds) - place, tool)
            yield _finding("corner", same[0].area, message)
            return
        name = _with_others(same)
        # dense curves, thinned by less than anyone can cut
        area = shapely.simplify(same[0].area, THINNED_MM)
        points = int(shapely.get_num_coordinates(area))
        if points > MOST_POINTS:
            yield _finding("corner", area, wording.too_many_points(name, points, tool))
            continue
        for polygon in shapely.get_parts(area):
            yield from _of_shape(name, polygon, tool_mm)


def _of_shape(name: Message, polygon: Polygon, tool_mm: float) -> Iterator[Finding]:
    radius, tool = tool_mm / 2, _mm(tool_mm)
    if thin := tool_access.thin(polygon, radius):
        width, area = _mm(thin.width_mm), _mm2(thin.area_mm2)
        message = wording.narrow(name, width, len(thin.places), area, tool)
        yield _finding("narrow", thin.places[0], message)
    if closed := tool_access.closed_holes(polygon, radius):
        message = wording.closed_holes(name, len(closed.places), _mm2(closed.area_mm2), tool)
        yield _finding("corner", closed.places[0], message)
    if left := tool_access.unreached(polygon, radius):
        message = wording.unreached_corners(name, len(left.places), _mm2(left.area_mm2), tool)
        yield _finding("corner", left.places[0], message)


def _near(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Neighbours on one level less than half a millimetre apart; parts that overlap are no neighbours."""
    pairs = [pair for level in _levels(pieces).values() for pair in _near_pairs(level)]
    for same in _grouped(pairs, _look_of_pair).values():
        first, second, apart = same[0]
        names = first.with_sign(wording.two_parts(first.name, second.name))
        if len(same) > 1:
            names = wording.and_pairs_like_them(names, len(same) - 1)
        line = _points(shapely.shortest_line(first.area, second.area))
        if apart > ROUNDING_MM:
            yield Finding("near", wording.near(names, round(apart, 2), NEAR_MM), line[0], line)
        else:
            yield Finding("near", wording.touching(names), line[0])


def _overlaps(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Parts on one level that are drawn over each other."""
    for level in _levels(pieces).values():
        areas = np.array([piece.area for piece in level], dtype=object)
        ones, others = STRtree(areas).query(areas, predicate="intersects")
        for first, second in zip(ones.tolist(), others.tolist(), strict=True):
            if first >= second or _belong(level[first], level[second]):
                continue
            shared = areas[first].intersection(areas[second])
            if shared.area < LEAST_MM2 or shared.buffer(-SLIVER_MM / 2).is_empty:
                continue
            names = level[first].with_sign(wording.two_parts(level[first].name, level[second].name))
            largest = max(shapely.get_parts(shared), key=shapely.area)
            yield _finding("overlap", largest, wording.overlap(names, _mm2(shared.area)))


def _belong(first: _Piece, second: _Piece) -> bool:
    """Whether one rests on the other or is let into it."""
    return second.part.number in first.rests_on or first.part.number in second.rests_on


def _look_of_pair(pair: Pair) -> tuple[float, ...]:
    first, second, apart = pair
    step = np.subtract(second.area.bounds[:2], first.area.bounds[:2])
    return first.kind, second.kind, round(apart, 2), *np.round(step).tolist()


def _near_pairs(level: Sequence[_Piece]) -> Iterator[Pair]:
    areas = np.array([piece.area for piece in level], dtype=object)
    ones, others = STRtree(areas).query(areas, predicate="dwithin", distance=NEAR_MM)
    ones, others = ones[ones < others], others[ones < others]
    apart = shapely.distance(areas[ones], areas[others])
    for first, second, gap in zip(ones.tolist(), others.tolist(), apart.tolist(), strict=True):
        a, b = level[first], level[second]
        if _belong(a, b) or gap > NEAR_MM - ROUNDING_MM:
            continue
        if gap > 0 or a.area.intersection(b.area).buffer(-SLIVER_MM / 2).is_empty:
            yield a, b, gap


def _overhangs(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Parts with a share of their area unsupported. An inlay overhangs nothing: it fills a pocket."""
    levels = _levels(pieces)
    # carried by the level below: anything deeper is one thickness further down
    unsupported = [
        pair
        for (sign, level), uppers in levels.items()
        if level > 0
        for pair in _unsupported(
            [upper for upper in uppers if upper.part.inlay_in is None],
            levels.get((sign, level - 1), []),
        )
    ]
    for same in _grouped(
        unsupported, lambda pair: (pair[0].kind, round(pair[1].area / pair[0].area.area, 2))
    ).values():
        piece, left = same[0]
        message = wording.overhang(
            _with_others([piece for piece, _ in same]),
            left.area / piece.area.area,
            _mm2(left.area),
        )
        yield _finding("overhang", max(shapely.get_parts(left), key=shapely.area), message)


def _unsupported(
    uppers: list[_Piece], carriers: list[_Piece]
) -> Iterator[tuple[_Piece, MultiPolygon]]:
    """The uppers that do not lie wholly on the carriers, each with its unsupported area."""
    areas = np.array([carrier.area for carrier in carriers], dtype=object)
    shapely.prepare(areas)
    area_of = {carrier.part.number: area for carrier, area in zip(carriers, areas, strict=True)}
    tree = STRtree(areas)
    for upper in uppers:
        on = None if upper.part.on is None else area_of.get(upper.part.on)
        if on is not None and on.covers(upper.area):
            continue
        near = areas[tree.query(upper.area, predicate="intersects")]
        spots = shapely.get_parts(upper.area.difference(shapely.union_all(near))).tolist()
        thick = [spot for spot in spots if not spot.buffer(-SLIVER_MM / 2).is_empty]
        if sum(spot.area for spot in thick) > max(LEAST_MM2, LEAST_OVERHANG * upper.area.area):
            yield upper, MultiPolygon(thick)


def _will_not_hold(
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], settings: Settings
) -> Iterator[Finding]:
    """Reported once for each stock, at its smallest part."""
    rules = holding_rules(settings)
    known = [(piece, sheets[piece.part.colour]) for piece in pieces if piece.part.colour in sheets]
    lost = [
        (piece, sheet)
        for piece, sheet in known
        if hold(piece.area.area, sheet.thickness_mm, rules).verdict == NEEDS_MORE
    ]
    for same in _grouped(lost, lambda pair: pair[1].name).values():
        smallest, sheet = min(same, key=lambda pair: pair[0].area.area)
        message = wording.will_not_hold(
            len(same),
            sheet.name,
            smallest.with_sign(smallest.name),
            _mm2(smallest.area.area),
            float(f"{rules.vacuum_inhg:g}"),
        )
        yield _finding("will not hold", smallest.area, message)


def holding_rules(settings: Settings) -> HoldingRules:
    """What holding depends on with the shop's usual cutter, its own pump and the full feed."""
    return HoldingRules(
        tool_mm=settings.tool_mm,
        onion_skin_mm=settings.skin_mm,
        vacuum_inhg=shop_vacuum_inhg(settings),
        friction=settings.friction,
        cutting_energy=settings.cutting_energy,
        chip_mm=settings.chip_mm,
    )


def _levels(pieces: Sequence[_Piece]) -> dict[tuple[int, int], list[_Piece]]:
    """The pieces by sign and level."""
    return _grouped(pieces, lambda piece: (piece.sign, piece.part.level))


def _grouped(things: Iterable[Thing], key: Callable[[Thing], Key]) -> dict[Key, list[Thing]]:
    groups: dict[Key, list[Thing]] = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(thing)
    return groups


def _finding(kind: str, area: Polygon | MultiPolygon, message: Message) -> Finding:
    """A finding at an area; its outer ring is drawn."""
    largest = max(shapely.get_parts(area), key=shapely.area)
    ring = shapely.simplify(largest.exterior, SLIVER_MM / 2)
    return Finding(kind, message, _points(largest.representative_point())[0], _points(ring))


def _points(line: shapely.Geometry) -> tuple[Point, ...]:
    return tuple(
        (round(x, PLACES), round(y, PLACES)) for x, y in shapely.get_coordinates(line).tolist()
    )


def _with_others(same: Sequence[_Piece]) -> Message:
    """The name of the first of like parts, with the number of the others."""
    name = same[0].with_sign(same[0].name)
    return wording.and_parts_like_it(name, len(same) - 1) if len(same) > 1 else name


def _mm2(area: float) -> float:
    return plain(round(area, 1))


def _mm(value: float) -> float:
    """To a hundredth below 10 mm, else to a tenth."""
    return plain(round(value, 2 if value < 10 else 1))
