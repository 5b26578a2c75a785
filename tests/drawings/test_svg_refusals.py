"""What cannot be read is refused in one sentence, soon, and nothing outside the file is touched."""

import re
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopfloor.domain.drawing.drawing import Drawing
from shopfloor.domain.errors import Refused
from shopfloor.drawings import reading
from shopfloor.drawings.svg import read_svg
from shopfloor.drawings.svg.scan import MAX_ELEMENTS

XMLNS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
SIZE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
BOARD = '<rect id="board" width="200" height="100"/>'


def svg(body: str, size: str = SIZE, head: str = "") -> bytes:
    return f"{head}<svg {XMLNS} {size}>{body}</svg>".encode()


def fan_out(levels: int) -> bytes:
    """Ten clones of ten clones of …: a few hundred bytes that unfold to 10^levels elements."""
    groups = "".join(
        f'<g id="k{n + 1}">{f"""<use href="#k{n}"/>""" * 10}</g>' for n in range(levels)
    )
    return svg(f'<defs><g id="k0">{BOARD}</g>{groups}</defs><use href="#k{levels}"/>')


def laughs() -> bytes:
    """Entities of entities, ten at a time."""
    lines = "".join(f'<!ENTITY e{n + 1} "{f"&e{n};" * 10}">' for n in range(9))
    return svg("<text>&e9;</text>", head=f'<!DOCTYPE svg [<!ENTITY e0 "ha">{lines}]>')


