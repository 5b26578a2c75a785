"""The setup sheet of a sheet through the client: the screen, the paper, the file for the machine and whether it is an old one.

The bytes that go out are compared with those of drawings.writing (what they hold is checked in tests/machine), their
checksum with hashlib's. The paper is read by pypdfium2.
"""

from __future__ import annotations

import hashlib
import re

import pypdfium2
import pytest
from holding_for_tests import DOT, LETTER, MIXED, SMALL, SQUARES, cut, named, take_in
from shop_for_tests import HTMX, words

from shopfloor.actions import holding, nests, setup_sheets, signs
from shopfloor.actions import sheets as sheet_actions
from shopfloor.actions import stock as stock_actions
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.drawings.writing import write
from shopfloor.store import holding as store
from shopfloor.store import ledger, replay, sheets
from shopfloor.store import stock as stock_store
from shopfloor.wording import safety

STALE = "The file at the machine is an old one."
STALE_ON_PAPER = "The sheet has changed since: fetch the new file"


@pytest.fixture
def mixed(cutting):
    """A planned sheet with a dot, small squares, letters and a large square."""
    return take_in(cutting, MIXED)


@pytest.fixture
def unheld(cutting, monkeypatch):
    """A sheet of a shop that did not yet keep how pieces are held."""
    with monkeypatch.context() as old:
        old.setattr(nests, "held", lambda work, layouts: list(layouts))
        return take_in(cutting, MIXED)


def of_sheet(shop, code):
    return sheets.sheet_by_code(shop.read(), code)


def fetch(client, sheet, kind="svg", **data):
    return client.post(f"/sheets/{sheet}/file/{kind}", data=data)


def paper(client, sheet, size="a4"):
    """(text, (width, height) in mm) of the first page."""
    answer = client.get(f"/sheets/{sheet}/setup-sheet.pdf?paper={size}")
    assert (answer.status_code, answer.content_type) == (200, "application/pdf")
    page = pypdfium2.PdfDocument(answer.data)[0]
    size = tuple(round(side * 25.4 / 72, 1) for side in page.get_size())
    return re.sub(r"\s+", " ", page.get_textpage().get_text_bounded()), size


def is_said_old(client, sheet) -> tuple[bool, bool]:
    """Whether the setup sheet's page and the sheet's page say that the machine's file is old."""
    pages = [client.get(path) for path in (f"/sheets/{sheet}/setup-sheet", f"/sheets/{sheet}")]
    assert [page.status_code for page in pages] == [200, 200]
    return tuple(STALE in words(page) for page in pages)


# The page and the paper. ----------------------------------------------------------------------------------------------


def test_the_setup_sheet_says_what_is_set_at_the_router(mixed, shop, as_operator):
    page = words(as_operator.get(f"/sheets/{mixed}/setup-sheet"))
    made = setup_sheets.setup_sheet_of(shop.read(), mixed)
    feeds, tabs = made.feeds, sum(len(piece.tabs) for piece in made.pieces)
    for said in (
        f"{made.sheet}: setup sheet",
        str(made.cutter.called),
        f"{feeds.rev_per_min:,.0f} rpm",
        f"start at {feeds.start_feed_mm_min:,.0f} mm/min (70 %), raise to {feeds.feed_mm_min:,.0f} mm/min",
        f"Tabs {tabs}, 6 mm long, 0.8 mm thick",
        f"{feeds.power_w:.0f} of {feeds.spindle_w:,.0f} W",
        f"Open zones {', '.join(map(str, made.zones[:-1]))} and {made.zones[-1]}",
        str(safety.caution()),
        "No file has gone to the machine yet.",
        "no sheet timed here yet",
    ):
        assert said in page, said
    assert feeds.start_feed_mm_min == pytest.approx(0.7 * feeds.feed_mm_min, rel=0.01) and tabs >= 6
    assert all(str(caution) in page for caution in made.cautions)


