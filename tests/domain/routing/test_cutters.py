"""What may be typed of a cutter, and what becomes of it."""

from __future__ import annotations

import pytest

from shopfloor.domain.errors import Refused
from shopfloor.domain.routing.cutters import EDGES, USUAL, Cutter, checked_cutter

TYPED = {
    "name": "  the  long one ",
    "diameter_mm": "3,175",
    "flutes": "1",
    "edge": "up-cut",
    "is_polished": "on",
    "helix_deg": "25",
    "reach_mm": "12.7",
}


def test_a_cutter_as_it_is_typed():
    assert checked_cutter(TYPED) == {
        "name": "the long one",
        "diameter_mm": 3.175,
        "flutes": 1,
        "edge": "up-cut",
        "is_polished": 1,
        "helix_deg": 25,
        "reach_mm": 12.7,
    }


def test_a_checked_cutter_makes_a_cutter_that_names_itself():
    assert str(Cutter(4, **checked_cutter(TYPED)).called) == "3.175 mm, 1 flute, up-cut, polished"
    assert (USUAL.name, str(USUAL.called)) == (
        "the usual O-flute",
        "6.35 mm, 2 flutes, straight, polished",
    )


@pytest.mark.parametrize("edge", EDGES)
def test_an_angle_left_empty_is_the_usual_one_of_the_edge(edge):
    assert checked_cutter({**TYPED, "edge": edge, "helix_deg": " "})["helix_deg"] == EDGES[edge]


@pytest.mark.parametrize(
    ("edge", "typed", "helix"),
    [
        ("up-cut", "25", 25),
        ("up-cut", "-25", 25),
        ("down-cut", "25", -25),
        ("down-cut", "-25", -25),
        ("compression", "20", 20),
        ("straight", "0", 0),
    ],
)
def test_the_edge_says_whether_the_helix_lifts_or_presses(edge, typed, helix):
    """By the geometry of the cutter: only a down-cut presses; the tip of a compression cutter is an up-cut."""
    assert checked_cutter({**TYPED, "edge": edge, "helix_deg": typed})["helix_deg"] == helix


def test_a_cutter_not_ticked_as_polished_is_not():
    assert (
        checked_cutter({name: value for name, value in TYPED.items() if name != "is_polished"})[
            "is_polished"
        ]
        == 0
    )


@pytest.mark.parametrize(
    ("field", "typed", "word"),
    [
        ("name", " ", "Name"),
        ("name", "x" * 41, "Name"),
        ("edge", "wavy", "Edge: choose straight"),
        ("edge", "straight", "no helix"),
        ("diameter_mm", "0", "Diameter"),
        ("diameter_mm", "", "Diameter"),
        ("flutes", "1.5", "whole number"),
        ("flutes", "0", "Flutes"),
        ("helix_deg", "75", "Helix"),
        ("helix_deg", "nan", "Helix"),
        ("reach_mm", "far", "Cutting length"),
    ],
)
def test_what_no_cutter_is_is_refused_in_a_sentence(field, typed, word):
    with pytest.raises(Refused, match=word):
        checked_cutter({**TYPED, field: typed})


def test_an_empty_form_is_refused_and_not_a_crash():
    with pytest.raises(Refused):
        checked_cutter({})
