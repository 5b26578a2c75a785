"""How the glue panel speaks: groups, open times, amounts. Wording only; must not read the database or the request."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ...domain.bench.cements import Batch, Cement
from ...domain.bench.gluing import Pace
from ..formatting import counted, day

MOST_NAMES = 12  # of a group's parts in its heading
MOST_CROSSED = 2  # arms over wet glue that are named
MM2_PER_CM2 = 100.0

NEAR = (
    ("lower edge", "at the lower edge"),
    ("upper edge", "at the upper edge"),
    ("left edge", "at the left edge"),
    ("right edge", "at the right edge"),
    ("both long edges", "at the lower and the upper edge"),
    ("both upright edges", "at the left and the right edge"),
)


@dataclass(frozen=True)
class Chip:
    """A part to be glued: `turn` is its place in the order."""

    part: int
    turn: int
    name: str
    is_chosen: bool


@dataclass(frozen=True)
class Group:
    """A run of parts that is glued within one open time. `is_open`: it is shown with its parts."""

    words: str
    chips: tuple[Chip, ...]
    is_open: bool


@dataclass(frozen=True)
class Running:
    """An open time that runs: `until` is its end as stored, '' where the cement's is not known; `now` the server's clock."""

    words: str
    since: str
    until: str
    now: str
    is_over: bool


def running(cement: str, since: str, *, is_known: bool, is_over: bool) -> str:
    """What is said of an open time that runs."""
    if not is_known:
        return (
            f"Gluing since {since}; how long {cement} stays open is not known: see its data sheet."
        )
    if is_over:
        return f"{cement} was open since {since}: what is not set yet gets fresh cement, as its data sheet says."
    return f"{cement} is open since {since}."


def minutes(length: float) -> str:
    """'about 4 min', 'under 1 min'."""
    return "under 1 min" if length < 1 else f"about {math.ceil(length - 1e-9)} min"


def group(
    place: int, of: int, chips: Sequence[Chip], minutes_a_part: float, open_min: float
) -> str:
    """'Group 1 of 3: B A K E R, about 4 min of 5 open'; '2 parts, about 1 min of 5 open' where all are one group."""
    names = " ".join(chip.name for chip in chips[:MOST_NAMES]) + (
        " …" if len(chips) > MOST_NAMES else ""
    )
    head = f"Group {place} of {of}: {names}" if of > 1 else counted(len(chips), "part")
    is_open = f" of {open_min:g} open" if open_min else ""
    return f"{head}, {minutes(len(chips) * minutes_a_part)}{is_open}"


def glued(count: int, of: int) -> str:
    """'3 of 11 are glued'; '' where none is."""
    return f"{count} of {of} {'is' if count == 1 else 'are'} glued." if count else ""


def pace(known: Pace) -> str:
    """Where the minutes come from."""
    source = "the usual pace"
    if known.sessions:
        source = f"from {counted(known.parts, 'part')} in {counted(known.sessions, 'glue-up')}"
    left = (
        f"; {counted(known.left_out, 'glue-up')} left out: too short or too long to be gluing"
        if known.left_out
        else ""
    )
    return f"{known.minutes_a_part:.2g} min a part, {source}{left}."


def limits(cement: Cement) -> str:
    """What the data sheet of a cement says, in short."""
    damp = f", {cement.driest_percent:g} to {cement.dampest_percent:g} %"
    said = (
        f"{cement.coldest_c:g} to {cement.warmest_c:g} °C{'' if _takes_any_air(cement) else damp}"
    )
    return f"{said}, open {cement.open_min:g} min" if cement.open_min else said


def _takes_any_air(cement: Cement) -> bool:
    return cement.driest_percent <= 0 and cement.dampest_percent >= 100


def good_until(batch: Batch, today: date) -> str:
    """'good until Wed 31 Mar', 'expired Wed 31 Mar', '' where the tin does not say."""
    if batch.expires is None:
        return ""
    when = f"{day(batch.expires, 'UTC')} {batch.expires.year}"
    return f"expired {when}" if batch.is_expired(today) else f"good until {when}"


def need(
    area_mm2: float, millilitres: float | None, spare_share: float, cement: Cement | None
) -> str:
    """How much cement the chosen parts need."""
    joint = (
        f"{area_mm2 / MM2_PER_CM2:,.0f} cm² of joint"
        if area_mm2 >= MM2_PER_CM2
        else "under 1 cm² of joint"
    )
    if cement is None:
        return f"{joint}."
    if cement.kind == "tape":
        return f"{joint}, taped."
    if millilitres is None:
        return f"{joint}; how much {cement.name} that takes is not known."
    amount = "under 1 ml" if millilitres < 1 else f"about {math.ceil(millilitres)} ml"
    return f"{joint}: {amount} of {cement.name}, {100 * spare_share:.0f} % to spare."


def too_long(count: int, minutes_a_part: float, open_min: float) -> str:
    """A sentence where the chosen parts take longer than the cement stays open; '' where they do not."""
    length = count * minutes_a_part
    if open_min <= 0 or length <= open_min + 1e-9:
        return ""
    return f"{counted(count, 'part')} take {minutes(length)} and the cement stays open {open_min:g} min: choose fewer."


def reached_over(
    crossed: Sequence[tuple[int, int]], names: Mapping[int, str], wet: set[int]
) -> str:
    """A sentence where an arm would cross glue: the first two pairs (part that is set, part that it reaches over)."""
    if not crossed:
        return ""
    said = [
        f"{names[part]} over {names[other]}{', just glued' if other in wet else ''}"
        for part, other in crossed
    ]
    more = f" and {len(said) - MOST_CROSSED} more" if len(said) > MOST_CROSSED else ""
    pairs = "; ".join(said[:MOST_CROSSED])
    return f"You would reach over wet glue: {pairs}{more}. Take the numbers in turn, or stand at another side."
