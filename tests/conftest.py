"""Settings that every test shares: no display, and on CI a skip is a failure."""

from __future__ import annotations

import os
from collections.abc import Generator

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn a skip for a missing part into a failure where CI runs."""
    report = yield
    expected_failure = hasattr(report, "wasxfail")
    if report.skipped and os.environ.get("CI") and not expected_failure:
        report.outcome = "failed"
        report.longrepr = f"skipped, which CI counts as a failure: {report.longrepr}"
    return report
