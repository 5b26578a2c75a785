"""Finishing through the client: the check list, the photos, the record, Office's lists."""

import io
import re

import pypdfium2
import pytest
from PIL import Image
from shop_for_tests import HTMX, words

from shopfloor.actions import finishing as acts
from shopfloor.actions import signs
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import finishing as store
from shopfloor.store import ledger
from shopfloor.wording import finishing as wording


def jpeg(wide=60, high=40) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (wide, high), (30, 90, 150)).save(file, "JPEG")
    return file.getvalue()


def path(plates, last="") -> str:
    return f"/bench/{plates.code}{last}"


def send_photo(client, plates, data=None, note="front", key="p", **more):
    form = {"photo": (io.BytesIO(data or jpeg()), "camera.jpg"), "note": note, "key": key}
    return client.post(
        path(plates, "/photos"), data=form, content_type="multipart/form-data", **more
    )


# The check list. ------------------------------------------------------------------------------------------------------


def test_the_panel_lists_what_is_looked_at_with_its_caution(as_assembler, plates):
    page = as_assembler.get(path(plates))
    for item in plates.items("clean"):
        assert item in words(page)
    assert "Solvents craze acrylic" in words(page)
    assert page.text.count('class="check"') == len(plates.items("clean"))


def test_a_tap_ticks_and_another_takes_it_back(as_assembler, plates):
    clean, item = plates.step("Clean"), plates.items("clean")[0]
    ticked = as_assembler.post(
        path(plates, "/check"), data={"step": clean.id, "item": item, "key": "1"}, headers=HTMX
    )
    assert ticked.status_code == 200 and "<html" not in ticked.text
    assert 'class="check is-right" id="check-1" name="back"' in ticked.text
    assert "Undo" in ticked.text and "Milo" in words(ticked)
    back = as_assembler.post(
        path(plates, "/check"), data={"step": clean.id, "back": item, "key": "2"}, headers=HTMX
    )
    assert "is-right" not in back.text and plates.ticks("Clean") == []


def test_an_item_ticked_in_former_words_keeps_them_and_can_be_taken_back(
    as_assembler, shop, plates
):
    clean, former = plates.step("Clean"), wording.FORMER_ITEMS["clean"][1]
    with shop.database.write() as db:  # as a database has it from before the present words
        ledger.begin(db)
        store.tick(db, clean.id, former, "2026-11-25T08:00:00.000Z", 1)
        db.execute("DELETE FROM open_act")
    page = as_assembler.get(path(plates))
    assert f'name="back" value="{former}"' in page.text
    assert plates.items("clean")[1] not in words(page)
    as_assembler.post(
        path(plates, "/check"), data={"step": clean.id, "back": former, "key": "2"}, headers=HTMX
    )
    assert plates.ticks("Clean") == []


def test_without_htmx_a_tick_leads_back_to_the_sign(as_assembler, plates):
    clean, item = plates.step("Clean"), plates.items("clean")[0]
    answer = as_assembler.post(
        path(plates, "/check"), data={"step": clean.id, "item": item, "key": "1"}
    )
    assert answer.status_code == 303 and answer.location.startswith(path(plates))
    assert "3 items left" in words(as_assembler.get(answer.location))


def test_the_large_button_ticks_what_is_shown_and_finishes(as_assembler, plates):
    page = as_assembler.get(path(plates)).text
    shown = [
        item.replace("&#39;", "'") for item in re.findall(r'name="shown" value="([^"]*)"', page)
    ]
    assert shown == list(plates.items("clean"))
    as_assembler.post(
        path(plates, "/done"), data={"step": plates.step("Clean").id, "shown": shown, "key": "1"}
    )
    assert plates.step("Clean").done_at and len(plates.ticks("Clean")) == 4


def test_a_page_with_an_older_list_does_not_finish_the_step(as_assembler, shop, owner, plates):
    shown = list(plates.items("clean"))
    acts.change_check_list(Caller(shop, owner), "clean", ["No film left"])
    form = {"step": plates.step("Clean").id, "shown": shown, "key": "1"}
    answer = as_assembler.post(path(plates, "/done"), data=form, headers=HTMX)
    assert answer.status_code == 409 and "No film left" in words(answer)


