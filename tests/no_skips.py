"""A pytest plug-in: a run in which a test was skipped, or was expected to fail, is a failed run.

`tests/run` loads it. Owns that rule only; it works in the process that gathers the reports, with xdist or without.
"""

from __future__ import annotations

import pytest

_skipped: list[str] = []


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Notes a test that did not run."""
    if report.skipped or hasattr(report, "wasxfail"):
        _skipped.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Notes a whole file that did not run."""
    if report.skipped:
        _skipped.append(report.nodeid)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fails the run where it would have passed."""
    if _skipped and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter) -> None:
    """Says why."""
    for name in dict.fromkeys(_skipped):
        terminalreporter.write_line(f"NOT RUN {name}: each test has to run here.", red=True)
