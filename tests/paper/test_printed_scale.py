"""The printed scale, measured in the PDF by pdfium, within 0.1 mm over 2 m: on one long page, and on sheets that are joined
by their crosses. Where letters stand is what the font's own tables say (fontTools, in letters_for_tests)."""

from __future__ import annotations

import numpy as np
import pytest
from letters_for_tests import BOLD, moved, turned, word
from paper.printed_full_size import (
    LEFT,
    POINT,
    four_fixings,
    joined,
    joined_lines,
    lines_of,
    long_sign,
    long_word,
    of_weight,
    opened,
    parts_of,
    sign_of,
    texts_of,
)

from shopfloor.paper.full_size import print_full_size

MARK, HEAVY, PLAIN = 0.35, 0.5, 0.25  # how heavy marks, baseline and outlines are drawn, mm
OFF = 0.1  # mm


def marks_on(lines) -> list[float]:
    """Where the marks of a strip are, measured from its 0: upright lines that hang from the baseline."""
    zero = [line for line in of_weight(lines, HEAVY) if line.wide < 0.01]
    flat = [line for line in of_weight(lines, HEAVY) if line.high < 0.01]
    baseline, at_zero = flat[0].bottom, zero[0].left
    marks = {
        round(line.left - at_zero, 3)
        for line in of_weight(lines, MARK)
        if len(line.points) == 2
        and line.wide < 0.01
        and abs(line.bottom + line.high - baseline) < 0.02
    }
    return sorted(marks)


def expected_marks(drawn, dx: float = LEFT) -> list[float]:
    """Left edge, centre and right edge of each letter from the font's tables; `dx` is where its pen began."""
    edges = [(area.left_mm + dx, area.right_mm + dx) for area in drawn]
    return sorted(at for left, right in edges for at in (left, (left + right) / 2, right))


def merged(places: list[float]) -> list[float]:
    """The same mark on two sheets once."""
    return [place for n, place in enumerate(places) if n == 0 or place - places[n - 1] > 0.06]


def test_every_mark_of_a_strip_of_two_metres_is_where_the_font_has_the_letter():
    drawn = long_word().drawn
    (page,) = opened(print_full_size(long_sign(), "strip", "long"))
    found, wanted = marks_on(lines_of(page)), expected_marks(drawn)
    assert wanted[-1] - wanted[0] > 2000
    assert found == pytest.approx(wanted, abs=OFF)
    assert found[-1] - found[0] == pytest.approx(wanted[-1] - wanted[0], abs=OFF)


