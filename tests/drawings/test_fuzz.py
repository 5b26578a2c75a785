"""A short stretch of the fuzz over all drawings of the corpus: broken numbers and bytes end as a drawing or as one sentence.

Longer, by hand and through the worker process: `python tests/drawings/fuzz.py 600`.
"""

from __future__ import annotations

import random
import time
from collections import Counter

import pytest
from drawings.corpus import drawings
from drawings.fuzz import broken, outcome

from shopfloor.drawings.dxf import read_dxf
from shopfloor.drawings.svg import read_svg

EACH = 160  # broken drawings of each seed; all of them take some seconds


def test_the_corpus_holds_forty_drawings_and_more_each_written_differently():
    real = drawings()
    assert len({data for _, data in real}) == len(real) >= 40
    assert Counter(name.rsplit(".", 1)[1] for name, _ in real).keys() == {"svg", "dxf"}


@pytest.mark.parametrize("seed", range(4))
def test_broken_drawings_end_as_a_drawing_or_as_one_sentence(seed):
    dice, real, told = random.Random(seed), drawings(), Counter()
    for _ in range(EACH):
        name, data = dice.choice(real)
        data = broken(data, dice)
        begun = time.monotonic()
        told[outcome(read_dxf if name.endswith(".dxf") else read_svg, data)] += 1
        assert time.monotonic() - begun < 20, name
    assert told["read"] > EACH / 10 and len(told) > 5, (
        "the breaking is neither too rough nor too gentle"
    )
