"""Marks over HTTP: how many a second from ten tablets at once, and how long each takes.

Beside them, in the same rounds: commits of raw SQLite on the same disk, and a bare Flask route that writes one row.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from itertools import chain, islice
from pathlib import Path
from typing import NamedTuple

from ..store.db import connect
from . import shops
from .clients import Burst, Tablet, server, together
from .figure import Figure, at_least, at_most, middle, percentile, plain

TABLETS = 10
ROUNDS, EACH = 5, 12  # marks of a tablet in a round
COMMITS = 200  # in a round
WARM_UP = 10  # marks of a tablet first, so that each thread of the server has its connection
TAPPERS, TAPS, SHEETFUL = 3, 8, 60  # tablets, taps of each, pieces on the sheet


class Measured(NamedTuple):
    """What the rounds gave: marks, the bare route, raw commits a second; and taps on a sheet's picture."""

    marks: list[Burst]
    bare: list[Burst]
    commits: list[float]
    taps: Burst


def measure(rounds: int = ROUNDS, each: int = EACH) -> Iterator[Figure]:
    """The figures of one run."""
    with tempfile.TemporaryDirectory(prefix="shopfloor-measure-") as folder:
        it = _measured(Path(folder), rounds, each)
    times = list(chain.from_iterable(burst.answers for burst in it.marks))
    marks, bare = (middle([burst.a_second for burst in bursts]) for bursts in (it.marks, it.bare))
    ratio = middle(
        [one.a_second / other.a_second for one, other in zip(it.marks, it.bare, strict=True)]
    )
    yield plain("marks", marks, "1/s", f"scans that mark a piece, from {TABLETS} tablets at once")
    yield at_most(
        "mark-p95",
        percentile(times, 0.95) * 1000,
        "ms",
        50,
        "19 of 20 of these marks are answered within",
    )
    yield at_most(
        "tap-p95",
        percentile(it.taps.answers, 0.95) * 1000,
        "ms",
        100,
        f"19 of 20 taps on the picture of a sheet, from {TAPPERS} tablets at once",
    )
    yield plain(
        "commits",
        middle(it.commits),
        "1/s",
        "commits of raw SQLite on the same disk, one after the other",
    )
    yield plain(
        "bare-marks", bare, "1/s", "a bare Flask route that writes one row, from the same tablets"
    )
    yield at_least(
        "marks-of-bare", ratio, "", 0.4, "marks for each request of the bare route, round by round"
    )


def _measured(folder: Path, rounds: int, each: int) -> Measured:
    sheets = shops.busy_shop(folder / "shop.db", TABLETS * (rounds * each + WARM_UP) + 2 * SHEETFUL)
    tapped = min(sheets, key=lambda sheet: abs(len(sheet[1]) - SHEETFUL))
    codes = iter([code for sheet in sheets if sheet is not tapped for code in sheet[1]])
    with server(
        "shopfloor.measuring.serving", str(folder / "shop.db"), str(folder / "bare.db")
    ) as printed:
        tablets = _signed_in(int(printed.readline()))
        marks, bare, commits = [], [], []
        for each_now in [WARM_UP] + [each] * rounds:
            commits.append(_commits(folder / "raw.db"))
            bare.append(
                together(tablets, _shares(iter(["0"] * TABLETS * each_now), each_now), _bare)
            )
            marks.append(together(tablets, _shares(codes, each_now), _mark))
        on_sheet = iter([(tapped[0], code) for code in tapped[1]])
        taps = together(
            tablets[:TAPPERS], [list(islice(on_sheet, TAPS)) for _ in range(TAPPERS)], _tap
        )
        for tablet in tablets:
            tablet.close()
    return Measured(marks[1:], bare[1:], commits[1:], taps)


def _signed_in(port: int) -> list[Tablet]:
    tablets = [Tablet(port) for _ in range(TABLETS)]
    for tablet in tablets:
        tablet.sign_in(1, shops.PIN)
    return tablets


def _shares(codes: Iterator[str], each: int) -> list[list[str]]:
    return [list(islice(codes, each)) for _ in range(TABLETS)]


def _mark(tablet: Tablet, code: str) -> tuple[int, bytes]:
    return tablet.post("/scan", mark="cut", code=code)


def _tap(tablet: Tablet, spot: tuple[str, str]) -> tuple[int, bytes]:
    sheet, code = spot
    return tablet.post(f"/sheets/{sheet}/tap/{code}", shown="nested")


def _bare(tablet: Tablet, code: str) -> tuple[int, bytes]:
    return tablet.post("/bare/mark", mark="cut", code=code)


def _commits(path: Path) -> float:
    """Commits a second, each of one row, with the settings of the shop's own database."""
    db = connect(path)
    try:
        db.execute("CREATE TABLE IF NOT EXISTS mark (id INTEGER PRIMARY KEY, code TEXT)")
        begun = time.perf_counter()
        for number in range(COMMITS):
            db.execute("INSERT INTO mark (code) VALUES (?)", (str(number),))
        return COMMITS / (time.perf_counter() - begun)
    finally:
        db.close()
