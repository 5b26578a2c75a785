"""The list of cements and their batches: what may be in it, by commands and through the pages."""

from __future__ import annotations

from datetime import date

import pytest
from shop_for_tests import HTMX, words

from shopfloor.actions import cements as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.bench.cements import Batch, Cement, checked_cement, checked_expiry
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import cements as store
from shopfloor.store.replay import differences

PLAIN = Cement(7, "Plain")
SHEET = {
    "name": " Two  part ",
    "kind": "reactive",
    "open_min": "12",
    "fixture_min": "30",
    "handling_hours": "2",
    "cure_hours": "24",
    "reference_c": "23",
    "coldest_c": "18,5",
    "warmest_c": "30",
    "driest_percent": "20",
    "dampest_percent": "75",
    "ml_per_m2": "180",
    "data_sheet": "https://example.org/two-part.pdf",
}


def test_a_data_sheet_is_taken_as_it_is_typed():
    assert checked_cement(SHEET, PLAIN) == Cement(
        7,
        "Two part",
        24,
        23,
        18.5,
        30,
        "reactive",
        12,
        30,
        2,
        20,
        75,
        180,
        "https://example.org/two-part.pdf",
    )


def test_a_cement_has_a_name():
    with pytest.raises(Refused, match="1 to 60 letters"):
        checked_cement({"open_min": "3"}, Cement(0))


def test_what_was_not_typed_stays():
    assert checked_cement({"open_min": "3"}, PLAIN) == Cement(7, "Plain", open_min=3)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": "  "}, "1 to 60 letters"),
        ({"kind": "magic"}, "choose solvent, reactive or tape"),
        ({"cure_hours": "0"}, "from 0.1 to 1,000"),
        ({"cure_hours": "soon"}, "from 0.1 to 1,000"),
        ({"open_min": "nan"}, "Open time"),
        ({"reference_c": "12"}, "between the minimum and the maximum"),
        (
            {"driest_percent": "60", "dampest_percent": "50"},
            "minimum humidity must be below the maximum",
        ),
        (
            {"fixture_min": "150", "handling_hours": "2"},
            "Fixture must come before handling",
        ),
        ({"fixture_min": "1500", "handling_hours": "0"}, "handling before the full cure"),
        ({"handling_hours": "25"}, "handling before the full cure"),
        ({"data_sheet": "x" * 301}, "at most 300"),
    ],
)
def test_what_no_data_sheet_says_is_refused(typed, said):
    with pytest.raises(Refused, match=said):
        checked_cement(typed, PLAIN)


@pytest.mark.parametrize(("text", "day"), [("", None), (" 2027-03-31 ", date(2027, 3, 31))])
def test_a_last_day_is_a_date_or_nothing(text, day):
    assert checked_expiry(text) == day
    for wrong in ("31.3.2027", "2027-02-30", "1027-03-31", "soon"):
        with pytest.raises(Refused, match="such as 2027-03-31"):
            checked_expiry(wrong)


def test_a_batch_is_good_on_its_last_day():
    batch = Batch(1, 1, "7B", date(2026, 11, 25), False)
    assert not batch.is_expired(date(2026, 11, 25)) and batch.is_expired(date(2026, 11, 26))
    assert not Batch(1, 1, "7B", None, False).is_expired(date(2099, 1, 1))


# Acts. ----------------------------------------------------------------------------------------------------------------


def test_a_cement_is_added_changed_and_retired(shop, owner):
    made = acts.add_cement(Caller(shop, owner), SHEET).data["cement"]
    assert (
        acts.change_cement(Caller(shop, owner), made, {"open_min": "10"}).sentence
        == "Two part is saved."
    )
    assert store.cement(shop.read(), made).open_min == 10
    assert acts.change_cement(Caller(shop, owner), made, {"open_min": "10"}).sentence.startswith(
        "Nothing to change"
    )
    assert (
        acts.retire(Caller(shop, owner), made, True).sentence
        == "Two part is no longer offered at the bench."
    )
    assert [one.name for one in store.in_use(shop.read())] == ["Solvent cement"]
    with pytest.raises(Conflict, match="the last cement in use"):
        acts.retire(Caller(shop, owner), 1, True)
    acts.retire(Caller(shop, owner), made, False)
    assert len(store.in_use(shop.read())) == 2
    assert list(differences(shop.read())) == []


def test_two_cements_do_not_bear_one_name(shop, owner):
    made = acts.add_cement(Caller(shop, owner), SHEET).data["cement"]
    with pytest.raises(Refused, match="already"):
        acts.add_cement(Caller(shop, owner), {"name": "TWO part"})
    with pytest.raises(Refused, match="already"):
        acts.change_cement(Caller(shop, owner), made, {"name": "solvent CEMENT"})
    acts.change_cement(
        Caller(shop, owner), made, {"name": "TWO PART"}
    )  # its own name in other letters


