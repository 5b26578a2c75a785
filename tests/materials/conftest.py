"""A sign with letters of aluminium composite on a board of acrylic, and one that is all acrylic."""

from __future__ import annotations

import pytest
from materials_for_tests import BLUE, BRUSHED, COMPOSITE, CREAM, letter, take_in
from shop_for_tests import box

from shopfloor.actions import stock
from shopfloor.store import jobs as job_store
from shopfloor.store import stock as stock_store


@pytest.fixture
def composite(desk, owner) -> str:
    """The code of the stock that is no acrylic."""
    return stock.add_stock(desk, owner, COMPOSITE).data["stock"]


@pytest.fixture
def mixed(desk, owner, composite, plain_nests) -> job_store.Sign:
    """A cream board of 1,800 × 500 with six letters of composite, and a blue panel with a cream letter on it."""
    letters = [(letter(420 + 220 * nth, 150, 160, 240), BRUSHED, name) for nth, name in enumerate("LLAMAS")]
    shapes = [(box(0, 0, 1800, 500), CREAM, "board"), (box(60, 100, 300, 300), BLUE, "panel"), *letters,
              (letter(110, 150, 160, 200), CREAM, "L")]  # fmt: skip
    sign = take_in(desk, owner, shapes, "Quayside Ropes")
    assert stock_store.stock_by_code(desk.read(), composite).kind == "other"
    return sign


@pytest.fixture
def plain(desk, owner, plain_nests) -> job_store.Sign:
    """A board of acrylic with two acrylic letters."""
    letters = [(letter(x, 80, 80, 120), CREAM, "L") for x in (100, 300)]
    return take_in(desk, owner, [(box(0, 0, 700, 300), BLUE, "board"), *letters], "Tide & Tar")
