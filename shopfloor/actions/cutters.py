"""What people do with the list of cutters, with how a stock is cut, and with the caliper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..domain.codes import show
from ..domain.errors import Conflict, Refused
from ..domain.recuts.thickness import tolerance_mm
from ..domain.routing import cutters as rules
from ..domain.settings import FIELDS, number
from ..domain.stock import THICKNESS
from ..store import cutters as store
from ..store import settings, stock
from .unit_of_work import Answer, Transaction, command

MOST_TOLERANCES = (
    1.5  # a caliper that read further off slipped, or the sheet is another: from memory
)


@dataclass(frozen=True)
class StockCuttingChanged:
    """A stock is cut in another way from now on. `source` says where the figures come from."""

    stock: str
    cutter: str
    rev_per_min: float
    chip_mm: float
    cutting_energy: float
    source: str


@dataclass(frozen=True)
class BlankMeasured:
    """The caliper said how thick a blank is, in mm."""

    blank: str
    measured_mm: float


@command("added a cutter", "owner")
def add_cutter(transaction: Transaction, values: Mapping[str, str]) -> Answer:
    """A cutter by what is engraved on it and said of it, as typed. Raises Refused."""
    columns = rules.checked_cutter(values)
    if any(
        one.name.casefold() == columns["name"].casefold() for one in store.cutters(transaction.db)
    ):
        raise Conflict(
            f"There is a cutter called {columns['name']} already: give this one another name."
        )
    if store.is_retired_name(transaction.db, columns["name"]):
        raise Conflict(
            f"A cutter called {columns['name']} was retired, and its records stay: give this one another name."
        )
    id = store.add_cutter(transaction.db, **columns)
    transaction.record(
        rules.CutterAdded(columns["name"], columns["diameter_mm"], columns["flutes"])
    )
    return Answer(
        f"{columns['name']} is on the list: choose it for the shop or for a stock.",
        data={"cutter": id},
    )


@command("retired a cutter", "owner")
def retire_cutter(transaction: Transaction, id: int) -> Answer:
    """A cutter is worn out or gone. Raises Conflict while the shop or a stock uses it."""
    cutter = store.cutter(transaction.db, id)
    used = store.stocks_cut_with(transaction.db, id)
    if settings.load(transaction.db).cutter == id:
        used.append("the shop's usual work")
    if used:
        raise Conflict(
            f"{cutter.name} is in use for {', '.join(used)}: choose another there first."
        )
    store.retire_cutter(transaction.db, id)
    transaction.record(rules.CutterRetired(cutter.name))
    return Answer(f"{cutter.name} is off the list.")


@command("changed how a stock is cut", "owner")
def change_stock_cutting(transaction: Transaction, code: str, values: Mapping[str, str]) -> Answer:
    """Cutter, speed, chip load and cutting energy of a stock, as typed, and where they come from. Raises Refused."""
    material = stock.stock_by_code(transaction.db, code)
    cutter = int(FIELDS["cutter"].read(values.get("cutter", "").strip() or "0"))
    source = " ".join(values.get("source", "").split())
    if not 1 <= len(source) <= 80:
        raise Refused("Say in 1 to 80 letters where these figures come from, as in “own trials”.")
    cutting = store.StockCutting(
        material.id,
        store.must_be_in_use(transaction.db, cutter).id if cutter else None,
        *(
            float(FIELDS[name].read(values.get(name, "").strip()))
            for name in ("rev_per_min", "chip_mm", "cutting_energy")
        ),
        source,
    )
    store.set_stock_cutting(transaction.db, cutting)
    name = store.cutter(transaction.db, cutter).name if cutter else "the shop's"
    transaction.record(
        StockCuttingChanged(
            material.code,
            name,
            cutting.rev_per_min,
            cutting.chip_mm,
            cutting.cutting_energy,
            source,
        )
    )
    return Answer(f"{material.called} is cut so from its next nest on.")


@command("changed how a stock is cut", "owner")
def cut_as_usual(transaction: Transaction, code: str) -> Answer:
    """A stock is cut in the shop's usual way again."""
    material = stock.stock_by_code(transaction.db, code)
    if store.stock_cutting(transaction.db, material.id) is None:
        return Answer(f"{material.called} is cut in the usual way already.")
    store.drop_stock_cutting(transaction.db, material.id)
    return Answer(f"{material.called} is cut in the shop's usual way again.")


@command("measured a blank", "operator")
def measure_blank(transaction: Transaction, code: str, text: str) -> Answer:
    """A blank's thickness by the caliper, in mm, as typed. Raises Refused where it is far from what was bought."""
    blank = stock.blank_by_code(transaction.db, code)
    material = stock.stock(transaction.db, blank.stock)
    mm = number(text.strip(), *THICKNESS)
    _must_be_near(mm, material)
    store.set_measured(transaction.db, blank.id, mm)
    transaction.record(BlankMeasured(blank.code, mm))
    return Answer(f"{show(blank.code)} is {mm:g} mm thick.", (blank.code,))


def _must_be_near(mm: float, material: stock.Stock) -> None:
    nominal = material.thickness_mm
    either_way = tolerance_mm(material.kind, nominal)
    if round(abs(mm - nominal), 6) > round(MOST_TOLERANCES * either_way, 6):
        raise Refused(
            f"{mm:g} mm is too far from {material.called}, which may measure {nominal - either_way:.2f} to "
            f"{nominal + either_way:.2f} mm: measure it again, or it belongs to another stock."
        )
