"""The drawings of the demo shop, read by svgelements and measured with shapely; areas of letters by fonttools."""

import hashlib
from itertools import combinations

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from shapely import Polygon, STRtree
from svgelements import SVG, Path, Shape

from shopfloor.demo import draw
from shopfloor.domain.outlines import Outline

# width and height in mm; how many outlines; how many of them lie at the bottom
SIGNS = {
    "bakery.svg": (1800, 450, 18, 1),
    "library.svg": (540, 540, 20, 1),
    "boatyard.svg": (1320, 540, 23, 1),
    "berths.svg": (770, 360, 18, 6),
    "tides.svg": (900, 1200, 160, 1),
    "school.svg": (58 * 25.4, 20 * 25.4, 13, 13),
}


def _areas(name):
    """Every drawn element as a polygon in mm, y down, in drawing order."""
    drawing = SVG.parse(draw.DRAWINGS / name, ppi=25.4)
    for element in drawing.elements(lambda e: isinstance(e, Shape)):
        area = Polygon()
        for subpath in Path(element).as_subpaths():
            ring = Path(subpath)
            points = [
                p
                for segment in ring
                for p in (segment.point(i / 12) for i in range(12))
                if p is not None
            ]
            area = area.symmetric_difference(Polygon([(p.x, p.y) for p in points]).buffer(0))
        yield area


@pytest.fixture(scope="module", params=SIGNS)
def sign(request):
    return request.param, list(_areas(request.param))


def test_the_shipped_drawings_are_those_that_the_script_draws(tmp_path):
    draw.main(tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {path.name: path.read_bytes() for path in draw.DRAWINGS.iterdir()}
    assert set(made) == set(SIGNS)
    assert max(map(len, made.values())) < 150_000


def test_the_fonts_are_those_that_their_readme_names():
    readme = (draw.FONTS / "README.md").read_text()
    fonts = sorted(draw.FONTS.glob("*.ttf"))
    assert len(fonts) == 3
    for font in fonts:
        assert (
            f"`{font.name}`" in readme and hashlib.sha256(font.read_bytes()).hexdigest() in readme
        )
        assert str(TTFont(font)["name"].getDebugName(5)) == "Version 2.37"


def test_a_drawing_has_its_full_size_and_all_its_outlines(sign):
    name, areas = sign
    width, height, count, _ = SIGNS[name]
    drawing = SVG.parse(draw.DRAWINGS / name, ppi=25.4)
    assert (drawing.width, drawing.height) == pytest.approx((width, height))
    assert len(areas) == count
    assert all(area.geom_type == "Polygon" and area.area > 50 for area in areas)


def test_each_outline_lies_wholly_on_what_is_under_it_and_no_two_cross(sign):
    name, areas = sign
    tree = STRtree(areas)
    for i, j in tree.query(areas, predicate="intersects").T:
        if i < j:
            assert areas[i].buffer(0.01).contains(areas[j]), (name, i, j)
    bottoms = [a for i, a in enumerate(areas) if not any(under.contains(a) for under in areas[:i])]
    assert len(bottoms) == SIGNS[name][3]


def test_letters_beside_each_other_leave_a_gap_to_be_seen(sign):
    _, areas = sign
    apart = [a.distance(b) for a, b in combinations(areas, 2) if not a.intersects(b)]
    assert min(apart) > 1.5


def _luminance(colour):
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(share * c for share, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("name", sorted(set(SIGNS) - {"school.svg"}))
def test_each_outline_is_seen_against_what_is_under_it(name):
    """A contrast of 3 to 1 or more, as WCAG 2.2 asks of large text (1.4.3) and graphics (1.4.11)."""
    drawing = SVG.parse(draw.DRAWINGS / name, ppi=25.4)
    colours = [e.fill.hex for e in drawing.elements(lambda e: isinstance(e, Shape))]
    areas = list(_areas(name))
    for i, area in enumerate(areas):
        under = [colours[j] for j in range(i) if areas[j].buffer(0.01).contains(area)]
        if under:
            dark, light = sorted(map(_luminance, (under[-1], colours[i])))
            assert (light + 0.05) / (dark + 0.05) >= 3, (name, i)


def test_the_letters_have_the_areas_that_the_font_gives_them():
    font = TTFont(draw.FONTS / "DejaVuSerif-Bold.ttf")
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    scale = 6 * 25.4 / draw.CAP_HEIGHT
    for letter, area in zip("HARBOURSCHOOL", _areas("school.svg"), strict=True):
        pen = AreaPen(glyphs)
        glyphs[names[ord(letter)]].draw(pen)
        assert area.area == pytest.approx(abs(pen.value) * scale**2, rel=0.004)
        assert len(Outline.of_polygon(area).rings) == {"A": 2, "R": 2, "B": 3, "O": 2}.get(
            letter, 1
        )


def test_each_letter_bears_its_own_name():
    drawing = SVG.parse(draw.DRAWINGS / "bakery.svg", ppi=25.4)
    text = (draw.DRAWINGS / "bakery.svg").read_text()
    titles = [part.split("</title>")[0] for part in text.split("<title>")[2:]]
    assert "".join(titles) == "boardpanelRYE&amp;SALTBAKERYgraingrain"
    assert len(list(drawing.elements(lambda e: isinstance(e, Shape)))) == len(titles)
