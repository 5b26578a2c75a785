"""When the masking film comes off which face.

All of it is common practice; the data sheets of the sheet and of the cement come first, and the last sentence before a
gluing says so. Areas are shares of a part's face, 0 to 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...wording import masking as wording
from ...wording.message import Message
from ..outlines import Outline
from .steps import Part
from .waiting import MOST_NAMES

# Common practice, all three.
MOSTLY = 0.6  # of its face: where so much of it is covered, cutting film round each part is more work than it saves
CLEAR_MM = 5  # film that is peeled back from a joint into which solvent runs
LEAST_SHARE = 0.01  # of its face: with less of it on another one, a part is let into that one and does not lie on it


@dataclass(frozen=True)
class Faces:
    """A part of a sign and its faces. `lies_on` are the parts that it lies on, `shares` how much of the face of each it
    covers, in their order; `is_let_in`: it fills a hole and lies on no part."""

    part: int
    name: Message
    level: int
    lies_on: tuple[int, ...] = ()
    shares: tuple[float, ...] = ()
    is_let_in: bool = False


def faces(parts: Iterable[Part], outlines: Mapping[int, Outline]) -> list[Faces]:
    """Return the faces of a sign's parts from their outlines (by part, at their places on the sign)."""
    sign_faces = []
    for part in parts:
        own = outlines[part.id].polygon
        covered = {
            lower: own.intersection(outlines[lower].polygon).area for lower in part.needs_under
        }
        on = {lower: area for lower, area in covered.items() if area > LEAST_SHARE * own.area}
        shares = tuple(area / outlines[lower].polygon.area for lower, area in on.items())
        sign_faces.append(
            Faces(part.id, part.called, part.level, tuple(on), shares, bool(covered) and not on)
        )
    return sign_faces


def film_for(
    kind: str, level: int | None, parts: Sequence[Faces], cement_kind: str = "solvent"
) -> tuple[Message, ...]:
    """Return what to do with the film at a step of this `kind` on a sign of these `parts` (all of them), a sentence each.

    `level` is the step's own, None for what is done with the whole sign. `cement_kind` is 'solvent', 'reactive' or 'tape'.
    None at the steps where the film stays as it is.
    """
    of_level = [part for part in parts if part.level == level and (level or part.is_let_in)]
    if kind == "lay out":
        return (wording.mark_on_the_film(),)
    if kind == "glue":
        return _before_gluing(of_level, parts, cement_kind)
    if kind == "cure":
        return (wording.leave_it(),)
    return _at_the_end(kind, parts)


def _before_gluing(
    of_level: Sequence[Faces], parts: Sequence[Faces], cement_kind: str
) -> tuple[Message, ...]:
    let_in = [part for part in of_level if part.is_let_in]
    lying = [part for part in of_level if not part.is_let_in]
    film = [wording.peel_backs(_named(lying))] if lying else []
    film += _fronts_below(lying, parts)
    if let_in:
        film.append(wording.peel_along_edges(_named(let_in), len(let_in)))
    film.append(wording.fronts_stay_on())
    if cement_kind == "solvent":
        film.append(wording.keep_clear_of_solvent(CLEAR_MM))
    return (*film, wording.data_sheets_first())


def _fronts_below(lying: Sequence[Faces], parts: Sequence[Faces]) -> list[Message]:
    """Return what is peeled off the fronts on which parts are set: only where they lie, or wholly."""
    names = {part.part: part.name for part in parts}
    on_front: dict[int, list[tuple[Faces, float]]] = {}
    for part in lying:
        for lower, share in zip(part.lies_on, part.shares, strict=True):
            on_front.setdefault(lower, []).append((part, share))
    film = []
    for lower, some in on_front.items():
        if sum(share for _, share in some) >= MOSTLY:
            film.append(wording.peel_whole_front(names[lower]))
        else:
            film.append(wording.cut_round(names[lower], _named([part for part, _ in some])))
    return film


def _at_the_end(kind: str, parts: Sequence[Faces]) -> tuple[Message, ...]:
    bottom = _named([part for part in parts if part.level == 0 and not part.is_let_in])
    match kind:
        case "clean":
            return (wording.peel_fronts(), wording.back_stays_on(bottom))
        case "polish":
            return (wording.peel_polished_edges(),)
        case "inspect":
            return (wording.no_film_left(),)
        case "pack":
            return (wording.back_when_packing(bottom),)
        case "hand over":
            return (wording.back_before_hanging(bottom),)
    return ()


def _named(parts: Sequence[Faces]) -> Message:
    """Return the parts by name where they are few, else how many they are."""
    names = [part.name for part in parts]
    return wording.parts(names if len(names) <= MOST_NAMES else (), len(names))
