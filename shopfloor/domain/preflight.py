"""What a shop should look at before it cuts a drawing: rules of the trade over the proposed signs.

Owns the findings of preflight and their sentences. Must not refuse anything, change the signs, or know about files and
pages. Lengths are millimetres; findings are in drawing coordinates, y up.

What repeats is told once: equal outlines share a finding, which counts the others and points at the first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, groupby

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, STRtree

from . import reach
from .drawing import Finding
from .holding import NEEDS_MORE, HoldingRules, hold
from .nests import NestRules, fitting_turns, net_area
from .outlines import Point
from .scale import wrong_scale
from .settings import Settings
from .signs import name_of
from .stacking import ProposedPart, ProposedSign

NEAR_MM = 0.5  # neighbours nearer than this touch once they are cemented: issue of a hair, from memory
ROUNDING_MM = 0.001  # outlines are kept to a thousandth
SLIVER_MM = 0.1  # what is thinner than this comes from the chords of curves
LEAST_OVERHANG = 0.01  # share of a part's area: with less, it lies on its support
LEAST_MM2 = 1.0
ALIKE_MM = 0.01  # outlines whose points differ by no more are one: the same letter, rounded at another place
STEP_MM = 0.1  # by which outlines are looked up; wider than two like ones may differ


@dataclass(frozen=True, kw_only=True)
class PreflightRules(HoldingRules):
    """What the shop cuts with: see HoldingRules; besides the sheet's margin and the gap between pieces, in mm."""

    margin_mm: float
    gap_mm: float

    @classmethod
    def of(cls, settings: Settings) -> PreflightRules:
        """The rules by the shop's settings, on a blower."""
        return cls(
            tool_mm=settings.tool_mm, skin_mm=settings.skin_mm, margin_mm=settings.margin_mm, gap_mm=settings.gap_mm
        )


@dataclass(frozen=True)
class Sheet:
    """A full sheet of the stock that a colour is cut from, in mm. `turns` is what the stock allows a piece ('any', '180',
    'none')."""

    name: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    turns: str = "any"


@dataclass(frozen=True)
class _Piece:
    """A part at its place in the drawing; `sign` counts from 0, `kind` is one number for all like outlines."""

    part: ProposedPart
    sign: int
    name: str
    area: Polygon | MultiPolygon
    kind: int


