"""What the page of a drawing asks: its unit, colours that are nearly one, parts on no board, how many of each sign."""

from __future__ import annotations

import re
from urllib.parse import parse_qsl

import pytest
from shop_for_tests import words

from shopfloor.domain.drawing.answers import Answers
from shopfloor.domain.errors import Refused
from shopfloor.store import jobs, pieces
from shopfloor.web.jobs import answers
from tests.web.jobs.conftest import BOARD, ONE_SIGN, SECOND, TWO_SIGNS, svg

NO_UNIT = f'<svg xmlns="http://www.w3.org/2000/svg" width="400" height="200">{BOARD}</svg>'.encode()
NEARLY = svg(BOARD + '<rect x="200" y="50" width="60" height="90" fill="#f2e8d0"/>')
LONE = '<rect x="20" y="300" width="30" height="60" fill="#f2e8cf"><title>A</title></rect>'
LOOSE = svg(BOARD + SECOND + LONE, 900, 400)


def query(text: str) -> dict[str, str]:
    return dict(parse_qsl(text))


def signs_of(shop, path: str) -> list:
    return jobs.signs_of_job(
        shop.read(), jobs.job_by_number(shop.read(), path.rsplit("/", maxsplit=1)[-1]).id
    )


# The unit -------------------------------------------------------------------------------------------------------------


def tiles(page: str) -> dict[str, str]:
    """The units that are offered, with the sizes beside them."""
    found = re.findall(r'name="unit" value="(\w+)"><span><b>\w+</b><small>([^<]+)', page)
    return dict(found)


def test_a_drawing_without_unit_is_asked_about_with_the_size_that_each_would_give(tablet):
    page = tablet.page(tablet.proposal(NO_UNIT))
    assert "The drawing has no unit" in page
    # 400 × 200 of them; an inch has 25.4 mm and, in CSS, 96 px
    assert tiles(page) == {
        "mm": "400 × 200 mm",
        "cm": "4000 × 2000 mm",
        "in": "10.2 × 5.1 m",
        "m": "400 × 200 m",
        "px": "106 × 53 mm",
    }
    assert 'is-chosen" aria-current="true" name="unit"' not in page, "nobody has answered yet"
    assert "px at 96 to the inch" not in page, "what is asked is not also listed as a finding"


def test_nothing_is_taken_in_before_somebody_named_the_unit(tablet, shop, plain_nests):
    path = tablet.proposal(NO_UNIT)
    assert "First choose what it was drawn in" in tablet.page(path)
    refused = tablet.order(path)
    assert refused.status_code == 422 and "First choose what it was drawn in" in refused.get_data(
        as_text=True
    )
    tablet.client.post(f"{path}/unit", data={"key": "u", "unit": "px"})
    assert tablet.job(tablet.order(path))


def test_the_answer_reads_the_drawing_again_and_may_be_changed(tablet, shop, plain_nests):
    path = tablet.proposal(NO_UNIT)
    form = {
        "key": "u",
        "unit": "mm",
        "asked": "1",
        "customer": "Ropewalk",
        "quantity": "2",
        "each-0": "1",
    }
    answer = tablet.client.post(f"{path}/unit", data=form)
    assert answer.status_code == 303
    page = tablet.client.get(answer.location).get_data(as_text=True)
    assert re.search(r'is-chosen" aria-current="true" name="unit" value="mm"', page)
    assert tiles(page)["cm"] == "4000 × 2000 mm"
    assert 'value="Ropewalk"' in page and re.search(r'name="quantity" value="2"', page), (
        "what was typed stays"
    )
    job = tablet.job(tablet.order(path))
    assert [(sign.width_mm, sign.height_mm) for sign in signs_of(shop, job)] == [(400, 200)]


def test_a_page_of_another_unit_takes_nothing_in(tablet, whole):
    path = tablet.proposal(NO_UNIT)
    size = re.search(r'name="size" value="([^"]+)"', tablet.page(path)).group(1)
    tablet.client.post(f"{path}/unit", data={"key": "u", "unit": "in"})
    before = whole()
    answer = tablet.order(path, size=size)
    assert answer.status_code == 409 and "another unit" in words(answer)
    assert whole() == before


