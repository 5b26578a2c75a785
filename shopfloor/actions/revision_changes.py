"""What a new drawing does to a job inside its act: parts first, then steps, then pieces.

Owns the order of these writes. What is to become of each part is in the plan that `revisions` made.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..domain import pieces as life
from ..domain.drawing.signs import mark_of
from ..domain.recuts import revisions as rules
from ..store import bench, jobs, pieces, settings
from ..store import revisions as store
from .jobs import add_sign, part_columns
from .outlines import KeptOutlines, Sorted
from .revision_plan import WHY, Choices, Plan, SignPlan, Supply, copies_of, must_come_off
from .unit_of_work import Transaction


class Revising:
    """One revision inside its act: parts first, then steps, then pieces."""

    def __init__(
        self,
        transaction: Transaction,
        made: Plan,
        choices: Choices,
        stocks: dict[str, int],
        given: Supply,
        sorted_: Sorted,
    ):
        self._transaction, self._made, self._choices, self._stocks, self._given = (
            transaction,
            made,
            choices,
            stocks,
            given,
        )
        self._outlines = KeptOutlines(transaction, sorted_)
        shop_settings = settings.load(transaction.db)
        self._rule = life.TabRule(shop_settings.tab_every_mm, shop_settings.fewest_tabs)
        self.used = self.queued = self.withdrawn = self.spared = self.spoiled = 0
        self.waiting: dict[str, list[str]] = {}
        self.relabel: list[str] = []

    def all_signs(self) -> None:
        """Every sign of the plan; then the pieces for what is new, then what is left of what is gone."""
        ids: dict[tuple[int, int, int], int] = {}
        for place, sign_plan in enumerate(self._made.signs):
            if not sign_plan.signs:
                for copy in range(copies_of(self._made, sign_plan)):
                    ids |= {
                        (place, copy, number): id
                        for number, id in self._new_sign(sign_plan).items()
                    }
            for copy, sign in enumerate(sign_plan.signs):
                found = (
                    self._gone_sign(sign)
                    if sign_plan.new is None
                    else self._changed_sign(sign_plan, sign)
                )
                ids |= {(place, copy, number): id for number, id in found.items()}
        self._serve(ids)
        self._better()
        self._let_go()

    def _new_sign(self, sign_plan: SignPlan) -> dict[int, int]:
        mark = mark_of(len(jobs.signs_of_job(self._transaction.db, self._made.job.id)))
        _, ids = add_sign(
            self._transaction,
            self._made.job.id,
            mark,
            sign_plan.name,
            sign_plan.new,
            self._stocks,
            self._outlines,
        )
        return ids

    def _gone_sign(self, sign: int) -> dict[int, int]:
        jobs.set_sign_state(self._transaction.db, sign, "cancelled")
        return {}

    def _changed_sign(self, sign_plan: SignPlan, sign: int) -> dict[int, int]:
        db = self._transaction.db
        standing = {part.number: part.id for part in store.standing(db, sign)}
        live = {piece.part: piece for piece in pieces.of_sign(db, sign)}
        ids = self._write_parts(sign_plan, sign, standing)
        come_off = [
            (live[standing[c.old]], c)
            for c in sign_plan.changes
            if c.old and standing[c.old] in live
        ]
        come_off = [(piece, c) for piece, c in come_off if must_come_off(piece, c)]
        for change in sign_plan.changes:
            if change.kind == rules.GONE:
                store.take_off(db, standing[change.old], self._transaction.at)
        store.set_size(
            db, sign, sign_plan.new.width_mm, sign_plan.new.height_mm, sign_plan.new.levels
        )
        store.fit_steps(db, sign)
        unset = [
            c
            for c in sign_plan.changes
            if c.kind == rules.NEW or (c.kind == rules.MOVED and not c.stays_joined)
        ]
        for number in {c.new for c in unset} | {c.new for _, c in come_off if c.new}:
            bench.reopen_for(db, ids[number])
        if come_off:
            store.look_again(db, sign)
        self._take_apart([piece for piece, c in come_off if c.new])
        return {
            change.new: ids[change.new] for change in sign_plan.changes if change.kind == rules.NEW
        }

    def _write_parts(
        self, sign_plan: SignPlan, sign: int, standing: dict[int, int]
    ) -> dict[int, int]:
        """The parts of the new drawing: those that stay renewed, the others added. Gives ids by number in the new drawing."""
        db, ids = self._transaction.db, {}
        was = {change.new: change.old for change in sign_plan.changes if change.new is not None}
        names = {part.number: part.name for part in sign_plan.old}
        number = store.highest_number(db, sign)
        for part in sign_plan.new.parts:
            columns = part_columns(part, self._stocks, self._outlines, ids)
            if was[part.number] is not None:
                ids[part.number] = standing[was[part.number]]
                known = names[
                    was[part.number]
                ]  # it stands on the label; only a bare number makes way for a name
                columns["name"] = (
                    part.name[:60] if part.name and known == f"no. {was[part.number]}" else known
                )
                store.renew_part(db, ids[part.number], **columns)
                continue
            number += 1
            columns["name"] = part.name[:60] if part.name else f"no. {number}"
            ids[part.number] = jobs.add_part(db, sign=sign, number=number, **columns)
        for part in sign_plan.new.parts:
            jobs.set_also_on(db, ids[part.number], [ids[other] for other in part.also_on])
        return ids

    def _take_apart(self, glued: Sequence[life.Piece]) -> None:
        """Pieces that are glued at the wrong place and still wanted: taken off, or cut anew."""
        for piece in glued:
            if self._choices.comes_off_whole:
                self._write(life.came_off(piece))
                continue
            attempt = pieces.next_attempt(self._transaction.db, piece.part)
            events = life.gone(
                piece,
                "damaged",
                WHY,
                lambda: self._transaction.new_code("piece"),
                attempt,
                self._rule,
            )
            self._write(events)
            self.spoiled += 1
            for event in events:
                if isinstance(event, life.RecutQueued):
                    self._wait(event.stock, event.code)

    def _serve(self, ids: dict[tuple[int, int, int], int]) -> None:
        """A piece for each new part: one in hand, else a new one that waits for a sheet."""
        for place, spot in enumerate(self._given.wanted):
            part, piece = ids[spot], self._given.serving.get(place)
            if piece is None:
                self._new_piece(part)
                continue
            self._use(piece, part)
            if piece.state == "waiting":
                self.waiting.setdefault(str(piece.stock), []).append(piece.code)

    def _better(self) -> None:
        """A part that stays gets a piece that is cut already; its own, which is not, is withdrawn."""
        for own, better in self._given.better:
            self._write(life.no_longer_needed(own, WHY))
            self._use(better, own.part)
            self.withdrawn += 1

    def _use(self, piece: life.Piece, part: int) -> None:
        """A piece of a part that is gone, or a spare, is for this part from now on; its label says otherwise."""
        freed = self._given.freed.get(piece.id)
        if freed is not None:
            self._write([life.AssignmentEnded(freed.id, WHY)])
            self._write([life.PieceCameOff(freed.id)] if freed.state == "fixed" else [])
        self._write([life.PieceAssigned(piece.id, part)])
        self.used += 1
        self.relabel.append(piece.code)

    def _new_piece(self, part: int) -> None:
        db, columns = self._transaction.db, jobs.part_row(self._transaction.db, part)
        code = self._transaction.new_code("piece")
        piece = pieces.add(db, code, columns["outline"], columns["stock"], attempt=1, tabs=0)
        pieces.assign(db, piece, part, self._transaction.at)
        self._wait(columns["stock"], code)

    def _wait(self, stock_id: int, code: str) -> None:
        self.waiting.setdefault(str(stock_id), []).append(code)
        self.queued += 1

    def _let_go(self) -> None:
        """What served for gone parts and serves for nothing now: withdrawn where it is not cut, else a spare."""
        for piece in self._given.freed.values():
            if piece.id in self._given.used:
                continue
            if piece.state == "fixed" and not self._choices.comes_off_whole:
                self._write(
                    [
                        life.PieceDamaged(piece.id, piece.state, WHY),
                        life.AssignmentEnded(piece.id, "damaged"),
                    ]
                )
                self.spoiled += 1
                continue
            self._write(life.no_longer_needed(piece, WHY))
            if life.is_not_begun(piece):
                self.withdrawn += 1
            else:
                self.spared += 1

    def _write(self, events: list) -> None:
        pieces.write(self._transaction.db, events, self._transaction.at)
        for event in events:
            self._transaction.record(event)