def test_an_operator_sees_the_list_and_cannot_tick(as_operator, plates):
    page = as_operator.get(path(plates)).text
    shut = re.findall(r'<button class="check"[^>]* disabled', page)
    assert len(shut) == page.count('class="check"') == len(plates.items("clean"))
    assert "Only an assembler can do this." in page


def test_a_form_that_is_not_ours_is_refused(as_assembler, plates):
    answer = as_assembler.post(
        path(plates, "/check"), data={"step": "x", "item": "y"}, headers=HTMX
    )
    assert answer.status_code == 422


# Photos. --------------------------------------------------------------------------------------------------------------


def test_a_photo_is_sent_shown_and_taken_off(as_assembler, shop, plates):
    answer = send_photo(as_assembler, plates, headers=HTMX)
    assert answer.status_code == 200 and "Photo added to" in words(answer)
    shown = re.search(
        r'<img src="(/photos/[0-9a-f]{64}\.jpg)" width="60" height="40"', answer.text
    )[1]
    assert shown in as_assembler.get(path(plates)).text
    file = as_assembler.get(shown)
    assert file.headers["Content-Type"] == "image/jpeg" and file.data[:2] == b"\xff\xd8"
    assert file.headers["X-Content-Type-Options"] == "nosniff"
    assert file.headers["Cache-Control"].startswith("private")
    [one] = store.photos_of(shop.read(), plates.id)
    off = as_assembler.post(path(plates, f"/photos/{one.id}/off"), data={"key": "o"}, headers=HTMX)
    assert "Photo removed" in words(off) and shown not in off.text
    assert as_assembler.get(shown).status_code == 404


def test_without_htmx_a_photo_leads_back_to_the_sign(as_assembler, plates):
    answer = send_photo(as_assembler, plates)
    assert answer.status_code == 303 and answer.location.startswith(path(plates))


def test_a_photo_is_for_who_is_signed_in(as_assembler, client, shop, plates):
    send_photo(as_assembler, plates)
    shown = f"/photos/{store.photos_of(shop.read(), plates.id)[0].sha256}.jpg"
    refused = client.get(shown)
    assert refused.status_code in (302, 303) and b"\xff\xd8" not in refused.data
    assert send_photo(client, plates).location != as_assembler.get(shown).headers.get("Location")
    assert len(store.photos_of(shop.read(), plates.id)) == 1


@pytest.mark.parametrize(
    "name", ["x.jpg", "0" * 64 + ".jpg", "..%2f..%2fetc.jpg", "A" * 64 + ".jpg"]
)
def test_what_is_no_photo_of_the_shop_is_not_found(as_assembler, plates, name):
    assert as_assembler.get(f"/photos/{name}").status_code == 404


def test_what_is_no_photo_is_refused_in_a_sentence(as_assembler, shop, plates):
    assert "cannot be read as a photo" in words(
        send_photo(as_assembler, plates, b"not a photo", headers=HTMX)
    )
    nothing = as_assembler.post(path(plates, "/photos"), data={"key": "n"}, headers=HTMX)
    assert nothing.status_code == 422 and "Choose a photo first" in words(nothing)
    large = send_photo(as_assembler, plates, jpeg() + b"\0" * (15 << 20), headers=HTMX)
    assert large.status_code == 422 and "over 15 MB" in words(large)
    assert store.photos_of(shop.read(), plates.id) == []


def test_a_note_is_shown_as_it_was_written(as_assembler, plates):
    answer = send_photo(as_assembler, plates, note="<b>front</b> & back", headers=HTMX)
    assert "&lt;b&gt;front&lt;/b&gt; &amp; back" in answer.text


