"""The Bench's pages through the client, as the assembler, the operator and the owner."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from shopfloor.actions import bench as acts
from shopfloor.actions import gluing as gluing_acts
from shopfloor.actions import pieces as piece_acts
from shopfloor.actions import settings as settings_acts
from shopfloor.actions.unit_of_work import Caller
from shopfloor.domain.errors import Refused
from shopfloor.store import bench as store
from shopfloor.store import finishing
from shopfloor.web.bench.bench import glued_at

AS_HTMX = {"HX-Request": "true"}


@pytest.fixture
def sign(shop, owner, lay_steps):
    """The sign's id; its code, steps and parts are read afresh by the functions below."""
    return lay_steps(Caller(shop, owner))["sign"]


def step(shop, sign, title):
    return next(step for step in store.sign_of(shop.read(), sign).steps if step.title == title)


def path(shop, sign, last=""):
    return f"/bench/{store.sign_of(shop.read(), sign).code}{last}"


def tap(shop, sign, key="t"):
    laying = step(shop, sign, "Lay out level 1")
    return {"key": key, "step": laying.id, "part": laying.parts[0]}


def set_out_level_1(shop, assembler, sign):
    laying = step(shop, sign, "Lay out level 1")
    acts.set_out_rest(Caller(shop, assembler), laying.id, laying.parts)


def glued(shop, sign, **other):
    return {
        "step": step(shop, sign, "Glue level 1").id,
        "cement": "1",
        "batch": "7B",
        "temperature": "23",
        "humidity": "45",
        "glued_at": "",
    } | other


def test_what_is_ready_stands_above_what_waits(as_assembler, shop, owner, lay_steps, sign):
    lay_steps(Caller(shop, owner), state="waiting")
    text = as_assembler.get("/bench").text
    assert (
        text.index("Ready to set out level 1")
        < text.index("Not ready yet")
        < text.index("Level 1 is waiting on 3 parts")
    )
    assert (
        "&#39;board&#39; (no. 1), &#39;P&#39; (no. 2) and &#39;Q&#39; (no. 3) wait for a sheet"
        in text
    )


def test_the_list_sends_nothing_where_nothing_changed(as_assembler, sign):
    seen = re.search(r"seen=([\d.]+)", as_assembler.get("/bench").text)[1]
    answer = as_assembler.get(f"/bench/now?seen={seen}", headers=AS_HTMX)
    assert (answer.status_code, answer.data) == (204, b"")
    assert as_assembler.get("/bench/now?seen=0", headers=AS_HTMX).status_code == 200


def test_the_checklist_shows_where_each_part_goes(as_assembler, shop, sign):
    text = as_assembler.get(path(shop, sign)).text
    # part 2 lies 20 mm from the left and is 90 mm wide, 20 mm up: see the rows of the fixture
    assert 'aria-label="2 P: left 20, centre 65, right 110"' in text
    assert 'aria-label="4 X' not in text  # of the next level


def test_in_inches_a_distance_is_the_nearest_sixteenth(as_assembler, shop, owner, sign):
    settings_acts.change_settings(Caller(shop, owner), {"units": "in"})
    # 20 mm = 0.78740 in, nearest 13/16 (0.8125); 65 mm = 2.55906 in, nearest 2 9/16; 110 mm = 4.33071 in, nearest 4 5/16
    assert "left 13/16, centre 2 9/16, right 4 5/16" in as_assembler.get(path(shop, sign)).text


def test_a_tap_is_saved_and_answered_with_undo(as_assembler, shop, sign):
    answer = as_assembler.post(path(shop, sign, "/set-out"), headers=AS_HTMX, data=tap(shop, sign))
    assert answer.status_code == 200
    assert "&#39;P&#39; (no. 2): OK. 1 of 2 set out." in answer.text
    assert "Undo" in answer.text and "<html" not in answer.text
    laying = step(shop, sign, "Lay out level 1")
    assert laying.ticks == {laying.parts[0]}


