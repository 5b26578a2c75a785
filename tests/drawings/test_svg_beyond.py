"""SVG beyond the basics: nested drawings, symbols, clips, layers, colours, units, loose lines, and where findings lie.

Places are worked out by hand beside each test, colours with colorsys and Pillow.
"""

import colorsys

import pytest
from PIL import ImageColor

from shopfloor.domain.errors import Refused
from shopfloor.drawings.svg import read_svg
from shopfloor.drawings.svg.paint import paint_of

XMLNS = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
)
PAGE = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
BOARD = '<rect id="board" width="200" height="100" fill="#8c2f39"/>'


def drawn(body: str, size: str = PAGE, **named):
    return read_svg(f"<svg {XMLNS} {size}>{body}</svg>".encode(), **named)


def bounds(drawing) -> list[tuple]:
    return [part.outline.bounds for part in drawing.outlines]


def only(drawing, kind: str):
    (finding,) = drawing.warnings
    assert finding.kind == kind and finding.sentence.endswith(".")
    return finding


def test_a_nested_drawing_has_its_own_place_size_and_units():
    rect = '<rect x="1" y="1" width="5" height="2"/>'
    inner = f'<svg x="50" y="20" width="100" height="40" viewBox="0 0 10 4">{rect}</svg>'
    assert bounds(drawn(inner)) == [
        (60, 50, 110, 70)
    ]  # ten times: x 50 + 10 … 50 + 60, y 100 - (20 + 10 … 30)
    percent = '<svg x="25%" y="20%" width="50%" height="40%" viewBox="0 0 10 4"><rect width="50%" height="50%"/></svg>'
    assert bounds(drawn(percent)) == [(50, 60, 100, 80)]
    assert bounds(drawn('<svg x="30" y="5"><rect width="10%" height="10%"/></svg>')) == [
        (30, 85, 50, 95)
    ]


def test_what_reaches_beyond_a_nested_frame_is_read_whole_and_said():
    body = '<svg id="frame" x="50" y="20" width="40" height="40"><rect id="bow" width="60" height="30"/></svg>'
    drawing = drawn(body)
    assert bounds(drawing) == [(50, 50, 110, 80)]
    finding = only(drawing, "clip")
    assert "'bow' reaches beyond the frame of the nested drawing 'frame'" in finding.sentence
    assert set(finding.line) == {(50, 80), (90, 80), (90, 40), (50, 40)}
    assert drawn(body.replace("<svg ", '<svg overflow="visible" ')).warnings == ()


def test_a_symbol_is_fitted_into_the_clone_that_uses_it():
    body = (
        '<symbol id="gull" viewBox="0 0 10 5"><rect width="10" height="5"/></symbol>'
        '<use href="#gull" x="20" y="10" width="80" height="80"/>'
    )
    drawing = drawn(body)  # 8 times, in the middle: 40 high, 20 from the top of the frame
    assert bounds(drawing) == [(20, 30, 100, 70)]
    assert drawing.outlines[0].name == "gull"


def test_a_clone_of_a_nested_drawing_may_give_it_another_size():
    body = '<defs><svg id="s" viewBox="0 0 10 10" width="10" height="10"><rect width="10" height="10"/></svg></defs>'
    assert bounds(drawn(body + '<use href="#s" x="5" y="5" width="40" height="40"/>')) == [
        (5, 55, 45, 95)
    ]


def test_a_chain_of_clones_adds_up():
    body = (
        '<defs><rect id="a" width="4" height="4"/><use id="b" href="#a" x="10"/>'
        '<g id="c" transform="scale(2)"><use xlink:href="#b" y="3"/></g></defs><use href="#c" x="1" y="2"/>'
    )
    assert bounds(drawn(body)) == [(21, 84, 29, 92)]  # x 1 + 2·10, y 2 + 2·3 from the top, 8 large


@pytest.mark.parametrize("x, dx", [("Min", 0), ("Mid", 60), ("Max", 120)])
@pytest.mark.parametrize("y, dy", [("Min", 0), ("Mid", 30), ("Max", 60)])
def test_a_nested_view_box_is_aligned_in_all_nine_ways(x, y, dx, dy):
    def inner(size: str, keep: str) -> tuple:
        frame = f'{size} viewBox="0 0 10 10" preserveAspectRatio="{keep}" overflow="visible"'
        return bounds(drawn(f'<svg {frame}><rect width="10" height="10"/></svg>'))[0]

    assert inner('width="200" height="80"', f"x{x}Y{y}") == (dx, 20, dx + 80, 100)
    assert inner('width="80" height="140"', f"x{x}Y{y} meet") == (0, 20 - dy, 80, 100 - dy)
    assert inner('width="80" height="200"', f"x{x}Y{y} slice") == (-dx, -100, 200 - dx, 100)
    assert inner('width="200" height="50"', "none") == (0, 50, 200, 100)