@pytest.mark.parametrize("unit", ["", "parsec", "MM", "pt"])
def test_a_unit_that_was_not_offered_is_refused(tablet, whole, unit):
    path = tablet.proposal(NO_UNIT)
    before = whole()
    assert tablet.client.post(f"{path}/unit", data={"key": "u", "unit": unit}).status_code == 422
    assert whole() == before


def test_a_drawing_with_a_unit_is_not_asked_about(tablet):
    assert "question" not in tablet.page(tablet.proposal(ONE_SIGN))


# Colours --------------------------------------------------------------------------------------------------------------


def test_nearly_equal_colours_are_one_material_until_somebody_keeps_them_apart(tablet):
    path = tablet.proposal(NEARLY)
    page = tablet.page(path)
    assert "two or more shades of cream" in page and page.count('<fieldset class="colour"') == 2
    kept_apart = query(tablet.follow(path, "Different materials"))
    assert kept_apart == {"apart": "1"}
    assert tablet.page(path, **kept_apart).count('<fieldset class="colour"') == 3
    assert query(tablet.follow(path, "One material", **kept_apart)) == {}


def test_colours_that_are_kept_apart_take_two_stocks(tablet, shop, plain_nests):
    tablet.job(tablet.order(tablet.proposal(NEARLY), apart="1", **{"stock-f2e8d0": "new"}))
    assert [row[0] for row in shop.read().execute("SELECT colour FROM stock ORDER BY colour")] == [
        "#8c2f39",
        "#f2e8cf",
        "#f2e8d0",
    ]


# Parts on no board ----------------------------------------------------------------------------------------------------


def test_a_part_on_no_board_is_asked_about_and_nothing_is_taken_in_before(tablet, whole):
    path = tablet.proposal(LOOSE)
    page = tablet.page(path)
    assert "'A' (30 × 60 mm), is not on any panel" in page.replace("&#39;", "'")
    before = whole()
    answer = tablet.order(path)
    assert answer.status_code == 422
    assert "This part is not on any panel: 'A' (30 × 60 mm). First choose what it is." in words(
        answer
    )
    assert whole() == before


def test_a_loose_part_is_a_sign_of_its_own(tablet, shop, plain_nests):
    path = tablet.proposal(LOOSE)
    answer = query(tablet.follow(path, "A separate sign"))
    assert answer == {"own": "2"} and "question" not in tablet.page(path, **answer)
    made = signs_of(shop, tablet.job(tablet.order(path, **answer)))
    assert [(sign.width_mm, sign.height_mm) for sign in made] == [(400, 200), (400, 200), (30, 60)]


def test_a_loose_part_belongs_to_the_sign_that_is_chosen(tablet, shop, plain_nests):
    path = tablet.proposal(LOOSE)
    offered = [mark for mark in re.findall(r"Part of sign (\w+)", tablet.page(path))]
    assert offered == ["A", "B"], "those that carry parts, the nearest first"
    answer = query(tablet.follow(path, "Part of sign B"))
    made = signs_of(shop, tablet.job(tablet.order(path, **answer)))
    assert answer == {"join": "1-2"} and len(made) == 2
    assert sorted(len(pieces.of_sign(shop.read(), sign.id)) for sign in made) == [2, 3]


def test_a_part_drawn_by_mistake_is_left_out_and_put_back(tablet, shop, plain_nests):
    path = tablet.proposal(LOOSE)
    answer = query(tablet.follow(path, "Drawn by mistake"))
    assert answer == {"out": "2"}
    page = tablet.page(path, **answer)
    assert "Sign 3 of the drawing is left out" in page and "question" not in page
    assert query(tablet.follow(path, "Put it back", **answer)) == {}
    assert len(signs_of(shop, tablet.job(tablet.order(path, **answer)))) == 2