def test_the_marks_of_a_strip_run_from_the_centre_line_where_that_is_the_datum():
    (page,) = opened(print_full_size(long_sign(datum="centre line"), "strip", "long"))
    assert marks_on(lines_of(page)) == pytest.approx(
        expected_marks(long_word().drawn, LEFT - 1100), abs=OFF
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_strip_joined_by_its_crosses_is_right_over_two_metres(paper):
    document = opened(print_full_size(long_sign(), "strip", paper))
    sheets = list(document)[1:]
    assert len(sheets) >= 8
    _, off = joined(sheets)
    assert off < OFF
    found = merged(marks_on(joined_lines(sheets)))
    assert found == pytest.approx(expected_marks(long_word().drawn), abs=OFF)


def outlines_on(lines, parts) -> list:
    """For each part the printed path with as many points and of its size."""
    paths = [line for line in of_weight(lines, PLAIN) if len(line.points) > 2]
    found = []
    for part in parts:
        ring = part.outline.rings[0]
        alike = [path for path in paths if abs(path.wide - part.outline.width_mm) < OFF]
        alike = [
            path.points[: len(ring)] for path in alike if abs(len(path.points) - len(ring)) < 2
        ]
        found.append([np.array(points) for points in alike])
    return found


def corner_of(lines) -> tuple[float, float]:
    """The sign's lower left corner: where the arms of the lowest, leftmost corner mark meet."""
    corners = [line.points[1] for line in of_weight(lines, HEAVY) if len(line.points) == 3]
    return min(x for x, _ in corners), min(y for _, y in corners)


@pytest.mark.parametrize("paper", ["long", "a4", "letter"])
def test_every_point_of_a_template_of_two_metres_is_where_the_sign_has_it(paper):
    sign = long_sign()
    pages = list(opened(print_full_size(sign, "template", paper)))
    lines = lines_of(pages[0]) if paper == "long" else joined_lines(pages[1:])
    x, y = corner_of(lines)
    for part, printed in zip(sign.parts[1:], outlines_on(lines, sign.parts[1:]), strict=True):
        ring = np.array(part.outline.rings[0]) + np.array((x, y))
        offs = [np.abs(points - ring).max() for points in printed if len(points) == len(ring)]
        assert min(offs) < OFF, part.name
        near = [off for off in offs if off < 30]  # the same letter again in the word is farther off
        assert max(near) < OFF, f"{part.name} is at one place on all its sheets"


@pytest.mark.parametrize("paper", ["long", "a4"])
def test_the_corner_marks_of_a_template_are_as_far_apart_as_the_sign_is_large(paper):
    pages = list(opened(print_full_size(long_sign(), "template", paper)))
    lines = lines_of(pages[0]) if paper == "long" else joined_lines(pages[1:])
    corners = np.array(
        [line.points[1] for line in of_weight(lines, HEAVY) if len(line.points) == 3]
    )
    assert np.ptp(corners[:, 0]) == pytest.approx(2200, abs=OFF) and np.ptp(
        corners[:, 1]
    ) == pytest.approx(420, abs=OFF)


def test_a_word_in_three_lines_is_a_strip_each():
    words = [moved(word("TIDES", BOLD, 40), 30, 60 + 90 * n) for n in range(3)]
    letters = [part for n, one in enumerate(words) for part in parts_of(one, 2 + 10 * n)]
    document = opened(print_full_size(sign_of(letters, (400, 320)), "strip", "long"))
    assert len(document) == 3
    for page in document:
        assert marks_on(lines_of(page)) == pytest.approx(
            expected_marks(words[0].drawn, 30), abs=OFF
        )


def test_a_strip_of_a_slanting_line_is_that_of_the_level_line():
    """The same word turned by 14°: its figures run from the foot of its first letter."""
    one = word("MARKET HALL", BOLD, 60)
    slanted = sign_of(parts_of(moved(turned(one, 14), 60, 40)), (900, 400))
    (page,) = opened(print_full_size(slanted, "strip", "long"))
    assert marks_on(lines_of(page)) == pytest.approx(
        expected_marks(one.drawn, -one.drawn[0].left_mm), abs=OFF
    )


# The test line. -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "paper"),
    [("strip", "a4"), ("template", "long"), ("drilling", "letter"), ("strip", "long")],
)
@pytest.mark.parametrize(
    ("units", "long"), [("mm", 100.0), ("in", 4 * 25.4)]
)  # the inch is 25.4 mm by definition
def test_every_page_has_a_test_line_of_the_stated_length(what, paper, units, long):
    sign = sign_of(
        parts_of(moved(word("QUAY", BOLD, 80), 30, 60)),
        (620, 300),
        fixings=four_fixings(620, 300),
        units=units,
    )
    for page in opened(print_full_size(sign, what, paper)):
        lines = [line for line in lines_of(page) if len(line.points) == 2]
        flat = [line for line in lines if line.high < 0.01 and abs(line.wide - long) < 0.05]
        ends = [line.left for line in lines if line.wide < 0.01 and abs(line.high - 4) < 0.02]
        assert any(
            line.left in ends and any(abs(end - line.left - long) < 0.05 for end in ends)
            for line in flat
        )
        said = " ".join(text.said for text in texts_of(page))
        assert ("100 mm" if units == "mm" else "4 in") in said and "100 %" in said


def test_a_printer_of_600_dots_an_inch_draws_the_test_line_at_100_mm():
    """Rendered: the ends of the line are 100 mm = 2362.2 dots apart."""
    page = opened(print_full_size(long_sign(), "strip", "a4"))[1]
    line = next(line for line in lines_of(page) if abs(line.wide - 100) < 0.05 and line.high < 0.01)
    dots = 600 / 25.4
    drawn = np.asarray(page.render(scale=600 / 72, grayscale=True).to_pil())
    row = drawn[
        round((page.get_height() * POINT - line.bottom + 1.5) * dots)
    ]  # between the line and its caption
    dark = np.flatnonzero(row[: round((line.left + 103) * dots)] < 128)
    groups = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    assert (groups[-1].mean() - groups[0].mean()) / dots == pytest.approx(100, abs=0.05)
