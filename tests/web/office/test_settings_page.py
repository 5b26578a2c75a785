"""Office's page of settings: every setting stands on it, under its heading, and is kept."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import HTMX, words

from shopfloor.actions import cutters
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.settings import OFFERED, Settings
from shopfloor.store import settings as store

SMALL = {
    "name": "small letters",
    "diameter_mm": "3.175",
    "flutes": "1",
    "edge": "up-cut",
    "is_polished": "on",
    "reach_mm": "12",
}
# A value of each kind that is none of the defaults.
OTHERS = {
    "shop_name": "Pier Street Signs",
    "address": "PIER.LAN:80",
    "zone": "Europe/Lisbon",
    "units": "in",
    "pump": "rotary vane",
    "cutter": "1",
    "thermometer": "/var/gauge.json",
    "inch_fraction": "32",
}


def other(name: str) -> str:
    """A value within the bounds of a setting that it does not have by default."""
    if name in OTHERS:
        return OTHERS[name]
    field = OFFERED[name]
    least, most, usual = field.declared.least, field.declared.most, field.default
    value = field.kind(min(most, max(least, round(usual * 1.25 + 0.01, 2))))
    return f"{value + (value == usual):g}"


def test_every_setting_on_offer_is_on_the_page_and_is_kept(as_owner, shop, owner):
    cutters.add_cutter(Caller(shop, owner), SMALL)
    page = as_owner.get("/office/settings").text
    assert set(re.findall(r'<(?:input|select) [^>]*?name="(\w+)"', page)) == {*OFFERED, "key"}
    typed = {name: other(name) for name in OFFERED}
    as_owner.post("/office/settings", data=typed)
    kept = store.load(shop.read())
    assert {name: getattr(kept, name) for name in OFFERED} == {
        name: OFFERED[name].kind(text) for name, text in typed.items()
    }
    assert all(getattr(kept, name) != getattr(Settings(), name) for name in OFFERED)


def test_a_setting_that_is_offered_no_more_stays_in_force_and_can_go_back(as_owner, shop):
    with shop.database.write() as db:
        db.execute("INSERT INTO temp.open_act VALUES (1)")
        store.write(db, "leakage_share", 0.2)
        db.execute("DELETE FROM temp.open_act")
    page = words(as_owner.get("/office/settings"))
    assert "From an earlier version" in page and "Vacuum lost to leaks: 0.2" in page
    answer = as_owner.post("/office/settings/leakage_share/usual", follow_redirects=True)
    assert "Settings changed: Vacuum lost to leaks." in words(answer)
    assert "From an earlier version" not in words(answer)
    assert store.load(shop.read()).leakage_share == Settings().leakage_share
    assert as_owner.post("/office/settings/friction/usual").status_code == 422


def test_a_long_name_of_no_setting_is_shown_by_its_first_forty_letters(as_owner):
    answer = as_owner.post(f"/office/settings/{'n' * 41}/usual")
    assert (answer.status_code, "n" * 40 in answer.text, "n" * 41 in answer.text) == (
        422,
        True,
        False,
    )


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"pump": "rotary vane"}, "Settings changed: Pump."),
        (
            {"tool_mm": "3", "units": "in"},
            "Settings changed: Units of length and Cutter diameter.",
        ),
        (
            {"shop_name": "Pier", "gauge_inhg": "7", "chip_mm": "0.15"},
            "Settings changed: Shop name, Chip load and Vacuum read at the sheet.",
        ),
        (
            {"zone": "Europe/Lisbon", "address": "PIER.LAN", "skin_mm": "0.5"},
            "Settings changed: Address on labels, Time zone and Onion skin.",
        ),
        (
            {
                "zone": "Europe/Lisbon",
                "address": "PIER.LAN",
                "tape_min": "2",
                "friction": "0.4",
                "skin_mm": "0.5",
            },
            "Settings changed: Address on labels, Time zone, Onion skin and 2 more.",
        ),
    ],
)
def test_what_was_changed_is_named_on_the_page_and_in_the_ledger(as_owner, typed, says):
    answer = as_owner.post("/office/settings", data=typed)
    assert says in words(as_owner.get(answer.location))
    assert says in words(as_owner.get("/office/ledger"))


@pytest.mark.parametrize(
    ("typed", "heading"),
    [
        ({"skin_mm": "0.6"}, "#cutting"),
        ({"pump": "rotary vane"}, "#holding"),
        ({"zones_along": "3"}, "#table"),
        ({"fewest_tabs": "3"}, "#tabs"),
        ({"gap_over_tool_mm": "3"}, "#nesting"),
        ({"hour_cost": "50"}, "#money"),
        ({"shop_name": "Pier", "hour_cost": "50"}, ""),
        ({"hour_cost": "40"}, ""),
    ],
)
def test_saving_comes_back_to_the_heading_of_what_was_changed(as_owner, typed, heading):
    answer = as_owner.post("/office/settings", data={"key": "k", **typed}, headers=HTMX)
    assert answer.headers["HX-Redirect"] == f"/office/settings?did=2{heading}"
    assert not heading or f'<h2 id="{heading[1:]}">' in as_owner.get("/office/settings").text
    again = as_owner.post("/office/settings", data={"key": "k", **typed}, headers=HTMX)
    assert again.headers["HX-Redirect"] == answer.headers["HX-Redirect"], (
        "a retry gets the first answer"
    )


def test_an_address_that_the_shop_never_set_is_not_set_by_saving_something_else(
    as_owner, app, shop
):
    shown = app.config["ADDRESS"] = "PIER.LAN:8080"
    assert f'name="address" value="{shown}"' in as_owner.get("/office/settings").text
    answer = as_owner.post("/office/settings", data={"address": shown, "hour_cost": "50"})
    assert "Settings changed: Cost of an hour." in words(as_owner.get(answer.location))
    assert store.load(shop.read()).address == Settings().address
    as_owner.post("/office/settings", data={"address": "OTHER.LAN:80"})
    assert store.load(shop.read()).address == "OTHER.LAN:80"


def test_the_cutter_leads_back_to_cutting(as_owner, shop, owner):
    cutters.add_cutter(Caller(shop, owner), SMALL)
    answer = as_owner.post("/office/settings", data={"cutter": "1"})
    assert answer.location.endswith("#cutting") and "Settings changed: Cutter." in words(
        as_owner.get(answer.location)
    )


def test_saving_the_page_as_it_stands_changes_nothing(as_owner, shop, owner):
    page = as_owner.get("/office/settings").text
    inputs = dict(re.findall(r'<input name="(\w+)" value="([^"]*)"', page))
    answer = as_owner.post("/office/settings", data=inputs, follow_redirects=True)
    assert "Nothing to change" in answer.text
    assert len(inputs) == len(OFFERED) - 4, "all but units, fraction, pump and cutter"


def test_headings_units_and_what_is_from_memory_stand_on_the_page(as_owner):
    page = words(as_owner.get("/office/settings"))
    for said in (
        "Cutting",
        "Hold-down",
        "Vacuum table",
        "Tabs",
        "Money and days",
        "Chip load, mm per tooth",
        "Read with the pieces on the table. 0: not read",
        "Measure your own. Default: from memory.",
        "Cutting energy, J/mm³",
    ):
        assert said in page


def test_the_cutter_is_chosen_from_the_list_or_is_the_usual_one(as_owner, shop, owner):
    id = cutters.add_cutter(Caller(shop, owner), SMALL).data["cutter"]
    page = as_owner.get("/office/settings").text
    assert '<option value="0" selected>the usual cutter</option>' in page
    as_owner.post("/office/settings", data={"cutter": str(id)})
    assert (
        f'<option value="{id}" selected>small letters · 3.175 mm, 1 flute'
        in as_owner.get("/office/settings").text
    )


def test_the_table_is_drawn_with_its_zones(as_owner):
    as_owner.post(
        "/office/settings",
        data={
            "table_length_mm": "3000",
            "table_width_mm": "1500",
            "zones_along": "3",
            "zones_across": "1",
        },
    )
    page = as_owner.get("/office/settings").text
    assert re.findall(r'<path class="zone" d="([^"]+)"', page) == ["M140.0 0V210", "M280.0 0V210"]
    assert "3000" in page and "1500" in page


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("pump", "bellows", "blower or rotary vane"),
        ("gauge_inhg", "31", "from 0 to 29.9"),
        ("zones_along", "2.5", "whole"),
        ("friction", "0", "from 0.05 to 1"),
        ("hour_cost", "-1", "from 0 to"),
        ("sheets_a_day", "nan", "whole number"),
    ],
)
def test_nonsense_is_refused_in_one_sentence(as_owner, shop, name, text, says):
    answer = as_owner.post("/office/settings", data={"hour_cost": "50", name: text}, headers=HTMX)
    assert answer.status_code == 422 and says in words(answer)
    assert store.load(shop.read()) == Settings()
