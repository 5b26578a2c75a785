"""SVG in, a Drawing in millimetres out. Runs in a worker process: `reading` is the door for everybody else.

Owns the order of the work: `scan` (is it safe?), `page` (how large?), `walk` (what is drawn?), `shapes` (along which
points?), `outlines` with `mending` and `areas` (what encloses what?). The file is a stranger's: whatever is wrong
with it ends in Refused, never in another exception.
"""

from __future__ import annotations

from collections.abc import Callable

from ...domain.drawing.drawing import Drawing, DrawnOutline
from ...wording import reading as wording
from ..findings import Findings
from ..limits import LARGE_DRAWING_MM, SMALL_DRAWING_MM
from .outlines import Gathered
from .page import page_of
from .scan import load, tag_of
from .walk import Walk


def read_svg(
    data: bytes, unit: str | None = None, report: Callable[[float], None] = lambda share: None
) -> Drawing:
    """Reads an SVG file in this process. `report` gets the share done.

    `unit` ('mm', 'cm', 'm', 'in', 'ft', 'pt', 'px') answers for a drawing that names none: one user unit of the page
    is one of these. Raises Refused and nothing else.
    """
    root, ids = load(data)
    findings = Findings()
    page = page_of(root, findings, unit)
    report(0.1)
    gathered = Gathered(page.to_mm, ids, findings)
    total = max(sum(tag_of(node) != "" for node in root.iter()), 1)
    for done, shape in enumerate(Walk(root, ids, page, findings).shapes()):
        gathered.take(shape)
        if done % 200 == 199:
            report(0.1 + 0.8 * min(done / total, 1.0))
    outlines = gathered.outlines()
    check_scale(outlines, findings)
    return Drawing(outlines, page.width_mm, page.height_mm, findings.all(), page.guessed_unit)


def check_scale(outlines: tuple[DrawnOutline, ...], findings: Findings) -> None:
    """Doubts a drawing that is smaller or larger than any sign."""
    boxes = [drawn.outline.bounds for drawn in outlines]
    width = max(box[2] for box in boxes) - min(box[0] for box in boxes)
    height = max(box[3] for box in boxes) - min(box[1] for box in boxes)
    if not SMALL_DRAWING_MM <= max(width, height) <= LARGE_DRAWING_MM:
        findings.add("scale", wording.outlines_measure(width, height))
