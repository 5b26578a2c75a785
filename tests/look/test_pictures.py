"""The drawings: true to the outline, unlike in every state, small to send."""

from __future__ import annotations

import gzip
import itertools

import pytest
import svgelements
from shapely import Point, Polygon, box, union_all
from templates_for_tests import TEMPLATES, environment

from shopfloor.domain.outlines import Outline
from shopfloor.scenes.nest import Nest, NestedPiece
from shopfloor.scenes.scene import DimensionLine, Shape
from shopfloor.web.pictures.paths import TOLERANCE_PX, UNIT, path
from shopfloor.web.pictures.svg import STATES, sheet_picture, sign_picture

WHITE, BLUE = "#ffffff", "#35658a"
RING = Outline.of_polygon(
    Point(200, 150).buffer(90, quad_segs=64).difference(Point(210, 140).buffer(35, quad_segs=64))
)
BOARD = Outline.of_polygon(box(0, 0, 400, 300))


@pytest.fixture(scope="module")
def pictures():
    """The macros, in an environment as strict as the server's."""
    return environment().get_template("_pictures.html").module


def part(outline: Outline, state: str, colour: str = WHITE, number: int = 1, **more) -> Shape:
    return Shape(f"p{number}", number, more.pop("name", "O"), outline, colour, state, **more)


def nest(used_mm: float, along: str, used: str, offcut: str) -> Nest:
    """A sheet with one ring on it."""
    axis, whole = ("x", 1220) if along == "length" else ("y", 610)
    dimensions = (
        DimensionLine("used", axis, 0, used_mm, used),
        DimensionLine("offcut", axis, used_mm, whole, offcut),
    )
    pieces = (NestedPiece(part(RING, "nested")),)
    return Nest(1220, 610, along, used_mm, pieces, dimensions=dimensions)


def area_of(d: str) -> Polygon:
    """The area of path data, read by another library's parser (svgelements), filled even-odd."""
    area = Polygon()
    for ring in svgelements.Path(d).as_subpaths():
        points = [(step.end.x, step.end.y) for step in ring if step.end is not None]
        area = area.symmetric_difference(Polygon(points))
    return area


@pytest.mark.parametrize("scale_px", [0.1, 0.5, 3.0])
def test_a_drawn_outline_covers_the_area_of_the_real_one(scale_px):
    scale = scale_px * UNIT
    drawn = area_of(path(RING, scale, 300))
    real = Polygon(
        *[
            [[(x * scale, (300 - y) * scale) for x, y in ring] for ring in RING.rings][k]
            for k in (0,)
        ]
    )
    real = real.difference(Polygon([(x * scale, (300 - y) * scale) for x, y in RING.rings[1]]))
    stray = (
        TOLERANCE_PX + 0.5
    ) * UNIT  # what simplifying and rounding to whole units may move a line
    assert drawn.symmetric_difference(real).area <= real.length * stray / 2
    assert drawn.hausdorff_distance(real) <= stray
    assert len(drawn.interiors) == 1


def test_path_data_is_short():
    assert len(path(RING, 0.3 * UNIT, 300)) < 300  # of 514 points
    assert path(BOARD, 1, 300) == "m400 300v-300h-400v300z"


def test_every_state_has_a_markup_of_its_own(pictures):
    written = {
        state: str(pictures.sign_svg(sign_picture("s", [part(RING, state)], 400, 300))).replace(
            state, "STATE"
        )
        for state in STATES
    }
    # Waiting and nested differ by the class of the line alone (dashed, thin): the class was levelled above.
    distinct = {state: text for state, text in written.items() if state != "nested"}
    assert len(set(distinct.values())) == len(distinct)
    css = (TEMPLATES.parent / "static" / "shopfloor.css").read_text(encoding="utf-8")
    assert "stroke-dasharray" in css.split("path.waiting {")[1].split("}")[0]
    assert "stroke-dasharray" not in css.split("path.nested {")[1].split("}")[0]


@pytest.mark.parametrize("state", ["waiting", "nested", "lost", "damaged"])
def test_what_is_not_in_hand_is_filled_with_the_papers_grid(state):
    board, letter = sign_picture(
        "s", [part(BOARD, "ready", BLUE), part(RING, state)], 400, 300
    ).parts
    assert (board.fill, letter.fill) == (BLUE, "url(#grid)")


