"""Names, signs, colours, styles and findings of a drawing."""

import pytest
from PIL import ImageColor

from shopfloor.drawings.svg import read_svg
from shopfloor.drawings.svg.paint import paint_of

XMLNS = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'xmlns:xlink="http://www.w3.org/1999/xlink"'
)
BOX = 'width="20" height="20"'


def drawn(body: str, size: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"'):
    return read_svg(f"<svg {XMLNS} {size}>{body}</svg>".encode())


def kinds(drawing) -> list[str]:
    return [finding.kind for finding in drawing.warnings]


@pytest.mark.parametrize(
    "body, name",
    [
        (f'<rect {BOX} inkscape:label="bow" id="rect12"><title>other</title></rect>', "bow"),
        (f'<rect {BOX} id="stern"><title>left gull</title></rect>', "left gull"),
        (f'<rect {BOX} id="stern"/>', "stern"),
        (f'<rect {BOX} id="HARBOUR_x20_BAR_1_"/>', "HARBOUR BAR"),
        (f'<g id="anchor"><g><rect {BOX} id="rect12-3"/></g></g>', "anchor"),
        (f'<defs><rect id="gull" {BOX}/></defs><use id="port gull" href="#gull"/>', "port gull"),
        (f'<defs><rect id="gull" {BOX}/></defs><use id="use45" href="#gull"/>', "gull"),
    ],
)
def test_an_outline_bears_the_name_that_a_person_gave(body, name):
    assert drawn(body).outlines[0].name == name


@pytest.mark.parametrize(
    "made", ["path123", "rect12-3", "SVGID_7_", "use45", "g99", "Layer_1", "polygon8", "XMLID_12_"]
)
def test_a_name_that_a_program_made_up_is_none(made):
    assert drawn(f'<rect {BOX} id="{made}"/>').outlines[0].name is None


def test_a_group_of_two_lends_its_name_to_neither():
    assert [
        part.name for part in drawn(f'<g id="pair"><rect {BOX}/><rect {BOX} x="50"/></g>').outlines
    ] == [None] * 2


@pytest.mark.parametrize(
    "group, sign",
    [
        ('inkscape:label="sign gate board"', "gate board"),
        ('id="sign-2"', "2"),
        ('id="Sign_quay"', "quay"),
        ('id="signal mast"', None),
    ],
)
def test_a_group_called_sign_puts_its_outlines_on_that_sign(group, sign):
    drawing = drawn(f"<g {group}><g><rect {BOX}/></g><rect {BOX} x='50'/></g>")
    assert {part.group for part in drawing.outlines} == {sign}


@pytest.mark.parametrize(
    "word",
    [
        "red",
        "#F80",
        "#0a0B0c",
        "rgb(1, 2, 3)",
        "rgb(10%,20%,30%)",
        "seagreen",
        "RebeccaPurple",
        "Black",
    ],
)
def test_colours_agree_with_pillow(word):
    red, green, blue = ImageColor.getrgb(word)[:3]
    assert paint_of(word).colour == f"#{red:02x}{green:02x}{blue:02x}"


@pytest.mark.parametrize("word", ["url(#a)", "var(--board)", "#12", "nonsense", "rgb(a,b,c)"])
def test_what_is_no_plain_colour_is_not_guessed(word):
    assert paint_of(word) is None


@pytest.mark.parametrize(
    "style, attributes, colour",
    [
        (".a{fill:#010101}", 'class="a" fill="#020202"', "#010101"),
        (".a{fill:#010101}", 'class="a" style="fill:#030303"', "#030303"),
        ("#x{fill:#010101} .a{fill:#020202} rect{fill:#030303}", 'class="a" id="x"', "#010101"),
        (".b{fill:#010101} .a{fill:#020202}", 'class="a b"', "#020202"),
        (".a{fill:#010101 !important}", 'class="a" style="fill:#030303"', "#010101"),
        ("g rect{fill:#010101} svg > rect{fill:#020202}", "", "#010101"),
        (
            "/* .a{fill:red} */ @media print{rect{fill:red}} rect.a,rect.c{fill:#040404}",
            'class="a"',
            "#040404",
        ),
        ("g{color:#050505} rect{fill:currentColor}", "", "#050505"),
        ("g{fill:#060606}", "", "#060606"),
        ("@media screen{rect{fill:#070707} g{fill:red}}", "", "#070707"),
        ("[role=face]{fill:#080808} rect{fill:red}", 'role="face"', "#080808"),
        ("rect[data-cut^='de'][data-x]{fill:#090909}", 'data-cut="deep" data-x=""', "#090909"),
        ("style + g > rect{fill:#0a0a0a}", "", "#0a0a0a"),
        ("rect + rect{fill:red}", "", "#000000"),
    ],
)
def test_styles_are_weighed_as_the_cascade_says(style, attributes, colour):
    drawing = drawn(f"<style>{style}</style><g><rect {BOX} {attributes}/></g>")
    assert drawing.outlines[0].colour == colour


@pytest.mark.parametrize(
    "hidden, found",
    [
        ('display="none"', ["hidden"]),
        ('style="display:none"', ["hidden"]),
        ('visibility="hidden"', ["hidden"]),
        ('visibility="collapse"', ["hidden"]),
        ('class="off"', ["hidden"]),
        ('opacity="0"', ["hidden"]),
        ('fill="none"', []),
        ('fill="transparent"', []),
        ('fill="rgba(9,9,9,0)"', []),
        ('fill="#0000"', []),
        ('fill-opacity="0%"', []),
    ],
)
def test_what_is_not_drawn_is_not_read(hidden, found):
    drawing = drawn(
        f"<style>.off{{display:none}}</style><rect {BOX}/><g {hidden}><rect {BOX} x='50'/></g>"
    )
    assert len(drawing.outlines) == 1
    assert kinds(drawing) == found


@pytest.mark.parametrize(
    "body, kind",
    [
        ('<line id="fold" x2="50"/>', "line"),
        ('<image id="photo" href="http://192.0.2.1/a.png" width="9" height="9"/>', "picture"),
        (f'<rect {BOX} fill="url(#shade)"/>', "paint"),
        (f'<rect {BOX} clip-path="url(#c)"/>', "clip"),
        ('<rect id="flat" width="20" height="0"/>', "empty"),
        ('<path d="M0 0h.05v.05h-.05z"/>', "tiny"),
        ('<path d="M0 0H20V20"/>', "open"),
        ('<use href="#nowhere"/>', "use"),
        ("<style>rect:hover{fill:red}</style>", "style"),
        ("<style>rect ~ rect{fill:red}</style>", "style"),
        ("<style>@media (min-width: 9px){rect{fill:red}}</style>", "style"),
        (f'<rect {BOX} fill-opacity="0.4"/>', "transparent"),
        (f'<g opacity="40%"><rect {BOX}/></g>', "transparent"),
        (f'<rect {BOX} fill="hsl(0 50% 50% / 0.4)"/>', "transparent"),
        (f'<rect {BOX} x="90"/>', "double"),
    ],
)
def test_what_is_left_out_is_said(body, kind):
    drawing = drawn(f'<rect id="board" {BOX} x="90"/>{body}')
    assert kinds(drawing) == [kind]
    assert all(finding.sentence.endswith(".") for finding in drawing.warnings)


def test_ends_that_nearly_meet_are_closed_without_a_word():
    assert drawn('<path fill="none" stroke="red" d="M0 0H20V20H0V0.04"/>').warnings == ()


def test_a_drawing_without_units_says_what_was_assumed_and_the_size_in_mm():
    drawing = drawn('<rect width="480" height="96"/>', 'width="960" height="480"')
    assert kinds(drawing) == ["units"]
    assert (
        "254.0 × 127.0 mm" in drawing.warnings[0].sentence
    )  # 96 px are one inch: CSS Values and Units Level 4
    assert kinds(drawn(f"<rect {BOX}/>", 'width="960px" height="480px"')) == [
        "scale"
    ]  # 20 px are 5.3 mm


def test_a_name_for_a_namespace_is_let_through():
    head = '<!DOCTYPE svg [<!ENTITY ns_x "http://example.org/x/">]>'
    drawing = read_svg(
        f'{head}<svg {XMLNS} xmlns:x="&ns_x;" width="90mm" height="90mm"><rect {BOX}/></svg>'.encode()
    )
    assert len(drawing.outlines) == 1


def test_thousands_of_findings_are_counted_and_not_listed():
    lines = "".join(f'<line id="fold {number}" x2="5"/>' for number in range(500))
    drawing = drawn(f"<rect {BOX}/>{lines}")
    assert len(drawing.warnings) == 21
    assert "480" in drawing.warnings[-1].sentence
