"""Work on all outlines of a drawing at once, in arrays: thousands one by one would take seconds.

Same results as `Outline` for one. Must not know what the outlines are for. Lengths are millimetres, y points up.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, islice

import numpy as np
import numpy.typing as npt
import shapely

from .outlines import PLACES, Outline

Polygons = npt.NDArray[np.object_]


def polygons(outlines: Sequence[Outline]) -> Polygons:
    """Return the areas as shapely polygons, like `Outline.polygon`: not yet checked for rings that cross."""
    if not outlines:
        return np.array([], dtype=object)
    rings = [ring for outline in outlines for ring in outline.rings]
    ring_of_point = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    outline_of_ring = np.repeat(
        np.arange(len(outlines)), [len(outline.rings) for outline in outlines]
    )
    closed = shapely.linearrings(_points(outlines), indices=ring_of_point)
    areas: Polygons = shapely.polygons(closed, indices=outline_of_ring)
    return areas


def moved(outlines: Sequence[Outline], shifts: Sequence[tuple[float, float]]) -> list[Outline]:
    """Return each outline shifted by its own (dx, dy) mm, like `Outline.moved`."""
    lengths = [[len(ring) for ring in outline.rings] for outline in outlines]
    shift = (
        np.asarray(shifts, dtype=float)
        .reshape(-1, 2)
        .repeat([sum(some) for some in lengths], axis=0)
    )
    points = np.round(_points(outlines) + shift, PLACES) + 0.0
    remaining = zip(*points.T.tolist(), strict=True)
    return [Outline(tuple(tuple(islice(remaining, length)) for length in some)) for some in lengths]


def _points(outlines: Sequence[Outline]) -> npt.NDArray[np.float64]:
    rings = chain.from_iterable(outline.rings for outline in outlines)
    flat = chain.from_iterable(chain.from_iterable(rings))
    return np.fromiter(flat, dtype=float).reshape(-1, 2)
