"""Signs drawn as different programs write them, each with what must be found in it.

Areas come from closed forms, from fontTools' AreaPen (Green's theorem, exact for Béziers) or from svgpathtools; sizes
from the drawing by hand. Nothing here is measured with the reader under test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import svgpathtools
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont

import shopfloor

FONTS = Path(shopfloor.__file__).parent / "paper" / "fonts"
PI = math.pi


@dataclass(frozen=True)
class Case:
    """A drawing and what is in it. `signs` are (width, height, levels, parts) in mm, in reading order."""

    data: bytes
    outlines: int
    area_mm2: float
    signs: tuple[tuple[float, float, int, int], ...]
    families: int
    kinds: tuple[str, ...] = ()
    colours: int = 2
    unit: str | None = None


@dataclass(frozen=True)
class Letters:
    """A word as path data, one path a letter, with the exact area of all."""

    paths: tuple[str, ...]
    area: float


def word(
    text: str, x: float, y: float, em: float, font: str = "DejaVuSans-Bold.ttf", flip: float = -1.0
) -> Letters:
    """`text` set from (x, y) on, y down unless `flip` is 1. Its areas are filled by either rule alike."""
    file = TTFont(FONTS / font)
    glyphs, cmap, scale = file.getGlyphSet(), file.getBestCmap(), em / file["head"].unitsPerEm
    paths, area = [], 0.0
    for letter in text:
        glyph = glyphs[cmap[ord(letter)]]
        matrix = (scale, 0, 0, scale * flip, x, y)
        draw, measure = SVGPathPen(glyphs, ntos=lambda v: f"{v:.6g}"), AreaPen(glyphs)
        for pen in (draw, measure):
            glyph.draw(TransformPen(pen, matrix))
        paths.append(draw.getCommands())
        area += abs(measure.value)
        x += glyph.width * scale
    return Letters(tuple(paths), area)


def of_path(d: str) -> float:
    """The area that svgpathtools finds; exact for lines and Béziers."""
    return abs(svgpathtools.parse_path(d).area())


def svg(
    body: str, size: str = 'width="300mm" height="100mm" viewBox="0 0 300 100"', more: str = ""
) -> str:
    xmlns = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f"<svg {xmlns} {more} {size}>{body}</svg>"


DRAWING_PROGRAM = (
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
)
BOARD = '<rect width="300" height="100" fill="#1d3557"/>'
BOARD_MM2 = 300 * 100
HULL = "M20 20h60l-12 40h-30z"  # a trapezium, 60 and 30 wide and 40 high, with no mirror line
HULL_MM2 = (60 + 30) / 2 * 40

CASES: dict[str, Case] = {}


def case(name: str, text: str | bytes, *args, **named) -> None:
    CASES[name] = Case(text if isinstance(text, bytes) else text.encode(), *args, **named)


def _letters() -> None:
    quay = word("QUAY", 20, 75, 60)
    paths = "".join(f'<path fill="#f1faee" d="{d}"/>' for d in quay.paths)
    case(
        "page in mm, one path a letter",
        svg(BOARD + paths),
        5,
        BOARD_MM2 + quay.area,
        ((300, 100, 2, 5),),
        5,
    )

    dock = word("DOCK", 20, 75, 60)
    for rule in ("evenodd", "nonzero"):
        body = f'{BOARD}<path fill="#f1faee" style="fill-rule:{rule}" d="{" ".join(dock.paths)}"/>'
        case(
            f"a word as one compound path, {rule}",
            svg(body),
            5,
            BOARD_MM2 + dock.area,
            ((300, 100, 2, 5),),
            5,
        )

    gulls = word("gulls", 20, 0, 60, "DejaVuSerif-Bold.ttf", flip=1.0)
    body = "".join(f'<path d="{d}"/>' for d in gulls.paths)
    body = f'{BOARD}<g transform="translate(0 70) scale(1 -1)" fill="#f1faee">{body}</g>'
    case(
        "letters y up in a mirrored group",
        svg(body),
        6,
        BOARD_MM2 + gulls.area,
        ((300, 100, 2, 6),),
        5,
    )

    k = 96 / 25.4
    pier = word("PIER", 20 * k, 75 * k, 60 * k)
    shapes = "".join(f'<path class="st1" d="{d}"/>' for d in pier.paths)
    style = '<style type="text/css">\n\t.st0{fill:#1D3557;}\n\t.st1{fill:#F1FAEE;}\n</style>'
    whole = f'{style}<g id="Layer_1"><rect class="st0" width="{300 * k}" height="{100 * k}"/>{shapes}</g>'
    case(
        "viewBox in px at 96 to the inch, no size",
        svg(whole, f'x="0px" y="0px" viewBox="0 0 {300 * k} {100 * k}"'),
        5,
        BOARD_MM2 + pier.area / k**2,
        ((300, 100, 2, 5),),
        5,
        ("units",),
    )
    case(
        "a size in plain numbers that are mm",
        svg(BOARD + paths, 'width="300" height="100"'),
        5,
        BOARD_MM2 + quay.area,
        ((300, 100, 2, 5),),
        5,
        unit="mm",
    )

    k = 90 / 25.4
    pier = word("PIER", 20 * k, 75 * k, 60 * k)
    shapes = "".join(f'<path style="fill:#f1faee;stroke:none" d="{d}"/>' for d in pier.paths)
    board = f'<rect style="fill:#1d3557" width="{300 * k}" height="{100 * k}"/>'
    size = f'width="300mm" height="100mm" viewBox="0 0 {300 * k} {100 * k}"'
    case(
        "page in mm over px at 90 to the inch",
        svg(board + shapes, size),
        5,
        BOARD_MM2 + pier.area / k**2,
        ((300, 100, 2, 5),),
        5,
    )

    tiny = word("NET", 0.02, 0.075, 0.06)
    shapes = "".join(f'<path fill="#f1faee" d="{d}"/>' for d in tiny.paths)
    body = f'<rect width=".3" height=".1" fill="#1d3557"/>{shapes}'
    case(
        "a tiny unit",
        svg(body, 'width="30cm" viewBox="0 0 0.3 0.1"'),
        4,
        BOARD_MM2 + tiny.area * 1e6,
        ((300, 100, 2, 4),),
        4,
    )


def _structure() -> None:
    layer = 'inkscape:groupmode="layer"'
    body = (
        f'<g {layer} inkscape:label="base" sodipodi:insensitive="true">{BOARD}</g>'
        f'<g {layer} inkscape:label="measures" style="display:none"><text>300 mm</text><path d="M0 0H9V9Z"/></g>'
        f'<g {layer} inkscape:label="faces"><path d="{HULL}" fill="#e63946"/></g>'
    )
    case(
        "layers: one locked, one hidden",
        svg(body, more=DRAWING_PROGRAM),
        2,
        BOARD_MM2 + HULL_MM2,
        ((300, 100, 2, 2),),
        2,
        ("hidden",),
    )

    body = (
        f'<defs><symbol id="hull" viewBox="0 0 100 80"><path d="{HULL}" fill="#e63946"/></symbol></defs>'
        f'{BOARD}<use xlink:href="#hull" x="0" y="10" width="100" height="80"/>'
        '<use href="#hull" x="150" y="30" width="50" height="40"/>'
    )
    case("symbols at two sizes", svg(body), 3, BOARD_MM2 + HULL_MM2 * 1.25, ((300, 100, 2, 3),), 3)

    body = (
        '<defs><circle id="port" r="8" fill="#a8dadc"/>'
        '<g id="pair"><use href="#port" x="20"/><use href="#port" x="60"/></g>'
        f'<g id="four"><use href="#pair"/><use href="#pair" x="100"/></g></defs>{BOARD}'
        '<use href="#four" x="30" y="50"/>'
    )
    case("a chain of clones", svg(body), 5, BOARD_MM2 + 4 * PI * 64, ((300, 100, 2, 5),), 2)


def _places() -> None:
    inner = (
        '<svg x="10%" y="20" width="50%" height="60%" viewBox="0 0 15 6">'
        '<rect width="40%" height="50%" fill="#e63946"/></svg>'
    )
    case(
        "a nested drawing in percent",
        svg(BOARD + inner),
        2,
        BOARD_MM2 + 60 * 30,
        ((300, 100, 2, 2),),
        2,
    )

    hull = f'<path d="{HULL}" fill="#e63946"/>'
    case(
        "a mirrored group",
        svg(f'{BOARD}{hull}<g transform="translate(300 0) scale(-1 1)">{hull}</g>'),
        3,
        BOARD_MM2 + 2 * HULL_MM2,
        ((300, 100, 2, 3),),
        3,
    )

    sign = (
        '<rect width="120" height="40" fill="#1d3557"/><rect x="5" y="5" width="110" height="30" fill="#fff"/>'
        '<circle cx="60" cy="20" r="10" fill="#e63946"/>'
    )
    body = f'<g id="sign-north">{sign}</g><g id="sign-south" transform="translate(0 50)">{sign}</g>'
    case(
        "two signs of three levels",
        svg(body),
        6,
        2 * (4800 + 3300 + 100 * PI),
        ((120, 40, 3, 3),) * 2,
        3,
        colours=3,
    )

    foreign = '<foreignObject requiredExtensions="x" width="9" height="9"/>'
    case(
        "a switch",
        svg(f"<switch>{foreign}<g>{BOARD}{hull}</g></switch>"),
        2,
        BOARD_MM2 + HULL_MM2,
        ((300, 100, 2, 2),),
        2,
    )

    far = f'<g transform="translate(123456.5 -98765.25)">{BOARD}{hull}</g>'
    case("far off the page", svg(far), 2, BOARD_MM2 + HULL_MM2, ((300, 100, 2, 2),), 2)


def _curves() -> None:
    ring = "M150 10a40 40 0 1 1 0 80a40 40 0 1 1 0-80zm0 15a25 25 0 1 0 0 50a25 25 0 1 0 0-50z"
    case(
        "a lifebuoy of arcs, flags apart",
        svg(f'{BOARD}<path fill="#fff" d="{ring}"/>'),
        2,
        BOARD_MM2 + PI * (40**2 - 25**2),
        ((300, 100, 2, 2),),
        2,
    )
    packed = "M150 10a40 40 0 110 80 40 40 0 110-80zm0 15a25 25 0 100 50 25 25 0 100-50z"
    case(
        "a lifebuoy of arcs, flags run together",
        svg(f'{BOARD}<path fill="#fff" d="{packed}"/>'),
        2,
        BOARD_MM2 + PI * (40**2 - 25**2),
        ((300, 100, 2, 2),),
        2,
    )

    squeezed = "M20.5 50l1e1-30.25.5.25L.6e2 20 7e1.5e2 4.e1,9e1z"
    apart = "M 20.5 50 l 10 -30.25 l 0.5 0.25 L 60 20 L 70 50 L 40 90 z"
    case(
        "squeezed numbers and exponents",
        svg(f'{BOARD}<path fill="#fff" d="{squeezed}"/>'),
        2,
        BOARD_MM2 + of_path(apart),
        ((300, 100, 2, 2),),
        2,
    )

    wave = "M20 60q20-50 40 0t40 0 40 0c10 20 20 20 30 0s20-20 30 0v30h-180z"
    case(
        "smooth curves after smooth curves",
        svg(f'{BOARD}<path fill="#fff" d="{wave}"/>'),
        2,
        BOARD_MM2 + of_path(wave),
        ((300, 100, 2, 2),),
        2,
    )

    body = f'{BOARD}<g transform="translate(150 50) scale(12 2)"><circle r="10" fill="#fff"/></g>'
    case(
        "a circle under two scales", svg(body), 2, BOARD_MM2 + PI * 120 * 20, ((300, 100, 2, 2),), 2
    )

    body = f'{BOARD}<rect x="30" y="20" width="80" height="60" rx="20" ry="10" fill="#fff"/>'
    case(
        "round corners",
        svg(body),
        2,
        BOARD_MM2 + 80 * 60 - (4 - PI) * 20 * 10,
        ((300, 100, 2, 2),),
        2,
    )

    slanted = '<rect transform="skewX(20)" x="100" y="40" width="60" height="20" fill="#fff"/>'
    case(
        "turned and skewed",
        svg(f'{BOARD}<g transform="rotate(30 150 50)">{slanted}</g>'),
        2,
        BOARD_MM2 + 60 * 20,
        ((300, 100, 2, 2),),
        2,
    )

    turns = [n * 0.8 * PI for n in range(5)]
    corners = " ".join(
        f"{150 + 45 * math.sin(turn):.4f},{50 - 45 * math.cos(turn):.4f}" for turn in turns
    )
    # a pentagram's tip: the isosceles triangle over one side of its inner pentagon (circumradius R / φ²)
    inner = 45 / ((1 + math.sqrt(5)) / 2) ** 2 * 2 * math.sin(PI / 5)
    tip = inner**2 / 4 * math.tan(math.radians(72))
    case(
        "a star by evenodd",
        svg(f'{BOARD}<polygon fill="#fff" fill-rule="evenodd" points="{corners}"/>'),
        6,
        BOARD_MM2 + 5 * tip,
        ((300, 100, 2, 6),),
        2,
        ("crossing",),
    )


def _strokes() -> None:
    body = (
        '<g fill="none" stroke="#000" stroke-width=".1"><rect width="300" height="100"/>'
        '<circle cx="30" cy="50" r="10"/><circle cx="270" cy="50" r="10"/><path d="M100 40H200V60H100z"/></g>'
    )
    case(
        "strokes only, with holes",
        svg(body),
        1,
        BOARD_MM2 - 200 * PI - 2000,
        ((300, 100, 1, 1),),
        1,
        colours=1,
    )

    sides = [(0, 0, 300, 0), (300, 100, 300, 0), (0, 100, 300, 100), (0, 100, 0, 0)]
    loose = "".join(
        f'<line x1="{a}" y1="{b}" x2="{c}" y2="{d}" stroke="navy"/>' for a, b, c, d in sides
    )
    slot = (
        '<g stroke="navy" fill="none"><path d="M60 40H240"/><path d="M240 60A10 10 0 0 0 240 40"/>'
        '<polyline points="240,60 60,60"/><path d="M60 40A10 10 0 0 0 60 60"/></g>'
    )
    case(
        "loose lines and arcs with a slot",
        svg(loose + slot),
        1,
        BOARD_MM2 - 180 * 20 - PI * 100,
        ((300, 100, 1, 1),),
        1,
        colours=1,
    )

    near = "".join(
        f'<path fill="none" stroke="#000" d="M{a} {b}L{c} {d}"/>'
        for a, b, c, d in [
            (0.03, 0, 300, 0),
            (300, 0.04, 300, 100),
            (300, 100.3, 0, 100),
            (0, 100, 0, 0),
        ]
    )
    case(
        "lines with gaps of 0.04 and 0.3 mm",
        svg(near, 'width="310mm" height="110mm" viewBox="0 0 310 110"'),
        1,
        BOARD_MM2 + 45,
        ((300, 100.3, 1, 1),),
        1,
        ("gap",),
        colours=1,
    )


def _flaws() -> None:
    def on_board(body: str) -> str:
        return svg(BOARD + body)

    one = ((300, 100, 2, 2),)
    case(
        "a bow-tie",
        on_board('<path fill="#fff" d="M20 20L60 60V20L20 60z"/>'),
        3,
        BOARD_MM2 + 2 * 400,
        ((300, 100, 2, 3),),
        2,
        ("crossing",),
    )
    case(
        "a small loop",
        on_board('<path fill="#fff" d="M20 20H80V60H50V60.5H50.5V59.9H20z"/>'),
        2,
        BOARD_MM2 + 60 * 40 - 30.5 * 0.1,
        one,
        2,
        ("crossing",),
    )
    case(
        "a gap of 0.04 mm",
        on_board('<path fill="#fff" d="M20 20H80V60H20V20.04"/>'),
        2,
        BOARD_MM2 + 2400,
        one,
        2,
    )
    case(
        "a gap of 0.3 mm",
        on_board('<path fill="#fff" d="M20 20H80V60H20V20.3"/>'),
        2,
        BOARD_MM2 + 2400,
        one,
        2,
        ("gap",),
    )
    case(
        "a side left to the filling",
        on_board('<path fill="#fff" d="M20 20H80V60H20"/>'),
        2,
        BOARD_MM2 + 2400,
        one,
        2,
        ("open",),
    )
    twice = f'<path fill="#fff" d="{HULL}"/><path fill="#fff" d="M38 60l-18-40h60l-12 40z"/>'
    case("doubles, begun elsewhere", on_board(twice), 2, BOARD_MM2 + HULL_MM2, one, 2, ("double",))
    stray = (
        f'<path fill="#fff" d="{HULL}M100 50h.05v.05z"/><path d="M9 9z" stroke="red" fill="none"/>'
        '<line x1="5" y1="5" x2="5" y2="5.03" stroke="red"/><line x1="5" y1="90" x2="90" y2="90" stroke="red"/>'
        '<path d="M7 7h0" stroke="red" fill="none"/><rect width="5" height="0"/>'
    )
    case(
        "stray bits",
        on_board(stray),
        2,
        BOARD_MM2 + HULL_MM2,
        one,
        2,
        ("empty", "line", "stray", "tiny"),
    )
    clip = f'<clipPath id="c"><circle r="9"/></clipPath><g clip-path="url(#c)"><path fill="#fff" d="{HULL}"/></g>'
    case("a clip path", on_board(clip), 2, BOARD_MM2 + HULL_MM2, one, 2, ("clip",))
    shine = (
        '<linearGradient id="s"><stop stop-color="#fff"/><stop offset="1"/></linearGradient>'
        f'<path fill="#fff" d="{HULL}"/>'
        '<image x="200" y="10" width="40" height="40" xlink:href="data:image/png;base64,iVBORw0KGgo="/>'
        '<circle cx="150" cy="50" r="20" fill="url(#s)"/>'
    )
    case(
        "a picture and a gradient",
        on_board(shine),
        2,
        BOARD_MM2 + HULL_MM2,
        one,
        2,
        ("paint", "picture"),
    )


def _styles() -> None:
    spots = ["hsl(205 70% 40%)", "rgb(31, 115, 173)", "#1f73ad", "rgb(31 115 173 / 100%)"]
    body = "".join(
        f'<circle cx="{40 + 60 * n}" cy="50" r="20" fill="{c}"/>' for n, c in enumerate(spots)
    )
    # colorsys.hls_to_rgb(205/360, .4, .7) × 255 = 30.6, 113.9, 173.4: a neighbour of the other three, which are one
    case(
        "one colour in four spellings, nearly",
        svg(BOARD + body),
        5,
        BOARD_MM2 + 4 * PI * 400,
        ((300, 100, 2, 5),),
        2,
        colours=3,
    )
    body = (
        '<style>@media screen { rect { fill: #1d3557 } } [data-level="2"] { fill: tomato } '
        "g + g > .a { fill: currentColor }</style>"
        '<g><rect width="300" height="100"/></g><g color="gold">'
        '<circle class="a" cx="50" cy="50" r="20"/><circle data-level="2" cx="150" cy="50" r="20"/></g>'
    )
    case(
        "rules for a screen, attributes and neighbours",
        svg(body),
        3,
        BOARD_MM2 + 2 * PI * 400,
        ((300, 100, 2, 3),),
        2,
        colours=3,
    )
    outlined = f'<g style="fill:none"><path style="stroke:#e63946;fill-opacity:1" d="{HULL}"/></g>'
    body = f'{BOARD}{outlined}<path fill="#0000" d="M0 0H9V9"/>'
    case(
        "a stroke where nothing is filled",
        svg(body),
        2,
        BOARD_MM2 + HULL_MM2,
        ((300, 100, 2, 2),),
        2,
    )
    body = f'{BOARD}<path opacity=".5" fill="#fff" d="{HULL}"/>'
    case(
        "seen through", svg(body), 2, BOARD_MM2 + HULL_MM2, ((300, 100, 2, 2),), 2, ("transparent",)
    )


def _files() -> None:
    body, area, one = (
        f'{BOARD}<path id="Möwe" fill="#fff" d="{HULL}"/>',
        BOARD_MM2 + HULL_MM2,
        ((300, 100, 2, 2),),
    )
    case("a byte order mark", b"\xef\xbb\xbf" + svg(body).encode(), 2, area, one, 2)
    case(
        "UTF-16",
        ('<?xml version="1.0" encoding="UTF-16"?>' + svg(body)).encode("utf-16"),
        2,
        area,
        one,
        2,
    )
    case(
        "Latin-1",
        ('<?xml version="1.0" encoding="ISO-8859-1"?>' + svg(body)).encode("latin-1"),
        2,
        area,
        one,
        2,
    )
    doctype = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    case(
        "a document type without entities",
        f"<?xml version='1.0'?>\r\n{doctype}\r\n{svg(body)}",
        2,
        area,
        one,
        2,
    )
    prefixed = (
        '<s:svg xmlns:s="http://www.w3.org/2000/svg" xmlns="http://example.org/other" width="300mm" height="100mm" '
        'viewBox="0 0 300 100"><path d="M0 0H50V50z"/><s:rect width="300" height="100"/>'
        f'<s:path fill="#fff" d="{HULL}"/></s:svg>'
    )
    case("prefixed names", prefixed, 2, area, one, 2)
    bare = f'<svg width="300mm" height="100mm" viewBox="0 0 300 100">{body}</svg>'
    case("no namespace at all", bare, 2, area, one, 2)
    inches = '<rect width="10in" height="288pt" fill="#1d3557"/><circle cx="5in" cy="2in" r="6pc" fill="#fff"/>'
    case(
        "inches, points and picas",
        svg(inches, 'width="10in" height="4in"'),
        2,
        254 * 101.6 + PI * 25.4**2,
        ((254, 101.6, 2, 2),),
        2,
    )


for _fill in (_letters, _structure, _places, _curves, _strokes, _flaws, _styles, _files):
    _fill()