def test_the_same_tap_sent_twice_is_one_act(as_assembler, shop, sign):
    for _ in range(2):
        as_assembler.post(path(shop, sign, "/set-out"), data=tap(shop, sign, "once"))
    assert (
        shop.read()
        .execute("SELECT count(*) FROM ledger WHERE what = 'set out a part'")
        .fetchone()[0]
        == 1
    )


def test_without_scripts_a_tap_leads_back_to_the_sign(as_assembler, shop, sign):
    answer = as_assembler.post(
        path(shop, sign, "/set-out"), data=tap(shop, sign), follow_redirects=True
    )
    assert "&#39;P&#39; (no. 2): OK." in answer.text and "<html" in answer.text


def test_one_button_sets_out_what_was_shown(as_assembler, shop, sign):
    laying = step(shop, sign, "Lay out level 1")
    rest = {"key": "t", "step": laying.id, "rest": "1", "shown": list(laying.parts)}
    answer = as_assembler.post(path(shop, sign, "/set-out"), headers=AS_HTMX, data=rest)
    assert "Level 1 of J-1001 A is set out. Glue it." in answer.text
    assert "Glued: start the cure" in answer.text


def test_a_glue_up_starts_a_countdown_and_says_hands_off(as_assembler, shop, assembler, sign):
    set_out_level_1(shop, assembler, sign)
    form = as_assembler.get(path(shop, sign)).text
    assert "data sheet" in form and "Eye protection" in form
    answer = as_assembler.post(
        path(shop, sign, "/glue"), data=glued(shop, sign) | {"key": "g"}, headers=AS_HTMX
    ).text
    assert 'data-until="2026-11-26T14:12:00.000Z"' in answer  # 14:12 and 24 h at 23 °C
    assert "Do not move it." in answer


def test_the_next_glue_up_is_filled_in_with_the_last_cement_and_batch(
    as_assembler, shop, owner, assembler, lay_steps, sign
):
    set_out_level_1(shop, assembler, sign)
    as_assembler.post(path(shop, sign, "/glue"), data=glued(shop, sign) | {"key": "g"})
    other = lay_steps(Caller(shop, owner))["sign"]
    set_out_level_1(shop, assembler, other)
    field = re.search(r'<input name="batch"[^>]*>', as_assembler.get(path(shop, other)).text)[0]
    assert 'value="7B"' in field


def test_one_session_may_glue_several_signs(as_assembler, shop, owner, assembler, lay_steps, sign):
    other = lay_steps(Caller(shop, owner))["sign"]
    for each in (sign, other):
        set_out_level_1(shop, assembler, each)
    assert "J-1002 A, glue level 1" in as_assembler.get(path(shop, sign)).text
    steps = [step(shop, each, "Glue level 1").id for each in (sign, other)]
    data = glued(shop, sign, step=steps) | {"key": "g"}
    answer = as_assembler.post(path(shop, sign, "/glue"), data=data, headers=AS_HTMX)
    assert "J-1001 A and J-1002 A are glued" in answer.text
    assert shop.read().execute("SELECT count(*) FROM glue_up").fetchone()[0] == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"temperature": "13"}, "Warm the bench"),
        ({"temperature": "warm"}, "temperature"),
        ({"humidity": "130"}, "Humidity"),
        ({"cement": ""}, "Choose the cement"),
        ({"cement": "99"}, "Cement not found"),
        ({"glued_at": "half past"}, "hours and minutes"),
        ({"step": "x"}, "Reload the page"),
    ],
)
def test_a_glue_up_that_cannot_be_is_refused_in_a_sentence(
    as_assembler, shop, assembler, sign, wrong, words
):
    set_out_level_1(shop, assembler, sign)
    data = glued(shop, sign, **wrong) | {"key": "g"}
    answer = as_assembler.post(path(shop, sign, "/glue"), data=data, headers=AS_HTMX)
    assert answer.status_code in (404, 422) and words in answer.text
    assert answer.headers["HX-Retarget"] == "#says"
    assert shop.read().execute("SELECT count(*) FROM glue_up").fetchone()[0] == 0


