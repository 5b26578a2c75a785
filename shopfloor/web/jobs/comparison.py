"""The comparison of a new drawing with a job: the new signs over the old ones, and what the change costs.

Reads only; `revisions` shows the page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...actions.revision_plan import (
    DEFAULT_CHOICES,
    NEW_STOCK,
    Choices,
    Costs,
    Plan,
    SignPlan,
    costs,
    known,
)
from ...domain.drawing.answers import NO_ANSWERS, Answers
from ...domain.drawing.drawing import Finding
from ...domain.drawing.stacking import ProposedPart
from ...domain.outlines import Outline
from ...domain.recuts import revisions as rules
from ...domain.recuts.revisions import Change
from ...scenes.scene import Shape
from ...store.db import Connection
from ...store.jobs import Job
from ...store.revisions import StandingPart
from ...wording import drawings as drawing_wording
from ...wording import jobs as job_wording
from ...wording import revisions as wording
from ...wording.message import Message
from ..page import current_settings
from ..pictures.overlays import Trace
from ..pictures.svg import SignPicture, sign_picture
from . import answers as written
from . import questions
from .proposal_page import colour_choices

ALONE, BESIDE = (1150, 330), (540, 240)  # room for a sign, px
MOST_NAMED = 12
MOST_DRAWN = 24  # signs


@dataclass(frozen=True)
class Asked:
    """A person's choices and answers about a new drawing. `stocks` by colour without '#', as text; `unit` and `glued`
    ('whole', 'spoiled') are '' where nobody chose."""

    choices: Choices = DEFAULT_CHOICES
    answers: Answers = NO_ANSWERS
    stocks: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    glued: str = ""

    def as_query(self, answers: Answers | None = None) -> dict[str, str]:
        """Return it as the fields of a query, with other answers where they are given."""
        plain = {
            "spares": "" if self.choices.uses_spares else "no",
            "glued": self.glued,
            "unit": self.unit,
            **{f"stock-{colour}": value for colour, value in self.stocks.items()},
        }
        return {name: value for name, value in plain.items() if value} | written.query_of(
            answers or self.answers
        )


@dataclass(frozen=True)
class SignOver:
    """A sign as it will be, drawn over the sign as it is. `lists` are (heading, parts) of the new, removed and moved."""

    called: Message
    name: str
    summary: Message
    picture: SignPicture
    lists: list[tuple[Message, list[Message]]]


def page_of(
    db: Connection, plan: Plan, asked: Asked, findings: Sequence[Finding]
) -> dict[str, object]:
    """Return a new drawing before it is confirmed; `findings` are those of the reader and of preflight.

    `outcome` is the result in a few words; `facts` are (label, value). `is_strange`: no part of the job is in it.
    """
    choices, proposed = asked.choices, plan.proposed
    cost = costs(db, plan, choices)
    with_spares = (
        cost if choices.uses_spares else costs(db, plan, Choices(True, choices.comes_off_whole))
    )
    drawn = plan.signs[:MOST_DRAWN]
    box = ALONE if len(drawn) == 1 else BESIDE
    unknown = [
        colour
        for colour in proposed.colours
        if colour.colour not in plan.stocks or colour.colour[1:] in asked.stocks
    ]
    colour = questions.colour_question(proposed)
    return {
        "job": plan.job,
        "sha256": proposed.sha256,
        "file": proposed.file,
        "outcome": _outcome(plan, cost),
        "facts": _facts(cost),
        "signs": [_over(number, sign, plan.job, box) for number, sign in enumerate(drawn)],
        "undrawn": len(plan.signs) - len(drawn),
        "left_alone": ", ".join(plan.left_alone),
        "costs": cost,
        "spares": with_spares.from_stock,
        "asked": asked,
        "is_empty": plan.is_empty,
        "is_strange": not (cost.same or cost.moved) and cost.gone > 0,
        "findings": list(dict.fromkeys(finding.message for finding in findings)),
        "unit": questions.unit_question(proposed, asked.unit, current_settings().units),
        "questions": [
            *([colour] if colour else []),
            *questions.loose_questions(proposed, plan.job.title),
        ],
        "colours": colour_choices(db, unknown, asked.stocks),
    }


def _outcome(plan: Plan, cost: Costs) -> Message:
    if plan.is_empty:
        return wording.changes_nothing()
    return wording.to_cut(cost.to_cut) if cost.to_cut else wording.nothing_to_cut()


def _facts(cost: Costs) -> list[tuple[Message, Message | str]]:
    """Return what the change costs in pieces, sheet and time, without the zeros."""
    kinds = {"same": cost.same, "moved": cost.moved, "new": cost.new, "gone": cost.gone}
    sheets = [_share(name, share) for name, share in cost.sheets.items()]
    minutes = max(1, round(cost.minutes))
    facts: list[tuple[str, Message | str | None]] = [
        ("parts", _counted(kinds)),
        ("used", wording.pieces_with_new_labels(cost.used) if cost.used else None),
        ("withdrawn", job_wording.pieces(cost.withdrawn) if cost.withdrawn else None),
        ("spare", job_wording.pieces(cost.spare) if cost.spare else None),
        ("sheet", wording.about_so_much(sheets) if sheets else None),
        ("money", f"{cost.money:.2f}" if cost.money else None),
        ("minutes", wording.about_minutes(minutes) if cost.minutes else None),
    ]
    return [(wording.cost_label(kind), value) for kind, value in facts if value]


def _counted(kinds: Mapping[str, int]) -> Message | None:
    counts = [wording.parts_by_change(kind, count) for kind, count in kinds.items() if count]
    return wording.several(counts) if counts else None


def _share(name: str, share: float) -> Message:
    """'2 %' of a sheet, '1.3 sheets'."""
    stock = wording.a_new_stock() if name == NEW_STOCK else name
    if share >= 1:
        return wording.sheets_of_stock(f"{share:.1f}", stock)
    return wording.share_of_a_sheet(f"{max(share * 100, 0.1):.{0 if share >= 0.02 else 1}f}", stock)


# The picture ---------------------------------------------------------------------------------------------------------


def _over(number: int, sign: SignPlan, job: Job, box: tuple[int, int]) -> SignOver:
    standing = {part.number: part.outline.moved(part.x_mm, part.y_mm) for part in sign.old}
    dx, dy = _shift(sign, standing)
    old = {number: outline.moved(dx, dy) for number, outline in standing.items()}
    new = {part.number: part for part in sign.new.parts} if sign.new else {}
    left, bottom, right, top = _box([*old.values(), *(part.outline for part in new.values())])
    traces = [trace for change in sign.changes for trace in _traces(change, old, new)]
    by_new = {change.new: change for change in sign.changes}
    parts = [_part(part, by_new[part.number], -left, -bottom) for part in new.values()]
    names = [f"{job.number} {mark}" for mark in sign.marks]
    called = wording.several(names) if names else wording.a_new_sign_heading()
    picture = sign_picture(
        f"r{number}",
        parts,
        right - left,
        top - bottom,
        title=wording.new_over_old(called),
        box=box,
        width_text=_size(sign),
        traces=[_moved(trace, -left, -bottom) for trace in traces],
    )
    return SignOver(called, sign.name, _summary(sign), picture, _lists(sign, new))


def _shift(sign: SignPlan, old: Mapping[int, Outline]) -> tuple[float, float]:
    """Return the shift that lays the old drawing onto the new one, by a part that stayed."""
    if sign.new is None:
        return 0.0, 0.0
    for change in sorted(sign.changes, key=lambda change: change.kind != rules.SAME):
        if change.old is not None and change.new is not None:
            was = old[change.old].polygon.centroid
            is_now = sign.part(change.new).outline.polygon.centroid
            return is_now.x - was.x, is_now.y - was.y
    return 0.0, 0.0


def _box(outlines: Sequence[Outline]) -> tuple[float, float, float, float]:
    lefts, bottoms, rights, tops = zip(*(outline.bounds for outline in outlines), strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _part(part: ProposedPart, change: Change, dx: float, dy: float) -> Shape:
    """Return a part for the picture. A new one must be cut: it is drawn like a piece that is not in hand."""
    state = "waiting" if change.kind == rules.NEW else "ready"
    return Shape(
        f"{part.number}",
        part.number,
        part.name or "",
        part.outline.moved(dx, dy),
        part.colour,
        state,
    )


def _traces(
    change: Change, old: Mapping[int, Outline], new: Mapping[int, ProposedPart]
) -> list[Trace]:
    if change.kind == rules.GONE:
        return [Trace("gone", old[known(change.old)])]
    if change.kind == rules.NEW:
        return [Trace("new", new[known(change.new)].outline)]
    if change.kind == rules.MOVED:
        before, after = old[known(change.old)], new[known(change.new)].outline
        was, is_now = before.polygon.centroid, after.polygon.centroid
        return [
            Trace("was", before),
            Trace("arrow", points=((was.x, was.y), (is_now.x, is_now.y))),
        ]
    return []


def _moved(trace: Trace, dx: float, dy: float) -> Trace:
    outline = trace.outline.moved(dx, dy) if trace.outline else None
    return Trace(trace.kind, outline, tuple((x + dx, y + dy) for x, y in trace.points))


# The words -----------------------------------------------------------------------------------------------------------


def _size(sign: SignPlan) -> str:
    if sign.new is None:
        return ""
    return str(drawing_wording.size(sign.new.width_mm, sign.new.height_mm))


def _summary(sign: SignPlan) -> Message:
    if sign.new is None:
        return wording.sign_is_cancelled()
    if not sign.signs:
        return wording.new_sign_of(job_wording.parts(len(sign.new.parts)))
    kinds = [change.kind for change in sign.changes]
    in_order = (rules.SAME, rules.MOVED, rules.NEW, rules.GONE)
    return _counted({kind: kinds.count(kind) for kind in in_order}) or job_wording.parts(0)


def _lists(sign: SignPlan, new: Mapping[int, ProposedPart]) -> list[tuple[Message, list[Message]]]:
    """Return the new, removed and moved parts of a sign that stays, parts that moved alike together."""
    if sign.new is None or not sign.signs:
        return []
    was = {part.number: part for part in sign.old}
    parts: dict[str, list[Message]] = {rules.NEW: [], rules.GONE: [], rules.MOVED: []}
    moved: dict[str, tuple[Message, list[Message]]] = {}  # by the way as it reads
    for change in sign.changes:
        if change.kind == rules.MOVED:
            part = was[known(change.old)]
            way = _way(part, new[known(change.new)])
            moved.setdefault(str(way), (way, []))[1].append(_name(part))
        elif change.kind == rules.NEW:
            parts[rules.NEW].append(_name_of_new(new[known(change.new)]))
        elif change.kind == rules.GONE:
            parts[rules.GONE].append(_name(was[known(change.old)]))
    parts[rules.MOVED] = [
        wording.moved_parts(way, _at_most(names)) for way, names in moved.values()
    ]
    return [
        (wording.change_heading(kind), _at_most(names)) for kind, names in parts.items() if names
    ]


def _name(part: StandingPart) -> Message:
    name = "" if part.name == f"no. {part.number}" else part.name
    return wording.part_numbered(part.number, name)


def _name_of_new(part: ProposedPart) -> Message:
    if part.name:
        return wording.part_named(part.name)
    return wording.part_of_width(part.outline.width_mm)


def _way(was: StandingPart, now: ProposedPart) -> Message:
    """'60 mm right and 5 mm up', from the sign's lower left corner."""
    left, bottom, _, _ = now.outline.bounds
    across, along = left - was.x_mm, bottom - was.y_mm
    steps = [
        wording.step(towards[step < 0], abs(step))
        for step, towards in ((across, ("right", "left")), (along, ("up", "down")))
        if abs(step) >= rules.SAME_MM
    ]
    return wording.several(steps) if steps else wording.turned()


def _at_most(names: Sequence[Message]) -> list[Message]:
    """Return the first names, and how many more there are."""
    more = len(names) - MOST_NAMED
    return [*names[:MOST_NAMED], *([drawing_wording.and_more(more)] if more > 0 else [])]