@pytest.mark.parametrize("state", ["ready", "fixed"])
def test_what_is_in_hand_is_filled_with_its_own_colour(state):
    assert sign_picture("s", [part(RING, state)], 400, 300).parts[0].fill == WHITE


def test_a_cut_piece_is_hatched_in_its_own_colour(pictures):
    picture = sign_picture("s", [part(RING, "cut", BLUE), part(BOARD, "cut", WHITE, 2)], 400, 300)
    assert {colour for _, colour in picture.hatches} == {BLUE, WHITE}
    assert (
        dict((f"url(#{name})", colour) for name, colour in picture.hatches)[picture.parts[0].fill]
        == BLUE
    )
    assert f'fill="{BLUE}"' in pictures.sign_svg(picture)


def test_the_tick_of_a_board_keeps_clear_of_what_lies_on_it():
    panel = Outline.of_polygon(box(100, 60, 390, 290))
    picture = sign_picture(
        "s", [part(BOARD, "fixed", BLUE), part(panel, "ready", WHITE, 2)], 400, 300
    )
    scale = picture.sign_px[0] / 400 * UNIT
    steps = svgelements.Path(picture.parts[0].over)
    on_panel = Polygon([(x * scale, (300 - y) * scale) for x, y in panel.rings[0]])
    assert not any(on_panel.contains(Point(step.end.x, step.end.y)) for step in steps)


@pytest.mark.parametrize("size", [(1800, 450), (600, 600), (120, 2400), (30, 20)])
def test_a_sign_fills_its_box_one_way_and_overflows_it_neither(size):
    picture = sign_picture(
        "s", [part(Outline.of_polygon(box(0, 0, *size)), "ready")], *size, box=(600, 200)
    )
    assert picture.width_px <= 601 and picture.height_px <= 201
    assert picture.width_px >= 599 or picture.height_px >= 199
    assert picture.width_text == f"{size[0]}"


def test_a_sheet_shows_its_used_length_and_its_offcut(pictures):
    picture = sheet_picture("s", nest(805, "length", "used 805", "offcut 415 × 610"))
    text = str(pictures.sheet_svg(picture))
    assert "used 805" in text and "offcut 415 × 610" in text
    assert picture.used_percent == pytest.approx(100 * 805 / 1220, abs=0.01)
    assert area_of(picture.used_line + "h1v-1z").bounds[0] == pytest.approx(
        picture.width_px * UNIT * 805 / 1220, abs=2
    )


def test_a_sheet_filled_along_its_width_is_measured_from_the_lower_edge(pictures):
    picture = sheet_picture("s", nest(305, "width", "used 305", "offcut 305"))
    text = str(pictures.sheet_svg(picture))
    assert picture.used_percent == 50 and "used 305" in text and "offcut 305" in text
    assert svgelements.Path(picture.used_line)[0].end.y == pytest.approx(
        picture.height_px * UNIT / 2, abs=2
    )


def test_a_piece_with_attributes_is_a_button_and_one_with_an_href_a_link(pictures):
    parts = [part(BOARD, "ready", href="/parts/1"), part(RING, "lost", number=2, name='<"&')]
    text = str(
        pictures.sign_svg(sign_picture("s", parts, 400, 300), {"p2": {"hx-post": "/mark?a=1&b=2"}})
    )
    assert '<a class="piece" href="/parts/1" aria-label="1 O, ready">' in text
    assert (
        'role="button" tabindex="0" aria-label="2 &lt;&#34;&amp;, lost" hx-post="/mark?a=1&amp;b=2"'
        in text
    )


def test_a_floor_of_five_signs_of_sixty_parts_is_small_to_send(pictures):
    states = itertools.cycle(STATES)
    letters = [RING.at_origin().moved(200 * (n % 15), 300 * (n // 15)) for n in range(59)]
    board = Outline.of_polygon(
        union_all([letter.polygon for letter in letters]).envelope.buffer(20).envelope
    )
    board = board.at_origin()
    parts = [
        part(letter.moved(20, 20), next(states), number=n) for n, letter in enumerate(letters, 2)
    ]
    parts = [part(board, "ready", BLUE), *parts]
    signs = [
        sign_picture(f"s{n}", parts, board.width_mm, board.height_mm * (1 + n / 10))
        for n in range(5)
    ]
    page = "".join(str(pictures.sign_svg(sign)) for sign in signs)
    assert len(gzip.compress(page.encode())) < 60_000