def test_an_owner_opens_a_cure_early_and_the_assembler_is_not_offered_it(
    as_owner, as_assembler, shop, assembler, sign
):
    set_out_level_1(shop, assembler, sign)
    as_assembler.post(path(shop, sign, "/glue"), data=glued(shop, sign) | {"key": "g"})
    assert "End it early" not in as_assembler.get(path(shop, sign)).text
    assert "End it early" in as_owner.get(path(shop, sign)).text
    cure = {"step": step(shop, sign, "Cure level 1").id, "reason": "a test piece holds"}
    assert as_assembler.post(path(shop, sign, "/open"), data=cure | {"key": "a"}).status_code == 403
    answer = as_owner.post(path(shop, sign, "/open"), data=cure | {"key": "b"}, headers=AS_HTMX)
    assert "ended early by Owner: a test piece holds" in answer.text


def test_an_operator_sees_the_bench_and_has_nothing_to_press(as_operator, shop, sign):
    text = as_operator.get(path(shop, sign)).text
    assert "Ready to set out level 1" in text
    bench = re.search(r'<section id="bench".*<section id="photos"', text, re.S)[
        0
    ]  # anybody may add a photo
    assert 'role="button"' not in bench
    assert [
        button for button in re.findall(r"<button[^>]*>", bench) if "disabled" not in button
    ] == []
    refused = as_operator.post(path(shop, sign, "/set-out"), data=tap(shop, sign))
    assert refused.status_code == 403


def test_a_sign_is_held_and_resumed_and_a_step_is_added(as_owner, shop, sign):
    as_owner.post(
        path(shop, sign, "/state"), data={"key": "h", "to": "hold", "reason": "the customer thinks"}
    )
    held = as_owner.get(path(shop, sign)).text
    assert "Resume" in held and "the customer thinks" in held
    as_owner.post(path(shop, sign, "/state"), data={"key": "r", "to": "resume"})
    added = {"key": "s", "title": "fit <stand-offs>", "after": step(shop, sign, "Clean").id}
    as_owner.post(path(shop, sign, "/add"), data=added)
    text = as_owner.get(path(shop, sign)).text
    assert "fit &lt;stand-offs&gt;" in text and "fit <stand-offs>" not in text


def test_every_panel_of_a_sign_can_be_looked_at(as_owner, shop, sign):
    """From laying out to handed over, each page is written without an undefined name."""
    pressed = []
    while (state := store.sign_of(shop.read(), sign)).state != "handed over":
        assert as_owner.get(path(shop, sign)).status_code == 200
        for each in state.steps:
            assert as_owner.get(path(shop, sign, f"?step={each.id}")).status_code == 200
        doing = next(each for each in state.steps if not each.done_at)
        pressed.append(doing.kind)
        data = {"key": f"k{len(pressed)}", "step": doing.id}
        if doing.kind == "lay out":
            as_owner.post(
                path(shop, sign, "/set-out"), data=data | {"rest": "1", "shown": list(doing.parts)}
            )
        elif doing.kind == "glue":
            as_owner.post(path(shop, sign, "/glue"), data=glued(shop, sign) | data)
        elif doing.kind == "cure":
            as_owner.post(path(shop, sign, "/open"), data=data | {"reason": "a test piece holds"})
        else:
            data |= {
                "shown": list(finishing.check_list(shop.read(), doing.kind).items),
                "to_name": "Ada",
            }
            assert (
                as_owner.post(path(shop, sign, "/done"), data=data, headers=AS_HTMX).status_code
                == 200
            )
    assert pressed == ["lay out", "glue", "cure"] * 2 + [
        "clean",
        "polish",
        "inspect",
        "pack",
        "hand over",
    ]
    assert "Handed over" in as_owner.get(path(shop, sign)).text


