"""Office's list of cutters: added, drawn, used, retired."""

from __future__ import annotations

import math
import re

import pytest
from shop_for_tests import HTMX, words

from shopfloor.domain.routing.cutters import Cutter
from shopfloor.store import cutters as store
from shopfloor.store import ledger, replay
from shopfloor.web.office.cutters import drawn

SMALL = {
    "name": "small letters",
    "diameter_mm": "3,175",
    "flutes": "1",
    "edge": "up-cut",
    "is_polished": "on",
    "helix_deg": "",
    "reach_mm": "12",
}


def test_a_shop_without_a_list_has_the_usual_cutter(as_owner):
    as_owner.post("/office/settings", data={"tool_mm": "8"})
    page = words(as_owner.get("/office/cutters"))
    assert "the usual O-flute" in page and "8 mm, 2 flutes, straight, polished" in page
    assert (
        "In use for materials without their own cutter" in page
        and "its length is from memory" in page
    )
    assert "Retire" not in page


def test_a_cutter_is_added_from_its_form_and_stands_in_the_list(as_owner, shop):
    answer = as_owner.post("/office/cutters", data={"key": "k", **SMALL})
    page = words(as_owner.get(answer.location))
    for said in (
        "small letters is on the list",
        "3.175 mm, 1 flute, up-cut, polished",
        "cuts up to 12 mm deep",
        "helix 30°, lifts",
    ):
        assert said in page
    assert store.cutters(shop.read()) == [
        Cutter(1, "small letters", 3.175, 1, "up-cut", True, 30, 12)
    ]
    assert replay.differences(shop.read()) == []


def test_one_that_is_not_polished_and_presses_down_says_so(as_owner):
    down = {name: text for name, text in SMALL.items() if name != "is_polished"} | {
        "edge": "down-cut",
        "helix_deg": "25",
    }
    as_owner.post("/office/cutters", data=down)
    page = words(as_owner.get("/office/cutters"))
    assert "3.175 mm, 1 flute, down-cut cuts up to" in page and "helix 25°, presses down" in page


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": " "}, "1 to 40 letters"),
        ({"diameter_mm": "thin"}, "from 0.5 to 25"),
        ({"flutes": "1.5"}, "whole number"),
        ({"edge": "saw"}, "Edge: choose straight"),
        ({"reach_mm": "0"}, "from 1 to 200"),
        ({"edge": "straight", "helix_deg": "30"}, "has no helix"),
    ],
)
def test_a_cutter_that_cannot_be_is_refused_in_one_sentence(as_owner, shop, wrong, says):
    before = ledger.newest(shop.read())
    answer = as_owner.post("/office/cutters", data={**SMALL, **wrong}, headers=HTMX)
    assert (
        answer.status_code == 422
        and says in words(answer)
        and answer.headers["HX-Retarget"] == "#says"
    )
    assert ledger.newest(shop.read()) == before and store.cutters(shop.read()) == []


def test_two_cutters_of_one_name_are_not_kept(as_owner):
    as_owner.post("/office/cutters", data=SMALL)
    again = as_owner.post("/office/cutters", data={**SMALL, "name": "Small  LETTERS"}, headers=HTMX)
    assert (again.status_code, "already" in again.text) == (409, True)


def test_the_name_of_a_retired_cutter_is_refused_kindly(as_owner):
    as_owner.post("/office/cutters", data=SMALL)
    as_owner.post("/office/cutters/1/retire")
    answer = as_owner.post("/office/cutters", data=SMALL, headers=HTMX)
    assert answer.status_code == 409 and "A retired cutter is called" in words(answer)


def test_a_cutter_is_retired_and_offered_no_more(as_owner, shop):
    as_owner.post("/office/cutters", data=SMALL)
    assert "Retire" in words(as_owner.get("/office/cutters"))
    answer = as_owner.post("/office/cutters/1/retire", data={"key": "r"})
    assert "small letters is off the list" in words(as_owner.get(answer.location))
    assert store.cutters(shop.read()) == []
    assert "small letters" not in words(as_owner.get("/office/settings"))
    assert as_owner.post("/office/cutters/9/retire", headers=HTMX).status_code == 404


def test_one_that_the_shop_cuts_with_has_no_button_and_is_not_retired(as_owner, shop):
    as_owner.post("/office/cutters", data=SMALL)
    as_owner.post("/office/settings", data={"cutter": "1"})
    page = words(as_owner.get("/office/cutters"))
    assert page.count("In use for materials without their own cutter") == 1 and "Retire" not in page
    refused = as_owner.post("/office/cutters/1/retire", headers=HTMX)
    assert (refused.status_code, "Choose another cutter there first" in words(refused)) == (
        409,
        True,
    )


def test_only_an_owner_sees_and_changes_the_list(as_operator, shop):
    assert as_operator.get("/office/cutters").status_code == 403
    assert as_operator.post("/office/cutters", data=SMALL).status_code == 403
    assert as_operator.post("/office/cutters/1/retire").status_code == 403
    assert "/office/cutters" not in as_operator.get("/office").text


def test_a_name_is_escaped(as_owner):
    as_owner.post("/office/cutters", data={**SMALL, "name": "<b>bold</b>"})
    page = as_owner.get("/office/cutters").text
    assert "<b>bold" not in page and "&lt;b&gt;bold" in page


def slope(line: str) -> float:
    x, y, to_x, to_y = map(
        float, re.fullmatch(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", line).groups()
    )
    return (y - to_y) / (to_x - x)


def test_a_helix_is_drawn_as_steep_as_half_a_turn_of_it_and_turned_over_for_a_down_cut():
    """Half a turn of a helix with the angle b to the axis takes π D / (2 tan b) of the length (plane geometry)."""
    up = drawn(Cutter(1, "up", 6, 2, "up-cut", True, 30, 22), 10)
    down = drawn(Cutter(2, "down", 6, 2, "down-cut", True, -30, 22), 10)
    assert slope(up.flutes[0]) == pytest.approx(2 * math.tan(math.radians(30)) / math.pi, abs=2e-3)
    assert slope(down.flutes[0]) == pytest.approx(-slope(up.flutes[0]))
    assert (up.cutting_px, up.high_px) == (220, 60)


def test_a_compression_cutter_lifts_at_its_tip_and_presses_above():
    lines = drawn(Cutter(1, "both", 6, 2, "compression", True, 30, 40), 4).flutes
    assert slope(lines[0]) > 0 > slope(lines[-1])
