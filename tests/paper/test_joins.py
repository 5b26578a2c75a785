"""Words where sheets are joined: none has a line through it, none is lost, what is across a join is whole on both sheets."""

from __future__ import annotations

import math
import re

import pytest
import shapely
from paper.printed_full_size import joined, lines_of, of_weight, opened, sign_of, texts_of
from shop_for_tests import box

from shopfloor.domain.setting_out.setting_out import PlacedPart
from shopfloor.paper.full_size import print_full_size


def edges_of(page) -> dict[float, list]:
    """Where a sheet is cut on its left, and where the next one reaches on its right: the pieces of each upright line that
    begins over all texts."""
    high = max(text.box[3] for text in texts_of(page))
    fine = [
        line
        for line in of_weight(lines_of(page), 0.13)
        if len(line.points) == 2 and line.wide < 0.01
    ]
    found = {round(line.left, 1): [] for line in fine if line.bottom + line.high > high}
    for line in fine:
        found.get(round(line.left, 1), []).append(line)
    return found


def test_no_join_runs_through_a_text():
    letters = [PlacedPart(n, n, "I", 1, box(20 + 9.7 * n, 20, 7, 60)) for n in range(2, 160)]
    for datum in ("left edge", "centre line"):
        sheets = list(opened(print_full_size(sign_of(letters, (1620, 120), datum), "strip", "a4")))[
            1:
        ]
        for page in sheets:
            joins = shapely.MultiLineString(
                [line.points for some in edges_of(page).values() for line in some]
            )
            for text in texts_of(page):
                if not re.fullmatch(r"[A-Z]\d+", text.said):  # the name of a cross stands beside it
                    assert not joins.intersects(shapely.box(*text.box)), text


def test_a_text_across_a_join_is_on_both_sheets_at_one_place_so_that_it_is_whole_when_they_are_joined():
    letters = [PlacedPart(n, n, "I", 1, box(20 + 9.7 * n, 20, 7, 60)) for n in range(2, 160)]
    sheets = list(opened(print_full_size(sign_of(letters, (1620, 120)), "strip", "a4")))[1:]
    moves, _ = joined(sheets)
    texts = [
        [(text, (text.box[0] + dx, text.box[1] + dy)) for text in texts_of(page)]
        for page, (dx, dy) in zip(sheets, moves, strict=True)
    ]
    across = 0
    for sheet, page in enumerate(sheets):
        edges = edges_of(page)
        assert 1 <= len(edges) <= 2
        for text, place in texts[sheet]:
            if re.match("left|right|centre", text.said) and any(
                text.box[0] < edge < text.box[2] for edge in edges
            ):
                across += 1
                assert any(
                    other.said == text.said and math.dist(where, place) < 0.1
                    for n in (sheet - 1, sheet + 1)
                    if 0 <= n < len(sheets)
                    for other, where in texts[n]
                )
    assert across > 0


@pytest.mark.parametrize("dx", range(0, 12, 2))
def test_what_zero_is_stands_beside_a_join_not_across_it(dx):
    """The centre line is moved over a join, 2 mm at a time."""
    lefts = (20, 545 + dx, 1080 + 2 * dx)
    letters = [PlacedPart(n, n, "I", 1, box(left, 20, 12, 60)) for n, left in enumerate(lefts, 2)]
    sheets = list(
        opened(
            print_full_size(sign_of(letters, (1120 + 2 * dx, 120), "centre line"), "strip", "a4")
        )
    )[1:]
    for page in sheets:
        edges = edges_of(page)
        for text in texts_of(page):
            if text.said.startswith(("0 =", "figures from", "baseline")):
                assert not any(text.box[0] < edge < text.box[2] for edge in edges), text
