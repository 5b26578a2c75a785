"""The glue panel through the client: order, groups, open time, limits, amounts, and that nothing typed is lost."""

from __future__ import annotations

import re

import pytest
from shop_for_tests import words

from shopfloor.actions import bench as acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.store import bench as store
from shopfloor.store import gluing as glue_store

_SLOW = """INSERT INTO cement (id, name, cure_hours, reference_c, coldest_c, warmest_c, open_min)
           VALUES (2, 'Slow cement', 24, 23, 16, 38, 12)"""
HTMX = {"HX-Request": "true"}


def form(laid, **other):
    """What the panel sends, of a sign whose letters are eight."""
    return {
        "key": "k",
        "step": laid.gluing,
        "gluing": laid.gluing,
        "cement": "1",
        "batch": "7B",
        "temperature": "23",
        "humidity": "45",
        "glued_at": "",
        "near": "lower edge",
    } | other


def parts(laid, names):
    return [laid.parts[name] for name in names]


def chosen(answer) -> list[int]:
    return [int(part) for part in re.findall(r'name="part" value="(\d+)" checked', answer.text)]


def look(client, laid, **other):
    return client.get(f"{laid.path}/gluing", query_string=form(laid, **other), headers=HTMX)


def test_the_order_stands_in_the_list_and_on_the_drawing(as_assembler, lay_board):
    laid = lay_board()
    page = as_assembler.get(laid.path)
    turns = re.findall(
        r'name="part" value="(\d+)"[^>]*>\s*<span class="turn figures">(\d+)</span>', page.text
    )
    assert [int(part) for part, _ in turns] == parts(laid, "ABCDEFGH")  # the far line first
    assert [int(turn) for _, turn in turns] == list(range(1, 9))
    numbers = re.search(r'<g class="nth".*?</g>', page.text, re.S)[0]
    assert re.findall(r">(\d)</text>", numbers) == list("12345678")


def test_the_first_group_that_fits_the_open_time_is_chosen(as_assembler, lay_board):
    laid = lay_board()
    page = as_assembler.get(laid.path)
    # half a minute a part, two minutes open: four of eight
    assert "Group 1 of 2: A B C D, about 2 min of 2 min open time" in words(page)
    assert "Group 2 of 2: E F G H, about 2 min of 2 min open time" in words(page)
    assert chosen(page) == parts(laid, "ABCD")


def test_without_an_open_time_all_is_one_group(as_assembler, lay_board, change):
    laid = lay_board()
    change("UPDATE cement SET open_min = 0")
    page = as_assembler.get(laid.path)
    assert "8 parts, about 4 min" in words(page) and "Group 1" not in words(page)
    assert chosen(page) == parts(laid, "ABCDEFGH")


def test_with_another_cement_the_groups_are_worked_out_anew_and_the_typed_stays(
    as_assembler, lay_board, change
):
    laid = lay_board()
    change(_SLOW)
    asked = dict(
        part=parts(laid, "ABCD"), grouped_for="1 lower edge", temperature="21,5", glued_at="14:05"
    )
    other = look(as_assembler, laid, cement="2", **asked)
    assert "8 parts, about 4 min of 12 min open time" in words(other) and chosen(other) == parts(
        laid, "ABCDEFGH"
    )
    assert 'required autocomplete="off" value="21,5"' in other.text
    assert (
        'value="14:05"' in other.text and 'value="7B"' in other.text and "<html" not in other.text
    )


def test_parts_that_were_chosen_stay_chosen_and_too_many_are_warned_of(as_assembler, lay_board):
    laid = lay_board()
    answer = look(as_assembler, laid, part=parts(laid, "ABCDEF"), grouped_for="1 lower edge")
    assert chosen(answer) == parts(laid, "ABCDEF")
    assert "6 parts take about 3 min, and the cement stays open 2 min. Choose fewer." in words(
        answer
    )


def test_who_takes_a_near_part_first_is_told_that_he_will_reach_over_it(as_assembler, lay_board):
    laid = lay_board()
    answer = look(as_assembler, laid, part=parts(laid, "E"), grouped_for="1 lower edge")
    assert (
        "You would reach over wet cement: 'A' (no. 2) over 'E' (no. 6) and 'B' (no. 3) over 'E' (no. 6)."
        in words(answer)
    )
    assert "reach over" not in words(
        look(as_assembler, laid, part=parts(laid, "A"), grouped_for="1 lower edge")
    )


def test_from_the_other_edge_the_order_begins_at_the_other_line(as_assembler, lay_board):
    laid = lay_board()
    page = as_assembler.get(laid.path, query_string=form(laid, near="upper edge"))
    assert "Group 1 of 2: H G F E" in words(page)


