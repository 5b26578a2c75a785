"""A pytest plug-in that notes which test reaches which line: coverage gets one context per test.

`tests/mutation/bench.py map` loads it. SHOPFLOOR_REACHED names the file (without ending) that it writes: NAME.coverage with
the lines, NAME.json with each test's seconds and whether it passed. A fixture that several tests share is noted for its file.
"""

from __future__ import annotations

import json
import os
from collections import defaultdict
from collections.abc import Iterator

import coverage
import pytest

NAME = os.environ["SHOPFLOOR_REACHED"]

_cover = coverage.Coverage(
    data_file=f"{NAME}.coverage", source_pkgs=["shopfloor"], config_file=False
)
_cover.start()  # before the tests import what they test
_seconds: dict[str, float] = defaultdict(float)
_failed: set[str] = set()
_running = ""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[object]:
    """Note what this test reaches under its own name."""
    global _running  # noqa: PLW0603  hooks of a plug-in share its module
    _running = item.nodeid
    _cover.switch_context(_running)
    try:
        return (yield)
    finally:
        _running = ""
        _cover.switch_context("")


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef: pytest.FixtureDef) -> Iterator[object]:
    """Note a fixture that is made once for many tests under the file of the test that asked first."""
    if fixturedef.scope == "function" or not _running:
        return (yield)
    _cover.switch_context(_running.split("::", maxsplit=1)[0])
    try:
        return (yield)
    finally:
        _cover.switch_context(_running)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up a test's seconds, its set-up with them."""
    _seconds[report.nodeid] += report.duration
    if not report.passed:
        _failed.add(report.nodeid)


def pytest_sessionfinish() -> None:
    """Write both files."""
    _cover.stop()
    _cover.save()
    with open(f"{NAME}.json", "w", encoding="utf-8") as file:
        json.dump({"seconds": _seconds, "failed": sorted(_failed)}, file)
