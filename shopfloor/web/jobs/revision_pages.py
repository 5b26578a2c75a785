"""What the page of a new drawing shows: the new signs drawn over the old ones, and what the change costs. Reads only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...actions.revision_plan import Choices, Costs, Plan, SignPlan, costs
from ...domain import lengths
from ...domain.drawing.answers import Answers
from ...domain.drawing.drawing import Finding
from ...domain.drawing.stacking import ProposedPart
from ...domain.outlines import Outline
from ...domain.recuts import revisions as rules
from ...domain.recuts.revisions import Change
from ...store.db import Connection
from ...store.jobs import Job
from ...store.revisions import StandingPart
from ..formatting import counted
from ..page import current_settings
from ..pictures.overlays import Trace
from ..pictures.pictures import PicturePart, SignPicture, sign_picture
from . import answers as written
from . import questions
from .intake_pages import ColourChoice, colour_choices
from .questions import Question

ALONE, BESIDE = (1150, 330), (540, 240)  # room for a sign, px
MOST_NAMED = 12
MOST_DRAWN = 24  # signs


@dataclass(frozen=True)
class Asked:
    """What a person chose and answered about a new drawing. `stocks` by colour without '#', as text; `unit` and `glued`
    ('whole', 'spoiled') are '' where nobody said."""

    choices: Choices = Choices()
    answers: Answers = Answers()
    stocks: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    glued: str = ""

    def as_query(self, answers: Answers | None = None) -> dict[str, str]:
        """The same as the fields of a query, with other answers where they are given."""
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
    """A sign as it will be, drawn over the sign as it is. `lists` are (heading, words) of what is new, gone and moved."""

    called: str
    name: str
    words: str
    picture: SignPicture
    lists: list[tuple[str, str]]


@dataclass(frozen=True)
class RevisionPage:
    """A new drawing before it is confirmed. `big` is the outcome in a few words; `facts` are (what, how much). `is_strange`:
    nothing of the job is in it."""

    job: Job
    sha256: str
    file: str
    big: str
    facts: list[tuple[str, str]]
    signs: list[SignOver]
    undrawn: int
    left_alone: str
    costs: Costs
    spares: int
    asked: Asked
    is_empty: bool
    is_strange: bool
    found: list[str]
    unit: Question | None
    questions: list[Question]
    colours: list[ColourChoice]


def page_of(db: Connection, plan: Plan, asked: Asked, found: Sequence[Finding]) -> RevisionPage:
    """The plan as it is shown. `found` is what the drawing and the preflight say."""
    choices, proposed, units = asked.choices, plan.proposed, current_settings().units
    told = costs(db, plan, choices)
    with_spares = (
        told if choices.uses_spares else costs(db, plan, Choices(True, choices.comes_off_whole))
    )
    drawn = plan.signs[:MOST_DRAWN]
    box = ALONE if len(drawn) == 1 else BESIDE
    unknown = [
        one
        for one in proposed.colours
        if one.colour not in plan.stocks or one.colour[1:] in asked.stocks
    ]
    colour = questions.colour_question(proposed)
    return RevisionPage(
        job=plan.job,
        sha256=proposed.sha256,
        file=proposed.file,
        big=_big(plan, told),
        facts=_facts(told),
        signs=[_over(number, sign, plan.job, box) for number, sign in enumerate(drawn)],
        undrawn=len(plan.signs) - len(drawn),
        left_alone=", ".join(plan.left_alone),
        costs=told,
        spares=with_spares.from_stock,
        asked=asked,
        is_empty=plan.is_empty,
        is_strange=not (told.same or told.moved) and told.gone > 0,
        found=list(dict.fromkeys(finding.message for finding in found)),
        unit=questions.unit_question(proposed, asked.unit, units),
        questions=[
            *([colour] if colour else []),
            *questions.loose_questions(proposed, plan.job.title, units),
        ],
        colours=colour_choices(db, unknown, asked.stocks),
    )


def _big(plan: Plan, told: Costs) -> str:
    if plan.is_empty:
        return "The new drawing changes nothing"
    if told.to_cut:
        return f"{counted(told.to_cut, 'piece')} to cut"
    return "Nothing has to be cut"


def _facts(told: Costs) -> list[tuple[str, str]]:
    """What the change costs in pieces, sheet and time; what is nought is left out."""
    sheets = ", ".join(f"{_share(share)} of {name}" for name, share in told.sheets.items())
    facts = [
        (
            "Parts",
            ", ".join(
                f"{number} {word}"
                for word, number in (
                    ("the same", told.same),
                    ("moved", told.moved),
                    ("new", told.new),
                    ("gone", told.gone),
                )
                if number
            ),
        ),
        (
            "Serve again",
            f"{counted(told.used, 'piece')}, {'a new label' if told.used == 1 else 'new labels'}"
            if told.used
            else "",
        ),
        ("Withdrawn, not cut yet", counted(told.withdrawn, "piece") if told.withdrawn else ""),
        ("Left over as spares", counted(told.spare, "piece") if told.spare else ""),
        ("Sheet", f"about {sheets}" if sheets else ""),
        ("Material costs", f"{told.money:.2f}" if told.money else ""),
        (
            "Time at the router",
            f"about {counted(max(1, round(told.minutes)), 'minute')}" if told.minutes else "",
        ),
    ]
    return [(what, much) for what, much in facts if much]


def _share(share: float) -> str:
    """'2 %' of a sheet, '1.3 sheets'."""
    return (
        f"{share:.1f} sheets"
        if share >= 1
        else f"{max(share * 100, 0.1):.{0 if share >= 0.02 else 1}f} %"
    )


# The picture ---------------------------------------------------------------------------------------------------------


def _over(number: int, sign: SignPlan, job: Job, box: tuple[int, int]) -> SignOver:
    old = {part.number: part.outline.moved(part.x_mm, part.y_mm) for part in sign.old}
    dx, dy = _shift(sign, old)
    old = {place: outline.moved(dx, dy) for place, outline in old.items()}
    new = {part.number: part for part in sign.new.parts} if sign.new else {}
    left, bottom, right, top = _box([*old.values(), *(part.outline for part in new.values())])
    traces = [trace for change in sign.changes for trace in _traces(change, old, new)]
    by_new = {change.new: change for change in sign.changes}
    parts = [_part(part, by_new[part.number], -left, -bottom) for part in new.values()]
    called = ", ".join(f"{job.number} {mark}" for mark in sign.marks) or "A new sign"
    picture = sign_picture(
        f"r{number}",
        parts,
        right - left,
        top - bottom,
        title=f"{called}: new over old",
        box=box,
        width_text=_size(sign),
        traces=[_moved(trace, -left, -bottom) for trace in traces],
    )
    return SignOver(called, sign.name, _words(sign), picture, _lists(sign, new))


def _shift(sign: SignPlan, old: Mapping[int, Outline]) -> tuple[float, float]:
    """What lays the old drawing onto the new one: a part that stayed lies on itself."""
    if sign.new is None:
        return 0.0, 0.0
    for change in sorted(sign.changes, key=lambda one: one.kind != rules.SAME):
        if change.old is not None and change.new is not None:
            was, is_now = (
                old[change.old].polygon.centroid,
                sign.new.parts[change.new - 1].outline.polygon.centroid,
            )
            return is_now.x - was.x, is_now.y - was.y
    return 0.0, 0.0


def _box(outlines: Sequence[Outline]) -> tuple[float, float, float, float]:
    boxes = [outline.bounds for outline in outlines]
    return (
        *(min(box[side] for box in boxes) for side in (0, 1)),
        *(max(box[side] for box in boxes) for side in (2, 3)),
    )


def _part(part: ProposedPart, change: Change, dx: float, dy: float) -> PicturePart:
    """What is new has to be cut: it is drawn as what is not in hand, a hole through to the paper."""
    state = "waiting" if change.kind == rules.NEW else "ready"
    return PicturePart(
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
        return [Trace("gone", old[change.old])]
    if change.kind == rules.NEW:
        return [Trace("new", new[change.new].outline)]
    if change.kind == rules.MOVED:
        was, is_now = old[change.old].polygon.centroid, new[change.new].outline.polygon.centroid
        return [
            Trace("was", old[change.old]),
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
    units = current_settings().units
    wide, high = lengths.show(sign.new.width_mm, units), lengths.show(sign.new.height_mm, units)
    return f"{wide.removesuffix(' mm')} × {high}"


def _words(sign: SignPlan) -> str:
    if sign.new is None:
        return "It is not in the new drawing: it is cancelled"
    if not sign.signs:
        return f"A new sign of {counted(len(sign.new.parts), 'part')}"
    counts = [
        (word, sum(change.kind == kind for change in sign.changes))
        for word, kind in (
            ("the same", rules.SAME),
            ("moved", rules.MOVED),
            ("new", rules.NEW),
            ("gone", rules.GONE),
        )
    ]
    return ", ".join(f"{number} {word}" for word, number in counts if number)


def _lists(sign: SignPlan, new: Mapping[int, ProposedPart]) -> list[tuple[str, str]]:
    if sign.new is None or not sign.signs:
        return []
    was = {part.number: part for part in sign.old}
    units = current_settings().units
    by_kind: dict[str, list[str]] = {rules.NEW: [], rules.GONE: [], rules.MOVED: []}
    ways: dict[str, list[str]] = {}
    for change in sign.changes:
        if change.kind == rules.MOVED:
            way = _way(was[change.old], new[change.new], units)
            ways.setdefault(way, []).append(_name(was[change.old]))
        elif change.kind == rules.NEW:
            part = new[change.new]
            by_kind[rules.NEW].append(
                f"'{part.name}'"
                if part.name
                else f"a part of {lengths.show(part.outline.width_mm, units)}"
            )
        elif change.kind == rules.GONE:
            by_kind[rules.GONE].append(_name(was[change.old]))
    by_kind[rules.MOVED] = [f"{way}: {_some(names, ', ')}" for way, names in ways.items()]
    return [(kind.capitalize(), _some(names)) for kind, names in by_kind.items() if names]


def _name(part: StandingPart) -> str:
    return (
        f"no. {part.number}"
        if part.name == f"no. {part.number}"
        else f"'{part.name}' (no. {part.number})"
    )


def _way(was: StandingPart, now: ProposedPart, units: str) -> str:
    """'60 mm right, 5 mm up', from the sign's lower left corner."""
    left, bottom, _, _ = now.outline.bounds
    across, along = left - was.x_mm, bottom - was.y_mm
    steps = [
        f"{lengths.show(abs(step), units)} {words[step < 0]}"
        for step, words in ((across, ("right", "left")), (along, ("up", "down")))
        if abs(step) >= rules.SAME_MM
    ]
    return ", ".join(steps) or "turned"


def _some(names: Sequence[str], between: str = "; ") -> str:
    more = len(names) - MOST_NAMED
    return between.join(names[:MOST_NAMED]) + (f"{between}and {more} more" if more > 0 else "")
