"""A sign's record as large as it comes, and as it is read back from its page. All names are invented."""

from __future__ import annotations

import io
import re
from datetime import UTC, date, datetime, timedelta

import pypdfium2
from PIL import Image
from pypdfium2 import raw
from shop_for_tests import box

from shopfloor.domain.bench.records import (
    Fixings,
    OpenedEarly,
    RecordedGluing,
    RecordedPart,
    RecordedPhoto,
    RecordedPiece,
    RecordedPlace,
    RecordedStep,
    SignRecord,
)
from shopfloor.paper.records import print_record
from shopfloor.wording.formatting import Reader

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
WORDY = "the customer's own people stood in the yard with the van running and the tide about to turn again "
MM = 72 / 25.4


def photo(wide: int = 160, high: int = 120, note: str = "front") -> RecordedPhoto:
    """A plain photo of this size in pixels."""
    file = io.BytesIO()
    Image.new("RGB", (wide, high), (40, 90, 140)).save(file, "JPEG")
    return RecordedPhoto(file.getvalue(), wide, high, note)


def tall(letters: int = 12) -> SignRecord:
    """A sign that stands upright: letters one over the other."""
    high = 40.0 + 90 * letters
    parts = [RecordedPart(1, 1, "board", 0, box(0, 0, 200, high))]
    parts += [
        RecordedPart(n, n, "", 1, box(70, 90 * n - 150, 60, 60)) for n in range(2, letters + 2)
    ]
    return record(0, parts=tuple(parts), width_mm=200.0, height_mm=high)


def record(
    letters: int = 3,
    *,
    glue_ups: int = 1,
    spoiled: int = 0,
    photos=(),
    more_photos: int = 0,
    **other,
) -> SignRecord:
    """A board with so many letters in rows of 25, at one of three levels over it; `other` columns in their place."""
    rows = -(-letters // 25)
    wide, high = 1300.0, 60.0 + 90.0 * rows
    parts = [RecordedPart(1, 1, "board", 0, box(0, 0, wide, high))]
    for at in range(letters):
        place = box(25 + 50 * (at % 25), 40 + 90 * (at // 25), 30 + at % 7, 50)
        parts.append(RecordedPart(at + 2, at + 2, chr(65 + at % 26), 1 + at % 3, place))
    live = [
        RecordedPiece(
            part.id, f"{part.id:08d}", "fixed", "", True, f"S-{201 + part.id % 7}", "cream", 6.0
        )
        for part in parts
    ]
    gone = [
        RecordedPiece(
            at + 2, f"{9000 + at:08d}", "lost", "went down the hose", False, "S-201", "cream", 6.0
        )
        for at in range(spoiled)
    ]
    made = dict(
        shop="Pier Street Signs",
        job="J-1042",
        mark="A",
        name="Harbour office",
        code="61217020",
        customer="Harbour office",
        title="Fascia",
        state="handed over",
        taken_in=date(2026, 11, 20),
        due=date(2026, 12, 1),
        made_at=START,
        width_mm=wide,
        height_mm=high,
        parts=tuple(parts),
        pieces=(*live, *gone),
        gluings=tuple(_gluing(at, letters) for at in range(glue_ups)),
        opened=(),
        steps=_steps(),
        places=(),
        fixings=None,
        site_c=None,
        people=(("router", ("Ben",)), ("bench", ("Ana", "Maud"))),
        photos=tuple(photos),
        more_photos=more_photos,
        received=("P. Harbourmaster", START + timedelta(days=2), "Ana"),
    )
    return SignRecord(**{**made, **other})


def huge() -> SignRecord:
    """500 letters, 20 glue-ups, 60 spoiled pieces, 60 cures opened with many words, all measured and found outside."""
    opened = tuple(
        OpenedEarly(
            f"Cure level {n}", START, START + timedelta(hours=20), (WORDY * 2).strip(), "Maud"
        )
        for n in range(60)
    )
    places = tuple(RecordedPlace(at + 2, 1.8, -0.4, 1.0) for at in range(500))
    steps = tuple(
        RecordedStep(f"{kind} level {n}", kind.lower(), START, "Ana")
        for n in range(20)
        for kind in ("Lay out", "Glue", "Cure")
    )
    return record(
        500,
        glue_ups=20,
        spoiled=60,
        opened=opened,
        places=places,
        steps=steps + _steps(WORDY),
        more_photos=36,
        photos=[photo(), photo(90, 160, WORDY), photo(1600, 200), photo()],
        fixings=Fixings(4, 2, 5.0, 25.0, "brick"),
        site_c=(-15.0, 40.0),
        customer=WORDY,
        title=WORDY,
        name=WORDY,
        received=(WORDY[:80], START, "Ana"),
    )


def _gluing(at: int, letters: int) -> RecordedGluing:
    when = START + timedelta(hours=at)
    return RecordedGluing(
        when,
        when + timedelta(hours=24),
        "Solvent cement",
        f"A-{116 + at}",
        21.5,
        48.0,
        "cold morning" if at % 2 else "",
        letters,
        "Ana",
    )


def _steps(words: str = "No scratch, no haze") -> tuple[RecordedStep, ...]:
    checks = tuple(f"{words}{n}"[:120] for n in range(20)) if words == WORDY else (words,)
    return (
        RecordedStep("Lay out level 1", "lay out", START, "Ana"),
        RecordedStep("Glue level 1", "glue", START, "Ana"),
        RecordedStep("Cure level 1", "cure", START + timedelta(hours=24), ""),
        RecordedStep("Inspect", "inspect", START + timedelta(hours=25), "Ana", checks),
        RecordedStep("Hand over", "hand over", None, ""),
    )


# Read back from the page. ---------------------------------------------------------------------------------------------


def pages_of(record: SignRecord, paper: str = "a4", units: str = "mm") -> list:
    """The pages that are printed."""
    return list(pypdfium2.PdfDocument(print_record(record, paper, Reader(units))))


def text_of(page) -> str:
    """All of its words, in the order in which they were set."""
    return re.sub(r"\s+", " ", page.get_textpage().get_text_bounded())


def reach_of(page, kind: int) -> tuple[float, float, float, float]:
    """(left, bottom, right, top) in mm of all that the page holds of one kind of object."""
    boxes = [thing.get_bounds() for thing in page.get_objects(filter=[kind])]
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts) / MM, min(bottoms) / MM, max(rights) / MM, max(tops) / MM


TEXT, PATH, IMAGE = raw.FPDF_PAGEOBJ_TEXT, raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_IMAGE
