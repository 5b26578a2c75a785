"""A person's answers about a drawing before it is taken in: which signs are one, what is left out, which colours are one.

Owns the answers only; the questions come from `stacking` (loose parts) and `colours` (nearly equal ones). Signs are named by
their places: from 0, in reading order, counted without joins and with nothing left out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Answers:
    """`joins`: signs that are one. `left_out`: signs drawn by mistake. `own`: loose parts confirmed as signs of their own.
    `apart`: nearly equal colours stay two materials."""

    joins: tuple[tuple[int, ...], ...] = ()
    left_out: tuple[int, ...] = ()
    own: tuple[int, ...] = ()
    apart: bool = False


NO_ANSWERS = Answers()
