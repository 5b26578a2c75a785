"""When the film comes off which face: a sign of three levels by hand."""

from __future__ import annotations

import pytest
from shapely import Point
from shop_for_tests import box

from shopfloor.domain.bench import masking
from shopfloor.domain.bench.masking import Faces, faces
from shopfloor.domain.bench.steps import Part
from shopfloor.domain.outlines import Outline
from shopfloor.wording import masking as wording
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import text

# a board; a small panel and a large one on it; two letters on the small one; a dot let into the board
SIGN = [
    Faces(1, "'board' (no. 1)", 0),
    Faces(2, "'panel' (no. 2)", 1, (1,), (0.3,)),
    Faces(3, "'X' (no. 3)", 2, (2,), (0.4,)),
    Faces(4, "'Y' (no. 4)", 2, (2,), (0.35,)),
    Faces(5, "'dot' (no. 5)", 0, is_let_in=True),
]
BOARD = "'board' (no. 1)"
ON = "The film on the front of what is glued now stays on."
SHEETS_FIRST = str(wording.data_sheets_first())
RUNS = "Solvent runs under film: no film within 5.0 mm of a joint."


def film_for(*at) -> tuple[str, ...]:
    """What is done with the film at a step, in words."""
    return tuple(map(str, masking.film_for(*at)))


def test_a_panel_is_bared_behind_and_the_board_only_where_it_lies():
    assert film_for("glue", 1, SIGN) == (
        "Peel the film off the back of 'panel' (no. 2).",
        "On the front of 'board' (no. 1), cut the film round the marks of 'panel' (no. 2), without "
        "scoring the acrylic, and peel it only there.",
        ON,
        RUNS,
        SHEETS_FIRST,
    )


def test_a_panel_that_its_letters_mostly_cover_is_bared_wholly():
    assert film_for("glue", 2, SIGN) == (
        "Peel the film off the back of 'X' (no. 3) and 'Y' (no. 4).",
        "Peel the whole front of 'panel' (no. 2): most of it is covered.",
        ON,
        RUNS,
        SHEETS_FIRST,
    )


def test_what_is_let_in_keeps_its_faces_masked_and_is_bared_at_its_edge():
    assert film_for("glue", 0, SIGN) == (
        "Peel the film back along the edge of 'dot' (no. 5), and along the hole that takes it.",
        ON,
        RUNS,
        SHEETS_FIRST,
    )


def test_only_solvent_runs_under_film():
    assert RUNS not in film_for("glue", 1, SIGN, "reactive") and SHEETS_FIRST in film_for(
        "glue", 1, SIGN, "tape"
    )


def test_the_clearance_is_never_rounded_down():
    clear = wording.keep_clear_of_solvent(masking.CLEAR_MM)
    assert (
        text(clear, Reader("in")) == "Solvent runs under film: no film within 0.20 in of a joint."
    )


def test_many_letters_are_not_all_named():
    letters = [Faces(n, f"'{n}'", 2, (2,), (0.01,)) for n in range(10, 30)]
    first, second, *_ = film_for("glue", 2, [*SIGN[:2], *letters])
    assert first == "Peel the film off the back of all 20 parts."
    assert "round the marks of all 20 parts" in second


def test_a_letter_that_bridges_two_panels_is_peeled_for_on_both():
    sign = [SIGN[0], Faces(2, "'P'", 1), Faces(3, "'Q'", 1), Faces(4, "'H'", 2, (2, 3), (0.7, 0.1))]
    _, first, second, *_ = film_for("glue", 2, sign)
    assert first.startswith("Peel the whole front of 'P'") and second.startswith(
        "On the front of 'Q'"
    )


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (
            "clean",
            (
                "Peel the film off all fronts now.",
                "The film on the back of 'board' (no. 1) stays on until packing.",
            ),
        ),
        ("polish", ("Peel the film back from each edge that is polished.",)),
        ("inspect", ("No film on any front, not even a scrap round a joint.",)),
        (
            "pack",
            (f"Peel the film off the back of {BOARD}, or leave it on and say so on the wrapping.",),
        ),
        (
            "hand over",
            (
                f"If the film is still on the back of {BOARD}, say that it comes off before the sign is hung.",
            ),
        ),
        ("other", ()),
    ],
)
def test_at_the_end_fronts_are_bared_first_and_the_back_last(kind, words):
    assert film_for(kind, None, SIGN) == words


def test_while_it_cures_nobody_peels_and_while_it_is_laid_out_the_film_bears_the_marks():
    assert film_for("cure", 1, SIGN) == (str(wording.leave_it()),)
    assert film_for("lay out", 2, SIGN)[0].startswith("Leave the film on.")


def test_the_faces_come_from_the_outlines():
    """Closed forms: rectangles on rectangles; a letter that bridges two panels covers 10 mm of one and 20 mm of the other."""
    board = Outline.of_polygon(box(0, 0, 600, 300).polygon.difference(Point(550, 250).buffer(20)))
    outlines = {
        1: board,
        2: box(10, 10, 300, 150),
        3: box(330, 10, 100, 150),
        4: box(300, 50, 50, 20),
        5: Outline.of_polygon(Point(550, 250).buffer(19.8)),
    }
    sign = [
        Part(1, 1, "board", 0),
        Part(2, 2, "P", 1, under=(1,)),
        Part(3, 3, "Q", 1, lies_on=1),
        Part(4, 4, "H", 2, under=(2, 3)),
        Part(5, 5, "dot", 0, under=(1,)),
    ]
    found = faces(sign, outlines)
    assert [one.lies_on for one in found] == [(), (1,), (1,), (2, 3), ()]
    assert [one.is_let_in for one in found] == [False, False, False, False, True]
    assert found[1].shares == pytest.approx((300 * 150 / board.polygon.area,))
    assert found[3].shares == pytest.approx((10 * 20 / (300 * 150), 20 * 20 / (100 * 150)))
    assert str(found[3].name) == "'H' (no. 4)"
