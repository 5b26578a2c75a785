"""Random acts in any order, twice, undone: replay gives the state, and no piece is in two minds.

Refusals are part of the day, so each kind of act must also succeed at least once in the run (`MUST_SUCCEED`): a rule that only ever
meets refusals tests nothing. No source outside the project: these are properties that its design demands.
"""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from random_drawings_for_tests import changed
from random_shop_for_tests import RandomShop, done, refused
from shop_for_tests import on_shelves

from shopfloor import nesting
from shopfloor.actions import (
    climate,
    cutters,
    drawings,
    fixings,
    holding,
    nests,
    pieces,
    placement,
    revision_plan,
    revisions,
    setup_sheets,
    sheets,
    signs,
    swaps,
    trays,
)
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions.unit_of_work import stamp, undo
from shopfloor.domain.bench import steps as step_rules
from shopfloor.domain.bench.headline import READY, headline
from shopfloor.domain.errors import ShopError
from shopfloor.domain.holding.holding import HOLD_DOWNS
from shopfloor.store import bench as bench_store
from shopfloor.store import ledger, page_counts, replay
from shopfloor.store import sheets as sheet_store

MOST_DRAWINGS = 6  # in one shop: they take longest, and leave no time for the pieces

MUST_SUCCEED = {
    *("mark", "tap", "start", "finish", "close", "mark_rest_cut", "abandon", "plan", "overrule"),
    *("renew", "record_file", "swap", "measure_blank", "add_cutter", "retire_cutter"),
    *("change_stock_cutting", "cut_as_usual", "set_out_rest", "begin_gluing", "glue_up"),
    *("open_early", "finish_step", "place_scanned", "measure", "note_climate", "strike_out"),
    *("make_tray", "put_in", "pick", "set_site", "plan_fixings", "hold", "resume", "cancel"),
    *("reopen", "change", "undo"),
}


