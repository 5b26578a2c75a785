"""Every drawing of the DXF corpus holds what was worked out for it by hand."""

import functools
import math
from collections import defaultdict

import pytest
from drawings.corpus_dxf import CORPUS

from shopfloor.domain.drawing.families import grouped
from shopfloor.domain.drawing.stacking import propose
from shopfloor.drawings.dxf import read_dxf

CHORD_MM = 0.05


@functools.cache
def read(name):
    """A drawing of the corpus, read once."""
    return read_dxf(CORPUS[name][0]())


@pytest.mark.parametrize("name", CORPUS)
def test_outlines_areas_and_sizes_are_those_of_the_closed_form(name):
    drawing, expected = read(name), CORPUS[name][1]
    assert len(drawing.outlines) == expected.count
    # a chord lies within 0.05 mm of its curve, so the area strays by no more than that along the whole cut
    slack = CHORD_MM * sum(one.outline.polygon.length for one in drawing.outlines)
    assert math.isclose(
        sum(one.outline.area_mm2 for one in drawing.outlines), expected.area_mm2, abs_tol=slack
    )
    assert drawing.width_mm == pytest.approx(expected.width_mm, abs=0.002)
    assert drawing.height_mm == pytest.approx(expected.height_mm, abs=0.002)
    assert min(one.outline.bounds[0] for one in drawing.outlines) == pytest.approx(0, abs=0.002)
    assert min(one.outline.bounds[1] for one in drawing.outlines) == pytest.approx(0, abs=0.002)


@pytest.mark.parametrize("name", CORPUS)
def test_signs_levels_and_families_are_those_that_were_drawn(name):
    drawing, expected = read(name), CORPUS[name][1]
    signs = propose(drawing.outlines)
    by_colour = defaultdict(list)
    for one in drawing.outlines:
        by_colour[one.colour].append(one.outline)
    assert len(signs) == expected.signs
    assert max(sign.levels for sign in signs) == expected.levels
    assert (
        sum(len(grouped(outlines, "any")) for outlines in by_colour.values()) == expected.families
    )


@pytest.mark.parametrize("name", CORPUS)
def test_what_is_said_about_a_drawing_is_what_is_odd_in_it(name):
    drawing, expected = read(name), CORPUS[name][1]
    assert {finding.kind for finding in drawing.warnings} == expected.warnings
    assert drawing.guessed_unit == expected.guessed_unit
