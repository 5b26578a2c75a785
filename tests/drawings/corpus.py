"""All drawings of the corpus, of both formats, and those of the demo: (file name, bytes)."""

from __future__ import annotations

from pathlib import Path

from drawings import corpus_dxf, corpus_svg

import shopfloor

DEMO = Path(shopfloor.__file__).parent / "demo" / "drawings"


def drawings() -> list[tuple[str, bytes]]:
    """Every real drawing there is, in a fixed order."""
    found = [
        (f"{name.replace(' ', '-')}.svg", case.data) for name, case in corpus_svg.CASES.items()
    ]
    found += [(f"{name}.dxf", make()) for name, (make, _) in corpus_dxf.CORPUS.items()]
    return found + [(path.name, path.read_bytes()) for path in sorted(DEMO.glob("*.svg"))]