def test_only_an_owner_changes_a_data_sheets_figures(shop, assembler):
    for doing in (
        lambda: acts.add_cement(Caller(shop, assembler), SHEET),
        lambda: acts.change_cement(Caller(shop, assembler), 1, {}),
        lambda: acts.retire(Caller(shop, assembler), 1, True),
    ):
        with pytest.raises(NotAllowed):
            doing()


def test_the_bench_keeps_the_batches(shop, assembler, operator):
    made = acts.add_batch(Caller(shop, assembler), 1, " 7 B", "2027-03-31").data["batch"]
    acts.add_batch(Caller(shop, assembler), 1, "8", "")
    assert store.batch_called(shop.read(), 1, "7 B") == Batch(
        made, 1, "7 B", date(2027, 3, 31), False
    )
    assert store.batch_called(shop.read(), 1, "9") is None
    with pytest.raises(Refused, match="already in the list"):
        acts.add_batch(Caller(shop, assembler), 1, "7 B", "")
    acts.use_up(Caller(shop, assembler), made)
    assert [(one.batch, one.is_used_up) for one in store.batches(shop.read(), 1)] == [
        ("8", False),
        ("7 B", True),
    ]
    assert acts.use_up(Caller(shop, assembler), made, False).sentence == "Batch 7 B is back in use."
    with pytest.raises(NotAllowed):
        acts.add_batch(Caller(shop, operator), 1, "10", "")
    with pytest.raises(NotFound):
        acts.add_batch(Caller(shop, assembler), 99, "10", "")
    with pytest.raises(NotFound):
        acts.use_up(Caller(shop, assembler), 99)
    assert list(differences(shop.read())) == []


# Pages. ---------------------------------------------------------------------------------------------------------------


def test_the_list_says_what_each_data_sheet_says_and_which_batches_have_expired(
    as_owner, shop, owner
):
    made = acts.add_cement(Caller(shop, owner), SHEET).data["cement"]
    for batch, last in (("A", "2026-11-24"), ("B", "2026-11-25"), ("C", "")):
        acts.add_batch(Caller(shop, owner), made, batch, last)
    page = words(as_owner.get("/office/cements"))
    assert (
        "open 12 min · holds on its own after 30 min · move with care after 2 h · cured 24 h at 23 °C 18.5 "
        "to 30 °C, 20 to 75 % humidity" in page
    )
    assert "3 batches 1 expired" in page and "The data sheet comes first" in page


def test_a_cements_page_keeps_its_figures_its_batches_and_the_way_to_its_data_sheet(as_owner, shop):
    to = as_owner.post("/office/cements", data=SHEET).location
    page = as_owner.get(to).text
    assert 'href="https://example.org/two-part.pdf" rel="noopener noreferrer"' in page
    path = to.split("?")[0]
    as_owner.post(f"{path}/batches", data={"batch": "A", "expires": "2026-11-24"})
    page = words(as_owner.get(path))
    assert "expired: good until Tue 24 Nov 2026" in page
    batch = store.batches(shop.read(), 2)[0].id
    as_owner.post(f"/office/batches/{batch}/used-up", data={"used": "1"})
    assert "A used up Not used up" in words(as_owner.get(path))
    as_owner.post(path, data={**SHEET, "open_min": "9", "data_sheet": "javascript:alert(1)"})
    page = as_owner.get(path).text
    assert "open 9 min" in page and "<b>javascript:alert(1)</b>" in page, "words, no way to follow"
    as_owner.post(f"{path}/retired", data={"retired": "1"})
    assert store.cement(shop.read(), 2).is_retired
    refused = as_owner.post(path, data={**SHEET, "coldest_c": "25"}, headers=HTMX)
    assert (refused.status_code, "between the minimum" in refused.text) == (422, True)


def test_an_assembler_sees_the_figures_and_keeps_batches_an_operator_does_neither(
    as_assembler, as_operator, shop
):
    page = as_assembler.get("/office/cements/1").text
    assert "Add the batch" in page and "Save these figures" not in page
    assert as_assembler.post("/office/cements/1/batches", data={"batch": "A"}).status_code == 303
    assert as_assembler.post("/office/cements/1", data={"open_min": "9"}).status_code == 403
    for path in ("/office/cements", "/office/cements/1"):
        assert as_operator.get(path).status_code == 403
    assert as_assembler.get("/office/cements/99").status_code == 404
