"""Signing in, waiting after wrong PINs, sessions, the first visit."""

from __future__ import annotations

from datetime import timedelta

import pytest
from werkzeug.security import generate_password_hash

from shopfloor.actions import people as actions
from shopfloor.actions.unit_of_work import Caller, stamp
from shopfloor.domain.errors import Conflict, NotAllowed, Refused
from shopfloor.store import ledger, replay
from shopfloor.store import people as store

CHEAP = "pbkdf2:sha256:1"


@pytest.fixture
def owner_with_pin(shop):
    return actions.set_first_pin(shop, "4826", method=CHEAP)


def cookies_of(response) -> dict[str, str]:
    return {line.split("=", 1)[0]: line for line in response.headers.getlist("Set-Cookie")}


def test_a_new_shop_has_one_owner_and_one_cement_through_the_ledger(shop):
    actions.first_owner(shop)
    assert [person.name for person in store.everyone(shop.read())] == ["Owner"]
    assert ledger.newest(shop.read()) == 1
    cement = (
        shop.read()
        .execute("SELECT name, cure_hours, reference_c, coldest_c, warmest_c FROM cement")
        .fetchone()
    )
    assert tuple(cement) == ("Solvent cement", 24.0, 23.0, 16.0, 38.0)
    assert replay.differences(shop.read()) == []


def test_the_first_visit_from_the_machine_itself_sets_the_owners_pin_and_signs_in(client):
    assert client.get("/sign-in").location == "/first-visit"
    assert "Owner's new PIN" in client.get("/first-visit").text
    answer = client.post("/first-visit", data={"pin": "4826"})
    assert answer.status_code == 303
    assert client.get("/office").status_code == 200


@pytest.mark.parametrize(
    "way",
    [
        {"environ_overrides": {"REMOTE_ADDR": "192.168.1.31"}},
        {"headers": {"X-Forwarded-For": "127.0.0.1"}},
        {"headers": {"Host": "shop.example:8000"}},
    ],
    ids=["another machine", "a proxy", "a foreign name that leads here"],
)
def test_the_first_visit_from_elsewhere_is_told_to_go_to_the_machine(client, shop, way):
    assert "Set it at the machine itself" in client.get("/first-visit", **way).text
    answer = client.post("/first-visit", data={"pin": "4826"}, **way)
    assert answer.status_code == 403
    assert "at the machine itself" in answer.text
    assert not store.has_owner_with_pin(shop.read())


def test_the_first_pin_is_set_once_only(client, shop, owner_with_pin):
    answer = client.post("/first-visit", data={"pin": "1111"})
    assert answer.status_code == 403
    assert "Sign in with it" in answer.text
    with pytest.raises(NotAllowed):
        actions.sign_in(shop, owner_with_pin, "1111", None)


@pytest.mark.parametrize("pin", ["", "123", "123456789", "12a4", "١٢٣٤"])
def test_a_pin_has_four_to_eight_digits(client, shop, pin):
    assert "Type a PIN of 4 to 8 digits" in client.post("/first-visit", data={"pin": pin}).text
    assert not store.has_owner_with_pin(shop.read())


def test_signing_in_goes_on_to_the_page_that_was_asked_for(client, owner_with_pin):
    asked = client.get("/office/ledger?before=9")
    assert asked.location == "/sign-in?next=/office/ledger?before%3D9"
    tile = client.get(asked.location).text
    assert "/sign-in/1?next=/office/ledger?before%3D9" in tile
    answer = client.post("/sign-in/1", data={"pin": "4826", "next": "/office/ledger?before=9"})
    assert (answer.status_code, answer.location) == (303, "/office/ledger?before=9")


ELSEWHERE = [
    "https://example.com/",
    "//example.com",
    "/\\example.com",
    "javascript:alert('example')",
    "/\nexample",
]


@pytest.mark.parametrize("to", ELSEWHERE)
def test_signing_in_never_leads_to_another_site(client, owner_with_pin, to):
    answer = client.post("/sign-in/1", data={"pin": "4826", "next": to})
    assert answer.status_code == 303
    assert answer.location.startswith("/")
    assert "example" not in answer.location


def test_the_cookies_are_closed_to_scripts_and_other_sites(client, owner_with_pin):
    cookies = cookies_of(client.post("/sign-in/1", data={"pin": "4826"}))
    for name in ("shopfloor_session", "shopfloor_tablet"):
        assert "HttpOnly" in cookies[name]
        assert "SameSite=Lax" in cookies[name]
    assert "Max-Age" not in cookies["shopfloor_session"]
    assert (
        "Secure"
        in cookies_of(
            client.post("/sign-in/1", data={"pin": "4826"}, base_url="https://localhost")
        )["shopfloor_session"]
    )


