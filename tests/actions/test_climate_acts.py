"""Temperature readings and the cures that follow them: on a real database, and played again from the ledger."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from shopfloor.actions import bench as acts
from shopfloor.actions import cements as cement_acts
from shopfloor.actions import climate
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import settings as setting_acts
from shopfloor.actions.climate import Watch, read_if_due
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.bench.cure import NO_END
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import climate as store
from shopfloor.store import people
from shopfloor.store.replay import differences
from shopfloor.wording import climate as wording
from shopfloor.wording.formatting import Reader
from shopfloor.wording.message import plain, text

DAY = timedelta(hours=24)


def glue(bench_shop, level=1, **other):
    laying = bench_shop.step(f"Lay out level {level}")
    acts.set_out_rest(Caller(bench_shop.shop, bench_shop.assembler), laying.id, laying.parts)
    named = {
        "cement": bench_shop.cement,
        "batch": "7B",
        "temperature_c": 23,
        "humidity_percent": 45,
    } | other
    return gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.assembler),
        [bench_shop.step(f"Glue level {level}").id],
        **named,
    )


def note(bench_shop, celsius, percent=None, **other):
    return climate.note_climate(
        Caller(bench_shop.shop, bench_shop.operator), celsius, percent, **other
    )


def read(bench_shop, message):
    """The message as somebody at the bench reads it now."""
    return text(message, Reader(now=bench_shop.now))


def ends(bench_shop, level=1):
    """(what the step is shut until, what its glue-up is cured at)"""
    row = bench_shop.row("SELECT cured_at FROM glue_up ORDER BY id DESC")
    return bench_shop.step(f"Cure level {level}").shut_until, datetime.fromisoformat(
        row["cured_at"]
    )


def test_a_colder_reading_puts_the_end_off_and_the_answer_says_which(bench_shop):
    glued = bench_shop.now
    glue(bench_shop)
    bench_shop.later(hours=4)
    answer = note(bench_shop, 13 + 10)  # as warm as it was: nothing moves
    assert answer.sentence == "23 °C saved."
    bench_shop.later(hours=0, minutes=1)
    note(bench_shop, 18)
    bench_shop.later(hours=2)
    # 4 h at 23 °C, a minute from 23 down to 18 °C, then the half root of two for each hour: worked out by the rule of thumb
    left = 24 - 4 - (1 / 60) * (1 - 2**-0.5) / (0.5 * 0.6931471805599453)
    exact = glued + timedelta(hours=4, minutes=1) + timedelta(hours=left * 2**0.5)
    shut, cured = ends(bench_shop)
    assert shut == cured
    assert exact <= cured < exact + timedelta(minutes=1)
    assert list(differences(bench_shop.shop.read())) == []


def test_the_sentence_names_the_sign_and_its_new_end(bench_shop):
    glue(bench_shop)
    bench_shop.later(minutes=1)
    said = read(bench_shop, note(bench_shop, 17.25, 44).message)
    end = ends(bench_shop)[0]
    assert said == f"17.2 °C and 44 % saved. 1 cure ends later: J-1001 A now {end:%a %H:%M}."
    bench_shop.later(minutes=1)
    assert "1 cure ends earlier: J-1001 A now " in note(bench_shop, 23).sentence


def test_too_cold_the_cure_is_paused_and_goes_on_when_it_is_warm_again(bench_shop):
    glue(bench_shop)
    bench_shop.later(hours=1)
    note(bench_shop, 23)
    bench_shop.later(minutes=1)
    assert note(bench_shop, 10).sentence == "J-1001 A: cure paused, too cold. 10 °C saved."
    assert ends(bench_shop) == (NO_END, NO_END)
    bench_shop.later(hours=48)
    note(bench_shop, 10)
    bench_shop.later(minutes=1)
    assert "1 cure ends earlier: J-1001 A now" in note(bench_shop, 23).sentence
    cured = ends(bench_shop)[1]
    assert timedelta(hours=22, minutes=55) < cured - bench_shop.now <= timedelta(hours=23)
    assert list(differences(bench_shop.shop.read())) == []


def test_a_paused_cure_is_told_first_and_apart_from_what_ends_later(bench_shop):
    def shut(sign, until, should_be):
        return store.ShutStep(1, sign, "AAAA", 1, until, should_be)

    soon, late, never = (
        climate.stamp(when) for when in (bench_shop.now, bench_shop.now + DAY, NO_END)
    )
    changes = climate._changes(
        [
            shut("J-1 A", soon, never),
            shut("J-2 A", late, soon),
            shut("J-3 A", soon, late),
            shut("J-4 A", late, never),
        ]
    )
    at = f"{bench_shop.now:%H:%M}"
    assert read(bench_shop, changes.after(plain("Done."))) == (
        "J-1 A and J-4 A: cures paused, too cold. "
        f"1 cure ends later: J-3 A now {bench_shop.now + DAY:%a} {at}. "
        f"1 cure ends earlier: J-2 A now {at}. Done."
    )
    many = climate._changes([shut(f"J-{number} A", soon, never) for number in range(9)])
    assert read(bench_shop, many.paused) == (
        "J-0 A, J-1 A, J-2 A, J-3 A and 5 more: cures paused, too cold."
    )


def test_what_was_opened_early_is_not_shut_again(bench_shop):
    glue(bench_shop)
    cure = bench_shop.step("Cure level 1")
    gluing_acts.open_early(Caller(bench_shop.shop, bench_shop.owner), cure.id, "the customer waits")
    bench_shop.later(hours=1)
    note(bench_shop, 10)
    assert (
        bench_shop.step("Cure level 1").done_at
        and bench_shop.step("Cure level 1").shut_until == cure.shut_until
    )


def test_a_cure_that_is_over_stays_over(bench_shop):
    glue(bench_shop)
    bench_shop.later(hours=24)
    before = ends(bench_shop)
    assert note(bench_shop, 5).sentence == "5 °C saved."
    assert ends(bench_shop) == before


def test_an_end_that_turns_out_to_have_passed_unseen_is_now(bench_shop):
    glue(bench_shop, temperature_c=17)  # 36.4 h at 17 °C
    bench_shop.later(hours=30)
    note(bench_shop, 37)  # it grew warmer all the time: worked out, the end was hours ago
    shut, cured = ends(bench_shop)
    assert shut == cured and bench_shop.now <= cured <= bench_shop.now + timedelta(minutes=1)


def test_a_stage_that_was_reached_stays_reached(bench_shop):
    cement_acts.change_cement(
        Caller(bench_shop.shop, bench_shop.owner), 1, {"fixture_min": "10", "handling_hours": "2"}
    )
    glue(bench_shop)
    row = bench_shop.row("SELECT fixture_at, handling_at FROM glue_up")
    assert datetime.fromisoformat(row["fixture_at"]) == bench_shop.now + timedelta(minutes=10)
    bench_shop.later(hours=1)
    note(bench_shop, 10)
    after = bench_shop.row("SELECT fixture_at, handling_at FROM glue_up")
    assert after["fixture_at"] == row["fixture_at"] and after["handling_at"] != row["handling_at"]


def test_a_wrong_reading_is_struck_out_and_the_cures_are_as_without_it(bench_shop):
    glue(bench_shop)
    before = ends(bench_shop)
    bench_shop.later(hours=1)
    note(bench_shop, 8)
    assert ends(bench_shop) != before
    wrong = store.newest(bench_shop.shop.read()).id
    with pytest.raises(NotAllowed):
        climate.strike_out(Caller(bench_shop.shop, bench_shop.operator), wrong)
    said = climate.strike_out(Caller(bench_shop.shop, bench_shop.assembler), wrong).sentence
    assert said.startswith("8 °C is crossed out. 1 cure ends earlier: ")
    assert ends(bench_shop) == before
    with pytest.raises(NotFound, match="already crossed out"):
        climate.strike_out(Caller(bench_shop.shop, bench_shop.assembler), wrong)
    assert list(differences(bench_shop.shop.read())) == []


def test_a_reading_is_named_to_a_tenth_of_a_degree(bench_shop):
    assert "20.3 °C" in note(bench_shop, 20.26).sentence
    noted = store.newest(bench_shop.shop.read()).id
    answer = climate.strike_out(Caller(bench_shop.shop, bench_shop.assembler), noted)
    assert answer.sentence.startswith("20.3 °C is crossed out.")


def test_a_reading_is_struck_out_not_undone(bench_shop):
    glue(bench_shop)
    bench_shop.later(hours=1)
    reading = note(bench_shop, 8)
    with pytest.raises(Conflict, match="Cross out the wrong one"):
        undo(Caller(bench_shop.shop, bench_shop.operator), reading.act)


@pytest.mark.parametrize(
    ("celsius", "percent", "words"),
    [
        (float("nan"), 40, "such as 21"),
        (300, 40, "such as 21"),
        (21, 140, "0 to 100"),
        (21, float("inf"), "0 to 100"),
    ],
)
def test_what_no_bench_has_is_not_kept(bench_shop, celsius, percent, words):
    with pytest.raises(Refused, match=words):
        note(bench_shop, celsius, percent)
    assert store.newest(bench_shop.shop.read()) is None


def test_a_data_sheet_that_was_read_wrongly_moves_the_cures_under_way(bench_shop):
    glue(bench_shop)
    glued = bench_shop.now
    bench_shop.later(hours=1)
    answer = cement_acts.change_cement(
        Caller(bench_shop.shop, bench_shop.owner), 1, {"cure_hours": "48"}
    )
    assert answer.sentence.startswith("Solvent cement is saved. 1 cure ends later: J-1001 A now ")
    assert ends(bench_shop)[1] == glued + 2 * DAY


def test_what_was_glued_colder_with_an_owners_word_counts_down_to_there(bench_shop):
    acts_named = {"temperature_c": 13, "reason": "a test piece, it may take its time"}
    laying = bench_shop.step("Lay out level 1")
    acts.set_out_rest(Caller(bench_shop.shop, bench_shop.owner), laying.id, laying.parts)
    gluing_acts.glue_up(
        Caller(bench_shop.shop, bench_shop.owner),
        [bench_shop.step("Glue level 1").id],
        1,
        "7B",
        humidity_percent=45,
        **acts_named,
    )
    assert ends(bench_shop)[1] == bench_shop.now + 2 * DAY  # ten degrees colder: twice as long
    bench_shop.later(hours=1)
    note(bench_shop, 13)
    assert ends(bench_shop)[1] == bench_shop.now - timedelta(hours=1) + 2 * DAY
    bench_shop.later(hours=1)
    note(bench_shop, 12)
    assert ends(bench_shop)[1] == NO_END


# Automatic readings. ---------------------------------------------------------------------------------------------------


@pytest.fixture
def thermometer(bench_shop, tmp_path):
    """The shop's thermometer, a file."""
    file = tmp_path / "thermometer.json"
    file.write_text('{"temperature_c": 18.5, "humidity_percent": 52}')
    setting_acts.change_settings(
        Caller(bench_shop.shop, bench_shop.owner), {"thermometer": str(file)}
    )
    return file


