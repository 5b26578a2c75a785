"""QR symbols against segno (sizes and modes) and zxing-cpp (reading)."""

import numpy
import pytest
import segno
import zxingcpp
from svgelements import Path

from shopfloor.paper import qr

# ISO/IEC 18004: alphanumeric capacity at level M of versions 1 to 6.
CAPACITY_M = {1: 20, 2: 38, 3: 61, 4: 90, 5: 122, 6: 154}
ADDRESSES = [
    "HTTP://192.168.1.20:8080/P/40729153",
    "HTTP://PIER-STREET.LOCAL/P/40729153",
    f"HTTP://{'PIER-' * 8}.LOCAL/P/40729153",
]


def _pixels(modules):
    scaled = numpy.kron(numpy.array(modules, dtype=bool), numpy.ones((6, 6), dtype=bool))
    return numpy.where(numpy.pad(scaled, 24), 0, 255).astype(numpy.uint8)


@pytest.mark.parametrize("version, capacity", CAPACITY_M.items())
def test_a_symbol_holds_what_the_standard_says_and_one_more_makes_it_larger(version, capacity):
    assert len(qr.symbol("A" * capacity)) == 17 + 4 * version
    assert len(qr.symbol("A" * (capacity + 1))) == 17 + 4 * (version + 1)
    assert segno.make("A" * capacity, error="m", boost_error=False, micro=False).version == version


@pytest.mark.parametrize("text", ADDRESSES)
def test_an_address_is_held_in_alphanumeric_mode(text):
    reference = segno.make(text, error="m", boost_error=False, micro=False)
    in_bytes = segno.make(text, error="m", boost_error=False, micro=False, mode="byte")
    assert reference.mode == "alphanumeric"
    assert len(qr.symbol(text)) == 17 + 4 * reference.version
    assert reference.version < in_bytes.version


def test_one_small_letter_costs_a_larger_symbol():
    assert len(qr.symbol("HTTP://192.168.1.20:8080/P/40729153")) == 25
    assert len(qr.symbol("hTTP://192.168.1.20:8080/P/40729153")) == 29


@pytest.mark.parametrize("text", [*ADDRESSES, "https://shop.local/join?name=Åse"])
def test_a_reader_reads_the_symbol_back(text):
    (read,) = zxingcpp.read_barcodes(_pixels(qr.symbol(text)))
    assert read.text == text
    assert read.ec_level == "M"


@pytest.mark.parametrize("text", ADDRESSES)
def test_the_bars_cover_each_dark_module_once(text):
    modules = qr.symbol(text)
    covered = numpy.zeros((len(modules), len(modules)), dtype=int)
    for x, y, across, down in qr.bars(modules):
        covered[y : y + down, x : x + across] += 1
    assert (covered == numpy.array(modules, dtype=int)).all()


def test_the_path_for_a_screen_reads_back():
    text = ADDRESSES[0]
    across, path = qr.svg_path(text)
    assert across == 25 + 8
    dark = numpy.zeros((across, across), dtype=bool)
    for bar in Path(path).as_subpaths():
        left, top, right, bottom = (round(v) for v in bar.bbox())
        dark[top:bottom, left:right] = True
    assert (
        not dark[:4].any()
        and not dark[:, :4].any()
        and not dark[-4:].any()
        and not dark[:, -4:].any()
    )
    (read,) = zxingcpp.read_barcodes(_pixels(dark))
    assert read.text == text
