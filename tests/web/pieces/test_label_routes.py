"""Labels over the wire: the PDFs, each label read back by a decoder, and the page on which their paper is chosen."""

from __future__ import annotations

import pypdfium2
import pytest
import zxingcpp

from shopfloor.actions import labels as printing
from shopfloor.actions import pieces as acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions import signs
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import jobs, sheets
from shopfloor.web.pieces.labels import COOKIE

DPI = 203  # a common label printer


@pytest.fixture
def sheet(shop, small_job) -> sheets.SheetRow:
    """The sheet with the four letters."""
    return next(row for row in sheets.live_rows(shop.read()) if row.pieces == 4)


def read_back(pdf: bytes) -> list[tuple[str, int, int, int]]:
    """(text, page, y, x) of each symbol, read row by row from the paper as printed (decoder: zxing-cpp)."""
    found = []
    for number, page in enumerate(pypdfium2.PdfDocument(pdf)):
        picture = page.render(scale=DPI / 72).to_pil()
        for symbol in zxingcpp.read_barcodes(picture):
            spot = symbol.position.top_left
            found.append((symbol.text, number, spot.y // 40, spot.x))
    return sorted(found, key=lambda symbol: symbol[1:])


def codes_in(pdf: bytes) -> list[str]:
    return [text.rpartition("/")[2] for text, *_ in read_back(pdf)]


def test_the_labels_of_a_sheet_come_in_walking_order_and_read_back(as_operator, shop, sheet):
    answer = as_operator.get(f"/labels/sheet/{sheet.code}.pdf")
    assert answer.status_code == 200 and answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"] == f'inline; filename="labels-{sheet.number}.pdf"'
    walk = [piece.code for piece in sheets.on_sheet(shop.read(), sheet.id)]
    assert codes_in(answer.data) == walk and len(walk) == 4


@pytest.mark.parametrize("layout", ["a4-3x8", "letter-3x10", "roll-50x25"])
def test_each_paper_can_be_asked_for(as_operator, sheet, layout):
    answer = as_operator.get(f"/labels/sheet/{sheet.code}.pdf?layout={layout}")
    assert len(codes_in(answer.data)) == 4


def test_the_shop_s_address_is_in_the_symbol(as_operator, shop, owner, sheet):
    setting_acts.change_settings(Caller(shop, owner), {"address": "pier.lan:8000"})
    (first, *_), *_ = read_back(as_operator.get(f"/labels/sheet/{sheet.code}.pdf").data)
    assert first.startswith("HTTP://PIER.LAN:8000/P/")


def test_where_the_shop_has_set_none_the_server_s_own_address_stands_in(app, as_operator, sheet):
    app.config["ADDRESS"] = "192.168.1.20:8000"
    (first, *_), *_ = read_back(as_operator.get(f"/labels/sheet/{sheet.code}.pdf").data)
    assert first.startswith("HTTP://192.168.1.20:8000/P/")
    page = as_operator.get(f"/labels/sheet/{sheet.code}").text
    assert "192.168.1.20:8000 may change" in page and 'href="/office/settings"' in page


def test_an_address_that_was_set_is_believed_and_needs_no_warning(
    app, as_operator, shop, owner, sheet
):
    app.config["ADDRESS"] = "192.168.1.20:8000"
    setting_acts.change_settings(Caller(shop, owner), {"address": "pier.lan:8000"})
    page = as_operator.get(f"/labels/sheet/{sheet.code}").text
    assert "HTTP://PIER.LAN:8000/P/" in page and "caution" not in page


def test_labels_that_are_peeled_off_already_are_left_out(as_operator, sheet):
    plain = read_back(as_operator.get(f"/labels/sheet/{sheet.code}.pdf?layout=a4-3x8").data)
    later = read_back(as_operator.get(f"/labels/sheet/{sheet.code}.pdf?layout=a4-3x8&skip=3").data)
    assert [symbol[0] for symbol in later] == [symbol[0] for symbol in plain]
    assert later[0][2] > plain[0][2], "the first stands a row lower"


def test_labels_begin_at_the_first_of_the_page(shop, sheet):
    pdf, count = printing.labels_of(shop, sheet.number, "a4-3x8")
    first = read_back(pdf)[0]
    assert count == 4 and first[1] == 0
    assert first[3] < 70 / 25.4 * DPI, "in the first column"


@pytest.mark.parametrize("skip", ["24", "-1", "x", "1e1", "99999"])
def test_more_than_a_page_is_not_peeled_off(as_operator, sheet, skip):
    answer = as_operator.get(f"/labels/sheet/{sheet.code}.pdf?layout=a4-3x8&skip={skip}")
    assert answer.status_code == 422 and "At most 23 labels" in answer.text


def test_an_unknown_paper_is_refused(as_operator, sheet):
    assert as_operator.get(f"/labels/sheet/{sheet.code}.pdf?layout=napkin").status_code == 422


def test_the_paper_is_remembered_on_the_tablet(as_operator, sheet):
    as_operator.get(f"/labels/sheet/{sheet.code}?layout=roll-50x25")
    assert as_operator.get_cookie(COOKIE).value == "roll-50x25"
    answer = as_operator.get(f"/labels/sheet/{sheet.code}.pdf")
    assert len(pypdfium2.PdfDocument(answer.data)) == 4, "one label a page"


def test_a_paper_that_is_no_more_is_forgotten(as_operator, sheet):
    as_operator.set_cookie(COOKIE, "papyrus")
    assert as_operator.get(f"/labels/sheet/{sheet.code}.pdf").status_code == 200


def test_the_labels_of_a_job_are_those_of_all_its_pieces(as_operator, small_job):
    answer = as_operator.get("/labels/job/J-1001.pdf")
    pieces = {code for name, code in small_job.items() if " " in name}
    assert set(codes_in(answer.data)) == pieces and len(codes_in(answer.data)) == 6


def test_a_recut_has_a_label_once_it_is_on_a_sheet(as_operator, shop, owner, small_job):
    recut = acts.mark(Caller(shop, owner), [small_job["A L"]], "lost").data["recuts"][0]
    answer = as_operator.get(f"/labels/thing/{recut}.pdf")
    assert answer.status_code == 422 and "is on no sheet yet. Nest it first." in answer.text


@pytest.mark.parametrize("mark", ["lost", "damaged"])
def test_a_piece_that_is_gone_gets_no_label(as_operator, shop, owner, sheet, small_job, mark):
    gone = sheets.on_sheet(shop.read(), sheet.id)[0].code
    acts.mark(Caller(shop, owner), [gone], mark)
    left = codes_in(as_operator.get(f"/labels/sheet/{sheet.code}.pdf").data)
    assert len(left) == 3 and gone not in left
    answer = as_operator.get(f"/labels/thing/{gone}.pdf")
    assert answer.status_code == 409 and "There is no piece to label" in answer.text


def test_a_piece_that_was_found_gets_its_label_again(as_operator, shop, owner, sheet):
    code = sheets.on_sheet(shop.read(), sheet.id)[0].code
    for mark in ("cut", "lost", "found"):
        acts.mark(Caller(shop, owner), [code], mark)
    assert code in codes_in(as_operator.get(f"/labels/sheet/{sheet.code}.pdf").data)


def test_the_label_of_a_spare_says_that_it_is_one(as_operator, shop, owner, small_job):
    code = small_job["B I"]
    acts.mark(Caller(shop, owner), [code], "cut")
    sign = jobs.sign_by_code(shop.read(), small_job["B"])
    signs.cancel(Caller(shop, owner), sign.id, "the customer called it off")
    [label] = printing.found_labels(shop.read(), code)
    assert (str(label.sign), label.sign_name, label.place) == ("spare", "", "")
    assert "<b>spare</b>" in as_operator.get(f"/labels/thing/{code}").text


@pytest.mark.parametrize("name", ["A L", "A"])
def test_one_thing_has_one_label(as_operator, small_job, name):
    answer = as_operator.get(f"/labels/thing/{small_job[name]}.pdf")
    assert codes_in(answer.data) == [small_job[name]]


def test_a_mistyped_code_is_refused(as_operator, small_job):
    assert as_operator.get("/labels/thing/12345678.pdf").status_code == 422


def test_a_sheet_that_there_is_not_is_not_there(as_operator, small_job):
    assert as_operator.get("/labels/sheet/S-999.pdf").status_code == 404
    assert as_operator.get("/labels/job/J-999").status_code == 404


def test_the_page_shows_the_first_label_its_symbol_and_the_papers(as_operator, shop, sheet):
    page = as_operator.get(f"/labels/sheet/{sheet.code}").text
    first = sheets.on_sheet(shop.read(), sheet.id)[0].code
    assert (
        f"{first[:4]} {first[4:]}" in page
        and "4 labels" in page
        and f"Labels: sheet {sheet.number}" in page
    )
    assert 'class="qr"' in page and page.count('name="skip"') == 24
    assert f'action="/labels/sheet/{sheet.code}.pdf"' in page
    assert "A4, 3 × 8" in page and "Letter, 3 × 10" in page and "Roll" in page
    assert (
        'name="skip"' not in as_operator.get(f"/labels/sheet/{sheet.code}?layout=roll-50x25").text
    )


def test_nobody_prints_who_is_not_signed_in(client, sheet):
    assert client.get(f"/labels/sheet/{sheet.code}.pdf").status_code == 303
