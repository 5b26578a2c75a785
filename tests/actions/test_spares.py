"""Spares on the pages of Stock: counted with their material, each with its shape and where it was for."""

from __future__ import annotations

from shopfloor.actions import pieces as marks
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import jobs, stock
from shopfloor.store import pieces as piece_store


def test_what_is_left_of_a_cancelled_sign_is_a_spare_in_stock(as_owner, shop, owner, small_job):
    assert "spare piece" not in as_owner.get("/stock").text
    marks.mark(Caller(shop, owner), [small_job["A L"], small_job["A O"]], "cut")
    sign_acts.cancel(
        Caller(shop, owner), jobs.sign_by_code(shop.read(), small_job["A"]).id, "the customer went"
    )
    db = shop.read()
    cream = next(one for one in stock.all_stocks(db) if one.colour == "#f2e8cf")
    assert [piece.code for _, piece in piece_store.spares(db, cream.id)] == [
        small_job["A L"],
        small_job["A O"],
    ]
    assert "2 spare pieces" in as_owner.get("/stock").text
    page = as_owner.get(f"/stock/{cream.code}").text
    assert page.count("cut for J-1001 A") == 2
    for name in ("A L", "A O"):
        code = small_job[name]
        assert f'/p/{code}"' in page


def test_a_lost_piece_is_no_spare(shop, owner, small_job):
    sign_acts.cancel(
        Caller(shop, owner), jobs.sign_by_code(shop.read(), small_job["A"]).id, "the customer went"
    )
    before = {piece.code for _, piece in piece_store.spares(shop.read())}
    assert small_job["A L"] in before, "it lies on a sheet that is being cut"
    marks.mark(Caller(shop, owner), [small_job["A L"]], "lost")
    assert small_job["A L"] not in {piece.code for _, piece in piece_store.spares(shop.read())}