def test_the_database_holds_neither_pin_nor_token(client, shop, owner_with_pin):
    token = (
        cookies_of(client.post("/sign-in/1", data={"pin": "4826"}))["shopfloor_session"]
        .split("=")[1]
        .split(";")[0]
    )
    dump = "\n".join(shop.read().iterdump())
    assert token not in dump
    assert "'4826'" not in dump
    assert generate_password_hash("4826")[:7] == "scrypt:"
    assert actions.HASH == "scrypt"


def test_a_wrong_pin_is_said_and_the_keypad_is_empty_again(client, owner_with_pin):
    answer = client.post("/sign-in/1", data={"pin": "0917"})
    assert answer.status_code == 403
    assert "Wrong PIN. Type it again." in answer.text
    assert "0917" not in answer.text
    assert client.get("/office").status_code == 303


def test_after_five_wrong_pins_even_the_right_one_waits(client, clock, owner_with_pin):
    for _ in range(4):
        assert "Type it again" in client.post("/sign-in/1", data={"pin": "0000"}).text
    assert "Wait 30 seconds" in client.post("/sign-in/1", data={"pin": "0000"}).text
    clock.forward(seconds=29)
    assert "Wait 1 second," in client.post("/sign-in/1", data={"pin": "4826"}).text
    clock.forward(seconds=1)
    assert client.post("/sign-in/1", data={"pin": "4826"}).status_code == 303
    assert "Type it again" in client.post("/sign-in/1", data={"pin": "0000"}).text


def test_the_wait_doubles_up_to_a_quarter_of_an_hour():
    waits = [actions.wait_after(failures) for failures in range(13)]
    assert waits[:5] == [timedelta(0)] * 5
    assert [wait.total_seconds() for wait in waits[5:]] == [30, 60, 120, 240, 480, 900, 900, 900]
    assert actions.wait_after(100_000) == timedelta(minutes=15)


@pytest.mark.parametrize(
    ("failures", "gone", "says"),
    [
        (5, 29.8, "Wait 1 second,"),
        (6, 0, "Wait 60 seconds"),
        (7, 31, "Wait 89 seconds"),
        (7, 30, "Wait 2 minutes"),
        (8, 59, "Wait 4 minutes"),
        (8, 60, "Wait 3 minutes"),
    ],
)
def test_what_is_left_of_the_wait_is_told_in_seconds_then_in_whole_minutes(
    shop, clock, owner_with_pin, failures, gone, says
):
    with shop.database.write() as db:
        for _ in range(failures):
            store.count_try(db, owner_with_pin, stamp(clock()))
    clock.forward(seconds=gone)
    with pytest.raises(NotAllowed, match=says):
        actions.sign_in(shop, owner_with_pin, "4826", None)


def test_one_persons_wrong_pins_do_not_hold_up_another(shop, owner, operator):
    actions.set_pin(Caller(shop, owner), owner.person, "4826", method=CHEAP)
    actions.set_pin(Caller(shop, owner), operator.person, "5511", method=CHEAP)
    for _ in range(6):
        with pytest.raises(NotAllowed):
            actions.sign_in(shop, operator.person, "0000", None)
    assert actions.sign_in(shop, owner.person, "4826", None)


def test_a_session_ends_after_twelve_idle_hours_and_not_before(shop, clock, owner_with_pin):
    token, _ = actions.sign_in(shop, owner_with_pin, "4826", None)
    clock.forward(hours=11)
    assert actions.who_is(shop, token).name == "Owner"
    clock.forward(hours=11)
    assert actions.who_is(shop, token).name == "Owner"
    clock.forward(hours=12)
    assert actions.who_is(shop, token).name == "Owner"
    clock.forward(hours=12, seconds=1)
    assert actions.who_is(shop, token) is None


def test_signing_in_ends_no_other_session_before_its_twelve_hours(
    shop, clock, owner, operator, owner_with_pin
):
    actions.set_pin(Caller(shop, owner), operator.person, "5511", method=CHEAP)
    token, _ = actions.sign_in(shop, owner_with_pin, "4826", None)
    clock.forward(hours=12)
    actions.sign_in(shop, operator.person, "5511", None)
    assert actions.who_is(shop, token, is_poll=True)
    clock.forward(seconds=1)
    actions.sign_in(shop, operator.person, "5511", None)
    assert store.session_of(shop.read(), actions.hashed_token(token)) is None


