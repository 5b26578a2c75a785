"""What a shop should look at before it cuts a drawing: rules of the trade over the proposed signs.

Owns the findings of preflight and their sentences. Must not refuse anything, change the signs, or know about files and
pages. Lengths are millimetres; findings are in drawing coordinates, y up.

What repeats is told once: like outlines share a finding, which counts the others and points at the first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, product
from typing import TypeVar

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, STRtree

from ..holding.holding import NEEDS_MORE, HoldingRules, hold, shop_vacuum_inhg
from ..outlines import PLACES, Point
from ..routing.nests import NestRules, fitting_turns
from ..settings import Settings
from . import tool_access
from .drawing import Finding
from .scale import wrong_scale
from .signs import name_of
from .stacking import ProposedPart, ProposedSign

NEAR_MM = 0.5  # neighbours nearer than this are one letter to the eye, and hard to set by hand: from memory
ROUNDING_MM = 0.002  # outlines are kept to a thousandth
SLIVER_MM = 0.1  # what is thinner than this comes from the chords of curves
LEAST_OVERHANG = (
    0.01  # share of a part's area: with less, or less than 1 mm², it lies on its support
)
LEAST_MM2 = 1.0
ALIKE_MM = 0.11  # points that differ by no more are one: drawing programs round each place, many of them to 0.1 mm
THINNED_MM = 0.01
MOST_POINTS = (
    10_000  # of an outline, dense curves thinned out: a rougher one takes more than seconds
)
MOST_POINTS_IN_ALL = 150_000  # of all shapes: a page must not wait for minutes
STEP_MM = (
    0.25  # by which outlines are looked up; wider than width and height of like ones may differ
)

Thing = TypeVar("Thing")


@dataclass(frozen=True, kw_only=True)
class PreflightRules(HoldingRules):
    """What the shop cuts with: see HoldingRules; besides the sheet's margin and the gap between pieces, in mm."""

    margin_mm: float
    gap_mm: float

    @classmethod
    def of(cls, settings: Settings) -> PreflightRules:
        """The rules by the shop's settings: its usual cutter, its own pump, the full feed, which is on the safe side."""
        return cls(
            tool_mm=settings.tool_mm,
            skin_mm=settings.skin_mm,
            margin_mm=settings.margin_mm,
            gap_mm=settings.gap_mm,
            vacuum_inhg=shop_vacuum_inhg(settings),
            friction=settings.friction,
            cutting_energy=settings.cutting_energy,
            chip_mm=settings.chip_mm,
        )


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
    """A part at its place in the drawing. `sign` counts from 0; `kind` is one number for all like outlines."""

    part: ProposedPart
    sign: int
    of_sign: str
    area: Polygon | MultiPolygon
    kind: int

    @property
    def name(self) -> str:
        return (
            f"'{self.part.name}' (no. {self.part.number})"
            if self.part.name
            else f"the part no. {self.part.number}"
        )

    @property
    def rests_on(self) -> tuple[int, ...]:
        """The numbers of all parts that it lies on, bridges or fills."""
        return tuple(
            n for n in (self.part.on, *self.part.also_on, self.part.inlay_in) if n is not None
        )

    @property
    def points(self) -> int:
        """How many points its outline has."""
        return sum(map(len, self.part.outline.rings))


Pair = tuple[_Piece, _Piece, float]  # two neighbours and the mm between them