def test_the_setup_sheet_numbers_each_piece_in_the_order_of_cutting(mixed, shop, as_operator):
    page = as_operator.get(f"/sheets/{mixed}/setup-sheet").text
    group = re.search(r'<g class="nth"[^>]*>(.*?)</g>', page, re.DOTALL)[1]
    assert sorted(map(int, re.findall(r">(\d+)</text>", group))) == list(range(1, len(MIXED) + 1))
    made = setup_sheets.setup_sheet_of(shop.read(), mixed)
    assert [piece.order for piece in made.pieces] == list(range(1, len(MIXED) + 1))
    areas = [round(piece.outline.area_mm2) for piece in made.pieces]
    assert areas[-1] == 150 * 150 and areas[0] == 49, "small before large"


@pytest.mark.parametrize("rest", ["", "/now", ".pdf"])
def test_the_addresses_of_earlier_versions_go_on_to_the_new_ones(mixed, as_operator, rest):
    answer = as_operator.get(f"/sheets/{mixed}/ticket{rest}?paper=letter")
    assert answer.status_code == 308
    assert answer.location == f"/sheets/{mixed}/setup-sheet{rest}?paper=letter"
    assert as_operator.get(answer.location).status_code == 200


def test_the_setup_sheet_is_printed_on_both_papers_an_unknown_one_falls_back_and_the_last_is_remembered(
    mixed, shop, as_operator
):
    """Sizes by ISO 216 and ANSI/ASME Y14.1, on their side."""
    for size, expected, offered in (
        ("napkin", (297.0, 210.0), "A4"),
        ("letter", (279.4, 215.9), "Letter"),
    ):
        text, found = paper(as_operator, mixed, size)
        assert found == pytest.approx(expected, abs=0.2), size
        assert of_sheet(shop, mixed).number in text and "none has gone to the machine yet" in text
        assert f"Print on {offered}" in words(as_operator.get(f"/sheets/{mixed}/setup-sheet"))
    assert "Print on A4" in words(as_operator.get(f"/sheets/{mixed}/setup-sheet?paper=a4"))
    assert "Print on A4" in words(as_operator.get(f"/sheets/{mixed}/setup-sheet?paper=napkin"))


def test_who_does_not_cut_sees_the_setup_sheet_but_fetches_no_file(mixed, shop, as_assembler):
    page = as_assembler.get(f"/sheets/{mixed}/setup-sheet")
    assert page.status_code == 200 and "SVG of the nest" not in words(page)
    count = ledger.newest(shop.read())
    answer = fetch(as_assembler, mixed)
    assert (
        answer.status_code == 403
        and b"<svg xmlns" not in answer.data[:200]
        and ledger.newest(shop.read()) == count
    )


def test_the_setup_sheet_is_sent_again_only_where_something_changed(
    mixed, shop, operator, as_operator
):
    fresh = as_operator.get(f"/sheets/{mixed}/setup-sheet/now", headers=HTMX)
    seen = re.search(r"seen=([\w.]+)", fresh.text)[1]
    same = as_operator.get(f"/sheets/{mixed}/setup-sheet/now?seen={seen}", headers=HTMX)
    assert (fresh.status_code, same.status_code, same.data) == (200, 204, b"")
    sheet_actions.start(Caller(shop, operator), mixed)
    assert (
        as_operator.get(f"/sheets/{mixed}/setup-sheet/now?seen={seen}", headers=HTMX).status_code
        == 200
    )


def test_an_unknown_sheet_has_no_setup_sheet(as_operator, cutting):
    for path in ("/sheets/00000000/setup-sheet", "/sheets/00000000/setup-sheet.pdf"):
        assert as_operator.get(path).status_code == 404


def test_the_estimate_is_put_right_by_what_sheets_of_this_shop_took(
    cutting, shop, operator, as_operator
):
    """Twice as long as by the path alone."""
    first, second = take_in(cutting, SQUARES), take_in(cutting, SQUARES)
    plain = setup_sheets.setup_sheet_of(shop.read(), second).estimate
    cut(
        shop,
        operator,
        first,
        minutes=2 * setup_sheets.setup_sheet_of(shop.read(), first).estimate.path_min,
    )
    corrected = setup_sheets.setup_sheet_of(shop.read(), second).estimate
    assert corrected.path_min == plain.path_min and corrected.minutes > 1.2 * plain.minutes
    page = words(as_operator.get(f"/sheets/{second}/setup-sheet"))
    assert "from 1 sheet timed here" in page and f"× {corrected.correction.factor:.2f}" in page