class PlayedShop(RandomShop):
    """A small shop in which anybody may try anything."""

    @initialize(seed=st.integers(0, 2**32), is_cut=st.booleans())
    def open_shop(self, seed: int, is_cut: bool) -> None:
        """A shop with two jobs under way; now and then all of them is cut, trimmed and ready for the bench."""
        self.open(seed)
        self.solve, nesting.nest = nesting.nest, on_shelves
        self.drawings = 0
        self.take_in_two_jobs()
        if is_cut:
            for _ in range(9):
                self.cut_a_sheet(0)

    def teardown(self) -> None:
        if not hasattr(self, "folder"):
            return
        self.finish_the_day()
        assert replay.differences(self.shop.read()) == []
        nesting.nest = self.solve
        self.shut()

    def finish_the_day(self) -> None:
        """Whatever the day was: signs are decided on, what waits is cut, and a sign goes as far as it can at the bench."""
        for verb in ("hold", "resume", "cancel", "reopen"):
            self.decide_on_a_sign(0, verb)
        self.lose_a_piece_in_hand_and_swap_others(1)
        for stock in range(2):
            self.nest_what_waits(stock, on_offcuts=False, pools=False)
        sheet = self.row_at("SELECT code FROM sheet WHERE state = 'planned'", 0)
        if sheet:
            self.attempt(sheets.start, sheet["code"])
            self.attempt(sheets.abandon, sheet["code"], [], [])
        for stock in range(2):
            self.nest_what_waits(stock, on_offcuts=False, pools=False)
        for way in ("full", "advised"):
            self.hold_pieces_otherwise(0, 0, way)
        self.take_the_advice_of_today(0)
        self.take_a_sheet_off_the_table_and_tap_its_pieces(0)
        self.lose_what_was_not_cut_and_close_the_sheet(0)
        for stock in range(2):
            self.nest_what_waits(stock, on_offcuts=True, pools=False)
        for _ in range(4):
            self.cut_a_sheet(0)
        for picks in (False, False, True):
            self.lay_a_piece_into_a_bag(0, 0, picks)
        for place in range(3):
            self.measure_or_scan_a_place(place, 0.0, scans=False)
            self.measure_or_scan_a_place(place, 0.0, scans=True)
            self.carry_a_sign_on(place, 4, waits=False)
            self.open_a_cure_early(0)
        self.carry_a_sign_on(0, 16, waits=True)

    @rule(place=st.integers(0, 99), mark=st.sampled_from(pieces.MARKS))
    def mark_a_piece(self, place: int, mark: str) -> None:
        row = self.row_at("SELECT code FROM piece ORDER BY id", place)
        if row:
            self.attempt(pieces.mark, [row["code"]], mark)

    @rule(place=st.integers(0, 99), lag=st.sampled_from(["now", "nested", "lost", "ready"]))
    def tap_a_piece(self, place: int, lag: str) -> None:
        row = self.row_at(
            "SELECT p.code, p.state, s.code AS sheet FROM piece p JOIN sheet s ON s.id = p.sheet ORDER BY p.id",
            place,
        )
        if row:
            self.attempt(
                sheets.tap, row["sheet"], row["code"], row["state"] if lag == "now" else lag
            )

    @rule(
        place=st.integers(0, 9),
        verb=st.sampled_from(["start", "finish", "close", "rest", "abandon"]),
    )
    def drive_a_sheet(self, place: int, verb: str) -> None:
        sheet = self.row_at("SELECT id, code FROM sheet ORDER BY id DESC", place)
        if sheet is None:
            return
        codes = [piece.code for piece in sheet_store.on_sheet(self.shop.read(), sheet["id"])]
        if verb == "rest":
            self.attempt(sheets.mark_rest_cut, sheet["code"], codes)
        elif verb == "abandon":
            open_ones = [
                p.code
                for p in sheet_store.on_sheet(self.shop.read(), sheet["id"])
                if p.state == "nested"
            ]
            self.attempt(sheets.abandon, sheet["code"], open_ones[::3], open_ones[1::3])
        else:
            self.attempt(getattr(sheets, verb), sheet["code"])

    @rule(place=st.integers(0, 9))
    def cut_a_sheet(self, place: int) -> None:
        """All of it good, and trimmed: else hardly a random day comes so far."""
        sheet = self.row_at(
            "SELECT id, code FROM sheet WHERE state = 'planned' ORDER BY id DESC", place
        )
        if sheet:
            codes = [
                piece.code
                for piece in sheet_store.on_sheet(self.shop.read(), sheet["id"])
                if piece.is_here
            ]
            self.attempt(sheets.start, sheet["code"])
            self.attempt(sheets.mark_rest_cut, sheet["code"], codes)
            self.attempt(pieces.mark, codes, "trimmed")

    @rule(place=st.integers(0, 3), on_offcuts=st.booleans(), pools=st.booleans())
    def nest_what_waits(self, place: int, on_offcuts: bool, pools: bool) -> None:
        row = self.row_at("SELECT id FROM stock ORDER BY id", place)
        if row is None:  # the intake itself was undone
            return
        stock = row["id"]
        planned = self.shop.read().execute(
            "SELECT code FROM sheet WHERE stock = ? AND state = 'planned'", (stock,)
        )
        pool = [row["code"] for row in planned] if pools else []
        self.attempt(nests.plan, stock, pool=pool, on_offcuts=on_offcuts)

    @rule(
        place=st.integers(0, 9),
        first=st.integers(0, 3),
        way=st.sampled_from([*HOLD_DOWNS, "advised"]),
    )
    def hold_pieces_otherwise(self, place: int, first: int, way: str) -> None:
        sheet = self.row_at(
            "SELECT id, code FROM sheet WHERE state != 'abandoned' ORDER BY id DESC", place
        )
        if sheet:
            codes = [piece.code for piece in sheet_store.on_sheet(self.shop.read(), sheet["id"])]
            self.attempt(holding.overrule, sheet["code"], codes[first::2], way)

    @rule(place=st.integers(0, 9))
    def take_the_advice_of_today(self, place: int) -> None:
        sheet = self.row_at(
            "SELECT code FROM sheet WHERE state != 'abandoned' ORDER BY id DESC", place
        )
        if sheet:
            self.attempt(holding.renew, sheet["code"])

    @rule(place=st.integers(0, 9), kind=st.sampled_from(setup_sheets.KINDS))
    def send_a_file_to_the_machine(self, place: int, kind: str) -> None:
        sheet = self.row_at("SELECT code FROM sheet ORDER BY id DESC", place)
        if sheet is None:
            return
        try:
            name, content, made = setup_sheets.file_for(self.shop.read(), sheet["code"], kind)
        except ShopError:
            return
        self.attempt(
            setup_sheets.record_file,
            sheet["code"],
            name,
            sha256(content).hexdigest(),
            setup_sheets.layout_mark(made),
        )

    @rule(place=st.integers(0, 99))
    def lose_a_piece_in_hand_and_swap_others(self, place: int) -> None:
        row = self.row_at(
            "SELECT code FROM piece WHERE state IN ('cut', 'ready') ORDER BY id", place
        )
        if row:
            self.attempt(pieces.mark, [row["code"]], "lost")
        found = swaps.proposal(self.shop.read(), self.now.date())
        if found:
            self.attempt(swaps.swap, [(move.piece, move.to_part) for move in found.plan.moves])

    @rule(place=st.integers(0, 9), mm=st.sampled_from(["5.6", "6.0", "6.5"]))
    def measure_a_blank(self, place: int, mm: str) -> None:
        blank = self.row_at("SELECT code FROM blank ORDER BY id", place)
        if blank:
            self.attempt(cutters.measure_blank, blank["code"], mm)

    @rule(place=st.integers(0, 3), diameter=st.sampled_from(["3", "6", "8"]), retires=st.booleans())
    def add_or_retire_a_cutter(self, place: int, diameter: str, retires: bool) -> None:
        cutter = self.row_at("SELECT id FROM cutter WHERE NOT is_retired ORDER BY id", place)
        if retires and cutter:
            self.attempt(cutters.retire_cutter, cutter["id"])
        else:
            self.attempt(
                cutters.add_cutter,
                {
                    "name": f"No. {self.keys}",
                    "diameter_mm": diameter,
                    "flutes": "2",
                    "edge": "straight",
                    "reach_mm": "22",
                },
            )

    @rule(place=st.integers(0, 3), which=st.integers(0, 3), is_usual=st.booleans())
    def cut_a_stock_otherwise(self, place: int, which: int, is_usual: bool) -> None:
        material = self.row_at("SELECT code FROM stock ORDER BY id", place)
        cutter = self.row_at("SELECT id FROM cutter ORDER BY id", which)
        if material and is_usual:
            self.attempt(cutters.cut_as_usual, material["code"])
        elif material:
            values = {
                "cutter": str(cutter["id"] if cutter else 0),
                "rev_per_min": "16000",
                "chip_mm": "0.15",
                "cutting_energy": "0.2",
                "source": "own trials",
            }
            self.attempt(cutters.change_stock_cutting, material["code"], values)

    @rule(place=st.integers(0, 9))
    def take_a_sheet_off_the_table_and_tap_its_pieces(self, place: int) -> None:
        sheet = self.row_at(
            "SELECT id, code FROM sheet WHERE state IN ('planned', 'cutting')", place
        )
        if sheet:
            self.attempt(sheets.start, sheet["code"])
            self.attempt(sheets.finish, sheet["code"])
            for piece in sheet_store.on_sheet(self.shop.read(), sheet["id"])[::2]:
                self.attempt(sheets.tap, sheet["code"], piece.code, piece.state)

    @rule(place=st.integers(0, 9))
    def lose_what_was_not_cut_and_close_the_sheet(self, place: int) -> None:
        sheet = self.row_at("SELECT id, code FROM sheet WHERE state = 'off the table'", place)
        if sheet:
            pieces_on_it = sheet_store.on_sheet(self.shop.read(), sheet["id"])
            open_codes = [piece.code for piece in pieces_on_it if piece.state == "nested"]
            if open_codes:
                self.attempt(pieces.mark, open_codes, "lost")
            self.attempt(sheets.close, sheet["code"])

    @rule(place=st.integers(0, 99))
    def try_a_step_at_the_bench(self, place: int) -> None:
        undone = "SELECT id, sign, kind FROM step WHERE done_at IS NULL ORDER BY sign, number"
        step = self.row_at(undone, place)
        if step:
            self.work_on(step, place)

    @rule(place=st.integers(0, 99), steps=st.integers(1, 8), waits=st.booleans())
    def carry_a_sign_on(self, place: int, steps: int, waits: bool) -> None:
        """One step after another that can be done now, with the waits between them; else hardly a random day comes so far."""
        for _ in range(steps):
            step = self.ready_step(place)
            if step:
                self.work_on(step, place)
            elif waits:
                self.now += timedelta(hours=30)

    @rule(place=st.integers(0, 9))
    def open_a_cure_early(self, place: int) -> None:
        curing = [
            step.id
            for sign in bench_store.benches(self.shop.read())
            for step in sign.steps
            if step.kind == "cure" and step_rules.is_curing(step, self.now)
        ]
        if curing:
            step = curing[place % len(curing)]
            self.attempt(gluing_acts.open_early, step, "the customer is at the door")

    @rule(place=st.integers(0, 99), off=st.sampled_from([0.0, 0.3, 5.0]), scans=st.booleans())
    def measure_or_scan_a_place(self, place: int, off: float, scans: bool) -> None:
        ready = self.ready_step(place)
        which = f"st.id = {ready['id']}" if ready and ready["kind"] == "lay out" else "1"
        row = self.row_at(
            f"""SELECT sp.step, sp.part, pt.x_mm, p.code FROM step_part sp JOIN step st ON st.id = sp.step AND st.kind = 'lay out' AND {which}
                          JOIN part pt ON pt.id = sp.part JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL
                          JOIN piece p ON p.id = a.piece ORDER BY sp.step, sp.part""",
            place,
        )
        if row and scans:
            self.attempt(placement.place_scanned, row["step"], row["code"])
        elif row:
            self.attempt(placement.measure, row["step"], row["part"], row["x_mm"] + off, None)

    @rule(
        place=st.integers(0, 3),
        celsius=st.sampled_from([12.0, 18.5, 23.0, 30.0]),
        strikes=st.booleans(),
    )
    def note_how_warm_it_is(self, place: int, celsius: float, strikes: bool) -> None:
        wrong = self.row_at("SELECT id FROM climate ORDER BY id DESC", place)
        if not strikes or not wrong:
            self.attempt(climate.note_climate, celsius, 45.0)
        if strikes:
            wrong = wrong or self.row_at("SELECT id FROM climate ORDER BY id DESC", place)
            self.attempt(climate.strike_out, wrong["id"])

    @rule(place=st.integers(0, 99), into=st.integers(0, 2), picks=st.booleans())
    def lay_a_piece_into_a_bag(self, place: int, into: int, picks: bool) -> None:
        piece = self.row_at(
            "SELECT code FROM piece WHERE state IN ('cut', 'ready') ORDER BY id", place
        )
        bag = self.row_at("SELECT code FROM tray ORDER BY id", into)
        sign = piece and self.row_at(
            f"""SELECT s.code FROM sign s JOIN part pt ON pt.sign = s.id JOIN assignment a ON a.part = pt.id
                JOIN piece p ON p.id = a.piece WHERE p.code = '{piece["code"]}' AND a.ended_at IS NULL""",
            0,
        )
        if bag is None:
            self.attempt(trays.make_tray, "bag")
        elif piece and picks and sign:
            self.attempt(trays.pick, sign["code"], piece["code"])
        elif piece:
            self.attempt(trays.put_in, bag["code"], [piece["code"]])

    @rule(
        place=st.integers(0, 3),
        columns=st.integers(1, 3),
        coldest=st.sampled_from(["-20", "5", ""]),
    )
    def say_where_a_sign_hangs(self, place: int, columns: int, coldest: str) -> None:
        sign = self.row_at("SELECT id FROM sign ORDER BY id", place)
        if sign:
            self.attempt(fixings.set_site, sign["id"], coldest, "40" if coldest else "")
            self.attempt(fixings.plan_fixings, sign["id"], "4", "15", columns, 2, "masonry")

    @rule(place=st.integers(0, 9), verb=st.sampled_from(["hold", "resume", "cancel", "reopen"]))
    def decide_on_a_sign(self, place: int, verb: str) -> None:
        row = self.row_at("SELECT id FROM sign ORDER BY id", place)
        if row is None:
            return
        sign = row["id"]
        reason = ("a reason to do so",) if verb in ("cancel", "reopen", "hold") else ()
        self.attempt(getattr(signs, verb), sign, *reason)

    @precondition(lambda self: self.drawings < MOST_DRAWINGS)
    @rule(seed=st.integers(0, 200), comes_off_whole=st.booleans(), uses_spares=st.booleans())
    def send_another_drawing(self, seed: int, comes_off_whole: bool, uses_spares: bool) -> None:
        """No cut piece is forgotten: what was in hand is used, spare or, where it was glued at a wrong place, spoiled."""
        self.drawings += 1
        read = drawings.ReadDrawing(f"{seed:064d}", "new.svg", b"", changed(seed))
        proposed = drawings.proposal(self.shop, [read])
        stocks = {one.colour: one.stock.id for one in proposed.colours if one.stock}
        ready = "SELECT id FROM piece WHERE state IN ('cut', 'ready')"
        before = {row["id"] for row in self.shop.read().execute(ready)}
        try:
            made = revision_plan.plan(self.shop, "J-1001", proposed, stocks)
        except ShopError:
            return
        self.attempt(
            revisions.change,
            made,
            revision_plan.Choices(uses_spares, comes_off_whole),
            reads=[read],
        )
        assert before <= {row["id"] for row in self.shop.read().execute(ready)}

    @rule(back=st.integers(0, 6))
    def undo_an_act(self, back: int) -> None:
        """Down to the intake itself, but not the opening of the shop."""
        self.attempt(undo, max(2, ledger.newest(self.shop.read()) - back))

    @rule(hours=st.integers(1, 30))
    def wait(self, hours: int) -> None:
        self.now += timedelta(hours=hours)

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def each_part_of_an_open_sign_has_one_live_piece_that_is_not_gone(self) -> None:
        wrong = self.rows(
            """SELECT pt.id, count(p.id) AS live, sum(p.state IN ('lost', 'damaged', 'withdrawn')) AS gone FROM part pt
               JOIN sign s ON s.id = pt.sign LEFT JOIN assignment a ON a.part = pt.id AND a.ended_at IS NULL
               LEFT JOIN piece p ON p.id = a.piece WHERE s.state = 'open' AND pt.gone_at IS NULL GROUP BY pt.id HAVING live != 1 OR gone > 0"""
        )
        assert wrong == []

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def no_part_has_two_live_pieces_and_no_piece_two_parts(self) -> None:
        for column in ("part", "piece"):
            twice = f"SELECT {column} FROM assignment WHERE ended_at IS NULL GROUP BY {column} HAVING count(*) > 1"
            assert self.shop.read().execute(twice).fetchall() == []

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def a_nested_piece_has_the_tabs_that_were_kept_for_its_place_and_only_if_it_is_held_by_tabs(
        self,
    ) -> None:
        wrong = self.rows(
            """SELECT p.id, p.tabs, h.way, h.tabs AS kept FROM piece p JOIN sheet s ON s.id = p.sheet
               LEFT JOIN holding h ON h.nest = s.nest AND h.piece = p.id
               WHERE p.state = 'nested' AND (h.way IS NULL OR p.tabs != json_array_length(h.tabs)
                  OR (p.tabs > 0) != (h.way = 'tabs') OR h.came_free)"""
        )
        assert wrong == []

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def a_live_piece_is_of_the_family_of_its_part_and_its_part_is_not_gone(self) -> None:
        wrong = self.rows(
            """SELECT p.id FROM assignment a JOIN piece p ON p.id = a.piece JOIN part pt ON pt.id = a.part
               JOIN outline o ON o.id = p.outline JOIN outline q ON q.id = pt.outline WHERE a.ended_at IS NULL
               AND (p.stock != pt.stock OR o.family != q.family OR pt.gone_at IS NOT NULL)"""
        )
        assert wrong == []

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def a_fixed_piece_is_on_a_part_and_a_nested_one_on_a_sheet(self) -> None:
        wrong = self.rows(
            """SELECT p.id, p.state FROM piece p LEFT JOIN assignment a ON a.piece = p.id AND a.ended_at IS NULL
               LEFT JOIN sheet s ON s.id = p.sheet
               WHERE (p.state = 'fixed' AND a.part IS NULL) OR (p.state = 'nested' AND p.sheet IS NULL)
                  OR (p.state = 'waiting' AND (p.sheet IS NOT NULL OR a.part IS NULL))
                  OR (p.state = 'nested' AND s.state IN ('closed', 'abandoned'))"""
        )
        assert wrong == []

    @precondition(lambda self: hasattr(self, "shop"))
    @invariant()
    def the_frame_counts_as_many_ready_signs_as_the_bench_names(self) -> None:
        db = self.shop.read()
        named = [headline(sign, self.now) for sign in bench_store.benches(db)]
        assert page_counts.counts(db, stamp(self.now)).signs_ready == sum(
            line.rank == READY for line in named
        )


def test_random_acts():
    """A kind of act that chance left out gets further days; one that never succeeds fails."""
    done.clear()
    for days in (80, 40, 40, 40):
        run_state_machine_as_test(
            PlayedShop,
            settings=settings(
                max_examples=days,
                stateful_step_count=40,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )
        never = {name: refused[name] for name in MUST_SUCCEED - set(done)}
        if not never:
            break
    assert never == {}, (
        "each kind of act is done at least once; beside it, how often it was refused"
    )