def look(
    signs: Sequence[ProposedSign], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> tuple[Finding, ...]:
    """The findings about these signs; empty where nothing needs a look.

    `sheets` has the full sheet for each colour '#rrggbb'; for a colour that it lacks, nothing is said that needs one.
    Kinds: 'scale', 'too large', 'narrow', 'corner', 'overlap', 'near', 'overhang', 'will not hold'.
    """
    pieces = _pieces(signs)
    return (
        *wrong_scale(signs),
        *_too_large(pieces, sheets, rules),
        *_against_the_cutter(pieces, rules.tool_mm),
        *_overlaps(pieces),
        *_near(pieces),
        *_overhangs(pieces),
        *_will_not_hold(pieces, sheets, rules),
    )


def _pieces(signs: Sequence[ProposedSign]) -> list[_Piece]:
    kinds, found = _Kinds(), []
    for place, sign in enumerate(signs):
        title = name_of(sign, "", is_only_one=False)
        of_sign = (
            "" if len(signs) == 1 else f" of sign '{title}'" if title else f" of sign {place + 1}"
        )
        corner = np.array([sign.left_mm, sign.bottom_mm])
        for part in sign.parts:
            area = shapely.transform(
                part.outline.polygon, lambda points, corner=corner: points + corner
            )
            if not area.is_valid:
                area = shapely.buffer(area, 0)  # rounding may let a ring touch itself
            if not area.is_empty:
                found.append(_Piece(part, place, of_sign, area, kinds.of(part)))
    return found


class _Kinds:
    """Numbers outlines from 0. Alike: the same points to 0.1 mm once they are moved, in the same order."""

    def __init__(self) -> None:
        self._known: dict[tuple, list[tuple[np.ndarray, int]]] = {}
        self._count = 0

    def of(self, part: ProposedPart) -> int:
        points = np.array(list(chain.from_iterable(part.outline.rings)))
        points -= points.min(axis=0)
        rings = tuple(map(len, part.outline.rings))
        # looked up by its first point and its size, a step apart at the most where they are alike
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
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> Iterator[Finding]:
    for same in _grouped(pieces, lambda piece: (piece.kind, piece.part.colour)).values():
        outline, sheet = same[0].part.outline, sheets.get(same[0].part.colour)
        if sheet is None:
            continue
        nest = NestRules(rules.gap_mm, rules.margin_mm, sheet.turns)
        if fitting_turns(outline, sheet.length_mm, sheet.width_mm, nest):
            continue
        allowed = {"any": "", "180": " with its grain kept", "none": " unturned"}[sheet.turns]
        yield _finding(
            "too large",
            shapely.box(*same[0].area.bounds),
            (
                f"{_with_others(same)} measures {_mm(outline.width_mm)} × {_mm(outline.height_mm)} mm and fits{allowed} "
                f"on no sheet of {sheet.name}, {_mm(sheet.length_mm)} × {_mm(sheet.width_mm)} mm less a margin of "
                f"{_mm(rules.margin_mm)} mm: divide it or choose a larger sheet."
            ),
        )


def _against_the_cutter(pieces: Sequence[_Piece], tool_mm: float) -> Iterator[Finding]:
    """'narrow' and 'corner': what each distinct outline has against the cutter. See `reach`."""
    looked_at, tool = 0, f"the {_mm(tool_mm)} mm cutter"
    kinds = list(_grouped(pieces, lambda piece: piece.kind).values())
    for place, same in enumerate(kinds):
        looked_at += same[0].points
        if looked_at > MOST_POINTS_IN_ALL:
            left = len(kinds) - place
            message = f"The drawing has very many points: {left} more shapes were not checked against {tool}."
            yield _finding("corner", same[0].area, message)
            return
        name = _with_others(same)
        area = shapely.simplify(
            same[0].area, THINNED_MM
        )  # dense curves, by less than anyone can cut
        points = shapely.get_num_coordinates(area)
        if points > MOST_POINTS:
            message = f"{name} has {points} points and was not checked against {tool}: draw its outline smoother."
            yield _finding("corner", area, message)
            continue
        for polygon in shapely.get_parts(area):
            yield from _of_shape(name, polygon, tool_mm / 2, tool)


def _of_shape(name: str, polygon: Polygon, radius: float, tool: str) -> Iterator[Finding]:
    if thin := tool_access.thin(polygon, radius):
        yield _finding(
            "narrow",
            thin.places[0],
            (
                f"{name} is about {_mm(thin.width_mm)} mm wide in {_counted(thin.places, 'place')}, "
                f"{_area(thin.area_mm2)} in all, narrower than {tool}: make it wider, or handle it as fragile."
            ),
        )
    if closed := tool_access.closed_holes(polygon, radius):
        yield _finding(
            "corner",
            closed.places[0],
            (
                f"{name} has {_counted(closed.places, 'hole')} that {tool} cannot enter: {_area(closed.area_mm2)} of "
                "material stays there, so make the hole wider or choose a thinner cutter."
            ),
        )
    if rest := tool_access.unreached(polygon, radius):
        yield _finding(
            "corner",
            rest.places[0],
            (
                f"{name} has {_counted(rest.places, 'inner corner')} that {tool} cannot reach: {_area(rest.area_mm2)} of "
                "material stays there, so file it out, or draw it rounder."
            ),
        )


def _near(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Neighbours of one level with less than half a millimetre between them; what overlaps is no neighbour."""
    found = [pair for level in _levels(pieces).values() for pair in _near_pairs(level)]
    for same in _grouped(found, _look_of_pair).values():
        one, other, apart = same[0]
        names = f"{_upper(one.name)} and {other.name}{one.of_sign}"
        more = f" (and {_counted(same[1:], 'pair')} like them)" if same[1:] else ""
        has_gap = apart > ROUNDING_MM
        how = f"lie {apart:.2f} mm apart, less than {NEAR_MM} mm" if has_gap else "touch each other"
        line = _points(shapely.shortest_line(one.area, other.area))
        message = f"{names}{more} {how}: move them apart, or draw them as one."
        yield Finding("near", message, line[0], line if has_gap else ())


def _overlaps(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Parts of one level that are drawn over each other: there is room for one of them."""
    for level in _levels(pieces).values():
        areas = np.array([piece.area for piece in level], dtype=object)
        ones, others = STRtree(areas).query(areas, predicate="intersects")
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            if one >= other or _belong(level[one], level[other]):
                continue
            shared = areas[one].intersection(areas[other])
            if shared.area < LEAST_MM2 or shared.buffer(-SLIVER_MM / 2).is_empty:
                continue
            names = f"{_upper(level[one].name)} and {level[other].name}{level[one].of_sign}"
            yield _finding(
                "overlap",
                max(shapely.get_parts(shared), key=shapely.area),
                (
                    f"{names} are drawn over each other by {_area(shared.area)} on one level, where there is room for one of "
                    "them: move them apart, or let one lie wholly on the other."
                ),
            )


def _belong(one: _Piece, other: _Piece) -> bool:
    """True where one rests on the other, or is let into it."""
    return other.part.number in one.rests_on or one.part.number in other.rests_on


def _look_of_pair(pair: Pair) -> tuple:
    one, other, apart = pair
    step = np.subtract(other.area.bounds[:2], one.area.bounds[:2])
    return one.kind, other.kind, round(apart, 2), *np.round(step).tolist()


def _near_pairs(level: Sequence[_Piece]) -> Iterator[Pair]:
    areas = np.array([piece.area for piece in level], dtype=object)
    ones, others = STRtree(areas).query(areas, predicate="dwithin", distance=NEAR_MM)
    ones, others = ones[ones < others], others[ones < others]
    apart = shapely.distance(areas[ones], areas[others])
    for one, other, gap in zip(ones.tolist(), others.tolist(), apart.tolist(), strict=True):
        a, b = level[one], level[other]
        if _belong(a, b) or gap > NEAR_MM - ROUNDING_MM:
            continue
        if gap > 0 or a.area.intersection(b.area).buffer(-SLIVER_MM / 2).is_empty:
            yield a, b, gap


def _overhangs(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Parts with a share of their area on nothing. An inlay overhangs nothing: it fills a pocket."""
    levels = _levels(pieces)
    found = [
        pair
        for (sign, level), uppers in levels.items()
        if level > 0
        for pair in _unsupported(
            [one for one in uppers if one.part.inlay_in is None], _under(levels, sign, level)
        )
    ]
    for same in _grouped(
        found, lambda pair: (pair[0].kind, round(pair[1].area / pair[0].area.area, 2))
    ).values():
        piece, left = same[0]
        yield _finding(
            "overhang",
            max(shapely.get_parts(left), key=shapely.area),
            (
                f"{_with_others([one for one, _ in same])} overhangs what is under it by "
                f"{100 * left.area / piece.area.area:.0f} % of its area, {_area(left.area)}: check its place, or put a "
                "part under it."
            ),
        )


def _under(levels: Mapping[tuple[int, int], list[_Piece]], sign: int, level: int) -> list[_Piece]:
    """What carries the parts of a level: the level below. What lies deeper has a step of one thickness over it."""
    return levels.get((sign, level - 1), [])


def _unsupported(
    uppers: list[_Piece], carriers: list[_Piece]
) -> Iterator[tuple[_Piece, MultiPolygon]]:
    """Those that do not lie wholly on the carriers, each with what of it lies on nothing."""
    areas = np.array([one.area for one in carriers], dtype=object)
    shapely.prepare(areas)
    home = {one.part.number: area for one, area in zip(carriers, areas, strict=True)}
    tree = STRtree(areas)
    for upper in uppers:
        on = home.get(upper.part.on)
        if on is not None and on.covers(upper.area):
            continue
        near = areas[tree.query(upper.area, predicate="intersects")]
        pieces = shapely.get_parts(upper.area.difference(shapely.union_all(near))).tolist()
        thick = [one for one in pieces if not one.buffer(-SLIVER_MM / 2).is_empty]
        if sum(one.area for one in thick) > max(LEAST_MM2, LEAST_OVERHANG * upper.area.area):
            yield upper, MultiPolygon(thick)


def _will_not_hold(
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> Iterator[Finding]:
    """Told once for each stock, at its smallest part."""
    known = [(piece, sheets[piece.part.colour]) for piece in pieces if piece.part.colour in sheets]
    lost = [
        (piece, sheet)
        for piece, sheet in known
        if hold(piece.area.area, sheet.thickness_mm, rules).verdict == NEEDS_MORE
    ]
    for same in _grouped(lost, lambda pair: pair[1].name).values():
        smallest, sheet = min(same, key=lambda pair: pair[0].area.area)
        which = f"the smallest {smallest.name}{smallest.of_sign} of {_area(smallest.area.area)}"
        yield _finding(
            "will not hold",
            smallest.area,
            (
                f"{_counted(same, 'part')} of {sheet.name}, {which}, will not hold on a vacuum of {rules.vacuum_inhg:g} "
                "inHg alone, not even with a skin: give them tabs or tape, and keep to the machine's manual."
            ),
        )


def _levels(pieces: Sequence[_Piece]) -> dict[tuple[int, int], list[_Piece]]:
    """The pieces by sign and level."""
    return _grouped(pieces, lambda piece: (piece.sign, piece.part.level))


def _grouped(things: Iterable[Thing], key: Callable[[Thing], object]) -> dict:
    groups: dict[object, list[Thing]] = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(thing)
    return groups


def _finding(kind: str, area: Polygon | MultiPolygon, message: str) -> Finding:
    """A finding at an area, its outer ring to be drawn."""
    largest = max(shapely.get_parts(area), key=shapely.area)
    ring = shapely.simplify(largest.exterior, SLIVER_MM / 2)
    return Finding(kind, message, _points(largest.representative_point())[0], _points(ring))


def _points(line: shapely.Geometry) -> tuple[Point, ...]:
    return tuple(
        (round(x, PLACES), round(y, PLACES)) for x, y in shapely.get_coordinates(line).tolist()
    )


def _with_others(same: Sequence[_Piece]) -> str:
    others = f" (and {len(same) - 1} like it)" if len(same) > 1 else ""
    return _upper(same[0].name) + same[0].of_sign + others


def _counted(things: Sequence, word: str) -> str:
    return f"{len(things)} {word}" if len(things) == 1 else f"{len(things)} {word}s"


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def _area(mm2: float) -> str:
    return f"{mm2:.1f}".removesuffix(".0") + " mm²"


def _mm(value: float) -> str:
    return (
        f"{value:.2f}".rstrip("0").rstrip(".") if value < 10 else f"{value:.1f}".removesuffix(".0")
    )