# The file for the machine. --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "mime"), [("svg", "image/svg+xml"), ("dxf", "application/dxf")])
def test_the_very_bytes_that_go_out_are_those_recorded(mixed, shop, as_operator, kind, mime):
    expected = write(setup_sheets.machine_sheet(setup_sheets.on_table(shop.read(), mixed)), kind)
    answer = fetch(as_operator, mixed, kind)
    number = of_sheet(shop, mixed).number
    name = f"{number}-nest-1-{setup_sheets.short_mark(setup_sheets.on_table(shop.read(), mixed))}.{kind}"
    assert (answer.status_code, answer.mimetype, answer.data) == (200, mime, expected)
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'
    sum_of_it = hashlib.sha256(answer.data).hexdigest()
    entry = ledger.entry(shop.read(), ledger.newest(shop.read()))
    assert (entry.what, entry.by_name) == ("sent a file to the machine", "Ines")
    (kept,) = [change["a"] for change in entry.changes if change["t"] == "machine_file"]
    nest = sheets.row(shop.read(), of_sheet(shop, mixed).id).nest
    assert (kept["sheet"], kept["nest"]) == (of_sheet(shop, mixed).id, nest)
    assert (kept["name"], kept["sha256"]) == (name, sum_of_it)
    sent = store.last_file(shop.read(), of_sheet(shop, mixed).id)
    assert (sent.name, sent.sha256, sent.by_name) == (name, sum_of_it, "Ines")
    assert replay.differences(shop.read()) == []


def test_the_setup_sheet_names_the_file_that_went_and_its_checksum(mixed, as_operator):
    answer = fetch(as_operator, mixed, "dxf")
    checksum = hashlib.sha256(answer.data).hexdigest()[:12]
    assert f"(Ines), checksum {checksum}" in words(as_operator.get(f"/sheets/{mixed}/setup-sheet"))
    text = paper(as_operator, mixed)[0]
    assert checksum[:8] in text.replace(" ", "") and STALE_ON_PAPER not in text
    assert is_said_old(as_operator, mixed) == (False, False)


def test_the_same_key_twice_records_one_file(mixed, shop, as_operator):
    first, count = fetch(as_operator, mixed, key="once"), ledger.newest(shop.read())
    again = fetch(as_operator, mixed, key="once")
    assert (again.data, ledger.newest(shop.read())) == (first.data, count)


def test_an_unknown_kind_of_file_is_refused_with_one_sentence(mixed, shop, as_operator):
    count = ledger.newest(shop.read())
    answer = fetch(as_operator, mixed, "pdf")
    assert answer.status_code == 422 and "Choose a kind of file: svg or dxf." in words(answer)
    assert ledger.newest(shop.read()) == count


def test_of_a_sheet_that_is_over_there_is_no_file(mixed, shop, operator, as_operator):
    cut(shop, operator, mixed)
    answer = fetch(as_operator, mixed)
    assert answer.status_code == 409 and "is closed. There is nothing left to cut." in words(answer)
    assert "SVG of the nest" not in words(as_operator.get(f"/sheets/{mixed}/setup-sheet"))


# Whether it is still the right one. -----------------------------------------------------------------------------------


def nest_again(mixed, cutting, shop, owner):
    nests.plan(Caller(shop, owner), of_sheet(shop, mixed).stock, codes=(), pool=[mixed])


def overrule(mixed, cutting, shop, owner):
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, SMALL), "tape")


def take_another_blank(mixed, cutting, shop, owner):
    material = stock_store.stock(shop.read(), of_sheet(shop, mixed).stock)
    made = stock_actions.add_offcut(Caller(shop, owner), material.code, "2300", "1220")
    sheet_actions.swap_blank(Caller(shop, owner), mixed, made.codes[0])