def test_all_loose_parts_are_answered_at_once(tablet):
    more = "".join(
        f'<rect x="{20 + 50 * n}" y="300" width="30" height="60" fill="#f2e8cf"/>' for n in range(9)
    )
    path = tablet.proposal(svg(BOARD + more, 900, 400))
    page = tablet.page(path)
    assert page.count("A separate sign") == 6 and "All 9 parts that are not on any panel" in page
    assert query(tablet.follow(path, "Separate signs")) == {"own": "1-9"}
    answer = tablet.order(path)
    assert words(answer).count(
        "part of 30 × 60 mm"
    ) == 3 and "and 6 more. First choose what they are." in words(answer)


def test_a_drawing_of_which_nothing_is_left_is_refused(tablet):
    answer = tablet.client.get(tablet.proposal(ONE_SIGN) + "?out=0")
    assert answer.status_code == 422 and "Put one back" in words(answer)


# How answers travel ---------------------------------------------------------------------------------------------------


def test_answers_are_written_short_and_read_back():
    some = Answers(((0, 1, 2), (5, 7)), (3, 4), (9,), True)
    assert answers.query_of(some) == {"join": "0-2;5,7", "out": "3-4", "own": "9", "apart": "1"}
    assert answers.answers_of(answers.query_of(some)) == some
    assert answers.query_of(Answers()) == {} and answers.answers_of({}) == Answers()


def test_each_answer_leaves_the_others_alone():
    some = Answers(((0, 1), (3, 5)), (7,), (9,), True)
    assert answers.joined(some, (0, 1, 2)).joins == ((3, 5), (0, 1, 2))
    assert answers.joined(some, (4,)) == some, "one sign alone is joined to nothing"
    assert answers.taken_apart(some, (3, 5)).joins == ((0, 1),)
    assert answers.put_back(answers.left_out(some, (8,)), 7).left_out == (8,)
    assert answers.on_their_own(some, (2,)) == Answers(some.joins, (7,), (2, 9), True)


@pytest.mark.parametrize(
    "name, value",
    [
        ("out", "x"),
        ("out", "1;2"),
        ("own", "-1"),
        ("own", "0-99999"),
        ("own", "9" * 5000),
        ("apart", "yes"),
        ("join", "1,,2"),
    ],
)
def test_an_answer_that_no_page_wrote_is_refused(tablet, whole, name, value):
    with pytest.raises(Refused):
        answers.answers_of({name: value})
    path = tablet.proposal(TWO_SIGNS)
    before = whole()
    assert tablet.client.get(path, query_string={name: value}).status_code == 422
    assert tablet.order(path, **{name: value}).status_code == 422
    assert whole() == before


# How many -------------------------------------------------------------------------------------------------------------


def test_the_number_of_each_sign_and_of_sets_multiply(tablet, shop, plain_nests):
    path = tablet.proposal(TWO_SIGNS)
    response = tablet.client.get(f"{path}/sum", query_string={"quantity": "2", "each-1": "3"})
    assert "2 sets of 4 signs and 8 pieces: 8 signs, 16 pieces" in words(response)
    made = signs_of(
        shop, tablet.job(tablet.order(path, quantity="2", **{"each-0": "1", "each-1": "3"}))
    )
    assert [sign.mark for sign in made] == list("ABCDEFGH")


def test_one_sign_alone_has_one_number(tablet):
    page = tablet.page(tablet.proposal(ONE_SIGN))
    assert (
        "<span>How many</span>" in page and 'name="each-' not in page and "1 sign, 2 pieces" in page
    )


@pytest.mark.parametrize("count", ["0", "-1", "1.5", "x", "501", ""])
def test_a_bad_number_of_a_sign_is_refused_by_its_letter(tablet, whole, count):
    path = tablet.proposal(TWO_SIGNS)
    before = whole()
    answer = tablet.order(path, **{"each-1": count})
    assert answer.status_code == 422 and "The number of sign B" in words(answer)
    assert whole() == before


def test_numbers_that_are_no_numbers_yet_do_not_break_the_sum(tablet):
    path = tablet.proposal(TWO_SIGNS)
    response = tablet.client.get(
        f"{path}/sum", query_string={"quantity": "9" * 12, "each-1": "", "each-x": "3"}
    )
    assert response.status_code == 200 and "500 sets of 2 signs" in words(response)
