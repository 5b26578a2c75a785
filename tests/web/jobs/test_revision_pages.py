"""The pages of a new drawing: sent, looked at over the old one, confirmed; nothing changes before that."""

from __future__ import annotations

import io
import re
import time

from fixtures.revisions import NEW, OLD, svg

from shopfloor.store import jobs as store
from shopfloor.store import ledger, pieces


def sent(client, data: bytes) -> str:
    """Sends a new drawing; the path of the page that shows it."""
    answer = client.post(
        "/jobs/J-1001/drawing",
        data={"key": "up", "drawing": (io.BytesIO(data), "new.svg")},
        content_type="multipart/form-data",
    )
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"]


def ended(client, answer) -> str:
    """Waits for the change; the path of the page after it."""
    path = answer.headers["Location"]
    for _ in range(300):
        answer = client.get(path)
        if answer.status_code == 303:
            return answer.headers["Location"]
        time.sleep(0.02)
    raise AssertionError(answer.text)


def test_the_page_shows_new_over_old_and_counts_what_it_costs_before_anything_changes(
    as_operator, shop, under_way
):
    before = ledger.newest(shop.read())
    page = as_operator.get(sent(as_operator, NEW)).text
    assert "1 piece to cut" in page
    assert "2 unchanged, 1 moved, 1 new and 1 removed" in page
    assert re.search(r"<dt>Left over as spares</dt><dd>1 piece</dd>", page)
    assert "40 mm right: &#39;B&#39; (no. 3)" in page
    for kind in ("was", "gone", "new", "arrow"):
        assert f'class="trace {kind}"' in page
    assert ledger.newest(shop.read()) == before


def test_confirmed_it_changes_the_job_and_twice_is_once(as_operator, shop, under_way):
    path = sent(as_operator, NEW)
    first = as_operator.post(path, data={"key": "k1"})
    home = ended(as_operator, first)
    assert home.startswith("/jobs/J-1001")
    assert "follows the new drawing" in as_operator.get(home).text
    acts = ledger.newest(shop.read())
    again = as_operator.post(path, data={"key": "k1"})
    assert again.headers["Location"] == first.headers["Location"]
    assert ledger.newest(shop.read()) == acts
    assert {part.name for part in store.parts_of(shop.read(), 1)} == {"board", "A", "B", "F"}
    spare = pieces.by_code(shop.read(), under_way["C"])
    assert (spare.state, spare.part) == ("ready", None)


def test_the_same_drawing_again_says_so_and_offers_the_way_back(as_operator, under_way):
    path = sent(as_operator, OLD)
    page = as_operator.get(path).text
    assert (
        "The new drawing changes nothing" in page and "Change the job to this drawing" not in page
    )
    run = as_operator.post(path, data={"key": "k1"}).headers["Location"]
    for _ in range(300):
        if "changes nothing" in as_operator.get(run).text:
            return
        time.sleep(0.02)
    raise AssertionError(as_operator.get(run).text)


def test_spares_are_offered_and_get_a_new_label(as_operator, under_way):
    ended(as_operator, as_operator.post(sent(as_operator, NEW), data={"key": "k1"}))
    path = sent(as_operator, OLD)
    page = as_operator.get(path).text
    assert "1 spare in stock fits" in page and "Nothing to cut" in page
    ended(as_operator, as_operator.post(path, data={"key": "k2"}))
    page = as_operator.get("/jobs/J-1001").text
    assert "1 new label<" in page, "C is for another place than its label says"
    (way,) = set(re.findall(r'href="(/labels/act/\d+)"', page))
    assert "pieces reused for J-1001" in as_operator.get(way).text
    assert as_operator.get(way + ".pdf").data.startswith(b"%PDF")
    assert as_operator.get("/labels/act/1").status_code == 404, "no act that changed a drawing"


def test_cut_all_anew_is_a_choice(as_operator, under_way):
    ended(as_operator, as_operator.post(sent(as_operator, NEW), data={"key": "k1"}))
    path = sent(as_operator, OLD)
    without = as_operator.get(path + "?spares=no", headers={"HX-Request": "true"}).text
    assert "1 piece to cut" in without and "<html" not in without


def test_a_bad_drawing_is_refused_in_a_sentence_and_an_assembler_may_not_change_it(
    as_operator, as_assembler, under_way
):
    data = {"key": "up", "drawing": (io.BytesIO(b"%PDF-1.7"), "new.pdf")}
    answer = as_operator.post("/jobs/J-1001/drawing", data=data, content_type="multipart/form-data")
    assert answer.status_code == 422 and "is a PDF, not a drawing" in answer.text
    assert as_assembler.get("/jobs/J-1001/drawing").status_code == 403
    assert as_operator.get("/jobs/J-9999/drawing").status_code == 404


def test_the_pictures_of_the_floor_show_the_new_drawing_at_once(as_operator, shop, under_way):
    before = as_operator.get("/jobs/J-1001").text
    assert as_operator.get("/").status_code == 200
    ended(as_operator, as_operator.post(sent(as_operator, svg(("A", 40, 60))), data={"key": "k1"}))
    after = as_operator.get("/jobs/J-1001").text
    drawn = [
        len(
            re.findall(
                r'<path class="(?:waiting|nested|cut|ready|fixed|lost)[ "]', page.split("legend")[0]
            )
        )
        for page in (before, after)
    ]
    assert drawn == [4, 2]


def test_what_the_new_drawing_leaves_open_is_asked_and_must_be_answered(
    as_operator, shop, under_way
):
    """A star beside the board, of a colour that the shop does not know, in a drawing that names no unit."""
    star = '<path id="star" fill="#e9c46a" d="M700 40h40v40h-20z"/>'
    data = NEW.replace(b"</svg>", star.encode() + b"</svg>").replace(
        b'width="600mm" height="200mm" viewBox="0 0 600 200"', b""
    )
    path = sent(as_operator, data)
    page = as_operator.get(path).text
    assert "What was it drawn in?" in page and "is not on any panel" in page
    again = as_operator.post(path + "/unit", data={"key": "u", "unit": "mm"})
    assert again.status_code == 303
    page = as_operator.get(again.headers["Location"]).text
    assert "New: yellow, 6 mm" in page, "a stock is chosen for the new colour"
    refused = as_operator.post(path, data={"key": "k1"})
    assert refused.status_code == 422 and "First choose what it is." in refused.text
    without = re.search(r'href="([^"]*out=[^"]*)"', page)[1].replace("&amp;", "&")
    page = as_operator.get(without).text
    assert "1 piece to cut" in page and "is not on any panel" not in page
    hidden = dict(
        re.findall(r'type="hidden" name="(out|own|join|apart|unit)" value="([^"]*)"', page)
    )
    ended(as_operator, as_operator.post(path, data={"key": "k2", **hidden}))
    assert {part.name for part in store.parts_of(shop.read(), 1)} == {"board", "A", "B", "F"}
    assert len(store.signs_of_job(shop.read(), 1)) == 1