def test_an_unknown_sign_says_so(as_owner):
    assert as_owner.get("/bench/79462003").status_code in (404, 422)
    assert (
        as_owner.get("/bench/40729153").status_code == 404
    )  # a right check digit, and no such sign


def test_a_time_is_the_last_time_that_the_clock_showed_it():
    now = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
    assert glued_at("", now) is None
    assert glued_at("09:10", now) == now - timedelta(minutes=20)
    assert glued_at("17:00", now) == datetime(2026, 11, 24, 17, 0, tzinfo=UTC)
    with pytest.raises(Refused):
        glued_at("25:00", now)


def test_a_part_of_the_drawing_leads_to_what_happened_to_its_piece_unless_it_is_being_laid_out(
    as_assembler, shop, assembler, sign
):
    laying = as_assembler.get(path(shop, sign)).text
    assert '<a class="piece"' not in laying and "Dropped, scratched or missing?" in laying
    set_out_level_1(shop, assembler, sign)
    gluing = as_assembler.get(path(shop, sign)).text
    parts = [part for part in store.sign_of(shop.read(), sign).parts.values() if part.level <= 1]
    assert all(
        re.search(rf'<a class="piece" href="[^"]*spoilt={part.id}"', gluing) for part in parts
    )
    assert "Tap the part in the drawing." in gluing
    assert all(
        f'href="/p/{part.code}"' in as_assembler.get(path(shop, sign, f"?spoilt={part.id}")).text
        for part in parts
    )


def test_tabs_still_to_trim_are_counted_apart(shop, owner, lay_steps, as_assembler):
    lay_steps(Caller(shop, owner), state="cut")
    assert "0 of 5 pieces in hand, 5 to trim" in as_assembler.get("/jobs").text


def test_what_happened_to_a_piece_is_told_without_leaving_the_sign(
    as_assembler, shop, assembler, sign
):
    set_out_level_1(shop, assembler, sign)
    which = as_assembler.get(path(shop, sign, "?spoilt=0")).text
    assert (
        "Which one?" in which and which.count("?spoilt=") >= 5
    )  # each part, in the drawing and in the list
    part = next(
        part for part in store.sign_of(shop.read(), sign).parts.values() if part.name == "P"
    )
    asked = as_assembler.get(path(shop, sign, f"?spoilt={part.id}")).text
    assert "Ready. What happened?" in asked and "Damaged: scratched" in asked
    assert "glued crooked" not in asked  # it was never glued
    data = {"key": "d", "piece": part.code, "mark": "damaged", "cause": "scratched"}
    answer = as_assembler.post(path(shop, sign, "/spoilt"), data=data, headers=AS_HTMX).text
    assert (
        "&#39;P&#39; of J-1001 A is damaged." in answer
        and "Steps to redo with it: set out level 1." in answer
    )
    assert store.sign_of(shop.read(), sign).step(step(shop, sign, "Lay out level 1").id).ticks == {
        3
    }


def test_what_is_to_come_of_a_level_stands_large_while_the_rest_cures(
    as_assembler, shop, assembler, sign
):
    laying, gluing = step(shop, sign, "Lay out level 1"), step(shop, sign, "Glue level 1")
    acts.set_out_rest(Caller(shop, assembler), laying.id, laying.parts)
    gluing_acts.glue_up(
        Caller(shop, assembler), [gluing.id], 1, "7B", 23, 45, parts=laying.parts[:1]
    )
    assert "1 of 2 glued. Now glue &#39;Q&#39; (no. 3)" in as_assembler.get(path(shop, sign)).text
    q = store.sign_of(shop.read(), sign).parts[laying.parts[1]]
    piece_acts.mark(Caller(shop, assembler), [q.code], "lost")
    text = as_assembler.get(path(shop, sign)).text
    assert (
        "Then: set out and glue &#39;Q&#39; (no. 3). &#39;Q&#39; (no. 3) is lost. Its recut" in text
    )
