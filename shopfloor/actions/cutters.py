"""What people do with the list of cutters, with how a stock is cut, and with the caliper."""

from __future__ import annotations

from collections.abc import Mapping

from ..domain.errors import Conflict, Refused
from ..domain.fields import read_line
from ..domain.recuts.thickness import tolerance_mm
from ..domain.routing import cutters as rules
from ..domain.settings import FIELDS
from ..domain.stock import measured_thickness
from ..store import cutters as store
from ..store import settings, stock
from ..wording import cutting as wording
from ..wording.message import Message
from .unit_of_work import Answer, Transaction, command

MOST_TOLERANCES = (
    1.5  # a caliper that read further off slipped, or the sheet is another: from memory
)


@command("added a cutter", "owner")
def add_cutter(transaction: Transaction, values: Mapping[str, str]) -> Answer:
    """Add a cutter from what was typed. Raises Refused."""
    columns = rules.checked_cutter(values)
    name = columns["name"]
    if any(cutter.name.casefold() == name.casefold() for cutter in store.cutters(transaction.db)):
        raise Conflict(wording.name_taken(name))
    if store.is_retired_name(transaction.db, name):
        raise Conflict(wording.name_of_a_retired_cutter(name))
    id = store.add_cutter(transaction.db, **columns)
    return Answer(wording.added(name), data={"cutter": id})


@command("retired a cutter", "owner")
def retire_cutter(transaction: Transaction, id: int) -> Answer:
    """Retire a cutter that is worn out or gone. Raises Conflict while the shop or a stock uses it."""
    cutter = store.cutter(transaction.db, id)
    used: list[Message | str] = [*store.stocks_cut_with(transaction.db, id)]
    if settings.load(transaction.db).cutter == id:
        used.append(wording.everything_else())
    if used:
        raise Conflict(wording.in_use(cutter.name, used))
    store.retire_cutter(transaction.db, id)
    return Answer(wording.retired(cutter.name))


@command("changed how a stock is cut", "owner")
def change_stock_cutting(transaction: Transaction, code: str, values: Mapping[str, str]) -> Answer:
    """Set a stock's cutter, speed, chip load and cutting energy, as typed, and their source. Raises Refused."""
    material = stock.stock_by_code(transaction.db, code)
    cutter = int(FIELDS["cutter"].read(values.get("cutter", "").strip() or "0"))
    source = read_line(values.get("source", ""), 1, 80, wording.say_the_source())
    cutting = store.StockCutting(
        material.id,
        store.must_be_in_use(transaction.db, cutter).id if cutter else None,
        _figure("rev_per_min", values),
        _figure("chip_mm", values),
        _figure("cutting_energy", values),
        source,
    )
    store.set_stock_cutting(transaction.db, cutting)
    return Answer(wording.own_cutting(material.called))


def _figure(name: str, values: Mapping[str, str]) -> float:
    return float(FIELDS[name].read(values.get(name, "")))


@command("changed how a stock is cut", "owner")
def cut_as_usual(transaction: Transaction, code: str) -> Answer:
    """Cut a stock in the shop's usual way again."""
    material = stock.stock_by_code(transaction.db, code)
    if store.stock_cutting(transaction.db, material.id) is None:
        return Answer(wording.already_cut_as_usual(material.called))
    store.drop_stock_cutting(transaction.db, material.id)
    return Answer(wording.cut_as_usual(material.called))


@command("measured a blank", "operator")
def measure_blank(transaction: Transaction, code: str, text: str) -> Answer:
    """Keep a blank's measured thickness in mm, as typed. Raises Refused where it is far from what was bought."""
    blank = stock.blank_by_code(transaction.db, code)
    material = stock.stock(transaction.db, blank.stock)
    mm = measured_thickness(text)
    _must_be_near(mm, material)
    store.set_measured(transaction.db, blank.id, mm)
    return Answer(wording.measured(blank.code, mm), (blank.code,))


def _must_be_near(mm: float, material: stock.Stock) -> None:
    nominal = material.thickness_mm
    either_way = tolerance_mm(material.kind, nominal)
    if round(abs(mm - nominal), 6) > round(MOST_TOLERANCES * either_way, 6):
        raise Refused(
            wording.too_far_from_nominal(
                mm, material.called, nominal - either_way, nominal + either_way
            )
        )
