"""Breaks real drawings and reads them: `python tests/drawings/fuzz.py 600` goes on for ten minutes, through the door.

The suite runs a short, seeded stretch of the same (test_fuzz.py), in one process. A drawing that is broken must end as a
Drawing or as one sentence, within the limits: never as another exception, a hang or a dead server.
"""

from __future__ import annotations

import random
import re
import sys
import time
from collections import Counter
from pathlib import Path

from shopfloor.domain.drawing.drawing import Drawing
from shopfloor.domain.errors import Refused
from shopfloor.drawings import reading

NUMBER = re.compile(rb"-?\d+\.?\d*(?:[eE][-+]?\d+)?")
ODD_NUMBERS = [
    b"0",
    b"-1",
    b"1e300",
    b"-1e-300",
    b"nan",
    b"inf",
    b"99999999999999999999",
    b"0.0000001",
    b"-0",
    b"1e9999",
    b"",
]
ODD_BYTES = [
    b"\0",
    b"\xff\xfe",
    b"<",
    b">",
    b"&",
    b'"',
    b"\r\n",
    b"%s" * 3,
    b"\xf0\x9f\x90\x9f",
    b"]]>",
    b"  0\nEOF\n",
    b"<!--",
]


def broken(data: bytes, dice: random.Random) -> bytes:
    """The same drawing with one to six things broken: numbers, bytes, stretches cut out, doubled or swapped."""
    rough = [_byte, _odd, _cut, _doubled, _swapped, _torn]
    for _ in range(dice.randint(1, 6)):
        data = (_number if dice.random() < 0.8 else dice.choice(rough))(data, dice)
    return data


def _number(data: bytes, dice: random.Random) -> bytes:
    places = list(NUMBER.finditer(data))
    if not places:
        return data
    place = dice.choice(places)
    new = dice.choice(
        [*ODD_NUMBERS, place[0] + b"0" * dice.randint(1, 9), str(dice.uniform(-1e6, 1e6)).encode()]
    )
    return data[: place.start()] + new + data[place.end() :]


def _byte(data: bytes, dice: random.Random) -> bytes:
    if not data:
        return data
    at = dice.randrange(len(data))
    return data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]


def _odd(data: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(data) + 1)
    return data[:at] + dice.choice(ODD_BYTES) + data[at:]


def _stretch(data: bytes, dice: random.Random) -> tuple[int, int]:
    start = dice.randrange(len(data) + 1)
    return start, min(len(data), start + dice.choice([1, 5, 40, 300, 2000]))


def _cut(data: bytes, dice: random.Random) -> bytes:
    start, end = _stretch(data, dice)
    return data[:start] + data[end:]


def _doubled(data: bytes, dice: random.Random) -> bytes:
    start, end = _stretch(data, dice)
    return data[:end] + data[start:end] * dice.choice([1, 1, 3, 20]) + data[end:]


def _swapped(data: bytes, dice: random.Random) -> bytes:
    start, end = _stretch(data, dice)
    at = dice.randrange(len(data) + 1)
    return data[:at] + data[start:end] + data[at:]


def _torn(data: bytes, dice: random.Random) -> bytes:
    return data[: dice.randrange(len(data) + 1)]


def outcome(read, data: bytes) -> str:
    """'read', or the refusal's first words. Lets every other exception fly. Checks that what was read can be kept."""
    try:
        drawing = read(data)
    except Refused as refusal:
        assert refusal.sentence.endswith("."), refusal.sentence
        assert "\n" not in refusal.sentence and len(refusal.sentence) < 600, refusal.sentence
        return " ".join(refusal.sentence.split()[:3])
    assert Drawing.of_dict(drawing.as_dict()).outlines == drawing.outlines
    for drawn in drawing.outlines:
        assert drawn.outline.area_mm2 > 0 and drawn.outline.polygon.exterior.is_closed
    return "read"


def main(seconds: float) -> None:
    """Goes on for so long; what breaks the reader is kept as a file, to be looked at."""
    from drawings.corpus import drawings

    real, told, begun, seed = drawings(), Counter(), time.monotonic(), 0
    while time.monotonic() - begun < seconds:
        seed += 1
        dice = random.Random(f"by hand {begun} {seed}")
        name, data = dice.choice(real)
        data = broken(data, dice)
        one = time.monotonic()
        try:
            told[outcome(lambda data, name=name: reading.read(data, name), data)] += 1
        except Exception:
            Path(f"broken-{seed}-{name}").write_bytes(data)
            raise
        assert time.monotonic() - one < 25, f"seed {seed} of {name} took longer than the limit"
    print(
        f"{seed} broken drawings:",
        *(f"{count} × {words}" for words, count in told.most_common(20)),
        sep="\n  ",
    )


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60)