def test_the_last_use_of_a_session_is_written_after_more_than_five_minutes(
    shop, clock, owner_with_pin
):
    token, _ = actions.sign_in(shop, owner_with_pin, "4826", None)
    signed_in = stamp(clock())
    clock.forward(minutes=5)
    actions.who_is(shop, token)
    assert store.session_of(shop.read(), actions.hashed_token(token))[1] == signed_in
    clock.forward(seconds=1)
    actions.who_is(shop, token)
    assert store.session_of(shop.read(), actions.hashed_token(token))[1] == stamp(clock())


def test_a_page_that_refreshes_itself_does_not_keep_the_session(shop, clock, owner_with_pin):
    token, _ = actions.sign_in(shop, owner_with_pin, "4826", None)
    clock.forward(hours=11)
    assert actions.who_is(shop, token, is_poll=True)
    clock.forward(hours=2)
    assert actions.who_is(shop, token) is None


def test_signing_out_is_a_post_and_ends_the_session(as_owner):
    assert as_owner.get("/sign-out").status_code == 405
    assert as_owner.post("/sign-out").location == "/sign-in"
    as_owner.set_cookie("shopfloor_session", "a-token-of-Owner")
    assert as_owner.get("/office").status_code == 303


def test_the_next_person_on_a_tablet_ends_the_session_of_the_last(client, shop, owner_with_pin):
    for _ in range(3):
        client.post("/sign-in/1", data={"pin": "4826"})
    assert shop.read().execute("SELECT count(*) FROM session").fetchone()[0] == 1


def test_tablets_are_numbered_and_keep_their_names(app, shop, owner_with_pin):
    from_first = [actions.sign_in(shop, owner_with_pin, "4826", None)[1] for _ in range(2)]
    assert from_first == ["tablet 1", "tablet 2"]
    assert actions.sign_in(shop, owner_with_pin, "4826", "by the router")[1] == "by the router"


@pytest.mark.parametrize("name", ["x", "x" * 30])
def test_a_tablet_is_named_in_one_to_thirty_letters(name):
    assert actions.checked_tablet(f"  {name} ") == name


@pytest.mark.parametrize("name", ["", "   ", "x" * 31, "a\x00b", None])
def test_a_cookie_with_no_fit_name_for_a_tablet_is_passed_over(name):
    assert actions.checked_tablet(name) is None


def test_htmx_without_a_session_makes_the_whole_page_go_to_the_names(client, owner_with_pin):
    answer = client.get(
        "/office",
        headers={"HX-Request": "true", "HX-Current-URL": "http://localhost/office/ledger?before=3"},
    )
    assert answer.headers["HX-Redirect"] == "/sign-in?next=/office/ledger?before%3D3"
    assert answer.data == b""


def test_someone_off_duty_is_signed_out_everywhere_at_once(shop, owner, as_operator, operator):
    actions.set_pin(Caller(shop, owner), owner.person, "4826", method=CHEAP)
    assert as_operator.get("/office").status_code == 200
    actions.change_person(Caller(shop, owner), operator.person, "Ines", ["operator"], False)
    assert as_operator.get("/office").status_code == 303


def test_the_shop_keeps_one_owner_with_a_pin(shop, owner, operator):
    actions.set_pin(Caller(shop, owner), owner.person, "4826", method=CHEAP)
    with pytest.raises(Conflict, match="needs an owner"):
        actions.change_person(Caller(shop, owner), owner.person, "Owner", ["operator"], True)
    assert store.one(shop.read(), owner.person).roles == {"operator", "assembler", "owner"}


def test_by_names_a_person_and_is_the_owner_where_left_out(shop, owner, operator):
    assert store.by_named(shop.read(), None).name == "Owner"
    assert store.by_named(shop.read(), " ines ").roles == {"operator"}
    with pytest.raises(
        Refused, match=r"Nobody here is called “Ivo”\. The names are Ines and Owner\."
    ):
        store.by_named(shop.read(), "Ivo")


def test_a_name_is_taken_once_however_it_is_written(shop, owner, operator):
    with pytest.raises(Refused, match="already"):
        actions.add_person(Caller(shop, owner), "INES", ["assembler"])


def test_a_pin_is_set_through_the_ledger_without_being_in_it(shop, owner, operator):
    actions.set_pin(Caller(shop, owner), operator.person, "73915", method=CHEAP)
    row = shop.read().execute("SELECT * FROM ledger ORDER BY act DESC").fetchone()
    assert row["what"] == "set a PIN"
    assert store.pin_hash(shop.read(), operator.person) not in "".join(map(str, row))
    assert replay.differences(shop.read()) == []


def test_only_an_owner_sets_another_persons_pin(shop, operator, assembler):
    actions.set_pin(Caller(shop, operator), operator.person, "5511", method=CHEAP)
    with pytest.raises(NotAllowed, match="Only an owner"):
        actions.set_pin(Caller(shop, operator), assembler.person, "5511", method=CHEAP)