def test_the_thermometer_is_read_while_something_cures_and_no_more_often_than_is_set(
    bench_shop, thermometer
):
    watch = Watch()
    assert read_if_due(bench_shop.shop, watch) is None  # nothing cures
    glue(bench_shop)
    bench_shop.later(minutes=1)
    assert read_if_due(bench_shop.shop, watch).sentence.startswith(
        "18.5 °C and 52 % saved. 1 cure ends later: "
    )
    newest = store.newest(bench_shop.shop.read())
    assert (newest.source, newest.by_name) == (
        "gauge",
        people.owner_by(bench_shop.shop.read()).name,
    )
    bench_shop.later(minutes=9)
    assert read_if_due(bench_shop.shop, watch) is None
    assert read_if_due(bench_shop.shop, Watch()) is None, (
        "another server, or the same one started again"
    )
    bench_shop.later(minutes=1)
    assert read_if_due(bench_shop.shop, watch) is not None
    assert (
        bench_shop.row("SELECT DISTINCT tablet FROM ledger WHERE what = 'noted how warm it is'")[
            "tablet"
        ]
        == "gauge"
    )


def test_a_thermometer_that_is_silent_is_told_and_tried_again_when_it_is_due(
    bench_shop, thermometer
):
    glue(bench_shop)
    thermometer.rename(thermometer.with_suffix(".away"))
    watch = Watch()
    bench_shop.later(minutes=1)
    assert read_if_due(bench_shop.shop, watch) is None
    assert watch.trouble == wording.thermometer_silent()
    thermometer.with_suffix(".away").rename(thermometer)
    bench_shop.later(minutes=5)
    assert read_if_due(bench_shop.shop, watch) is None and watch.trouble
    bench_shop.later(minutes=5)
    assert read_if_due(bench_shop.shop, watch) is not None and not watch.trouble


def test_a_reading_since_does_not_stand_in_the_way_of_undoing_a_glue_up(bench_shop):
    glued = glue(bench_shop)
    before = ends(bench_shop)[0]
    bench_shop.later(hours=1)
    note(bench_shop, 18)
    assert ends(bench_shop)[0] > before
    undo(Caller(bench_shop.shop, bench_shop.assembler), glued.act)
    assert (
        bench_shop.row("SELECT count(*) FROM glue_up")[0] == 0
        and bench_shop.step("Cure level 1").shut_until is None
    )
    assert differences(bench_shop.shop.read()) == []