@pytest.mark.parametrize("change", [nest_again, overrule, take_another_blank])
def test_a_file_is_said_to_be_old_after_a_change_until_it_is_fetched_again(
    mixed, cutting, shop, owner, as_owner, change
):
    before = fetch(as_owner, mixed).data
    change(mixed, cutting, shop, owner)
    assert (
        is_said_old(as_owner, mixed) == (True, True) and STALE_ON_PAPER in paper(as_owner, mixed)[0]
    )
    after = fetch(as_owner, mixed)
    assert after.status_code == 200 and after.data != before
    assert is_said_old(as_owner, mixed) == (False, False)


def test_a_file_is_old_once_a_piece_is_not_wanted_any_more(cutting, shop, owner, as_owner):
    first, second = take_in(cutting, MIXED), take_in(cutting, SQUARES)
    (sheet,) = nests.plan(
        Caller(shop, owner), of_sheet(shop, first).stock, pool=[first, second]
    ).data["sheets"]
    before = fetch(as_owner, sheet).data.count(b"outside-")
    sign = next(piece.sign for piece in cutting.on(sheet) if piece.name == "7 x 7")
    signs.cancel(Caller(shop, owner), sign, "the customer wants no dots")
    assert is_said_old(as_owner, sheet) == (True, True)
    assert fetch(as_owner, sheet).data.count(b"outside-") < before
    assert is_said_old(as_owner, sheet) == (False, False)
    assert "no longer needed. Leave them out." in words(
        as_owner.get(f"/sheets/{sheet}/setup-sheet")
    )


def test_a_change_that_is_undone_makes_the_file_the_right_one_again(
    mixed, cutting, shop, owner, as_owner
):
    fetch(as_owner, mixed)
    answer = holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, LETTER), "tape")
    assert is_said_old(as_owner, mixed) == (True, True)
    undo(Caller(shop, owner), answer.act)
    assert is_said_old(as_owner, mixed) == (False, False)


def test_on_the_router_an_old_file_is_still_said_to_be_old_and_a_right_one_is_not(
    mixed, cutting, shop, owner, as_owner
):
    fetch(as_owner, mixed)
    holding.overrule(Caller(shop, owner), mixed, named(cutting, mixed, DOT), "skin")
    sheet_actions.start(Caller(shop, owner), mixed)
    assert is_said_old(as_owner, mixed) == (True, True)
    fetch(as_owner, mixed)
    sheet_actions.finish(Caller(shop, owner), mixed)
    assert is_said_old(as_owner, mixed) == (False, False)


# A sheet of the old form. ---------------------------------------------------------------------------------------------


def test_a_sheet_whose_holding_was_never_worked_out_says_what_to_do_and_one_button_does_it(
    unheld, shop, as_operator
):
    for path in (f"/sheets/{unheld}/setup-sheet", f"/sheets/{unheld}/setup-sheet.pdf"):
        answer = as_operator.get(path)
        assert answer.status_code == 409
        assert "is not worked out yet. Do that on its page first." in words(answer)
    assert fetch(as_operator, unheld).status_code == 409
    page = as_operator.get(f"/sheets/{unheld}")
    assert (
        page.status_code == 200 and "Work it out" in words(page) and "/setup-sheet" not in page.text
    )
    done = as_operator.post(f"/sheets/{unheld}/holding/renew", data={"from": "sheet", "key": "k1"})
    assert done.status_code == 303 and f"/sheets/{unheld}?did=" in done.location
    assert "8 pieces on sheet" in words(as_operator.get(done.location))
    assert "Work it out" not in words(as_operator.get(f"/sheets/{unheld}"))
    assert (
        as_operator.get(f"/sheets/{unheld}/setup-sheet").status_code == 200
        and fetch(as_operator, unheld).status_code == 200
    )
    assert set(store.of_nest(shop.read(), of_sheet(shop, unheld).nest)) == {
        piece.piece for piece in sheets.on_sheet(shop.read(), of_sheet(shop, unheld).id)
    }
    assert replay.differences(shop.read()) == []
