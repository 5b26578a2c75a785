"""The answers about a drawing in a query: which signs are one, left out or on their own, which colours are one.

Owns the written form ('0-2;5,7': places of signs in the drawing, from 0) and how a further answer changes the others.
Must not know the questions: they are in `questions`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ...domain.drawing.answers import Answers
from ...domain.errors import Refused
from ...wording import drawings as wording

MOST_LETTERS = 4000
MOST_PLACES = 20_000
_GROUP = r"\d{1,5}(-\d{1,5})?(,\d{1,5}(-\d{1,5})?)*"
_JOIN = re.compile(rf"{_GROUP}(;{_GROUP})*")
_PLACES = re.compile(_GROUP)


def answers_of(values: Mapping[str, str]) -> Answers:
    """Return the answers in a query or form: `join`, `out`, `own`, `apart`. Raises Refused where no page of ours wrote them."""
    apart = values.get("apart", "")
    if apart not in ("", "1"):
        raise Refused(wording.answers_not_ours())
    out, own = (places_of(values.get(name, "")) for name in ("out", "own"))
    return Answers(joins_of(values.get("join", "")), out, own, bool(apart))


def query_of(answers: Answers) -> dict[str, str]:
    """Return the answers as the fields of a query, without empty ones."""
    fields = {
        "join": ";".join(map(written, answers.joins)),
        "out": written(answers.left_out),
        "own": written(answers.own),
        "apart": "1" if answers.apart else "",
    }
    return {name: value for name, value in fields.items() if value}


def joined(answers: Answers, places: Iterable[int]) -> Answers:
    """Join these signs into one; fewer than two change nothing."""
    together = set(places)
    if len(together) < 2:
        return answers
    others = tuple(group for group in answers.joins if not set(group) & together)
    return replace(answers, joins=(*others, tuple(sorted(together))))


def taken_apart(answers: Answers, places: Iterable[int]) -> Answers:
    """Take signs apart again that were joined at these places."""
    return replace(
        answers, joins=tuple(group for group in answers.joins if not set(group) & set(places))
    )


def left_out(answers: Answers, places: Iterable[int]) -> Answers:
    """Leave these signs out: they were drawn by mistake."""
    return replace(answers, left_out=tuple(sorted({*answers.left_out, *places})))


def put_back(answers: Answers, place: int) -> Answers:
    """Put a sign back that was left out."""
    return replace(answers, left_out=tuple(other for other in answers.left_out if other != place))


def on_their_own(answers: Answers, places: Iterable[int]) -> Answers:
    """Make these loose parts signs of their own."""
    return replace(answers, own=tuple(sorted({*answers.own, *places})))


def joins_of(text: str) -> tuple[tuple[int, ...], ...]:
    """Return which signs are one, from '0-2;5,7'. Raises Refused where no page of ours wrote it."""
    if not text:
        return ()
    if len(text) > MOST_LETTERS or not _JOIN.fullmatch(text):
        raise Refused(wording.answers_not_ours())
    return tuple(places_of(group) for group in text.split(";"))


def places_of(text: str) -> tuple[int, ...]:
    """Return places of signs, from '0-2,5'. Raises Refused where no page of ours wrote it."""
    if not text:
        return ()
    if len(text) > MOST_LETTERS or not _PLACES.fullmatch(text):
        raise Refused(wording.answers_not_ours())
    places: list[int] = []
    for run in text.split(","):
        first, _, last = run.partition("-")
        if len(places) + int(last or first) - int(first) > MOST_PLACES:
            raise Refused(wording.answers_not_ours())
        places += range(int(first), int(last or first) + 1)
    return tuple(places)


def written(places: Sequence[int]) -> str:
    """Return places as text, runs shortened."""
    runs: list[list[int]] = []
    for place in sorted(places):
        if runs and place == runs[-1][1] + 1:
            runs[-1][1] = place
        else:
            runs.append([place, place])
    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)