REFUSED = {
    "live text": (
        svg(BOARD + '<text x="5"><tspan>OPEN </tspan><tspan>DAILY</tspan></text>'),
        'The drawing has live text "OPEN DAILY". Turn it into outlines.',
    ),
    "open outline": (
        svg('<path id="bow" fill="none" stroke="red" d="M0 0H50L12.3 54.4"/>'),
        "The outline 'bow' is open by 55.8 mm at 12.3, 45.6 mm. Close it.",
    ),
    "a gap over 0.5 mm": (
        svg('<path id="bow" d="M0 0H50V40H0V0.8"/>'),
        "The outline 'bow' is open by 0.8 mm at 0.0, 99.2 mm. Close it.",
    ),
    "no area": (svg('<rect width="5" height="0"/>'), "no outline that encloses an area"),
    "nothing": (svg(""), "no outline that encloses an area"),
    "entity bomb": (laughs(), "XML entities"),
    "external entity": (
        svg("<text>&x;</text>", head='<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>'),
        "XML entities",
    ),
    "a clone from another file": (
        svg(BOARD + '<use xlink:href="other.svg#bow"/>'),
        "from another file",
    ),
    "a clone from the net": (
        svg(BOARD + '<use href="http://192.0.2.1/a.svg#b"/>'),
        "from another file",
    ),
    "imported styles": (
        svg("<style>@import url(http://192.0.2.1/a.css);</style>" + BOARD),
        "takes its styles from another file",
    ),
    "linked styles": (
        svg(BOARD, head='<?xml-stylesheet href="a.css"?>'),
        "styles from another file",
    ),
    "a circle of clones": (
        svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
        "inside itself",
    ),
    "a clone of itself": (svg('<use id="a" href="#a"/>'), "inside itself"),
    "a fan of clones": (fan_out(9), "more than 200,000 elements"),
    "a long chain of clones": (
        svg(BOARD + "".join(f'<use id="c{n}" href="#c{n + 1}"/>' for n in range(5000))),
        "more than 64 deep",
    ),
    "deep nesting": (svg("<g>" * 100_000), "more than 64 deep"),
    "too many elements": (svg("<g/>" * (MAX_ELEMENTS + 1)), "more than 200,000 elements"),
    "no number": (svg('<path id="bow" d="M0 0L10 nan"/>'), "'bow' has a value that cannot be read"),
    "an endless number": (svg('<path d="M0 0L1e999 5 5 5z"/>'), "cannot be read"),
    "a broken path": (svg('<path d="M0 0L5 5 B 20z"/>'), "cannot be read"),
    "a broken transform": (
        svg('<g transform="scale(2"><rect width="5" height="5"/></g>'),
        "cannot be read",
    ),
    "an odd point": (svg('<polygon points="0,0 5,5 9"/>'), "cannot be read"),
    "a negative width": (svg('<rect width="-5" height="5"/>'), "cannot be read"),
    "far away": (svg('<rect width="5" height="5" x="1e9"/>'), "cannot be read"),
    "no width": (svg(BOARD, 'width="0" height="100mm"'), "Give it a width and a height in mm"),
    "a negative page": (
        svg(BOARD, 'width="-5mm" height="100mm"'),
        "Give it a width and a height in mm",
    ),
    "an unknown unit": (
        svg(BOARD, 'width="5ell" height="100mm"'),
        "Give it a width and a height in mm",
    ),
    "a page of no number": (
        svg(BOARD, 'width="NaN" height="inf"'),
        "Give it a width and a height in mm",
    ),
    "an endless page": (
        svg(BOARD, 'width="1e400" height="5"'),
        "Give it a width and a height in mm",
    ),
    "an empty view box": (svg(BOARD, 'viewBox="0 0 0 10"'), "viewBox"),
    "a broken view box": (svg(BOARD, 'viewBox="0 0 ten 10"'), "viewBox"),
    "a cut file": (svg(BOARD)[:-9], "broken at line 1"),
    "another vocabulary": (b"<html><svg/></html>", "not SVG"),
    "an unknown encoding": (
        b'<?xml version="1.0" encoding="unheard-of"?><svg/>',
        "text cannot be read",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_bad_drawing_is_refused_in_one_sentence(case):
    data, words = REFUSED[case]
    with pytest.raises(Refused) as refusal:
        read_svg(data)
    sentence = refusal.value.sentence
    assert words in sentence
    assert (
        sentence.endswith(".")
        and "\n" not in sentence
        and len(re.findall(r"[.!?] [A-Z]", sentence)) <= 1
    )


@pytest.mark.parametrize(
    "body",
    [
        f'<polygon points="{"9" * 5000}!"/>',
        f'<path d="M{"9" * 5000}!"/>',
        f'<g transform="scale({"9" * 5000}!)">{BOARD}</g>',
        f'<rect width="{"9" * 5000}!" height="5"/>',
        f"<style>rect{{fill:red{' ' * 5000}x}}</style><rect/>",
    ],
)
def test_a_long_row_of_digits_is_not_tried_in_every_way(body):
    start = time.monotonic()
    with pytest.raises(Refused):
        read_svg(svg(body))
    assert time.monotonic() - start < 6


def test_points_are_counted_over_all_outlines_copies_too(monkeypatch):
    monkeypatch.setattr("shopfloor.drawings.svg.outlines.MAX_POINTS", 1000)
    body = '<defs><circle id="c" r="20"/></defs>' + '<use href="#c"/>' * 50
    with pytest.raises(Refused, match="more than 1,000 points"):
        read_svg(svg(body))


@pytest.mark.parametrize(
    "case", ["entity bomb", "a fan of clones", "deep nesting", "a circle of clones"]
)
def test_a_bomb_is_answered_within_seconds(case):
    start = time.monotonic()
    with pytest.raises(Refused) as refusal:
        reading.read(REFUSED[case][0], "bomb.svg")
    assert REFUSED[case][1] in refusal.value.sentence
    assert time.monotonic() - start < 10


@pytest.mark.parametrize(
    "data, filename, words",
    [
        (b"", "gate.svg", "The drawing gate.svg is empty"),
        (b" \n", "gate.svg", "is empty"),
        (b"\x89PNG\r\n\x1a\n<svg", "quay.svg", "quay.svg is a PNG picture"),
        (b"%PDF-1.7", "C:\\signs\\quay.pdf", "quay.pdf is a PDF"),
        (b"\x1f\x8b\x08", "gate.svgz", "compressed"),
        (bytes(range(256)) * 20, "noise.svg", "noise.svg is not a drawing"),
        (b"<svg" + b" " * (20 * 1024 * 1024), "big.svg", "over 20 MB"),
        (b"999 " * 5_000_000, "slow.svg", "slow.svg is not a drawing"),
    ],
)
def test_a_file_that_is_no_svg_drawing_is_refused_by_its_name(data, filename, words):
    with pytest.raises(Refused, match=re.escape(words)):
        reading.read(data, filename)


def test_a_drawing_that_takes_too_long_is_given_up():
    tangle = "M0 0" + "".join(f"L{n * 7919 % 200} {n * 104729 % 100}" for n in range(20_000)) + "z"
    start = time.monotonic()
    with pytest.raises(Refused, match=r"took longer than 2 s\. Simplify"):
        reading.read(svg(f'<path d="{tangle}"/>'), "tangle.svg", seconds=2)
    assert time.monotonic() - start < 10


def test_the_worker_gives_what_the_process_itself_reads_and_tells_progress():
    data = svg(BOARD + '<g id="sign-2"><circle id="bell" cx="50" cy="50" r="9"/></g>')
    shares = []
    assert reading.read(data, "gate.svg", progress=shares.append) == read_svg(data)
    assert shares == sorted(shares) and 0 < shares[0] <= shares[-1] <= 1


WHOLE = svg(
    "<style>.a{fill:#c00;fill-rule:evenodd} g > .b{stroke:blue;fill:none}</style>"
    '<defs><symbol id="s" viewBox="0 0 9 9"><ellipse cx="4" cy="4" rx="3" ry="2"/></symbol></defs>'
    '<g id="sign-2" transform="translate(5 5) rotate(30)">'
    '<path class="a" d="M0 0C9-6 14 13 30 0A9 5 20 0 1 9 30Q3 3 0 0zM5 5h3v3z"/>'
    '<rect class="b" width="30" height="20" rx="3"/></g><use href="#s" x="5" width="20" height="20"/>'
    '<polygon points="0,0 20,5 3,30" fill="rgb(1,2,3)"/>'
)


@settings(max_examples=1500)
@given(
    st.lists(
        st.tuples(
            st.integers(0, len(WHOLE)),
            st.integers(0, 12),
            st.one_of(
                st.binary(max_size=3),
                st.sampled_from(
                    [b"nan", b"1e308", b"-1e-308", b"99999999999", b"%", b'"', b"<g>", b"</g>"]
                ),
                st.sampled_from(
                    [
                        b"#s",
                        b"0 0 0 0",
                        b"\xff",
                        b"A0 0 0 0 1",
                        b"1e7",
                        b"z",
                        b"mm",
                        b"&",
                        b"url(#s)",
                    ]
                ),
            ),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_a_damaged_drawing_is_read_or_refused_and_nothing_else(damages):
    data = WHOLE
    for at, length, put in damages:
        data = data[:at] + put + data[at + length :]
    start = time.monotonic()
    try:
        assert isinstance(read_svg(data), Drawing)
    except Refused as refusal:
        assert refusal.sentence.endswith(".")
    assert time.monotonic() - start < 10
