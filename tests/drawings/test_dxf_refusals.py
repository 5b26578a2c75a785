"""What cannot be read of a DXF file is refused in one sentence, soon, whatever the bytes are."""

import math
import re
import time

import pytest
from drawings.corpus_dxf import (
    CORPUS,
    arc,
    box,
    circle,
    entities,
    line,
    new,
    path,
    tags,
    unit,
    written,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from shopfloor.domain.drawing.drawing import Drawing
from shopfloor.domain.errors import Refused
from shopfloor.drawings import reading
from shopfloor.drawings.dxf import read_dxf

MM = unit(4)
BOARD = path(box(0, 0, 200, 100))


def block(name: str, *inside: str, flags: int = 0) -> str:
    head = tags((0, "BLOCK"), (8, "0"), (2, name), (70, flags), (10, 0.0), (20, 0.0), (30, 0.0))
    return head + "".join(inside) + tags((0, "ENDBLK"), (8, "0"))


def insert(name: str, *more: tuple[int, object]) -> str:
    return tags((0, "INSERT"), (8, "board"), (2, name), (10, 0.0), (20, 0.0), (30, 0.0), *more)


def blocks(defined: list[str], *drawn: str) -> bytes:
    section = tags((0, "SECTION"), (2, "BLOCKS")) + "".join(defined) + tags((0, "ENDSEC"))
    return section.encode() + entities(*drawn)


def spline(knots, degree=3, weights=()) -> str:
    control = [(0, 0), (0, 60), (100, 60), (100, 0)]
    head = [(0, "SPLINE"), (100, "AcDbEntity"), (8, "board"), (100, "AcDbSpline")]
    head += [(70, 8), (71, degree), (72, len(knots)), (73, 4), (74, 0)]
    values = [(40, knot) for knot in knots] + [(41, weight) for weight in weights]
    return tags(
        *head, *values, *[pair for x, y in control for pair in ((10, x), (20, y), (30, 0.0))]
    )


LATER = tags((9, "$ACADVER"), (1, "AC1015"))  # there were no splines before


def fan_out(levels: int) -> bytes:
    """Ten copies of ten copies of …: a few kilobytes that unfold to 10^levels outlines."""
    defined = [block("k0", circle(0, 0, 5))] + [
        block(f"k{n + 1}", insert(f"k{n}") * 10) for n in range(levels)
    ]
    return blocks(defined, insert(f"k{levels}"))


def chain(length: int) -> bytes:
    defined = [block(f"c{n}", insert(f"c{n + 1}")) for n in range(length)] + [
        block(f"c{length}", circle(0, 0, 5))
    ]
    return blocks(defined, insert("c0"))


REFUSED = {
    "nothing": (entities(header=MM), "no outline that encloses an area"),
    "only words": (
        entities(tags((0, "TEXT"), (8, "0"), (10, 0.0), (20, 0.0), (40, 5.0), (1, "QUAY"))),
        "no outline",
    ),
    "an open outline": (
        entities(path([(0, 0), (50, 0), (12.3, 54.4)], closed=False), header=MM),
        "The outline on layer 'board' is open by 55.8 mm at 12.3, 54.4 mm. Close it.",
    ),
    "a gap between two halves": (
        entities(
            path([(0, 0), (90, 0), (90, 50)], closed=False),
            path([(89, 50), (0, 50), (0, 2)], closed=False),
        ),
        "is open by 1.0 mm at 90.0, 50.0 mm",
    ),
    "lone lines that nearly meet": (
        entities(line(1, 0, 99, 0), line(100, 1, 100, 59), line(1, 60, 99, 60), line(0, 1, 0, 59)),
        "open by 1.4 mm",
    ),
    "an open arc": (
        entities(BOARD, arc(50, 50, 10, 0, 270, "dots")),
        "on layer 'dots' is open by 14.1 mm",
    ),
    "lines that run on": (
        entities(
            line(-9, 0, 109, 0), line(100, -9, 100, 69), line(-9, 60, 109, 60), line(0, -9, 0, 69)
        ),
        "cross at 9.0, 9.0 mm and run on",
    ),
    "no number": (
        entities(line(0, 0, "nan", 5)),
        "The LINE on layer 'board' makes no curve",
    ),
    "an endless number": (
        entities(circle(0, 0, "1e999")),
        "The CIRCLE on layer 'board' makes no curve",
    ),
    "an endless circle": (
        entities(circle(0, 0, 1e14)),
        "CIRCLE on layer 'board' makes no curve",
    ),
    "a large circle": (entities(circle(0, 0, 1e7)), "measures 20,000 × 20,000 m. Check its unit"),
    "far away": (entities(line(0, 0, 1e300, 5)), "makes no curve"),
    "wide": (entities(BOARD, circle(2e6, 0, 5), header=MM), "measures 2,000 × 0 m. Check its unit"),
    "letters for a number": (
        entities(line(0, 0, "ten", 5)),
        "a number that cannot be read near line",
    ),
    "a comma for a point": (
        entities(line(0, 0, "60,5", 5)),
        "a number that cannot be read near line",
    ),
    "an end that is cut off": (entities(BOARD)[:200], "broken and cannot be read"),
    "no knots that fit": (
        entities(spline([0, 0, 1, 1]), header=LATER),
        "The SPLINE on layer 'board' makes no curve",
    ),
    "knots that fall": (
        entities(spline([0, 0, 0, 0, -1, 1, 1, 1]), header=LATER),
        "makes no curve",
    ),
    "knots all one": (entities(spline([1] * 8), header=LATER), "makes no curve"),
    "weights of nothing": (
        entities(spline([0, 0, 0, 0, 1, 1, 1, 1], weights=[0] * 4), header=LATER),
        "makes no curve",
    ),
    "a degree beyond the points": (
        entities(spline([0, 0, 0, 0, 1, 1, 1, 1], degree=99), header=LATER),
        "makes no curve",
    ),
    "a circle of blocks": (
        blocks([block("a", insert("b")), block("b", insert("A"))], insert("a")),
        "The block 'A' is inside itself",
    ),
    "a block in itself": (
        blocks([block("a", insert("a"))], insert("a")),
        "The block 'a' is inside itself",
    ),
    "a fan of blocks": (fan_out(9), "more than 200,000 entities, copies of blocks counted"),
    "a field of blocks": (
        blocks(
            [block("a", circle(0, 0, 5))],
            insert("a", (70, 30000), (71, 30000), (44, 20.0), (45, 20.0)),
        ),
        "more than 200,000 entities",
    ),
    "a field of empty blocks": (
        blocks([block("a")], insert("a", (70, 30000), (71, 30000), (44, 20.0), (45, 20.0))),
        "more than 200,000",
    ),
    "a long chain of blocks": (chain(3000), "nested more than 32 deep"),
    "a copy without a place": (
        blocks([block("a", circle(0, 0, 5))], insert("a", (41, "nan"))),
        "A copy of the block 'a' has a place or scale",
    ),
    "rubbish behind the first lines": (
        b"  0\nSECTION\n" + bytes(range(256)) * 20,
        "broken and cannot be read",
    ),
    "a cut header": (written(new()[0])[:2000], "broken and cannot be read"),
    "a cut binary file": (
        CORPUS["binary_hexagons"][0]()[:5000],
        "broken and cannot be read",
    ),
    "binary in name only": (
        b"Plain old Binary DXF\r\n\x1a\0" + bytes(99),
        "broken and cannot be read",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_bad_dxf_file_is_refused_in_one_sentence(case):
    data, words = REFUSED[case]
    with pytest.raises(Refused) as refusal:
        read_dxf(data)
    sentence = refusal.value.sentence
    assert words in sentence
    assert (
        sentence.endswith(".")
        and "\n" not in sentence
        and len(re.findall(r"[.!?] [A-Z]", sentence)) <= 1
    )


def test_a_unit_that_nobody_knows_is_refused():
    with pytest.raises(Refused, match=r"Unit 'ell' not found\. Choose mm, cm, m, in, ft"):
        read_dxf(entities(BOARD), "ell")


def test_points_are_counted_over_all_copies(monkeypatch):
    monkeypatch.setattr("shopfloor.drawings.dxf.reader.MAX_POINTS", 1000)
    with pytest.raises(Refused, match="more than 1,000 points"):
        read_dxf(blocks([block("a", circle(0, 0, 20))], insert("a") * 50))


def test_entities_are_counted_before_any_is_drawn(monkeypatch):
    monkeypatch.setattr("shopfloor.drawings.dxf.walk.MAX_ENTITIES", 100)
    with pytest.raises(Refused, match="more than 100 entities"):
        read_dxf(entities(circle(0, 0, "nan") * 101))


@pytest.mark.parametrize("case", [case for case in REFUSED if "of blocks" in case])
def test_a_dxf_bomb_is_answered_within_seconds(case):
    start = time.monotonic()
    with pytest.raises(Refused) as refusal:
        reading.read(REFUSED[case][0], "bomb.dxf")
    assert REFUSED[case][1] in refusal.value.sentence
    assert time.monotonic() - start < 20


def test_a_file_without_its_last_lines_is_read_and_that_is_said():
    whole = entities(BOARD, circle(50, 50, 20), header=MM)
    drawing = read_dxf(whole[: whole.rindex(b"  0\nEOF")])
    assert drawing.warnings[0].kind == "damaged"
    assert drawing.outlines[0].outline.area_mm2 == pytest.approx(
        200 * 100 - 400 * math.pi, abs=0.05 * 40 * math.pi
    )


@pytest.mark.parametrize(
    "data, filename, words",
    [
        (
            b"AC1027\0\0\0\0\0",
            "gate.dwg",
            "gate.dwg is a DWG file, which cannot be read. Save it as DXF or SVG",
        ),
        (b"AC1027\0\0\0\0\0", "gate.dxf", "gate.dxf is a DWG file"),
        (b"%PDF-1.7", "gate.dxf", "gate.dxf is a PDF"),
        (
            b"nothing of the sort",
            "gate.dxf",
            "gate.dxf is not a drawing. Export it as SVG or DXF",
        ),
        (entities() + b" " * (20 * 1024 * 1024), "big.dxf", "big.dxf is over 20 MB"),
        (b"  0\nSECTION\n  2\nHEADER\n", "gate.txt", "broken and cannot be read"),
    ],
)
def test_a_file_is_taken_for_what_its_bytes_are(data, filename, words):
    with pytest.raises(Refused, match=re.escape(words)):
        reading.read(data, filename)


@pytest.mark.parametrize("name", ["gate.svg", "gate.dxf", "gate"])
@pytest.mark.parametrize("before", [b"", b"999\nmade by hand\n", b"\xef\xbb\xbf"])
def test_a_dxf_file_is_known_whatever_it_is_called(name, before):
    data = before + entities(path(box(0, 0, 200, 100)).replace("\n", "\r\n"), header=MM)
    assert reading.read(data, name).width_mm == 200


def test_the_worker_gives_what_the_process_itself_reads_and_takes_the_unit_along():
    data, shares = CORPUS["only_lines_without_a_header"][0](), []
    drawing = reading.read(data, "gate.dxf", unit="in", progress=shares.append)
    assert drawing == read_dxf(data, "in") and drawing.width_mm == 300 * 25.4
    assert shares == sorted(shares) and 0 < shares[0] <= shares[-1] <= 1


WHOLE = entities(
    BOARD,
    circle(50, 50, 20, "dots"),
    arc(120, 50, 10, 0, 180, "dots"),
    line(110, 50, 130, 50, "dots"),
    spline([0, 0, 0, 0, 1, 1, 1, 1]),
    line(0, 0, 100, 0),
    header=MM + LATER,
)
NESTED = blocks(
    [
        block("a", circle(1, 2, 5), arc(0, 0, 9, 10, 200), line(0, 0, 9, 9)),
        block("b", insert("a", (41, 2), (50, 30))),
    ],
    BOARD,
    insert("b", (70, 2), (71, 2), (44, 30.0), (45, 40.0), (230, -1.0)),
    insert("a"),
)
VALUES = b"nan inf 1e308 -1e-308 99999999999 -1 0 1 \xff a b *U1 ENDSEC SECTION".split()
VALUES += b"LINE ARC ELLIPSE SPLINE LWPOLYLINE POLYLINE INSERT HATCH MTEXT".split()


@settings(max_examples=500)
@given(
    st.sampled_from([WHOLE, NESTED]),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), st.binary(max_size=3)), max_size=2),
    st.lists(st.tuples(st.floats(0, 0.9999), st.sampled_from(VALUES)), min_size=1, max_size=5),
)
def test_a_damaged_dxf_file_is_read_or_refused_and_nothing_else(data, cuts, swaps):
    rows = data.split(b"\n")
    for where, value in swaps:
        rows[int(where * len(rows))] = value
    data = b"\n".join(rows)
    for where, length, put in cuts:
        at = int(where * len(data))
        data = data[:at] + put + data[at + length :]
    _read_or_refused(data)


@settings(max_examples=150)
@given(
    st.sampled_from(["binary_hexagons", "mirrored_flags_in_nested_blocks", "much_that_is_no_part"]),
    st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 9), st.binary(max_size=4)), min_size=1, max_size=4
    ),
)
def test_a_damaged_file_of_a_drawing_program_is_read_or_refused_and_nothing_else(name, cuts):
    data = CORPUS[name][0]()
    for where, length, put in cuts:
        at = int(where * len(data))
        data = data[:at] + put + data[at + length :]
    _read_or_refused(data)


def _read_or_refused(data: bytes) -> None:
    start = time.monotonic()
    try:
        assert isinstance(read_dxf(data), Drawing)
    except Refused as refusal:
        assert refusal.sentence.endswith(".")
    assert time.monotonic() - start < 10
