"""What was found in a drawing, as its page shows it: on the pictures and in words; the shapes; the spares that fit."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import words

from shopfloor.actions import drawings
from shopfloor.actions import jobs as job_acts
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions import stock as stock_acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.drawing.drawing import Finding
from shopfloor.domain.drawing.signs import Order
from shopfloor.domain.drawing.stacking import ProposedSign
from shopfloor.store import jobs, ledger, pieces, replay, sheets, stock
from shopfloor.web.jobs.findings import MOST_FLAGS, grouped
from tests.web.jobs.conftest import BOARD, CREAM, ONE_SIGN, SECOND, bars, svg

THIN = f'<rect x="520" y="20" width="300" height="3" fill="{CREAM}"><title>line</title></rect>'  # on the second board
DOUBLE = '<rect x="30" y="50" width="60" height="90" fill="#f2e8cf"/>'  # once more on the same spot


def sign(left: float, bottom: float, place: int) -> ProposedSign:
    return ProposedSign(None, 100.0, 50.0, 1, (), (place,), left, bottom)


SIGNS = (sign(0, 0, 0), sign(200, 0, 1))


def test_a_finding_is_drawn_on_the_sign_that_holds_it_in_the_signs_own_place():
    groups, marks = grouped(
        [Finding("narrow", "Thin.", (250.0, 10.0), ((250.0, 10.0), (260.0, 10.0)))], SIGNS, 2
    )
    assert marks[0].flags == [] and marks[1].flags[0].at == (50.0, 10.0)
    assert marks[1].traces[0].points == ((50.0, 10.0), (60.0, 10.0))
    assert (groups[0].first[0].number, str(groups[0].first[0].where)) == ("1", "sign B")


def test_what_lies_off_every_sign_belongs_to_the_nearest():
    _, marks = grouped([Finding("stray", "A stray.", (120.0, 80.0))], SIGNS, 2)
    assert marks[0].flags[0].at == (100.0, 50.0), "brought to its edge, so that it is seen"


def test_what_has_no_place_or_lies_on_a_sign_that_is_not_drawn_bears_no_number():
    near = Finding("near", "Near.", (250.0, 10.0)), Finding("near", "Near too.", (1.0, 1.0))
    found = [Finding("hidden", "Hidden."), *near]
    groups, marks = grouped(found, SIGNS, 1)
    assert [(one.number, one.message) for group in groups for one in group.first] == [
        ("", "Near."),
        ("1", "Near too."),
        ("", "Hidden."),
    ]
    assert len(marks) == 1


def test_what_would_spoil_material_comes_first_then_what_was_mended():
    urgent = [
        "too large",
        "scale",
        "overlap",
        "overhang",
        "gap",
        "near",
        "will not hold",
        "narrow",
        "corner",
        "hidden",
        "other",
    ]
    groups, _ = grouped([Finding(kind, kind) for kind in [*urgent[-2::-1], urgent[-1]]], SIGNS, 2)
    assert [group.first[0].message for group in groups] == urgent
    assert str(groups[-1].heading) == "Other", "an unknown kind is shown by its own word"


def test_eight_findings_are_shown_and_the_others_fold_away_by_kind():
    found = [Finding("near", f"Near {n}.") for n in range(20)] + [
        Finding("hidden", f"Hidden {n}.") for n in range(3)
    ]
    groups, _ = grouped(found, SIGNS, 2)
    assert [(group.count, len(group.first), len(group.rest)) for group in groups] == [
        (20, 8, 12),
        (3, 1, 2),
    ]


def test_a_picture_is_not_covered_with_flags_but_every_place_is_marked():
    _, marks = grouped(
        [Finding("corner", f"Corner {n}.", (1.0, 1.0)) for n in range(60)], SIGNS[:1], 1
    )
    assert marks[0].numbered == MOST_FLAGS[0][1] and len(marks[0].flags) == 60


def test_the_page_draws_the_flag_and_the_words_bear_its_number(tablet):
    page = tablet.page(tablet.proposal(svg(BOARD + SECOND + THIN)))
    (number,) = re.findall(
        r'<b class="flag-number">(\d+)</b><span>&#39;line&#39;[^<]*narrower than', page
    )
    pictures = page.split('<svg class="sign"')[1:3]
    assert (
        f'font-size="60">{number}</text>' in pictures[1] and '<text class="flag"' not in pictures[0]
    )
    assert re.search(r"Narrower than the cutter", page)


def test_what_the_reader_mended_is_told_with_what_preflight_found(tablet):
    page = tablet.page(tablet.proposal(svg(BOARD + DOUBLE)))
    assert "Drawn twice" in page and "One was kept" in page


def test_preflight_goes_by_the_stock_that_is_chosen_on_the_page(tablet, shop, owner):
    values = dict(
        name="red",
        colour="#8c2f39",
        finish="gloss",
        kind="cast",
        thickness_mm="6",
        length_mm="2440",
        width_mm="1220",
        turns="any",
        cost="90",
    )
    stock_acts.add_stock(Caller(shop, owner), values)
    added = stock_acts.add_stock(
        Caller(shop, owner), {**values, "name": "short", "length_mm": "1000", "width_mm": "500"}
    )
    path = tablet.proposal(svg('<rect width="2000" height="100" fill="#8c2f39"/>', 2000, 100))
    assert "Larger than the sheet" not in tablet.page(path)
    short = stock.stock_by_code(shop.read(), added.data["stock"])
    assert "Larger than the sheet" in tablet.page(path, **{"stock-8c2f39": str(short.id)})


def test_a_tick_does_not_look_twice(tablet, monkeypatch):
    looked = []
    real = drawings.look
    monkeypatch.setattr(drawings, "look", lambda *args: looked.append(args) or real(*args))
    path = tablet.proposal(svg(BOARD + SECOND + THIN.replace("line", "another line")))
    tablet.page(path)
    tablet.page(path, customer="Ropewalk")
    assert len(looked) == 1
    tablet.page(path, join="0-1")
    assert len(looked) == 2


# Shapes ---------------------------------------------------------------------------------------------------------------


def test_each_shape_is_shown_once_with_its_count(tablet):
    page = tablet.page(tablet.proposal(bars(21)))
    shapes = words_of(page.split('class="shapes"')[1])
    assert "8 different shapes" in shapes and "cream: 21 parts of 7 shapes" in shapes
    assert shapes.count("× 3") == 7 and "20 × 40 mm" in shapes


def test_the_shapes_of_a_large_drawing_are_sorted_when_somebody_looks(tablet):
    path = tablet.proposal(bars(310))
    page = tablet.page(path)
    assert "of 7 shapes" not in page
    asked = re.search(r'<details class="shapes" hx-get="([^"]+)"', page).group(1)
    assert "cream: 310 parts of 7 shapes" in words(tablet.client.get(asked))


def words_of(page: str) -> str:
    return " ".join(re.sub("<[^>]+>", " ", page).split())


# Spares ---------------------------------------------------------------------------------------------------------------


@pytest.fixture
def spares(tablet, shop, owner, plain_nests):
    """A job's sign is cut and then cancelled: its board and its bar are spares."""
    number = tablet.take_in(ONE_SIGN).rsplit("/")[-1]
    for row in sheets.live_rows(shop.read()):
        sheet_acts.start(Caller(shop, owner), row.code)
        sheet_acts.finish(Caller(shop, owner), row.code)
        sheet_acts.mark_rest_cut(
            Caller(shop, owner),
            row.code,
            [one.code for one in sheets.on_sheet(shop.read(), row.id)],
        )
    (sign,) = jobs.signs_of_job(shop.read(), jobs.job_by_number(shop.read(), number).id)
    sign_acts.cancel(Caller(shop, owner), sign.id, "the customer left")
    return {row["code"] for row in shop.read().execute("SELECT code FROM piece")}


