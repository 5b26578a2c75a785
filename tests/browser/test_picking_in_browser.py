"""The picking list on a tablet: a scanner that types lights the piece up where it goes, a tap on it puts it back."""

from __future__ import annotations

import pytest
from shop_for_tests import TABLETS, runs_off, sign_in, too_small

pytestmark = pytest.mark.browser

# The frame round the part just scanned, as wide as it is drawn, and whether the part's middle is inside it.
FRAMED = """(part) => {
  const frame = document.querySelector("path.trace.new").getBoundingClientRect();
  const piece = document.getElementById(`piece-${part}`).getBoundingClientRect();
  const x = piece.x + piece.width / 2, y = piece.y + piece.height / 2;
  return frame.left < x && x < frame.right && frame.top < y && y < frame.bottom
    && frame.width < piece.width + 60 && frame.width > piece.width;
}"""


def test_a_scan_lights_up_where_the_piece_goes_and_a_tap_puts_it_back(
    tablet, served, shop, tray_bench
):
    sign_in(tablet, served, shop, tray_bench.by)
    tablet.goto(f"{served}/bench/{tray_bench.codes['A']}/pick")
    part = shop.read().execute("SELECT id FROM part WHERE name = 'L'").fetchone()[0]

    tablet.keyboard.type(tray_bench.codes["A L"])  # as a scanner does: nobody tapped the field
    tablet.keyboard.press("Enter")
    tablet.locator(".pick-here", has_text="No. 2 'L', level 1").wait_for()
    assert tablet.evaluate(FRAMED, part)
    assert tablet.locator(".pick-row.lit").inner_text().startswith("2")
    assert tablet.locator("[data-scan]").input_value() == "", "ready for the next scan"

    tablet.keyboard.type(tray_bench.codes["B I"])
    tablet.keyboard.press("Enter")
    tablet.locator("#says.refused", has_text="Not for J-1001 A").wait_for()
    assert tablet.locator(".pick-here").count() == 0

    tablet.locator(f"#piece-{part}").click()
    tablet.locator("#says", has_text="put back").wait_for()
    assert tray_bench.lies("A L") is None
    tablet.locator("#says button", has_text="Undo").click()
    tablet.locator(".stamp", has_text="1 of 3 picked").wait_for()
    assert tray_bench.lies("A L") == ("the bench", True)
    assert tablet.faults == []


@pytest.mark.parametrize("turned", TABLETS)
def test_the_pages_fit_both_tablets_and_a_glove(tablet, served, shop, tray_bench, turned):
    sign_in(tablet, served, shop, tray_bench.by)
    bag = tray_bench.made("bag", "3")
    tablet.set_viewport_size(TABLETS[turned])
    for path in ("/trays", f"/trays/{bag}", f"/bench/{tray_bench.codes['A']}/pick"):
        tablet.goto(served + path)
        assert not runs_off(tablet) and too_small(tablet) == []
