"""Codes against ISO/IEC 7064 as python-stdnum computes it."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_10

from shopfloor.domain import codes
from shopfloor.domain.errors import Refused

numbers = st.integers(0, codes.NUMBERS - 1)


@pytest.mark.parametrize("figures, digit", [("79462", "3"), ("00200667308", "5")])
def test_the_check_digit_gives_the_standards_worked_values(figures, digit):
    assert codes.check_digit(figures) == digit


def test_the_check_digit_agrees_with_another_library_on_two_thousand_codes():
    drawn = random.Random(7064).sample(range(codes.NUMBERS), 2000)
    for number in [0, codes.NUMBERS - 1, *drawn]:
        code = codes.make(number)
        assert code[:7] == f"{number:07d}"
        assert mod_11_10.is_valid(code)


@given(numbers, st.integers(0, 7), st.integers(1, 9))
def test_every_single_wrong_figure_is_caught(number, place, shift):
    code = codes.make(number)
    wrong = code[:place] + str((int(code[place]) + shift) % 10) + code[place + 1 :]
    with pytest.raises(Refused, match=r"has a mistyped digit\. Read it again"):
        codes.parse(wrong)


def test_swaps_of_neighbours_are_caught_97_times_in_100_as_often_as_the_other_library_does():
    swapped = [
        wrong for number in range(0, codes.NUMBERS, 4999) for wrong in _swaps(codes.make(number))
    ]
    missed = [wrong for wrong in swapped if codes.check_digit(wrong[:-1]) == wrong[-1]]
    assert missed == [wrong for wrong in swapped if mod_11_10.is_valid(wrong)]
    assert 0 < len(missed) / len(swapped) < 0.03


def _swaps(code):
    for i in range(7):
        if code[i] != code[i + 1]:
            yield code[:i] + code[i + 1] + code[i] + code[i + 2 :]


@pytest.mark.parametrize(
    "text",
    [
        "40729153",
        "4072 9153",
        " 4072-9153\r\n",
        "4072\u00a09153",
        "4072–9153",
        "HTTP://192.168.1.20:8080/P/40729153",
        "https://shop.example/p/40729153/",
        "http://p/p/40729153",
        "/p/40729153",
        "HTTPÖ--192.168.1.20Ö8080-P-40729153",  # the same label through a scanner set to a German keyboard
    ],
)
def test_what_a_thumb_or_a_scanner_gives_is_read(text):
    assert mod_11_10.is_valid("40729153")
    assert codes.parse(text) == "40729153"


@pytest.mark.parametrize(
    "text, sentence",
    [
        ("", "No code was read. Scan the label or type its 8 digits."),
        (" - ", "No code was read. Scan the label or type its 8 digits."),
        ("4072 9154", "The code 4072 9154 has a mistyped digit. Read it again."),
        ("4072915", "A code has 8 digits, not 7 as in “4072915”. Read it again."),
        (
            "HTTP://SHOP/P/407291530",
            "A code has 8 digits, not 9 as in “407291530”. Read it again.",
        ),
        ("rye bread", "“rye bread” is not a code. Scan the label or type its 8 digits."),
        ("٤٠٧٢٩١٥٣", "“٤٠٧٢٩١٥٣” is not a code. Scan the label or type its 8 digits."),
        ("²0729153", "“²0729153” is not a code. Scan the label or type its 8 digits."),
    ],
)
def test_what_is_no_code_is_refused_with_a_sentence(text, sentence):
    with pytest.raises(Refused) as refusal:
        codes.parse(text)
    assert refusal.value.sentence == sentence


@given(st.text(max_size=80))
def test_any_text_is_a_valid_code_or_a_short_refusal(text):
    try:
        assert mod_11_10.is_valid(codes.parse(text))
    except Refused as refusal:
        assert len(refusal.sentence) < 120 and "\n" not in refusal.sentence


@given(numbers)
def test_a_code_shown_or_put_in_an_address_reads_back(number):
    code = codes.make(number)
    assert codes.parse(codes.show(code)) == code
    assert codes.parse(codes.url("shop.local:8080", code)) == code


def test_a_code_is_shown_in_two_fours():
    assert codes.show("40729153") == "4072 9153"


@pytest.mark.parametrize("number", [-1, codes.NUMBERS])
def test_a_number_that_does_not_fit_seven_figures_makes_no_code(number):
    with pytest.raises(ValueError):
        codes.make(number)


def test_the_address_on_a_label_is_in_capitals():
    assert codes.url("shop.local:8080", "40729153") == "HTTP://SHOP.LOCAL:8080/P/40729153"


@pytest.mark.parametrize(
    "address", ["", "pier_street", "[fe80::1]", "straße.example", "a b", "http://shop", "ſhop"]
)
def test_an_address_outside_the_alphanumeric_set_is_refused(address):
    with pytest.raises(Refused, match="does not fit a label"):
        codes.url(address, "40729153")
