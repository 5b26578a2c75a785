"""Which plan a print was made from, and when: the mark on each sheet, the day, the name of the file."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from letters_for_tests import BOLD, moved, word
from paper.printed_full_size import (
    four_fixings,
    long_sign,
    opened,
    parts_of,
    said_on,
    sign_of,
    texts_of,
)

from shopfloor.paper.full_size import print_full_size

ALL = [
    (what, paper)
    for what in ("strip", "template", "drilling")
    for paper in ("long", "a4", "letter")
]


def marks_on(pages) -> list[str]:
    return [
        found[1]
        for page in pages
        for text in texts_of(page)
        if (found := re.match(r"mark ([0-9a-f]{4})", text.said))
    ]


@pytest.mark.parametrize(("what", "paper"), ALL)
def test_each_sheet_bears_the_mark_of_the_plan_and_the_day(what, paper):
    sign = sign_of(
        parts_of(moved(word("QUAY", BOLD, 80), 200, 100)),
        (900, 300),
        fixings=four_fixings(900, 300),
    )
    document = list(opened(print_full_size(sign, what, paper, printed_on=date(2027, 3, 9))))
    (mark,) = sign.marks(what, None).values()
    sheets = document if paper == "long" else document[1:]
    assert marks_on(sheets) == [mark] * len(sheets)
    assert all("2027-03-09" in said_on([page]) for page in document)
    assert "printed" not in said_on(opened(print_full_size(sign, what, paper)))


def test_a_mark_is_another_one_when_the_paper_would_be_and_only_then():
    """The mark of each kind against its whole page, after each of several changes of the sign."""
    letters = parts_of(moved(word("QU", BOLD, 80), 200, 100))
    fixings = four_fixings(900, 300)
    plain = sign_of(letters, (900, 300), fixings=fixings)
    higher = [replace(part, level=2) for part in parts_of(moved(word("TO", BOLD, 30), 700, 40), 20)]
    shifted = [replace(letters[0], outline=letters[0].outline.moved(0.01, 0)), *letters[1:]]
    others = {
        "the datum": sign_of(letters, (900, 300), "centre line", fixings=fixings),
        "a letter": sign_of(shifted, (900, 300), fixings=fixings),
        "a name": sign_of(
            [replace(letters[0], name="K"), *letters[1:]], (900, 300), fixings=fixings
        ),
        "the units": sign_of(letters, (900, 300), fixings=fixings, units="in"),
        "a fixing": sign_of(
            letters, (900, 300), fixings=(replace(fixings[0], x_mm=26.0), *fixings[1:])
        ),
        "a level over it": replace(plain, parts=(*plain.parts, *higher)),
    }
    for what in ("strip", "template", "drilling"):
        level = None if what == "drilling" else 1
        page, mark = print_full_size(plain, what, "long", level), plain.marks(what, level)
        for changed, other in others.items():
            is_same = print_full_size(other, what, "long", level) == page
            assert (other.marks(what, level) == mark) == is_same, (what, changed)


def test_two_printings_of_a_sign_bear_two_names():
    sign = replace(long_sign(datum="centre line"), called="J-1004 A")
    assert sign.file_name("strip", "a4", 2) == "J-1004-A-strip-level-2-a4-centre.pdf"
    names = [
        replace(sign, datum=datum).file_name(what, paper, level)
        for datum in ("left edge", "centre line")
        for what, paper in ALL
        for level in ((None,) if what == "drilling" else (None, 1, 2))
    ]
    assert len(set(names)) == 3 * (
        2 * 3 + 3 + 1
    )  # three papers; strips by datum and level, templates by level, drilling
    assert all(re.fullmatch(r"[A-Za-z0-9-]+\.pdf", name) for name in names)
