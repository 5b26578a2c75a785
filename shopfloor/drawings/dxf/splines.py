"""Points on a B-spline curve, rational or not, clamped or not. Lengths are millimetres."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..limits import CHORD_MM, MAX_POINTS

HIGHEST_DEGREE = 15
FIRST_STEPS = 4  # in each span between two knots

Point = tuple[float, float]


def spline_points(
    control: list[Point],
    degree: int,
    knots: list[float],
    weights: list[float],
    spend: Callable[[int], None],
) -> list[Point]:
    """Points of the curve, ends included, chords within 0.05 mm of it. Raises ValueError for what is no spline.

    Affine maps may be applied to the control points beforehand: the curve follows them. Every span is halved until the
    curve's points between two neighbours lie near enough to their chord. Halving quarters the error, so the points
    that were tested can be kept.
    """
    poles, knot = _checked(control, degree, knots, weights)
    spans = np.unique(knot[degree : len(control) + 1])
    found = [_at(poles, degree, knot, spans[:1])]
    steps = np.full(len(spans) - 1, FIRST_STEPS)
    waiting = np.arange(len(spans) - 1)
    while len(waiting):
        counts = 2 * steps[waiting]
        spend(int(counts.sum()))
        points = _at(poles, degree, knot, _params(spans, waiting, counts))
        is_coarse = _errors(points, counts) > 2.5 * CHORD_MM
        steps[waiting] = counts
        if steps.max() > MAX_POINTS:
            raise ValueError("endless")
        waiting = waiting[is_coarse]
    every = np.arange(len(steps))
    rest = _at(poles, degree, knot, _params(spans, every, steps))
    firsts = np.cumsum(steps + 1) - steps - 1
    found.append(np.delete(rest, firsts, axis=0))
    return [(x, y) for x, y in np.concatenate(found).tolist()]


def _checked(
    control: list[Point], degree: int, knots: list[float], weights: list[float]
) -> tuple[np.ndarray, np.ndarray]:
    """(poles as rows x w, y w, w, and the knots)."""
    count = len(control)
    if not 1 <= degree <= HIGHEST_DEGREE or count <= degree:
        raise ValueError("degree")
    if not knots:
        inner = np.arange(count - degree + 1, dtype=float)
        knots = [0.0] * degree + inner.tolist() + [float(inner[-1])] * degree
    knot = np.asarray(knots, dtype=float)
    weight = np.asarray(weights or [1.0] * count, dtype=float)
    if (
        len(knot) != count + degree + 1
        or np.any(np.diff(knot) < 0)
        or not np.all(np.isfinite(knot))
    ):
        raise ValueError("knots")
    if len(weight) != count or not np.all((weight > 1e-9) & (weight < 1e9)):
        raise ValueError("weights")
    if knot[degree] >= knot[count]:
        raise ValueError("knots")
    return np.column_stack([np.asarray(control) * weight[:, None], weight]), knot


def _params(spans: np.ndarray, which: np.ndarray, counts: np.ndarray) -> np.ndarray:
    """Of each span that is asked for, counts + 1 parameters in even steps from end to end."""
    rows = [
        np.linspace(spans[one], spans[one + 1], count + 1)
        for one, count in zip(which, counts, strict=True)
    ]
    return np.concatenate(rows) if rows else np.empty(0)


def _errors(points: np.ndarray, counts: np.ndarray) -> np.ndarray:
    """For each span the furthest that its odd points lie from the chords between its even ones."""
    found, start = [], 0
    for count in counts:
        row = points[start : start + count + 1]
        start += count + 1
        chord, aside = row[2::2] - row[:-2:2], row[1::2] - row[:-2:2]
        length = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
        along = np.clip((aside * chord).sum(axis=1) / length**2, 0, 1)
        found.append(np.linalg.norm(aside - chord * along[:, None], axis=1).max())
    return np.array(found)


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