def test_a_circle_is_flattened_after_it_is_stretched():
    # a thousandth of a unit drawn a thousand times as large must not become an octagon
    (part,) = drawn('<circle r="0.03" transform="translate(100 50) scale(1000 500)"/>').outlines
    assert part.outline.width_mm == 60 and part.outline.height_mm == 30
    exact = 3.141592653589793 * 30 * 15
    assert 0 < exact - part.outline.area_mm2 < part.outline.perimeter_mm * 0.05


@pytest.mark.parametrize("name, word", [("clip-path", "clip path"), ("mask", "mask")])
def test_a_clip_is_left_out_by_name_and_its_outline_stays_whole(name, word):
    drawing = drawn(
        f'<clipPath id="c"><rect width="5" height="5"/></clipPath><g id="bow" {name}="url(#c)">{BOARD}</g>'
    )
    finding = only(drawing, "clip")
    assert (
        finding.sentence
        == f"The {word} on the element 'bow' was left out. Its outlines are read whole."
    )
    assert finding.at == (100, 50)
    assert bounds(drawing) == [(0, 0, 200, 100)]


def test_hidden_layers_are_named_and_locked_ones_are_read():
    drawing = drawn(
        f'<g inkscape:groupmode="layer" inkscape:label="guides" style="display:none">{BOARD}</g>'
        f'<g inkscape:groupmode="layer" inkscape:label="base" sodipodi:insensitive="true">{BOARD}</g>'
        '<g id="Layer_3" visibility="hidden"><rect width="9" height="9"/><rect width="8" height="8"/></g>'
        '<g id="ghost" opacity="0"><circle r="9"/></g><rect width="7" height="7" display="none"/>'
    )
    assert [finding.sentence for finding in drawing.warnings] == [
        "The hidden layer 'guides' was left out.",
        "The hidden layer 'Layer_3' was left out.",
        "The hidden group 'ghost' was left out.",
        "Hidden outlines were left out: 1.",
    ]
    assert len(drawing.outlines) == 1


def test_what_is_shown_again_inside_something_invisible_is_read():
    body = '<g visibility="hidden"><rect width="50" height="50" visibility="visible"/><rect width="9" height="9"/></g>'
    assert bounds(drawn(body)) == [(0, 50, 50, 100)]


@pytest.mark.parametrize("hue", [0, 37, 120, 213, 359, -40, 400])
@pytest.mark.parametrize("saturation, lightness", [(100, 50), (35, 20), (0, 70), (80, 90)])
def test_hsl_agrees_with_colorsys(hue, saturation, lightness):
    shares = colorsys.hls_to_rgb(hue % 360 / 360, lightness / 100, saturation / 100)
    exact = "#" + "".join(f"{int(share * 255 + 0.5):02x}" for share in shares)
    for text in (
        f"hsl({hue}, {saturation}%, {lightness}%)",
        f"HSL({hue}deg {saturation}% {lightness}%)",
        f"hsla({hue / 360}turn,{saturation}%,{lightness}%,1)",
    ):
        assert paint_of(text).colour == exact


@pytest.mark.parametrize(
    "text, colour, alpha",
    [
        ("#1234", "#112233", 0x44 / 255),
        ("#11223380", "#112233", 0x80 / 255),
        ("rgb(17 34 51 / 25%)", "#112233", 0.25),
        ("rgba(17, 34, 51, .5)", "#112233", 0.5),
        ("rgb(300, -5, 128)", "#ff0080", 1.0),
        ("hsl(240 100% 50% / 0.1)", "#0000ff", 0.1),
        ("#abcdef icc-color(press, 0.1, 0.2)", "#abcdef", 1.0),
        ("currentColor", "#ff6347", 1.0),
        ("transparent", "#000000", 0.0),
        ("Tomato", "#{:02x}{:02x}{:02x}".format(*ImageColor.getrgb("tomato")), 1.0),
    ],
)
def test_colours_keep_how_much_of_them_is_seen(text, colour, alpha):
    paint = paint_of(text, "tomato")
    assert (paint.colour, paint.alpha) == (colour, pytest.approx(alpha))