def test_a_limit_that_is_broken_is_said_before_anybody_presses(
    as_assembler, as_owner, lay_board, change
):
    laid = lay_board()
    change("INSERT INTO cement_batch (cement, batch, expires) VALUES (1, '6A', '2026-10-31')")
    typed = {"temperature": "13", "humidity": "80", "batch": "", "known_batch": "6A"}
    said = words(look(as_assembler, laid, **typed))
    assert "the bench is at 13 °C. Warm the bench first" in said and "the bench is at 80 %" in said
    assert "This batch is out of date (Sat 31 Oct 2026" in said
    assert (
        "An owner may go ahead" in said
        and 'name="reason"' not in look(as_assembler, laid, **typed).text
    )
    assert 'name="reason"' in look(as_owner, laid, **typed).text
    assert "Cannot glue yet" not in words(look(as_owner, laid))
    assert "Cannot glue yet" not in words(look(as_owner, laid, temperature="warm"))


def test_a_kept_batch_is_chosen_and_a_typed_one_goes_before_it(
    as_assembler, shop, lay_board, change
):
    laid = lay_board()
    change("INSERT INTO cement_batch (cement, batch, expires) VALUES (1, '6A', '2027-03-31')")
    assert "6A good until Wed 31 Mar 2027" in words(as_assembler.get(laid.path))
    glued = form(laid, batch="", known_batch="6A", part=parts(laid, "ABCD"))
    assert as_assembler.post(f"{laid.path}/glue", data=glued, headers=HTMX).status_code == 200
    page = as_assembler.get(laid.path)
    assert 'name="known_batch" value="6A" checked' in page.text  # that of the last glue-up
    typed = form(laid, key="l", batch="8C", known_batch="6A", part=parts(laid, "EFGH"))
    as_assembler.post(f"{laid.path}/glue", data=typed, headers=HTMX)
    rows = shop.read().execute("SELECT batch FROM glue_up ORDER BY id").fetchall()
    assert [row["batch"] for row in rows] == ["6A", "8C"]


def test_after_the_first_group_the_next_one_stands_there_with_what_was_typed(
    as_assembler, shop, lay_board
):
    laid = lay_board()
    sent = form(laid, part=parts(laid, "ABCD"), grouped_for="1 lower edge")
    answer = as_assembler.post(f"{laid.path}/glue", data=sent, headers=HTMX)
    assert chosen(answer) == parts(laid, "EFGH")
    assert "4 of 8 glued." in words(answer) and 'value="23"' in answer.text
    assert re.findall(r'<span class="turn figures">(\d+)</span>', answer.text) == list("5678")
    assert store.sign_of(shop.read(), laid.sign).step(laid.gluing).ticks == set(parts(laid, "ABCD"))


def test_begin_starts_the_open_time_and_it_counts_down(as_assembler, clock, lay_board):
    laid = lay_board()
    answer = as_assembler.post(
        f"{laid.path}/begin", data=form(laid, temperature="21"), headers=HTMX
    )
    assert 'data-until="2026-11-25T14:14:00.000Z"' in answer.text  # 14:12 and two minutes
    assert 'value="21"' in answer.text and "Start again" in words(answer)
    clock.forward(minutes=3)
    over = as_assembler.get(laid.path)
    assert "time is up" in words(over) and 'class="countdown" role="timer"' not in over.text


def test_where_the_open_time_is_not_known_it_is_said_since_when(as_assembler, lay_board, change):
    laid = lay_board()
    change("UPDATE cement SET open_min = 0")
    answer = as_assembler.post(f"{laid.path}/begin", data=form(laid), headers=HTMX)
    assert "since 14:12" in words(
        answer
    ) and "The open time of Solvent cement is not known" in words(answer)


def test_the_pace_of_the_shop_comes_from_its_own_glue_ups(as_assembler, shop, clock, lay_board):
    laid = lay_board()
    as_assembler.post(f"{laid.path}/begin", data=form(laid), headers=HTMX)
    clock.forward(minutes=4)
    as_assembler.post(
        f"{laid.path}/glue", data=form(laid, key="g", part=parts(laid, "ABCD")), headers=HTMX
    )
    assert [(one.minutes, one.parts) for one in glue_store.sessions(shop.read())] == [(4.0, 4)]
    # (20 x 0.5 + 4) / 24 = 0.583 min
    assert "0.58 min a part, from 4 parts in 1 glue-up." in words(as_assembler.get(laid.path))


