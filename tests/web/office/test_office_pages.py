"""Office through its pages: people, settings, cements, ledger, undo."""

from __future__ import annotations

import json
import re
import sqlite3

import pytest

from shopfloor.actions import bench, pieces, signs
from shopfloor.actions import settings as settings_actions
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.errors import NotAllowed, Refused
from shopfloor.domain.settings import Settings
from shopfloor.store import cements as cement_store
from shopfloor.store import ledger, replay
from shopfloor.store import people as people_store
from shopfloor.store import settings as settings_store
from shopfloor.wording.ledger import action

HTMX = {"HX-Request": "true"}


def test_a_new_shop_has_the_defaults_of_the_design(shop):
    kept = settings_store.load(shop.read())
    assert kept == Settings()
    assert (kept.tool_mm, kept.gap_mm, kept.margin_mm) == (6.35, 8.35, 12)
    assert (kept.tab_length_mm, kept.tab_thickness_mm, kept.tab_every_mm, kept.fewest_tabs) == (
        6,
        0.8,
        150,
        2,
    )


def test_an_owner_changes_settings_and_they_hold(as_owner, shop):
    form = {"shop_name": "Pier Street Signs", "units": "in", "zone": "Europe/Lisbon"}
    form |= {"tool_mm": "3,175", "fewest_tabs": "3"}
    answer = as_owner.post("/office/settings", data=form)
    page = as_owner.get(answer.location).text
    assert "Settings changed" in page
    kept = settings_store.load(shop.read())
    assert (kept.shop_name, kept.units, kept.zone, kept.tool_mm, kept.fewest_tabs) == (
        "Pier Street Signs",
        "in",
        "Europe/Lisbon",
        3.175,
        3,
    )
    assert kept.gap_mm == 5.175
    assert replay.differences(shop.read()) == []


