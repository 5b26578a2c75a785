"""The end of the bench in Chromium, on the real server: ticking, a photo from a file, the button that ends the step."""

import io

import pytest
from PIL import Image
from shop_for_tests import sign_in

from shopfloor.actions import finishing as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import finishing as store

pytestmark = pytest.mark.browser


def jpeg() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (2400, 1600), (40, 90, 140)).save(file, "JPEG")
    return file.getvalue()


def test_an_assembler_ticks_the_list_keeps_a_photo_and_ends_the_step(
    served, tablet, shop, assembler, owner, plates
):
    items = plates.items("clean")
    sign_in(tablet, served, shop, assembler)
    tablet.goto(f"{served}/bench/{plates.code}")
    tablet.click("#check-1")
    tablet.wait_for_selector("#check-1.is-right")
    tablet.click("#check-2")
    tablet.wait_for_selector("#check-2.is-right")
    tablet.click("#check-1")  # not right after all
    tablet.wait_for_selector("#check-1:not(.is-right)")
    assert plates.ticks("Clean") == [items[1]]

    tablet.click(".new-photo summary")
    tablet.set_input_files(
        ".new-photo input[type=file] >> nth=1",
        {"name": "front.jpg", "mimeType": "image/jpeg", "buffer": jpeg()},
    )
    tablet.fill(".new-photo input[name=note]", "front")
    acts.check_off(
        Caller(shop, owner), plates.step("Clean").id, items[2]
    )  # on another tablet: this page refreshes itself
    tablet.evaluate("htmx.trigger('#bench', 'cured')")
    tablet.wait_for_selector("#check-3.is-right")
    assert tablet.input_value(".new-photo input[name=note]") == "front", (
        "what is typed and chosen stays"
    )
    tablet.click(".new-photo button")
    shown = tablet.wait_for_selector(".shot img")
    shown.scroll_into_view_if_needed()
    assert (
        shown.evaluate("async (image) => { await image.decode(); return image.naturalWidth; }")
        == 1600
    )
    [kept] = store.photos_of(shop.read(), plates.id)
    assert (kept.note, kept.wide_px, kept.high_px) == ("front", 1600, 1067)

    tablet.get_by_role("button", name="Cleaned").click()
    tablet.wait_for_selector("text=Next: polish")
    assert set(plates.ticks("Clean")) == set(items)
    assert tablet.faults == []