def stocks(shop) -> dict[str, str]:
    """The answers that name the stocks of the two colours."""
    rows = shop.read().execute("SELECT colour, id FROM stock")
    return {f"stock-{row['colour'][1:]}": str(row["id"]) for row in rows}


def codes_of(shop, path: str) -> set[str]:
    job = jobs.job_by_number(shop.read(), path.rsplit("/", maxsplit=1)[-1])
    return {
        p.code
        for sign in jobs.signs_of_job(shop.read(), job.id)
        for p in pieces.of_sign(shop.read(), sign.id)
    }


TURNED = svg(
    BOARD + '<rect x="150" y="50" width="90" height="60" fill="#f2e8cf"/>'
)  # the bar once more, on its side


def test_spares_that_fit_are_offered_and_used(tablet, shop, spares):
    path = tablet.proposal(TURNED)
    page = tablet.page(path)
    assert "Use the spares in stock that fit: 2 pieces" in page and re.search(
        r'name="spares" value="1" checked', page
    )
    run = tablet.order(path, key="second", asked="1", spares="1", **stocks(shop))
    job = tablet.job(run)
    assert spares < codes_of(shop, job) and len(codes_of(shop, job)) == 3
    page = words(tablet.client.get(run.location, follow_redirects=True))
    assert "2 spares in stock will be used. Print new labels for them" in page
    assert "spares in stock that fit" not in tablet.page(tablet.proposal(TURNED)), (
        "a piece serves once"
    )


def test_spares_are_left_where_the_tick_is_taken_off(tablet, shop, spares):
    path = tablet.proposal(TURNED)
    assert not re.search(r'name="spares" value="1" checked', tablet.page(path, asked="1"))
    job = tablet.job(tablet.order(path, key="second", asked="1", **stocks(shop)))
    assert not spares & codes_of(shop, job)


def test_no_more_spares_are_offered_than_the_order_has_parts_for(tablet, shop, spares):
    only_bar = svg('<rect width="60" height="90" fill="#f2e8cf"/>')
    assert "Use the spare in stock that fits: 1 piece" in tablet.page(
        tablet.proposal(only_bar), quantity="7"
    )


def test_taking_spares_in_is_one_act_and_can_be_undone(tablet, shop, owner, spares):
    proposed = drawings.kept_proposal(shop, tablet.proposal(ONE_SIGN).rsplit("/")[-1])
    chosen = {colour.colour: colour.stock.id for colour in proposed.colours}
    answer = job_acts.take_in(
        Caller(shop, owner),
        proposed,
        Order("Harbour", "Again", "2026-12-01", 1, chosen, uses_spares=True),
    )
    assert set(answer.data["relabel"]) == spares and answer.data["stocks"] == []
    assert ledger.entry(shop.read(), answer.act).what == "took a job in"
    undo(Caller(shop, owner), answer.act)
    assert "Use the spares in stock that fit: 2 pieces" in tablet.page(tablet.proposal(ONE_SIGN))
    assert replay.differences(shop.read()) == []