def test_undoing_a_change_of_settings_brings_the_old_ones_back(as_owner, shop):
    as_owner.post("/office/settings", data={"shop_name": "Pier Street Signs"})
    as_owner.post("/office/settings", data={"shop_name": "Quay Signs"})
    answer = as_owner.post(
        "/undo", data={"act": str(ledger.newest(shop.read())), "back": "/office/settings"}
    )
    assert answer.location.startswith("/office/settings?did=")
    assert settings_store.load(shop.read()).shop_name == "Pier Street Signs"


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("tool_mm", "wide", "Cutter diameter: type a number from 0.5 to 25 mm"),
        ("tool_mm", "nan", "from 0.5 to 25"),
        ("tool_mm", "1e999", "from 0.5 to 25"),
        ("margin_mm", "-1", "from 0 to 200"),
        ("fewest_tabs", "2.5", "whole number"),
        ("units", "ell", "choose mm or in"),
        ("zone", "Europe/Nowhere", "Time zone not found"),
        ("zone", "../../etc/passwd", "Time zone not found"),
        ("shop_name", " ", "1 to 60 letters"),
        ("address", "http://shop/", "as in SHOP.LAN:8000"),
        ("colour", "red", "no setting"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_and_nothing_is_kept(shop, owner, name, text, says):
    with pytest.raises(Refused, match=says):
        settings_actions.change_settings(Caller(shop, owner), {"skin_mm": "0.5", name: text})
    assert settings_store.load(shop.read()) == Settings()


def test_the_servers_own_address_stands_until_the_shop_sets_one(shop, owner):
    assert settings_store.load(shop.read(), "10.0.0.5:8000").address == "10.0.0.5:8000"
    settings_actions.change_settings(Caller(shop, owner), {"address": "shop.lan:80"})
    assert settings_store.load(shop.read(), "10.0.0.5:8000").address == "SHOP.LAN:80"


def test_only_owners_change_settings_cements_and_people(as_operator, shop, operator):
    with pytest.raises(NotAllowed):
        settings_actions.change_settings(Caller(shop, operator), {"skin_mm": "0.5"})
    for path in ("/office/settings", "/office/cements", "/office/people", "/office/people/1"):
        assert as_operator.get(path).status_code == 403
    assert (
        as_operator.post("/office/people", data={"name": "Eve", "role": "owner"}).status_code == 403
    )
    assert (
        as_operator.post("/office/people/1", data={"name": "Eve", "role": "owner"}).status_code
        == 403
    )
    page = as_operator.get("/office").text
    assert "/office/settings" not in page
    assert f"/office/people/{operator.person}" in page


def test_an_owner_adds_a_cement_by_its_data_sheet(as_owner, shop):
    form = {
        "name": "Two part",
        "cure_hours": "4",
        "reference_c": "23",
        "coldest_c": "18.5",
        "warmest_c": "30",
    }
    page = as_owner.get(as_owner.post("/office/cements", data=form).location).text
    assert "Two part can now be chosen at the bench." in page
    assert [cement.name for cement in cement_store.cements(shop.read())] == [
        "Solvent cement",
        "Two part",
    ]
    again = as_owner.post("/office/cements", data={**form, "name": "two PART"}, headers=HTMX)
    assert (again.status_code, "already" in again.text) == (422, True)
    crooked = as_owner.post(
        "/office/cements", data={**form, "name": "Other", "coldest_c": "25"}, headers=HTMX
    )
    assert "between the minimum and the maximum" in crooked.text


def test_a_person_comes_gets_a_pin_and_signs_in(as_owner, client):
    to = as_owner.post(
        "/office/people", data={"name": "Ines", "role": ["operator", "assembler"]}
    ).location
    assert "no PIN yet" in as_owner.get("/office/people").text
    as_owner.post(to.split("?")[0] + "/pin", data={"pin": "5511"})
    as_owner.post("/office/people/1/pin", data={"pin": "4826"})
    assert "Ines" in client.get("/sign-in").text
    assert client.post("/sign-in/2", data={"pin": "5511"}).status_code == 303
    assert "operator, assembler" in client.get("/office").text


UNFIT = [("", ["operator"]), ("x" * 41, ["operator"]), ("Ines", []), ("Ines", ["boss"])]


@pytest.mark.parametrize(("name", "roles"), UNFIT)
def test_a_person_without_a_fit_name_and_role_is_refused(as_owner, shop, name, roles):
    assert as_owner.post("/office/people", data={"name": name, "role": roles}).status_code == 422
    assert len(people_store.everyone(shop.read())) == 1


def test_the_ledger_shows_fifty_acts_a_page(as_owner, shop, owner):
    for number in range(60):
        settings_actions.change_settings(
            Caller(shop, owner), {"shop_name": f"Shop number {number}"}
        )
    first = as_owner.get("/office/ledger").text
    assert first.count("changed the settings") == 50
    older = as_owner.get("/office/ledger?before=12").text
    assert "set the shop up" in older
    assert ">Older<" not in older


def test_undo_in_the_ledger_marks_the_act_and_an_older_one_is_refused_in_place(
    as_owner, shop, owner
):
    settings_actions.change_settings(Caller(shop, owner), {"shop_name": "One"})
    settings_actions.change_settings(Caller(shop, owner), {"shop_name": "Two"})
    refused = as_owner.post("/undo", data={"act": "2", "back": "/office/ledger"}, headers=HTMX)
    assert refused.status_code == 409
    assert "Undo that first" in refused.text
    done = as_owner.post("/undo", data={"act": "3", "back": "/office/ledger"}, headers=HTMX)
    assert done.headers["HX-Redirect"] == "/office/ledger?did=4"
    assert ">undone<" in as_owner.get("/office/ledger").text


def test_undo_answers_in_place_where_no_way_back_is_given(as_owner, shop, owner):
    settings_actions.change_settings(Caller(shop, owner), {"shop_name": "One"})
    answer = as_owner.post("/undo", data={"act": "2", "key": "k9"}, headers=HTMX)
    assert "Undone: “Settings changed" in answer.text
    assert json.loads(answer.headers["HX-Trigger"])["undone"]["act"] == 2
    again = as_owner.post("/undo", data={"act": "2", "key": "k9"}, headers=HTMX)
    assert again.text == answer.text


@pytest.mark.parametrize(
    ("act", "status"), [("1", 409), ("", 422), ("x", 422), ("999", 404), ("٣", 422)]
)
def test_what_cannot_be_undone_is_told(as_owner, act, status):
    assert as_owner.post("/undo", data={"act": act}, headers=HTMX).status_code == status


def test_a_way_back_never_leads_to_another_site(as_owner, shop, owner):
    settings_actions.change_settings(Caller(shop, owner), {"shop_name": "One"})
    answer = as_owner.post("/undo", data={"act": "2", "back": "//example.com"})
    assert answer.location.startswith("/office/ledger?did=")


def test_others_may_undo_only_their_own(as_operator, shop, owner, operator):
    settings_actions.change_settings(Caller(shop, owner), {"shop_name": "One"})
    assert 'action="/undo"' not in as_operator.get("/office/ledger").text
    assert (
        as_operator.post("/undo", data={"act": str(ledger.newest(shop.read()))}).status_code == 403
    )


def test_check_says_whether_the_ledger_gives_the_state(as_owner, shop):
    assert "The ledger is sound: 1 action" in as_owner.post("/office/check", headers=HTMX).text
    behind = sqlite3.connect(shop.database.path)
    behind.execute("UPDATE person SET name = 'Somebody' WHERE id = 1")
    behind.commit()
    behind.close()
    answer = as_owner.post("/office/check", headers=HTMX).text
    assert "says refused" in answer
    assert "person 1: ledger and database do not match" in answer


def test_a_tablet_is_named_in_office(as_operator, shop, operator):
    answer = as_operator.post("/office/tablet", data={"name": " by the  router "})
    assert "shopfloor_tablet" in answer.headers["Set-Cookie"]
    assert 'value="by the router"' in as_operator.get("/office").text
    assert as_operator.post("/office/tablet", data={"name": "x" * 31}).status_code == 422


def test_the_ledger_names_the_sign_of_an_act(as_owner, shop, owner, small_job):
    sign = shop.read().execute("SELECT id FROM sign ORDER BY id").fetchone()["id"]
    signs.hold(Caller(shop, owner), sign)
    laying = (
        shop.read()
        .execute("SELECT id FROM step WHERE sign = ? ORDER BY number", (sign,))
        .fetchone()["id"]
    )
    signs.resume(Caller(shop, owner), sign)
    pieces.mark(
        Caller(shop, owner), [code for name, code in small_job.items() if len(name) > 1], "cut"
    )
    part = (
        shop.read()
        .execute("SELECT part FROM step_part WHERE step = ?", (laying,))
        .fetchone()["part"]
    )
    bench.set_out(Caller(shop, owner), laying, part)
    assert re.search(r"· J-1001 A: (&#39;|no\.)[^·]*: OK\.", as_owner.get("/office/ledger").text)


def test_the_ledger_shows_an_action_in_the_words_of_the_shop(as_owner):
    as_owner.post("/climate", data={"temperature": "21"})
    kept, shown = "noted how warm it is", "entered the temperature"
    page = as_owner.get("/office/ledger").text
    assert shown in page and kept not in page
    assert str(action("painted {it} red")) == "painted {it} red", "what it does not know stays"
