"""What a new drawing writes inside its act: parts first, then steps, then pieces.

Owns the order of these writes. The change of each part is in the plan that `revision_plan` made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from ..domain import pieces as life
from ..domain.drawing.signs import mark_of
from ..domain.recuts import revisions as rules
from ..store import bench, jobs, pieces, settings
from ..store import revisions as store
from .jobs import add_sign, part_columns
from .outlines import KeptOutlines, Sorted
from .pieces import write_events
from .revision_plan import WHY, Choices, Plan, SignPlan, Supply, copies_of, known, must_come_off
from .unit_of_work import Transaction


class Revising:
    """One revision inside its act: parts first, then steps, then pieces."""

    def __init__(
        self,
        transaction: Transaction,
        plan: Plan,
        choices: Choices,
        stocks: Mapping[str, int],
        given: Supply,
        sorted_: Sorted,
    ) -> None:
        self._transaction = transaction
        self._plan = plan
        self._choices = choices
        self._stocks = stocks
        self._given = given
        self._outlines = KeptOutlines(transaction, sorted_)
        self._shop_settings = settings.load(transaction.db)
        # pieces by outcome; the names are kept in the ledger
        self.outcome = {"to_cut": 0, "used": 0, "withdrawn": 0, "spare": 0, "spoiled": 0}
        self.waiting: dict[str, list[str]] = {}
        self.relabel: list[str] = []

    def all_signs(self) -> None:
        """Write every sign of the plan; then the pieces of new parts, then those left over from removed ones."""
        ids: dict[tuple[int, int, int], int] = {}
        for place, sign_plan in enumerate(self._plan.signs):
            if not sign_plan.signs:
                copies = [
                    self._new_sign(sign_plan) for _ in range(copies_of(self._plan, sign_plan))
                ]
            elif sign_plan.new is None:
                copies = [self._gone_sign(sign) for sign in sign_plan.signs]
            else:
                copies = [self._changed_sign(sign_plan, sign) for sign in sign_plan.signs]
            for copy, new_parts in enumerate(copies):
                ids |= {(place, copy, number): id for number, id in new_parts.items()}
        self._serve(ids)
        self._better()
        self._let_go()

    def _new_sign(self, sign_plan: SignPlan) -> dict[int, int]:
        job = self._plan.job.id
        mark = mark_of(len(jobs.signs_of_job(self._transaction.db, job)))
        _, ids = add_sign(
            self._transaction,
            job,
            mark,
            sign_plan.name,
            sign_plan.drawn,
            self._stocks,
            self._outlines,
        )
        return ids

    def _gone_sign(self, sign: int) -> dict[int, int]:
        jobs.set_sign_state(self._transaction.db, sign, "cancelled")
        return {}

    def _changed_sign(self, sign_plan: SignPlan, sign: int) -> dict[int, int]:
        """Write the changes of one sign; return the ids of its new parts by number."""
        db, drawn = self._transaction.db, sign_plan.drawn
        standing = {part.number: part.id for part in store.standing(db, sign)}
        live = {piece.part: piece for piece in pieces.of_sign(db, sign)}
        ids = self._write_parts(sign_plan, sign, standing)
        with_pieces = [
            (live[standing[change.old]], change)
            for change in sign_plan.changes
            if change.old and standing[change.old] in live
        ]
        come_off = [
            (piece, change) for piece, change in with_pieces if must_come_off(piece, change)
        ]
        for change in sign_plan.changes:
            if change.kind == rules.GONE:
                store.take_off(db, standing[known(change.old)], self._transaction.at)
        store.set_size(db, sign, drawn.width_mm, drawn.height_mm, drawn.levels)
        store.fit_steps(db, sign)
        to_set = {
            change.new
            for change in sign_plan.changes
            if change.kind == rules.NEW or (change.kind == rules.MOVED and not change.stays_joined)
        }
        for number in to_set | {change.new for _, change in come_off if change.new}:
            bench.reopen_for(db, ids[known(number)])
        if come_off:
            store.look_again(db, sign)
        self._take_apart([piece for piece, change in come_off if change.new])
        new = [known(change.new) for change in sign_plan.changes if change.kind == rules.NEW]
        return {number: ids[number] for number in new}

    def _write_parts(
        self, sign_plan: SignPlan, sign: int, standing: dict[int, int]
    ) -> dict[int, int]:
        """Renew the parts that stay and add the others. Returns ids by number in the new drawing."""
        db = self._transaction.db
        ids: dict[int, int] = {}
        was = {change.new: change.old for change in sign_plan.changes if change.new is not None}
        names = {part.number: part.name for part in sign_plan.old}
        number = store.highest_number(db, sign)
        for part in sign_plan.drawn.parts:
            columns = part_columns(part, self._stocks, self._outlines, ids)
            old = was[part.number]
            if old is not None:
                ids[part.number] = standing[old]
                # the name is on the label; only a bare number gives way to a name
                is_bare = names[old] == f"no. {old}"
                columns["name"] = part.name[:60] if part.name and is_bare else names[old]
                store.renew_part(db, ids[part.number], **columns)
                continue
            number += 1
            columns["name"] = part.name[:60] if part.name else f"no. {number}"
            ids[part.number] = jobs.add_part(db, sign=sign, number=number, **columns)
        for part in sign_plan.drawn.parts:
            jobs.set_also_on(db, ids[part.number], [ids[other] for other in part.also_on])
        return ids

    def _take_apart(self, glued: Sequence[life.Piece]) -> None:
        """Take off pieces that are glued at the wrong place and still wanted, or queue their recuts."""
        for piece in glued:
            if self._choices.comes_off_whole:
                self._write(life.came_off(piece))
                continue
            attempt = pieces.next_attempt(self._transaction.db, known(piece.part))
            tabs = life.usual_tabs(
                piece.perimeter_mm,
                self._shop_settings.tab_every_mm,
                self._shop_settings.fewest_tabs,
            )
            new_code = partial(self._transaction.new_code, "piece")
            events = life.gone(piece, "damaged", WHY, new_code, attempt, tabs)
            self._write(events)
            self.outcome["spoiled"] += 1
            for event in events:
                if isinstance(event, life.RecutQueued):
                    self._wait(event.stock, event.code)

    def _serve(self, ids: dict[tuple[int, int, int], int]) -> None:
        """Give each new part a piece: one in hand, else a new one that waits for a sheet."""
        for place, spot in enumerate(self._given.wanted):
            part, piece = ids[spot], self._given.serving.get(place)
            if piece is None:
                self._new_piece(part)
                continue
            self._use(piece, part)
            if piece.state == "waiting":
                self.waiting.setdefault(str(piece.stock), []).append(piece.code)

    def _better(self) -> None:
        """Give parts that stay a piece that is cut already; their own, which is not, is withdrawn."""
        for own, better in self._given.better:
            self._write(life.no_longer_needed(own, WHY))
            self._use(better, known(own.part))
            self.outcome["withdrawn"] += 1

    def _use(self, piece: life.Piece, part: int) -> None:
        """Assign a piece of a removed part, or a spare, to this part; it needs a new label."""
        freed = self._given.freed.get(piece.id)
        if freed is not None:
            self._write([life.AssignmentEnded(freed.id, WHY)])
            self._write([life.PieceCameOff(freed.id)] if freed.state == "fixed" else [])
        self._write([life.PieceAssigned(piece.id, part)])
        self.outcome["used"] += 1
        self.relabel.append(piece.code)

    def _new_piece(self, part: int) -> None:
        db, code = self._transaction.db, self._transaction.new_code("piece")
        outline, stock_id = jobs.cut_as(db, part)
        piece = pieces.add(db, code, outline, stock_id, attempt=1, tabs=0)
        pieces.assign(db, piece, part, self._transaction.at)
        self._wait(stock_id, code)

    def _wait(self, stock_id: int, code: str) -> None:
        self.waiting.setdefault(str(stock_id), []).append(code)
        self.outcome["to_cut"] += 1

    def _let_go(self) -> None:
        """Withdraw the uncut pieces of removed parts; the cut ones become spares."""
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
                self.outcome["spoiled"] += 1
                continue
            self._write(life.no_longer_needed(piece, WHY))
            self.outcome["withdrawn" if life.is_not_begun(piece) else "spare"] += 1

    def _write(self, events: Sequence[life.Event]) -> None:
        write_events(self._transaction, events)
