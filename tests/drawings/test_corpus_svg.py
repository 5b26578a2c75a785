"""Every drawing of the corpus is read as it was drawn: counts, areas, signs, families, colours and findings."""

import pytest
from drawings import corpus_svg

from shopfloor.domain.drawing.families import sort_into
from shopfloor.domain.drawing.stacking import propose
from shopfloor.drawings.svg import read_svg

CHORD_MM = 0.05  # no chord lies further from its curve, so no area is off by more than this times its outline's length


def test_the_corpus_is_large_enough():
    assert len(corpus_svg.CASES) >= 40
    assert len({case.data for case in corpus_svg.CASES.values()}) == len(corpus_svg.CASES)


@pytest.mark.parametrize("name", corpus_svg.CASES)
def test_a_drawing_of_the_corpus_is_read_as_it_was_drawn(name):
    case = corpus_svg.CASES[name]
    drawing = read_svg(case.data, unit=case.unit)
    outlines = [part.outline for part in drawing.outlines]
    assert len(outlines) == case.outlines
    area = sum(outline.area_mm2 for outline in outlines)
    bound = CHORD_MM * sum(outline.perimeter_mm for outline in outlines)
    assert area == pytest.approx(case.area_mm2, abs=min(bound, 0.002 * case.area_mm2))
    assert {finding.kind for finding in drawing.warnings} == set(case.kinds)
    assert len({part.colour for part in drawing.outlines}) == case.colours
    signs = [
        (sign.width_mm, sign.height_mm, sign.levels, len(sign.parts))
        for sign in propose(drawing.outlines)
    ]
    assert signs == [pytest.approx(sign, abs=0.01) for sign in case.signs]
    assert len(sort_into(outlines, [], "any").references) == case.families
