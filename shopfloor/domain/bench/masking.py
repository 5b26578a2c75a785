"""When the masking film comes off which face.

Owns these sentences. All of it is common practice; the data sheets of the sheet and of the cement stand over it, and the
last sentence before a gluing says so. Must not know how a face is drawn. Areas are shares of a part's face, 0 to 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ..outlines import Outline
from .bench import MOST_NAMES, called
from .steps import Part

MOSTLY = 0.6  # of its face: where so much of it is covered, cutting film round each part is more work than it saves
CLEAR_MM = 5  # film that is peeled back from a joint into which solvent runs
LEAST_SHARE = 0.01  # of its face: with less of it on another one, a part is let into that one and does not lie on it

SHEETS_FIRST = "The data sheets of the acrylic sheet and of the cement come before this list."
AS_IT_IS = "Leave the film as it is until the cure is over."


@dataclass(frozen=True)
class Faces:
    """A part of a sign and its faces. `lies_on` are the parts that it lies on, `shares` how much of the face of each it
    covers, in their order; `is_let_in`: it fills a hole and lies on none."""

    part: int
    name: str
    level: int
    lies_on: tuple[int, ...] = ()
    shares: tuple[float, ...] = ()
    is_let_in: bool = False


def faces(parts: Iterable[Part], outlines: Mapping[int, Outline]) -> list[Faces]:
    """The faces of a sign's parts from their outlines (by part, at their places on the sign)."""
    found = []
    for part in parts:
        own = outlines[part.id].polygon
        covered = {
            lower: own.intersection(outlines[lower].polygon).area for lower in part.needs_under
        }
        on = {lower: area for lower, area in covered.items() if area > LEAST_SHARE * own.area}
        shares = tuple(area / outlines[lower].polygon.area for lower, area in on.items())
        found.append(
            Faces(part.id, called(part), part.level, tuple(on), shares, bool(covered) and not on)
        )
    return found


def film_for(
    kind: str, level: int | None, parts: Sequence[Faces], cement_kind: str = "solvent"
) -> tuple[str, ...]:
    """What to do with the film at a step of this `kind` on a sign of these `parts` (all of them), one sentence each.

    `level` is the step's own, None for what is done with the whole sign. `cement_kind` is 'solvent', 'reactive' or 'tape'.
    Steps at which nothing is done with the film have none.
    """
    own = [part for part in parts if part.level == level and (level or part.is_let_in)]
    if kind == "lay out":
        return (
            "The film stays on. Mark round each part on the film of what it lies on: that is the line to cut along.",
        )
    if kind == "glue":
        return _before_gluing(own, parts, cement_kind)
    if kind == "cure":
        return (AS_IT_IS,)
    return _at_the_end(kind, parts)


def _before_gluing(
    own: Sequence[Faces], parts: Sequence[Faces], cement_kind: str
) -> tuple[str, ...]:
    let_in, lying = (
        [part for part in own if part.is_let_in],
        [part for part in own if not part.is_let_in],
    )
    said = [f"Peel the film off the back of {_listed(lying)}."] if lying else []
    said += _fronts_below(lying, parts)
    if let_in:
        said.append(
            f"Peel the film back along the edge of {_listed(let_in)}, and along the hole that takes it."
        )
    said.append("The film on the front of what is glued now stays on.")
    if cement_kind == "solvent":
        said.append(f"Solvent runs under film: no film within {CLEAR_MM} mm of a joint.")
    return (*said, SHEETS_FIRST)


def _fronts_below(lying: Sequence[Faces], parts: Sequence[Faces]) -> list[str]:
    """What is peeled off the fronts on which parts are set: just where they lie, or wholly."""
    names = {part.part: part.name for part in parts}
    on_it: dict[int, list[tuple[Faces, float]]] = {}
    for part in lying:
        for lower, share in zip(part.lies_on, part.shares, strict=True):
            on_it.setdefault(lower, []).append((part, share))
    said = []
    for lower, some in on_it.items():
        if sum(share for _, share in some) >= MOSTLY:
            said.append(f"Peel the whole front of {names[lower]}: most of it is covered.")
        else:
            said.append(
                f"On the front of {names[lower]}, cut the film round the marks of {_listed([part for part, _ in some])} "
                "with a light hand, and peel it only there."
            )
    return said


def _at_the_end(kind: str, parts: Sequence[Faces]) -> tuple[str, ...]:
    bottom = _listed([part for part in parts if part.level == 0 and not part.is_let_in])
    said = {
        "clean": (
            "Peel the film off all fronts now.",
            f"The film on the back of {bottom} stays on until packing.",
        ),
        "polish": ("Peel the film back from each edge that is polished.",),
        "inspect": ("No film is left on any front, nor a rest of it round a joint.",),
        "pack": (
            f"Peel the film off the back of {bottom}, or leave it on for the way and say so on the wrapping.",
        ),
        "hand over": (
            f"Where the back of {bottom} has its film still, say that it comes off before the sign is hung.",
        ),
    }
    return said.get(kind, ())


def _listed(parts: Sequence[Faces]) -> str:
    """'the 11 parts', or their names where they are few."""
    names = [part.name for part in parts]
    if len(names) > MOST_NAMES:
        return f"all {len(names)} parts"
    return (
        names[0]
        if len(names) == 1
        else f"{', '.join(names[:-1])} and {names[-1]}"
        if names
        else "the sign"
    )