def test_a_photo_whose_file_is_not_here_shows_a_sentence(as_assembler, shop, plates):
    send_photo(as_assembler, plates)
    sha256 = store.photos_of(shop.read(), plates.id)[0].sha256
    with shop.database.write() as db:
        db.execute(
            "DELETE FROM photo_file"
        )  # as in a database that was put together from its ledger
    page = as_assembler.get(path(plates))
    assert page.status_code == 200 and "This photo did not come with this copy" in words(page)
    assert as_assembler.get(f"/photos/{sha256}.jpg").status_code == 404
    assert as_assembler.get(path(plates, "/record.pdf")).data[:5] == b"%PDF-"


# Handed over. ---------------------------------------------------------------------------------------------------------


def test_the_name_is_asked_at_the_handing_over_and_shown_after(as_assembler, shop, owner, plates):
    plates.build("Hand over")
    assert 'name="to_name" required' in as_assembler.get(path(plates)).text
    form = {
        "step": plates.step("Hand over").id,
        "shown": list(plates.items("hand over")),
        "key": "1",
    }
    refused = as_assembler.post(path(plates, "/done"), data=form, headers=HTMX)
    assert refused.status_code == 422 and "who took the sign" in words(refused)
    as_assembler.post(
        path(plates, "/done"), data={**form, "to_name": "P. <Harbourmaster>", "key": "2"}
    )
    shown = words(send_photo(as_assembler, plates, headers=HTMX))
    assert "Handed over to P. <Harbourmaster>, 14:12, Milo." in shown
    signs.reopen(Caller(shop, owner), plates.id, "a letter came loose")
    assert "Reopened since" in words(
        send_photo(as_assembler, plates, jpeg(61), key="q", headers=HTMX)
    )


def test_the_record_is_a_pdf_of_one_page(as_assembler, plates):
    plates.build("")
    send_photo(as_assembler, plates)
    answer = as_assembler.get(path(plates, "/record.pdf"))
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'inline; filename="J-1001-A-record.pdf"'
    [page] = pypdfium2.PdfDocument(answer.data)
    said = " ".join(page.get_textpage().get_text_bounded().split())
    assert "J-1001 A" in said and "P. Harbourmaster" in said and plates.items("inspect")[0] in said
    assert as_assembler.get(path(plates, "/record.pdf")).data == answer.data
    [letter] = pypdfium2.PdfDocument(
        as_assembler.get(path(plates, "/record.pdf?paper=letter")).data
    )
    assert [round(side) for side in letter.get_size()] == [612, 792]  # ANSI/ASME Y14.1: 8.5 × 11 in


# Office. --------------------------------------------------------------------------------------------------------------


def test_an_owner_writes_a_list_in_office_and_goes_back(as_owner, plates):
    page = as_owner.get("/office/check-lists")
    assert plates.items("inspect")[3] in words(page)
    form = {"kind": "clean", "items": "No film left\r\n\r\n No dust ", "key": "1"}
    answer = as_owner.post("/office/check-lists", data=form)
    assert answer.status_code == 303 and plates.items("clean") == ("No film left", "No dust")
    page = as_owner.get(answer.location)
    assert "now has 2 items" in words(page) and "Back to the usual list" in words(page)
    as_owner.post(
        "/office/check-lists", data={"kind": "clean", "usual": "1", "items": "x", "key": "2"}
    )
    assert len(plates.items("clean")) == 4


def test_office_refuses_a_list_in_a_sentence(as_owner, plates):
    long = as_owner.post(
        "/office/check-lists", data={"kind": "clean", "items": "x" * 200, "key": "1"}, headers=HTMX
    )
    assert long.status_code == 422 and "200 letters" in words(long)
    assert (
        as_owner.post(
            "/office/check-lists", data={"kind": "glue", "items": "x", "key": "2"}
        ).status_code
        == 422
    )


def test_only_owners_come_to_the_lists(as_assembler, plates):
    assert as_assembler.get("/office/check-lists").status_code == 403
    assert (
        as_assembler.post(
            "/office/check-lists", data={"kind": "clean", "items": "No film"}
        ).status_code
        == 403
    )
