"""What a check list, a note and a name may be, and how a refusal says what is missing."""

import pytest

from shopfloor.domain.bench import finishing as rules
from shopfloor.domain.errors import Conflict, Refused
from shopfloor.wording import finishing as wording


@pytest.mark.parametrize("kind", rules.KINDS)
def test_each_usual_list_is_one_that_a_shop_could_have_written(kind):
    assert rules.checked_items(rules.USUAL[kind]) == rules.USUAL[kind]
    assert len(rules.USUAL[kind]) >= 3


def test_the_kinds_are_those_of_the_issue_in_the_order_of_the_recipe():
    assert rules.KINDS == ("clean", "polish", "inspect", "pack", "hand over")


@pytest.mark.parametrize("kind", ["clean", "polish"])
def test_cleaning_and_polishing_are_left_to_the_data_sheet(kind):
    _, caution = wording.caution_of(kind)
    assert "data sheet" in str(caution)


def test_items_are_tidied_and_empty_lines_left_out():
    assert rules.checked_items(["  No  haze ", "", "   ", "Edges even"]) == (
        "No haze",
        "Edges even",
    )
    assert rules.checked_items([]) == ()


def test_a_list_has_twenty_items_at_the_most():
    twenty = [f"Item {n}" for n in range(20)]
    assert len(rules.checked_items(twenty)) == 20
    with pytest.raises(Refused, match="21 items"):
        rules.checked_items([*twenty, "one more"])


@pytest.mark.parametrize(
    ("letters", "is_right"), [(2, False), (3, True), (120, True), (121, False)]
)
def test_an_item_has_three_to_a_hundred_and_twenty_letters(letters, is_right):
    if is_right:
        assert rules.checked_items(["x" * letters]) == ("x" * letters,)
    else:
        with pytest.raises(Refused, match=f"{letters} letters"):
            rules.checked_items(["x" * letters])


def test_an_item_is_in_a_list_once():
    with pytest.raises(Refused, match="twice"):
        rules.checked_items(["No haze", "No  haze"])


def test_a_refusal_names_the_first_two_open_items_and_counts_the_rest():
    with pytest.raises(Conflict) as refused:
        rules.must_all_be_ticked("Inspect", ("One", "Two", "Three", "Four"), {"Two"})
    assert (
        refused.value.sentence
        == "'Inspect' is not finished. Tick these first: “One”, “Three” and 1 more."
    )
    rules.must_all_be_ticked("Inspect", ("One",), {"One", "of an older list"})


def test_ticks_come_in_the_order_of_the_list_and_older_items_last():
    assert rules.as_listed(["old", "b", "a"], ("a", "b", "c")) == ("a", "b", "old")


def test_a_usual_item_in_its_former_words_is_the_item_of_today():
    for kind in rules.KINDS:
        former = wording.FORMER_ITEMS[kind]
        assert len(former) == len(rules.USUAL[kind])
        assert rules.open_items(rules.USUAL[kind], former) == []
        assert rules.open_items(former, rules.USUAL[kind]) == [], "a list of the shop's own"
        assert rules.as_listed(reversed(former), rules.USUAL[kind]) == former
    former, today = wording.FORMER_ITEMS["clean"], rules.USUAL["clean"]
    assert rules.ticked_as(today[0], [former[0]]) == former[0]
    assert rules.ticked_as(today[0], [former[1], today[2]]) is None


@pytest.mark.parametrize(
    ("name", "is_right"),
    [("A", False), ("Al", True), ("x" * 80, True), ("x" * 81, False), (" ", False)],
)
def test_who_receives_a_sign_has_two_to_eighty_letters(name, is_right):
    if is_right:
        assert rules.checked_receiver(f" {name} ") == name
    else:
        with pytest.raises(Refused, match="2 to 80"):
            rules.checked_receiver(name)


def test_a_note_may_be_empty_but_not_long():
    assert rules.checked_note("  ") == ""
    assert rules.checked_note("x" * 120) == "x" * 120
    with pytest.raises(Refused, match="121 letters"):
        rules.checked_note("x" * 121)


def test_there_is_no_list_for_other_kinds():
    with pytest.raises(Refused, match="clean, polish, inspect, pack and hand over"):
        rules.checked_kind("glue")