def test_an_unseen_fill_leaves_the_stroke_to_count():
    drawing = drawn('<rect width="50" height="50" fill="#f00" fill-opacity="0" stroke="#00f"/>')
    assert [part.colour for part in drawing.outlines] == ["#0000ff"] and drawing.warnings == ()


def test_what_is_seen_through_is_read_as_its_colour_and_said():
    drawing = drawn(
        '<g opacity="0.5" id="veil"><rect id="bow" width="50" height="20" fill="#0f08"/></g>'
    )
    assert [part.colour for part in drawing.outlines] == ["#00ff00"]
    assert [(finding.kind, finding.at) for finding in drawing.warnings] == [
        ("transparent", (25, 90))
    ] * 2
    assert "'bow' is see-through (53 % opaque)" in drawing.warnings[1].sentence


def test_pictures_gradients_and_patterns_are_named_with_their_place():
    drawing = drawn(
        f'{BOARD}<linearGradient id="sky"><stop stop-color="red"/><stop stop-color="blue"/></linearGradient>'
        '<pattern id="dots"/><image id="photo" x="10" y="20" width="40" height="30" href="data:image/png;base64,AA"/>'
        '<circle id="sun" cx="150" cy="30" r="9" fill="url(#sky)"/>'
        '<circle id="egg" cx="100" cy="70" r="9" style="fill:url(\'#dots\')"/>'
    )
    assert [(finding.kind, finding.at, finding.sentence) for finding in drawing.warnings] == [
        ("picture", (30, 65), "The picture 'photo' was left out. Only outlines are read."),
        (
            "paint",
            (150, 70),
            "The outline 'sun' was left out. Its fill is a gradient, not a plain colour.",
        ),
        (
            "paint",
            (100, 30),
            "The outline 'egg' was left out. Its fill is a pattern, not a plain colour.",
        ),
    ]
    assert len(drawing.outlines) == 1


def test_a_gradient_of_one_colour_is_that_colour():
    body = (
        '<linearGradient id="swatch"><stop style="stop-color:#336699;stop-opacity:1"/></linearGradient>'
        '<linearGradient id="again" xlink:href="#swatch"/><rect width="50" height="50" fill="url(#again)"/>'
        '<rect x="60" width="50" height="50" fill="url(#lost) #123456"/>'
    )
    drawing = drawn(body)
    assert [part.colour for part in drawing.outlines] == [
        "#336699",
        "#123456",
    ] and drawing.warnings == ()


@pytest.mark.parametrize(
    "unit, mm",
    [
        ("mm", 1),
        ("cm", 10),
        ("m", 1000),
        ("in", 25.4),
        ("ft", 304.8),
        ("pt", 25.4 / 72),
        ("px", 25.4 / 96),
    ],
)
def test_the_answer_to_a_missing_unit_sets_the_scale(unit, mm):
    for size in (
        'width="600" height="100"',
        'viewBox="0 0 600 100"',
        'width="600" height="100" viewBox="0 0 600 100"',
    ):
        drawing = drawn('<rect x="10" y="20" width="60" height="30"/>', size, unit=unit)
        assert (drawing.width_mm, drawing.height_mm) == pytest.approx(
            (600 * mm, 100 * mm), abs=0.001
        )
        assert bounds(drawing)[0] == pytest.approx((10 * mm, 50 * mm, 70 * mm, 80 * mm), abs=0.001)
        assert drawing.guessed_unit is None and "units" not in [
            finding.kind for finding in drawing.warnings
        ]


def test_a_missing_unit_is_guessed_and_a_named_one_outranks_an_answer():
    assert drawn(BOARD, 'width="600" height="100"').guessed_unit == "px"
    named = drawn(BOARD, PAGE, unit="in")
    assert (named.width_mm, named.guessed_unit, named.warnings) == (200, None, ())
    with pytest.raises(Refused, match="Unit 'furlong' not found"):
        drawn(BOARD, 'width="600" height="100"', unit="furlong")
    with pytest.raises(Refused, match="Choose a smaller unit"):
        drawn(BOARD, 'width="6000" height="100"', unit="m")


LINES = [(0, 0, 60, 0), (60, 40, 60, 0), (60, 40, 0, 40), (0, 0, 0, 40)]


def lines(sides, colour="red") -> str:
    return "".join(
        f'<line id="side {n}" x1="{a}" y1="{b}" x2="{c}" y2="{d}" stroke="{colour}"/>'
        for n, (a, b, c, d) in enumerate(sides)
    )


