"""A week of work in the demo shop, played through the shop's own actions.

Told day by day, so that it can be read as a story. Dates count back from now. Each act happens a little after the one before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence, Set
from datetime import datetime, timedelta
from typing import Any, TypeVar

from ..actions import bench, drawings, fixings, jobs, nests, pieces, sheets, trays
from ..actions import gluing as gluing_acts
from ..actions.unit_of_work import Answer, Caller, Shop
from ..domain.bench.steps import Step
from ..domain.drawing.signs import Order
from ..domain.people import Actor
from ..store import bench as bench_store
from ..store import cements, finishing, holding
from ..store import jobs as job_store
from ..store import pieces as piece_store
from ..store import sheets as sheet_store
from .clock import Clock
from .recording import Tape

Spots = Set[tuple[str, int, int]]  # parts by sign, its place in the job, and the part's number
Known = TypeVar("Known")


def _known(value: Known | None) -> Known:
    """What the story knows to be there."""
    if value is None:
        raise LookupError("the week was told wrong")
    return value


class Week:
    """The week: who works, under which clock, and what has been taken in so far."""

    def __init__(
        self, shop: Shop, clock: Clock, now: datetime, tape: Tape, people: dict[str, Actor]
    ) -> None:
        self.shop, self.clock, self.now, self.tape = shop, clock, now, tape
        self.maud, self.ben, self.ana = (people[name] for name in ("Maud", "Ben", "Ana"))
        self.signs: dict[str, list[str]] = {}

    def play(self) -> None:
        """The whole week, up to now."""
        self.six_days_ago()
        self.five_days_ago()
        self.three_days_ago()
        self.two_days_ago()
        self.yesterday()
        self.today()
        self.clock.now = self.now

    # The story ------------------------------------------------------------------------------------------------------

    def six_days_ago(self) -> None:
        """Three jobs come in; their sheets are nested."""
        self.at(days=6, hours=3)
        self.take_in(
            "school", "school.svg", "Harbour School", "Harbour School, wall letters", due_in=-1
        )
        self.take_in("berths", "berths.svg", "Harbour Office", "Berths 11 to 16", due_in=-1)
        self.take_in("library", "library.svg", "Harbour Library", "Library, door roundel", due_in=2)

    def five_days_ago(self) -> None:
        """The school's letters are cut well; of the plates' figures two go down the hose."""
        self.at(days=5, hours=4)
        self.cut(self.sheet_of("school"))
        self.at(days=5, hours=2)
        self.cut(self.sheet_of("berths", part=1))
        self.at(days=5, hours=1)
        self.cut(self.sheet_of("berths", part=2), lost={("berths", 3, 3), ("berths", 5, 2)})

    def three_days_ago(self) -> None:
        """The bakery's fascia and the boat yard's board come in; the school is inspected and packed; a figure is found."""
        self.at(days=3, hours=5)
        self.take_in(
            "bakery", "bakery.svg", "Rye & Salt Bakery", "Rye & Salt Bakery, fascia", due_in=1
        )
        self.take_in(
            "boatyard", "boatyard.svg", "Slip & Sons Boat Yard", "Boat yard, gate board", due_in=5
        )
        self.at(days=3, hours=4)
        self.do(pieces.mark, self.ben, [self.lost_code("berths", 3, 3)], "found")
        self.at(days=3, hours=2)
        for kind in ("clean", "polish", "inspect", "pack"):
            self.finish("school", 0, kind)

    def two_days_ago(self) -> None:
        """The library's disc and letters are cut, one letter twice; the first plates are glued."""
        self.at(days=2, hours=6)
        self.cut(self.sheet_of("library", part=1))
        self.cut(self.sheet_of("library", part=5), lost={("library", 0, 15)})
        self.at(days=2, hours=4)
        self.nest_recuts("library", 0, 15)
        self.cut(self.sheet_of("library", part=15))
        self.do(pieces.mark, self.ben, [self.code("library", 0, 15)], "trimmed")
        self.at(days=2, hours=3)
        for place in (0, 1, 2):
            self.set_out("berths", place, 1)
        self.glue(["berths"] * 3, [0, 1, 2], level=1, batch="A-114", temperature=20.5)

    def yesterday(self) -> None:
        """The bakery's two colours come off the table, its small letters go into a bag; the library is glued and cures until
        today."""
        self.at(days=1, hours=6)
        for part in (1, 2):
            self.cut(self.sheet_of("bakery", part=part))
        self.at(days=1, hours=4)
        self.bag("bakery", range(11, 19))
        self.at(days=1, hours=3)
        self.set_out("library", 0, 1)
        self.at(days=1, hours=1)
        self.glue(["library"], [0], level=1, batch="A-115", temperature=20.0)
        self.take_in("tides", "tides.svg", "Harbour Office", "Tide times, quay board", due_in=8)

    def today(self) -> None:
        """The boat yard's board and letters are cut, one lost, one chipped; the tide figures lie on the table."""
        self.at(hours=5)
        self.cut(self.sheet_of("boatyard", part=1))
        self.cut(
            self.sheet_of("boatyard", part=2),
            lost={("boatyard", 0, 4)},
            damaged={("boatyard", 0, 10)},
        )
        self.at(hours=4)
        self.do(
            fixings.plan_fixings, self.ana, self.sign("boatyard", 0), "5", "25", 3, 2, "masonry"
        )
        self.at(hours=3)
        self.nest_recuts("berths", 5, 2)
        self.at(minutes=44)
        figures = self.sheet_of("tides", part=12)
        self.do(sheets.start, self.ben, figures)
        self.at(minutes=12)
        self.do(sheets.finish, self.ben, figures)
        for part in (64, 142, 100):
            self.do(sheets.tap, self.ben, figures, self.code("tides", 0, part), "nested")
        self.at(minutes=5)

    # How it is done -------------------------------------------------------------------------------------------------

    def at(self, **before: int) -> None:
        """Turns the clock to so long before now."""
        self.clock.now = self.now - timedelta(**before)

    def do(self, action: Callable[..., Answer], by: Actor, *args: Any, **named: Any) -> Answer:
        """One act; a minute goes by."""
        answer = action(Caller(self.shop, by), *args, **named)
        self.clock.now += timedelta(minutes=1)
        return answer

    def take_in(self, name: str, file: str, customer: str, title: str, due_in: int) -> None:
        """A drawing comes in and is nested, from the tape."""
        read = self.tape.reading(file)
        drawings.keep_drawing(self.shop, read)
        proposed = drawings.proposal(self.shop, [read])
        stocks = {colour.colour: colour.stock.id for colour in proposed.colours if colour.stock}
        due = (self.now + timedelta(days=due_in)).date().isoformat()
        told = self.do(jobs.take_in, self.maud, proposed, Order(customer, title, due, 1, stocks))
        self.signs[name] = list(told.codes)
        for stock_id in told.data["stocks"]:
            self.nest(stock_id, told.data["pieces"][str(stock_id)])

    def nest(self, stock_id: int, codes: Sequence[str]) -> None:
        """Waiting pieces are nested, from the tape: on the smallest offcut that holds them, else on full sheets."""
        work = nests.gather(self.shop, stock_id, codes, (), 5.0, on_offcuts=True)
        self.do(nests.save, self.ben, work, self.tape.layouts(work), ())

    def nest_recuts(self, name: str, place: int, number: int) -> None:
        """A part's recut goes on the smallest offcut that holds it."""
        part = self.part(name, place, number)
        self.nest(part.stock, [self.code(name, place, number)])

    def cut(self, sheet: str, lost: Spots = frozenset(), damaged: Spots = frozenset()) -> None:
        """A sheet is cut, taken off, marked and closed. The invented router is a third slower than its path says."""
        self.do(sheets.start, self.ben, sheet)
        run = holding.run_of(
            self.shop.read(), sheet_store.sheet_by_code(self.shop.read(), sheet).nest
        )
        path_min = run.path_min if run else 0.0
        self.clock.now += timedelta(minutes=round(2 + 1.3 * path_min))
        self.do(sheets.finish, self.ben, sheet)
        for spot in lost:
            self.do(sheets.tap, self.ben, sheet, self.code(*spot), "nested")
        for spot in damaged:
            code = self.code(*spot)
            self.do(sheets.tap, self.ben, sheet, code, "nested")
            self.do(sheets.tap, self.ben, sheet, code, "lost")
        db = self.shop.read()
        here = sheet_store.on_sheet(db, sheet_store.sheet_by_code(db, sheet).id)
        self.do(
            sheets.mark_rest_cut,
            self.ben,
            sheet,
            [piece.code for piece in here if piece.state == "nested"],
        )
        if tabbed := [piece.code for piece in here if piece.state == "nested" and piece.tabs]:
            self.do(pieces.mark, self.ben, tabbed, "trimmed")

    def bag(self, name: str, numbers: Iterable[int]) -> None:
        """A sign's small pieces share a bag, which is on a shelf."""
        shelf = self.do(trays.make_tray, self.ben, "shelf", "A").codes[0]
        bag = self.do(trays.make_tray, self.ben, "bag").codes[0]
        self.do(trays.put_in, self.ben, bag, [self.code(name, 0, number) for number in numbers])
        self.do(trays.move_tray, self.ben, bag, shelf)

    def set_out(self, name: str, place: int, level: int) -> None:
        """Each part of a level is set out."""
        step = self.step(name, place, "lay out", level)
        self.do(bench.set_out_rest, self.ana, step.id, step.parts)

    def glue(
        self, names: list[str], places: list[int], level: int, batch: str, temperature: float
    ) -> None:
        """One glue-up over a level of several signs."""
        steps = [
            self.step(name, place, "glue", level).id
            for name, place in zip(names, places, strict=True)
        ]
        cement = cements.cements(self.shop.read())[0].id
        self.do(gluing_acts.begin_gluing, self.ana, steps, cement)
        self.clock.now += timedelta(minutes=4)
        self.do(gluing_acts.glue_up, self.ana, steps, cement, batch, temperature, 48.0)

    def finish(self, name: str, place: int, kind: str) -> None:
        """A step whose whole check list is found right."""
        items = finishing.check_list(self.shop.read(), kind).items
        self.do(bench.finish_step, self.ana, self.step(name, place, kind).id, items)

    # Looking things up ----------------------------------------------------------------------------------------------

    def sign(self, name: str, place: int) -> int:
        """A sign's id."""
        return job_store.sign_by_code(self.shop.read(), self.signs[name][place]).id

    def part(self, name: str, place: int, number: int) -> job_store.Part:
        """A part of a sign by its number."""
        return job_store.parts_of(self.shop.read(), self.sign(name, place))[number - 1]

    def code(self, name: str, place: int, number: int) -> str:
        """The code of a part's live piece."""
        return _known(self.part(name, place, number).code)

    def sheet_of(self, name: str, place: int = 0, part: int = 1) -> str:
        """The code of the sheet that a part's live piece is on."""
        db = self.shop.read()
        piece = piece_store.by_code(db, self.code(name, place, part))
        return sheet_store.sheet(db, _known(piece.sheet)).code

    def lost_code(self, name: str, place: int, number: int) -> str:
        """The code of a part's lost piece."""
        part = self.part(name, place, number)
        return _known(piece_store.lost_of_part(self.shop.read(), part.id))

    def step(self, name: str, place: int, kind: str, level: int | None = None) -> Step:
        """A sign's step."""
        steps = bench_store.steps_of(self.shop.read(), self.sign(name, place))
        return next(
            step for step in steps if step.kind == kind and (level is None or step.level == level)
        )
