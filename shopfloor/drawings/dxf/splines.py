"""Points on a B-spline curve, rational or not, clamped or not. Lengths are millimetres.

The library's own flattening begins at the first knot, which is off the curve where that is not clamped, and takes a chord
without length for a straight line.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from ...domain.outlines import Point
from ..limits import CHORD_MM

HIGHEST_DEGREE = 15
FIRST_STEPS = 8  # in each span between two knots
MIDDLE_MM = 0.6 * CHORD_MM  # so far off a chord its middle may lie: another point may lie further
MOST_HALVINGS = 40


def spline_points(
    control: list[Point],
    degree: int,
    knots: list[float],
    weights: list[float],
    spend: Callable[[int], None],
) -> list[Point]:
    """Points of the curve, ends included, chords within 0.05 mm of it. Raises ValueError for what is no spline.

    Affine maps may be applied to the control points beforehand: the curve follows them. Every step between two points
    is halved until the curve's middle point lies near enough to its chord.
    """
    poles, knot = _checked(control, degree, knots, weights)
    spans = np.unique(knot[degree : len(control) + 1])
    spend(FIRST_STEPS * len(spans))
    steps = [np.linspace(a, b, FIRST_STEPS + 1)[1:] for a, b in itertools.pairwise(spans)]
    params = np.concatenate([spans[:1], *steps])
    points = _at(poles, degree, knot, params)
    for _ in range(MOST_HALVINGS):
        between = (params[:-1] + params[1:]) / 2
        middles = _at(poles, degree, knot, between)
        is_coarse = _off_chord(points[:-1], middles, points[1:]) > MIDDLE_MM
        if not is_coarse.any():
            return [(x, y) for x, y in points.tolist()]
        places = np.flatnonzero(is_coarse) + 1
        spend(len(places))
        params = np.insert(params, places, between[is_coarse])
        points = np.insert(points, places, middles[is_coarse], axis=0)
    raise ValueError("endless")


def _checked(
    control: list[Point], degree: int, knots: list[float], weights: list[float]
) -> tuple[np.ndarray, np.ndarray]:
    """(poles as rows x w, y w, w, and the knots)."""
    count = len(control)
    if not 1 <= degree <= HIGHEST_DEGREE:
        raise ValueError("degree")
    knot = np.array(knots or np.arange(count + degree + 1).clip(degree, count), dtype=float)
    weight = np.array(weights or [1.0] * count)
    if not (
        len(knot) == count + degree + 1
        and len(weight) == count > degree
        and np.all(np.isfinite(knot))
        and np.all(np.diff(knot) >= 0)
        and knot[degree] < knot[count]
        and np.all((weight > 1e-9) & (weight < 1e9))
    ):
        raise ValueError("knots or weights")
    return np.column_stack([np.array(control) * weight[:, None], weight]), knot


def _off_chord(starts: np.ndarray, middles: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """How far each middle point lies from the chord between its start and its end."""
    chord, aside = ends - starts, middles - starts
    square = np.maximum((chord**2).sum(axis=1), 1e-24)
    along = np.clip((aside * chord).sum(axis=1) / square, 0, 1)
    off: np.ndarray = np.linalg.norm(aside - chord * along[:, None], axis=1)
    return off


def _at(poles: np.ndarray, degree: int, knot: np.ndarray, params: np.ndarray) -> np.ndarray:
    """The points at the parameters, by de Boor's algorithm on the poles (C. de Boor, On Calculating with B-splines)."""
    span = np.clip(np.searchsorted(knot, params, side="right") - 1, degree, len(poles) - 1)
    row = poles[span[:, None] + np.arange(-degree, 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            left = knot[span - degree + j]
            width = knot[span + 1 + j - level] - left
            share = np.where(width > 0, (params - left) / np.where(width > 0, width, 1), 0.0)[
                :, None
            ]
            row[:, j] = (1 - share) * row[:, j - 1] + share * row[:, j]
    points: np.ndarray = row[:, degree, :2] / row[:, degree, 2:]
    if not np.all(np.isfinite(points)):
        raise ValueError("numbers")
    return points