def test_loose_lines_of_one_colour_and_group_make_an_outline():
    drawing = drawn(lines(LINES) + '<circle cx="30" cy="20" r="9" fill="none" stroke="red"/>')
    (part,) = drawing.outlines
    assert part.outline.bounds == (0, 60, 60, 100) and len(part.outline.rings) == 2
    assert drawing.warnings == ()


def test_open_paths_polylines_and_lines_are_joined_whatever_their_direction():
    body = (
        '<g fill="none" stroke="#000"><path d="M0 0H60"/><polyline points="60,40 60,0"/>'
        '<path d="M0 40 A30 30 0 0 0 60 40M0 0V40"/></g>'
    )
    (part,) = drawn(body).outlines
    assert part.outline.area_mm2 == pytest.approx(60 * 40 + 3.14159265 * 30**2 / 2, rel=0.002)


def test_lines_of_another_colour_or_group_are_not_joined():
    with pytest.raises(Refused, match="is open by"):
        drawn(BOARD + lines(LINES[:3]) + lines(LINES[3:], "blue"))
    with pytest.raises(Refused, match="is open by"):
        drawn(BOARD + f"<g>{lines(LINES[:3])}</g>" + lines(LINES[3:]))


def test_a_stray_line_is_named_and_drawn():
    drawing = drawn(BOARD + '<line id="fold" x1="10" y1="20" x2="90" y2="20" stroke="red"/>')
    finding = only(drawing, "line")
    assert finding.sentence == "The line 'fold' was left out. A line encloses nothing."
    assert finding.line == ((10, 80), (90, 80))


def test_a_gap_between_lines_is_closed_said_and_shown():
    drawing = drawn(lines([(0.3, 0, 60, 0), *LINES[1:]]))
    finding = only(drawing, "gap")
    assert set(finding.line) == {(0, 100), (0.3, 100)}
    assert drawing.outlines[0].outline.area_mm2 == pytest.approx(2400)


@pytest.mark.parametrize("gap, kinds", [(0.04, []), (0.3, ["gap"]), (11, ["open"]), (40, ["open"])])
def test_filling_closes_a_missing_side_and_a_narrow_gap(gap, kinds):
    drawing = drawn(f'<path d="M0 0H60V40H0V{gap}"/>')
    assert [finding.kind for finding in drawing.warnings] == kinds
    assert drawing.outlines[0].outline.area_mm2 == pytest.approx(2400, abs=1.5)


def test_a_gap_of_a_few_millimetres_in_a_filled_outline_reads_as_a_slip():
    with pytest.raises(Refused, match=r"'bow' is open by 3\.0 mm at 0\.0, 97\.0 mm"):
        drawn('<path id="bow" d="M0 0H60V40H0V3"/>')
    assert [finding.kind for finding in drawn('<path d="M0 0H12V8H0V4"/>').warnings] == [
        "open"
    ]  # 4 of 36: a side


def test_a_filled_bow_tie_is_split_and_shown():
    drawing = drawn('<path id="bow" d="M0 0L40 40V0L0 40Z"/>')
    assert [part.outline.area_mm2 for part in drawing.outlines] == [400, 400]
    finding = only(drawing, "crossing")
    assert (
        finding.at == (20, 80)
        and "'bow' crosses itself at 20.0, 80.0 mm. It was split" in finding.sentence
    )


def test_a_small_loop_in_a_letter_with_a_counter_is_dropped():
    loop = "M0 0H40V20H10V20.6H10.6V19.9H0Z"
    for rule in ("nonzero", "evenodd"):
        drawing = drawn(f'<path fill-rule="{rule}" d="{loop}M5 5V15H15V5Z"/>')
        only(drawing, "crossing")
        (part,) = drawing.outlines
        assert part.outline.area_mm2 == pytest.approx(800 - 10.6 * 0.1 - 100, abs=0.01)


def test_overlapping_subpaths_are_no_flaw():
    drawing = drawn('<path d="M0 0H40V20H0ZM20 10H60V30H20Z"/>')
    assert drawing.warnings == () and drawing.outlines[0].outline.area_mm2 == 800 + 800 - 200


def test_a_filled_double_is_dropped_and_counted():
    again = BOARD.replace('id="board" ', "")
    reverse = '<path fill="#8c2f39" d="M200 100V0H0V100Z"/>'
    drawing = drawn(BOARD + again + reverse + BOARD.replace("#8c2f39", "#fff"))
    assert len(drawing.outlines) == 2  # one of another colour is a face on its base
    assert (
        only(drawing, "double").sentence
        == "The outline 'board' is drawn 3 times in one place. One was kept."
    )