def look(
    signs: Sequence[ProposedSign], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> tuple[Finding, ...]:
    """The findings about these signs; empty where nothing needs a look.

    `sheets` has the full sheet for each colour '#rrggbb'; what needs a sheet is not looked at for a colour that it lacks.
    Kinds: 'scale', 'too large', 'narrow', 'corner', 'near', 'overhang', 'will not hold'.
    """
    pieces = _pieces(signs)
    return tuple(
        chain(
            wrong_scale(signs),
            _too_large(pieces, sheets, rules),
            _shapes(pieces, rules.tool_mm),
            _near(pieces),
            _overhangs(pieces),
            _loose(pieces, sheets, rules),
        )
    )


def _pieces(signs: Sequence[ProposedSign]) -> list[_Piece]:
    kinds = _Kinds()
    found = []
    for place, sign in enumerate(signs):
        title = name_of(sign, "", is_only_one=False)
        of_sign = "" if len(signs) == 1 else f" of sign '{title}'" if title else f" of sign {place + 1}"
        for part in sign.parts:
            name = f"'{part.name}' (no. {part.number})" if part.name else f"Part no. {part.number}"
            area = shapely.transform(part.outline.polygon, lambda at, s=sign: at + (s.left_mm, s.bottom_mm))
            if not area.is_valid:
                area = shapely.buffer(area, 0)
            if not area.is_empty:
                found.append(_Piece(part, place, name + of_sign, area, kinds.of(part)))
    return found


class _Kinds:
    """Numbers outlines from 0, like ones alike: the same points to 0.01 mm once they are moved, in the same order."""

    def __init__(self):
        self._known: dict[tuple, list[tuple[np.ndarray, int]]] = {}
        self._next = 0

    def of(self, part: ProposedPart) -> int:
        points = np.array(list(chain.from_iterable(part.outline.rings)))
        points -= points.min(axis=0)
        rings = tuple(map(len, part.outline.rings))
        step = int(points.max(axis=0).sum() // STEP_MM)
        for near in (step, step - 1, step + 1):
            for known, kind in self._known.get((rings, near), ()):
                if np.abs(points - known).max() <= ALIKE_MM:
                    return kind
        self._known.setdefault((rings, step), []).append((points, self._next))
        self._next += 1
        return self._next - 1


def _shapes(pieces: Sequence[_Piece], tool_mm: float) -> Iterator[Finding]:
    """'narrow' and 'corner': what each distinct outline has against the cutter."""
    tool, radius = f"the {_mm(tool_mm)} mm cutter", tool_mm / 2
    for same in _groups(pieces, lambda piece: piece.kind):
        first = _with_others(same)
        for polygon in shapely.get_parts(same[0].area):
            if thin := reach.thin(polygon, radius):
                yield _drawn("narrow", thin.places[0], (
                    f"{first} is about {_mm(thin.width_mm)} mm wide in {_counted(thin.places, 'place')}, "
                    f"{_mm(thin.area_mm2)} mm² in all, less than {tool}: make it wider, or handle it as fragile."
                ))  # fmt: skip
            if closed := reach.closed_holes(polygon, radius):
                yield _drawn("corner", closed.places[0], (
                    f"{first} has {_counted(closed.places, 'hole')} that {tool} does not enter: "
                    f"{_mm(closed.area_mm2)} mm² stays filled unless a thinner cutter takes it out."
                ))  # fmt: skip
            if rest := reach.unreached(polygon, radius):
                yield _drawn("corner", rest.places[0], (
                    f"{first} has {_counted(rest.places, 'inner corner')} that {tool} cannot reach: "
                    f"{_mm(rest.area_mm2)} mm² of material stays, to be filed out or drawn rounder."
                ))  # fmt: skip


def _too_large(
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> Iterator[Finding]:
    for same in _groups(pieces, lambda piece: (piece.kind, piece.part.colour)):
        outline, sheet = same[0].part.outline, sheets.get(same[0].part.colour)
        if sheet is None:
            continue
        nest = NestRules(rules.gap_mm, rules.margin_mm, sheet.turns)
        if fitting_turns(outline, sheet.length_mm, sheet.width_mm, nest):
            continue
        allowed = {"any": "", "180": " with its grain kept", "none": " unturned"}[sheet.turns]
        yield _drawn("too large", shapely.box(*same[0].area.bounds), (
            f"{_with_others(same)} measures {_mm(outline.width_mm)} × {_mm(outline.height_mm)} mm and fits{allowed} on no "
            f"sheet of {sheet.name}, {_mm(sheet.length_mm)} × {_mm(sheet.width_mm)} mm less a margin of "
            f"{_mm(rules.margin_mm)} mm: divide it or choose a larger sheet."
        ))  # fmt: skip


def _near(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Neighbours of one level with less than half a millimetre between them; those that overlap are no neighbours."""
    found = [pair for level in _levels(pieces).values() for pair in _near_pairs(level)]

    def look_of(pair: tuple[_Piece, _Piece, float]) -> tuple:
        one, other, apart = pair
        step = np.subtract(other.area.bounds[:2], one.area.bounds[:2])
        return one.kind, other.kind, round(apart, 2), *np.round(step, 0).tolist()

    for same in _groups(found, look_of):
        one, other, apart = same[0]
        more = f" (and {_counted(same[1:], 'pair')} like it)" if same[1:] else ""
        gap = f"{apart:.2f} mm apart, less than {NEAR_MM} mm" if apart > ROUNDING_MM else "against each other without a gap"
        line = _points(shapely.shortest_line(one.area, other.area))
        yield Finding(
            "near", f"{one.name} and {_uncapped(other.name)} lie {gap}{more}: move them apart or make them one part.",
            line[0], line if apart > ROUNDING_MM else (),
        )  # fmt: skip


def _near_pairs(level: Sequence[_Piece]) -> Iterator[tuple[_Piece, _Piece, float]]:
    areas = np.array([piece.area for piece in level], dtype=object)
    ones, others = STRtree(areas).query(areas, predicate="dwithin", distance=NEAR_MM)
    ones, others = ones[ones < others], others[ones < others]
    apart = shapely.distance(areas[ones], areas[others])
    for one, other, gap in zip(ones.tolist(), others.tolist(), apart.tolist(), strict=True):
        a, b = level[one], level[other]
        if gap >= NEAR_MM - ROUNDING_MM or b.part.number in _rests_on(a.part) or a.part.number in _rests_on(b.part):
            continue
        if gap > 0 or a.area.intersection(b.area).buffer(-SLIVER_MM / 2).is_empty:
            yield a, b, gap


def _overhangs(pieces: Sequence[_Piece]) -> Iterator[Finding]:
    """Parts with a share of their area on nothing. An inlay overhangs nothing: it fills a pocket."""
    levels = _levels(pieces)
    found = [
        pair for (sign, level), uppers in levels.items() if level > 0
        for pair in _unsupported([one for one in uppers if one.part.inlay_in is None], _under(levels, sign, level))
    ]  # fmt: skip
    for same in _groups(found, lambda pair: (pair[0].kind, round(pair[1].area / pair[0].area.area, 2))):
        piece, left = same[0]
        share = round(100 * left.area / piece.area.area)
        yield _drawn("overhang", max(shapely.get_parts(left), key=shapely.area), (
            f"{_with_others([one for one, _ in same])} overhangs what is under it by {share} % of its area, "
            f"{_mm(left.area)} mm²: check its place, or put a part under it."
        ))  # fmt: skip


def _under(levels: Mapping[tuple[int, int], list[_Piece]], sign: int, level: int) -> list[_Piece]:
    """All that may carry parts of a level: the whole level below, and what else these parts lie on."""
    below = levels.get((sign, level - 1), [])
    named = {number for one in levels[sign, level] for number in _rests_on(one.part)}
    lower = [one for down in range(level + 1) for one in levels.get((sign, down), []) if one.part.number in named]
    return below + [one for one in lower if one.part.level != level - 1]


def _unsupported(uppers: list[_Piece], carriers: list[_Piece]) -> Iterator[tuple[_Piece, MultiPolygon]]:
    if not uppers or not carriers:
        return
    areas = np.array([one.area for one in carriers], dtype=object)
    shapely.prepare(areas)
    home = {one.part.number: area for one, area in zip(carriers, areas, strict=True)}
    resting = np.array([home.get(one.part.on) for one in uppers], dtype=object)
    is_carried = shapely.covers(resting, np.array([one.area for one in uppers], dtype=object))
    tree = STRtree(areas)
    for upper, is_whole in zip(uppers, is_carried.tolist(), strict=True):
        if is_whole:
            continue
        left = upper.area.difference(shapely.union_all(areas[tree.query(upper.area, predicate="intersects")]))
        thick = [one for one in shapely.get_parts(left) if not one.buffer(-SLIVER_MM / 2).is_empty]
        if sum(map(shapely.area, thick)) > max(LEAST_MM2, LEAST_OVERHANG * upper.area.area):
            yield upper, MultiPolygon(thick)


def _will_not_hold(
    pieces: Sequence[_Piece], sheets: Mapping[str, Sheet], rules: PreflightRules
) -> Iterator[Finding]:
    """Told once for each stock, at its smallest part."""
    known = [(piece, sheets[piece.part.colour]) for piece in pieces if piece.part.colour in sheets]
    free = [
        (piece, sheet) for piece, sheet in known
        if hold(piece.area.area, sheet.thickness_mm, rules).verdict == NEEDS_MORE
    ]  # fmt: skip
    for same in _groups(free, lambda pair: pair[1].name):
        smallest, sheet = min(same, key=lambda pair: pair[0].area.area)
        yield _drawn("will not hold", smallest.area, (
            f"{_counted(same, 'part')} of {sheet.name}, the smallest {_within(smallest.name)} of "
            f"{_mm(smallest.area.area)} mm², will not hold on the vacuum alone (taken as {rules.vacuum_inhg:g} inHg), even "
            "with a skin: give them tabs or tape, as the machine's manual and trained people say."
        ))  # fmt: skip


def _levels(pieces: Iterable[_Piece]) -> dict[tuple[int, int], list[_Piece]]:
    return {key: same for key, same in _grouped(pieces, lambda piece: (piece.sign, piece.part.level))}
