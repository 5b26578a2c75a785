"""The recipe and its rules, without a database."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopfloor.domain.bench import steps as rules
from shopfloor.domain.bench.headline import headline
from shopfloor.domain.bench.steps import Part, Sign, Step, recipe
from shopfloor.domain.bench.waiting import named, waits_for, whereabouts
from shopfloor.domain.errors import Conflict
from shopfloor.wording.formatting import Reader, soon
from shopfloor.wording.message import text

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)  # a Wednesday


def sign_of(parts: list[Part], state: str = "open") -> Sign:
    by_level: dict[int, list[int]] = {}
    for part in parts:
        by_level.setdefault(part.level, []).append(part.id)
    steps = tuple(
        Step(
            n,
            n,
            planned.kind,
            planned.title,
            planned.level,
            tuple(a + 1 for a in planned.after),
            planned.parts,
        )
        for n, planned in enumerate(recipe(by_level), start=1)
    )
    by_id = {part.id: part for part in parts}
    return Sign(
        1, "40729153", "A", "Door", "J-1042", "Harbour office", "2026-12-01", state, steps, by_id
    )


def read(messages) -> list[str]:
    """Messages as somebody in the shop reads them now."""
    return [text(message, Reader(now=NOW)) for message in messages]


def changed(sign: Sign, title: str, **values) -> Sign:
    return replace(
        sign,
        steps=tuple(
            replace(step, **values) if step.title == title else step for step in sign.steps
        ),
    )


def all_done(sign: Sign) -> Sign:
    def finished(step: Step) -> Step:
        if step.kind == "cure":
            return replace(step, shut_until=NOW - timedelta(hours=1))
        return replace(
            step,
            done_at=NOW,
            ticks=frozenset(step.parts) if step.kind == "lay out" else frozenset(),
        )

    return replace(sign, steps=tuple(finished(step) for step in sign.steps))


BOARD = Part(1, 1, "board", 0, None, "10000000", "ready")
PANEL = Part(2, 2, "panel", 1, 1, "20000000", "ready")
LETTER = Part(3, 3, "A", 2, 2, "30000000", "ready")


def test_each_level_is_laid_out_glued_and_cured_then_the_sign_is_finished():
    assert [(step.title, step.after) for step in recipe({0: [1], 1: [2], 2: [3]})] == [
        ("Lay out level 1", ()),
        ("Glue level 1", (0,)),
        ("Cure level 1", (1,)),
        ("Lay out level 2", (2,)),
        ("Glue level 2", (3,)),
        ("Cure level 2", (4,)),
        ("Clean", (2, 5)),
        ("Polish", (6,)),
        ("Inspect", (7,)),
        ("Pack", (8,)),
        ("Hand over", (9,)),
    ]


def test_loose_letters_without_a_board_are_only_cleaned_polished_inspected_packed_and_handed_over():
    steps = recipe({0: [1, 2, 3]})
    assert [step.kind for step in steps] == ["clean", "polish", "inspect", "pack", "hand over"]
    assert steps[1].parts == (1, 2, 3)


def test_a_laying_out_takes_its_level_and_needs_what_it_lies_on():
    sign = sign_of([BOARD, PANEL, LETTER])
    assert sign.steps[0].parts == (2,)
    assert [part.name for part in rules.needed(sign.steps[0], sign)] == ["board", "panel"]


def test_a_laying_out_waits_for_the_board_under_it_by_name():
    sign = sign_of([replace(BOARD, state="nested", sheet="S-207", sheet_state="planned"), PANEL])
    assert not rules.is_ready(sign.steps[0], sign, NOW)
    assert read(waits_for(sign.steps[0], sign, NOW)) == [
        "'board' (no. 1) is on sheet S-207, not started yet."
    ]


def test_a_higher_level_may_still_be_missing_when_a_lower_one_is_laid_out():
    sign = sign_of([BOARD, PANEL, replace(LETTER, state="waiting")])
    assert rules.next_step(sign, NOW).title == "Lay out level 1"
    assert str(headline(sign, NOW).small) == "1 of 3 parts is still missing, for a later step."


def test_a_step_is_shut_until_the_minute_that_the_cure_ends():
    sign = all_done(sign_of([BOARD, PANEL]))
    end = NOW + timedelta(hours=6)
    sign = changed(changed(sign, "Clean", done_at=None), "Cure level 1", shut_until=end)
    clean = sign.step(4)
    assert not rules.is_ready(clean, sign, end - timedelta(milliseconds=1))
    assert read(waits_for(clean, sign, NOW)) == ["Level 1 cures until 15:00."]
    assert rules.is_ready(clean, sign, end)


def test_a_cure_opened_by_an_owner_is_done():
    opened = {"shut_until": NOW + timedelta(hours=6), "done_at": NOW, "opened_why": "tape"}
    sign = changed(sign_of([BOARD, PANEL]), "Cure level 1", **opened)
    assert rules.is_done(sign.step(3), NOW) and not rules.is_curing(sign.step(3), NOW)


@pytest.mark.parametrize(
    ("part", "sentence"),
    [
        (replace(LETTER, state="waiting"), "'A' (no. 3) waits for a sheet."),
        (
            replace(LETTER, state="waiting", gone="lost", code="40729153"),
            "'A' (no. 3) is lost. Its recut 4072 9153 waits for a sheet.",
        ),
        (
            replace(
                LETTER,
                state="nested",
                sheet="S-208",
                sheet_state="cutting",
                gone="damaged",
                code="40729153",
            ),
            "'A' (no. 3) is damaged. Its recut 4072 9153 is on sheet S-208, on the router now.",
        ),
        (
            replace(LETTER, state="nested", sheet="S-208", sheet_state="off the table"),
            "'A' (no. 3) is on sheet S-208, off the table and not marked yet.",
        ),
        (replace(LETTER, state="cut", name="no. 3"), "no. 3 is cut. Trim its tabs."),
        (replace(LETTER, state=None, code=None), "There is no piece for 'A' (no. 3)."),
    ],
)
def test_what_is_missing_is_named_with_its_whereabouts(part, sentence):
    assert read(whereabouts([part])) == [sentence]


def test_many_missing_parts_of_one_sheet_make_one_sentence():
    many = [
        replace(LETTER, id=n, number=n, state="nested", sheet="S-207", sheet_state="planned")
        for n in range(1, 13)
    ]
    assert read(whereabouts(many)) == [
        "'A' (no. 1), 'A' (no. 2), 'A' (no. 3) and 9 more are on sheet S-207, not started yet."
    ]
    assert str(named(many[:2])) == "'A' (no. 1) and 'A' (no. 2)"


def test_many_recuts_are_not_all_read_out():
    many = [replace(LETTER, id=n, number=n, state="waiting", gone="lost") for n in range(1, 10)]
    messages = read(whereabouts(many))
    assert len(messages) == 4 and messages[-1] == "And 6 more like these."


def test_headlines_are_short_and_ready_signs_come_first():
    ready = sign_of([BOARD, PANEL])
    curing = changed(
        all_done(ready), "Cure level 1", shut_until=NOW + timedelta(hours=6, minutes=40)
    )
    curing = changed(curing, "Clean", done_at=None)
    waiting = sign_of([BOARD, replace(PANEL, state="waiting", gone="lost", code="40729153")])
    packed = replace(changed(all_done(ready), "Hand over", done_at=None), state="packed")
    headlines = [headline(sign, NOW) for sign in (ready, curing, waiting, packed)]
    assert [tuple(read([line.big, line.small])) for line in headlines] == [
        ("Ready to set out level 1", "All 2 pieces are in hand."),
        ("Curing until 15:40", "Do not move it. Then: clean."),
        (
            "Level 1 is waiting on 'panel' (no. 2)",
            "'panel' (no. 2) is lost. Its recut 4072 9153 waits for a sheet.",
        ),
        ("Packed", "Hand it over"),
    ]
    assert headlines[0].rank < min(line.rank for line in headlines[1:])


def test_a_sign_on_hold_has_nothing_ready():
    sign = sign_of([BOARD, PANEL], "on hold")
    assert not any(rules.is_ready(step, sign, NOW) for step in sign.steps)
    assert "The sign is on hold." in read(waits_for(sign.steps[0], sign, NOW))


def test_a_time_is_written_by_how_near_it_is():
    assert soon(NOW, "UTC", NOW) == "09:00"
    assert soon(NOW + timedelta(days=2), "UTC", NOW) == "Fri 09:00"
    assert soon(NOW + timedelta(days=8), "UTC", NOW) == "3 Dec 09:00"
    assert soon(NOW, "UTC", None) == "Wed 25 Nov 09:00"
    # Halifax is four hours behind UTC in winter (IANA time zone database): there it is the day before
    assert soon(NOW - timedelta(hours=6), "America/Halifax", NOW) == "Tue 23:00"


def test_a_usual_step_has_the_words_of_today_and_an_own_one_what_was_typed():
    laying, own = Step(1, 1, "lay out", "Lay out level 2", 2), Step(2, 2, "other", "Drill it", None)
    assert (str(laying.called), str(laying.task)) == ("Set out level 2", "set out level 2")
    assert (str(own.called), str(own.task)) == ("Drill it", "Drill it")


def test_nothing_is_put_between_a_glue_up_and_its_cure_nor_before_what_has_begun():
    sign = changed(sign_of([BOARD, PANEL]), "Lay out level 1", ticks=frozenset({2}))
    with pytest.raises(Conflict, match="after the cure"):
        rules.place_for(sign.step(2), sign, NOW)
    with pytest.raises(Conflict, match="has started"):
        rules.place_for(None, sign, NOW)
    assert [step.title for step in rules.place_for(sign.step(4), sign, NOW)] == ["Polish"]


# Reopening ----------------------------------------------------------------------------------------------------------


def test_a_lost_letter_reopens_its_own_level_and_the_finish_but_not_the_level_below():
    sign = all_done(sign_of([BOARD, PANEL, LETTER, replace(LETTER, id=4, number=4)]))
    again = rules.reopened_by(3, sign)
    titles = [step.title for step in sign.steps if step.id in again.steps]
    assert titles == [
        "Lay out level 2",
        "Glue level 2",
        "Cure level 2",
        "Clean",
        "Polish",
        "Inspect",
        "Pack",
        "Hand over",
    ]
    assert again.ticks == ((4, 3),)


def test_a_lost_panel_reopens_the_level_above_only_where_a_letter_lies_on_it():
    other = replace(PANEL, id=4, number=4)
    sign = all_done(sign_of([BOARD, PANEL, LETTER, other]))
    assert (
        4 not in rules.reopened_by(4, sign).steps
    )  # 'Lay out level 2': its letter lies on the first panel
    assert 4 in rules.reopened_by(2, sign).steps


@st.composite
def signs(draw) -> Sign:
    """Any pile of parts, each on one of the level below, with any of its steps done."""
    parts = [Part(1, 1, "", 0, None, "1", "fixed")]
    for number in range(2, draw(st.integers(2, 9))):
        below = draw(st.sampled_from(parts))
        parts.append(Part(number, number, "", below.level + 1, below.id, str(number), "fixed"))
    sign = all_done(sign_of(parts))
    undone = draw(st.sets(st.sampled_from([step.id for step in sign.steps])))
    return replace(
        sign,
        steps=tuple(
            replace(s, done_at=None, shut_until=None) if s.id in undone else s for s in sign.steps
        ),
    )


@given(signs(), st.data())
def test_reopening_takes_what_depends_on_the_part_and_leaves_the_rest_done(sign, data):
    part = data.draw(st.sampled_from(sorted(sign.parts)))
    again = rules.reopened_by(part, sign)

    def lies_on_part(other: int | None) -> bool:
        return other is not None and (other == part or lies_on_part(sign.parts[other].lies_on))

    for step in sign.steps:
        is_begun = bool(step.done_at or step.shut_until)
        takes_it = any(lies_on_part(other) for other in step.parts)
        if (
            step.level is not None
        ):  # done again if, and only if, it takes the part or what lies on it
            assert (step.id in again.steps) == (takes_it and is_begun)
        else:  # what comes at the end takes all parts, or waits for what does
            assert (step.id in again.steps) == is_begun
    laid = [step for step in sign.steps if step.kind == "lay out"]
    assert set(again.ticks) == {
        (step.id, tick) for step in laid for tick in step.ticks if lies_on_part(tick)
    }


def test_a_sign_cannot_be_ready_before_its_cures_are_over():
    sign = sign_of([BOARD, PANEL, LETTER])
    assert rules.earliest_end(sign, NOW) == NOW + timedelta(hours=48)
    begun = changed(sign, "Cure level 1", shut_until=NOW + timedelta(hours=5))
    assert rules.earliest_end(begun, NOW, 30) == NOW + timedelta(hours=35)
    assert rules.earliest_end(all_done(sign), NOW) == NOW


def test_it_will_be_late_where_its_cures_end_after_its_due_day():
    sign = sign_of([BOARD, PANEL, LETTER])  # 48 hours from Wednesday 09:00: Friday, 27 November
    assert not rules.will_be_late(replace(sign, due="2026-11-27"), NOW, UTC)
    due_before = replace(sign, due="2026-11-26")
    assert rules.will_be_late(due_before, NOW, UTC)
    assert not rules.will_be_late(replace(due_before, state="packed"), NOW, UTC)


def test_a_headline_names_two_things_that_are_waited_for_and_counts_the_others():
    alone = [
        replace(PANEL, id=n, number=n, lies_on=None, state="waiting", gone="lost")
        for n in range(2, 6)
    ]
    line = headline(sign_of([BOARD, *alone]), NOW)
    assert str(line.big) == "Level 1 is waiting on 4 parts"
    assert str(line.small).endswith(" And 2 more.")
