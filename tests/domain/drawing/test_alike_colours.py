"""Colours that a person would take for one acrylic."""

import pytest

from shopfloor.domain.drawing.colours import alike, lab


# What follows from the primaries, the white point D65 and the curve of IEC 61966-2-1, to two places, as it is printed
# in tables of the sRGB primaries; greys have a* = b* = 0 by definition, and L* = 100 is white.
@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#ff0000", (53.24, 80.09, 67.20)),
        ("#00ff00", (87.73, -86.18, 83.18)),
        ("#0000ff", (32.30, 79.19, -107.86)),
        ("#ffffff", (100, 0, 0)),
        ("#000000", (0, 0, 0)),
        ("#808080", (53.59, 0, 0)),
        ("#777777", (50.03, 0, 0)),
    ],
)
def test_lab_values_are_those_of_the_standard(colour, expected):
    assert lab([colour])[0] == pytest.approx(expected, abs=0.02)


def test_a_grey_s_lightness_is_that_of_its_luminance():
    # L* = 116 (Y)^(1/3) - 16, with Y by the sRGB curve: worked by hand for 0x40 and 0xc0
    for channel, luminance in (("40", 0.051269), ("c0", 0.527115)):
        assert lab([f"#{channel * 3}"])[0][0] == pytest.approx(
            116 * luminance ** (1 / 3) - 16, abs=0.01
        )


def test_nearly_equal_colours_are_grouped_by_the_first_one():
    assert alike(["#8c2f39", "#f2e8cf", "#8c3039", "#f0e6cc", "#902d3a"]) == (
        ("#8c2f39", "#8c3039", "#902d3a"),
        ("#f2e8cf", "#f0e6cc"),
    )


def test_the_order_given_says_which_stays():
    assert alike(["#8c3039", "#8c2f39"]) == (("#8c3039", "#8c2f39"),)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("#ffffff", "#f2e8cf"),
        ("#ff0000", "#ff8000"),
        ("#000000", "#2f3e46"),
        ("#33658a", "#14235a"),
        ("#808080", "#909090"),
    ],
    ids=["white and cream", "red and orange", "black and slate", "blue and dark blue", "two greys"],
)
def test_colours_that_a_shop_tells_apart_stay_apart(one, other):
    assert alike([one, other]) == ()


def test_greys_are_alike_up_to_a_lightness_of_five_apart():
    # for greys the difference is that of L*, which the luminance gives: 50.03, then 54.37 and 55.54
    assert alike(["#777777", "#828282"]) == (("#777777", "#828282"),)
    assert alike(["#777777", "#858585"]) == ()


def test_no_chain_leads_from_one_colour_to_another():
    greys = [f"#{n:02x}{n:02x}{n:02x}" for n in range(0x60, 0xA0, 4)]
    groups = alike(greys)
    assert len(groups) > 3
    for group in groups:
        lightness = lab(list(group))[:, 0]
        assert max(abs(lightness - lightness[0])) <= 5
    assert [colour for group in groups for colour in group] == greys[: sum(map(len, groups))]


def test_a_colour_given_twice_is_not_alike_to_itself():
    assert alike(["#8c2f39", "#8c2f39"]) == ()
    assert alike([]) == ()