def test_the_cement_that_is_needed_goes_with_what_is_chosen_over_all_signs(as_assembler, lay_board):
    laid, other = lay_board(), lay_board("ABCD")
    # a letter is 50 x 100 mm = 50 cm2: four are 200 cm2 = 0.02 m2, 2 ml, with 30 % to spare 2.6
    assert "200 cm² of joint: about 3 ml of Solvent cement" in words(as_assembler.get(laid.path))
    both = look(
        as_assembler,
        laid,
        step=[laid.gluing, other.gluing],
        part=parts(laid, "ABCD") + parts(other, "ABCD"),
        grouped_for="1 lower edge",
    )
    assert "400 cm² of joint: about 6 ml" in words(both)
    assert "8 parts take about 4 min, and the cement stays open 2 min" in words(both)


def test_another_sign_is_glued_wholly_in_the_same_session(as_assembler, shop, lay_board):
    laid, other = lay_board(), lay_board("ABCD")
    page = as_assembler.get(laid.path)
    hidden = [
        int(part) for part in re.findall(r'type="hidden" name="part" value="(\d+)"', page.text)
    ]
    assert hidden == parts(other, "ABCD")
    sent = form(laid, step=[laid.gluing, other.gluing], part=chosen(page) + hidden)
    assert as_assembler.post(f"{laid.path}/glue", data=sent, headers=HTMX).status_code == 200
    ticks = [store.sign_of(shop.read(), one.sign).step(one.gluing).ticks for one in (laid, other)]
    assert ticks == [set(parts(laid, "ABCD")), set(parts(other, "ABCD"))]


def test_where_nothing_is_chosen_nothing_is_glued(as_assembler, shop, lay_board):
    laid = lay_board()
    answer = as_assembler.post(
        f"{laid.path}/glue", data=form(laid, grouped_for="1 lower edge"), headers=HTMX
    )
    assert answer.status_code == 422 and "Choose which parts of J-1001 A were glued" in answer.text
    assert store.sign_of(shop.read(), laid.sign).step(laid.gluing).ticks == frozenset()


def test_the_film_is_said_for_the_level(as_assembler, lay_board):
    said = words(as_assembler.get(lay_board().path))
    assert "Peel the film off the back of all 8 parts." in said
    assert (
        "Peel the whole front of 'board' (no. 1)" not in said
    )  # 8 letters of 50 x 100 on 280 x 280: half of it
    assert "On the front of 'board' (no. 1), cut the film round the marks of all 8 parts" in said


def test_a_fresh_reading_is_filled_in_and_an_old_one_is_not(as_assembler, clock, lay_board, change):
    laid = lay_board()
    change(
        "INSERT INTO climate (at, temperature_c, humidity_percent, source, person) "
        "VALUES ('2026-11-25T14:02:00.000Z', 19.5, 41, 'typed', 1)"
    )
    assert 'value="19.5"' in as_assembler.get(laid.path).text
    clock.forward(hours=3)
    assert 'value="19.5"' not in as_assembler.get(laid.path).text


@pytest.mark.parametrize("content", ["20.5 44", "nonsense"])
def test_the_thermometer_fills_the_fields_in_place_or_says_why_not(
    as_assembler, lay_board, change, tmp_path, content
):
    laid = lay_board()
    (tmp_path / "gauge").write_text(content)
    change("INSERT INTO setting (name, value) VALUES ('thermometer', ?)", str(tmp_path / "gauge"))
    assert "Read the thermometer" in words(as_assembler.get(laid.path))
    answer = look(as_assembler, laid, read="1", temperature="13", humidity="30", batch="9")
    assert 'value="9"' in answer.text
    if content == "nonsense":
        assert 'value="13"' in answer.text and 'role="alert"' in answer.text
    else:
        assert (
            'value="20.5"' in answer.text
            and 'value="44"' in answer.text
            and "Cannot glue yet" not in answer.text
        )


def test_a_form_of_something_else_is_refused_and_an_operator_has_nothing_to_press(
    as_assembler, as_operator, lay_board
):
    laid = lay_board()
    assert as_assembler.get(f"{laid.path}/gluing?step=999", headers=HTMX).status_code == 422
    panel = re.search(
        r'<div class="bench-next".*?</section>', as_operator.get(laid.path).text, re.S
    )[0]
    assert "<form" not in panel and "Only an assembler can glue it." in panel


def test_the_step_before_does_not_fill_the_form(as_assembler, shop, assembler, lay_board):
    """The last tap of a laying out posts a part too: it is not what is to be glued."""
    laid = lay_board("ABCD")
    laying = next(
        step for step in store.sign_of(shop.read(), laid.sign).steps if step.kind == "lay out"
    )
    acts.take_up(Caller(shop, assembler), laying.id, laid.parts["B"])
    tap = {"key": "t", "step": laying.id, "part": laid.parts["B"]}
    answer = as_assembler.post(f"{laid.path}/set-out", data=tap, headers=HTMX)
    assert chosen(answer) == parts(laid, "ABCD")
