"""What every test shares: no display, on CI a skip is a failure, small files of two swings."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import settings
from PyQt6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from tests.helpers.bay_files import MOTION, Pair, bay_pair
from tests.helpers.station_library import Filled, fill_with_two

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# How long an example takes says how busy the machine is, never whether the code is right.
settings.register_profile("station", deadline=None)
settings.load_profile("station")
_PATIENCE_MS = 30_000


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


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes long.

    Of workers that steal from one another one then has these, one after the other, while the others
    have all that is quick: recordings in real time don't run beside each other.
    """
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


class KeepingBot(QtBot):
    """Holds the widgets of a test until they are closed.

    The usual one holds them weakly: a window that only a test's own variable held would be taken
    away by the collector in the middle of being painted, and the process with it.
    """

    def __init__(self, request: pytest.FixtureRequest) -> None:
        super().__init__(request)
        self._kept: list[QWidget] = []

    def addWidget(  # noqa: N802 - Qt's name
        self, widget: QWidget, *, before_close_func: Callable[[QWidget], None] | None = None
    ) -> None:
        """Hold it, and close it when the test ends."""
        self._kept.append(widget)
        super().addWidget(widget, before_close_func=before_close_func)

    def waitUntil(  # noqa: N802 - Qt's name
        self, callback: Callable[[], bool | None], *, timeout: int = _PATIENCE_MS
    ) -> None:
        """Wait for what must become so; a computer that has much else to do needs longer."""
        super().waitUntil(callback, timeout=timeout)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> QtBot:
    """What drives widgets."""
    return KeepingBot(request)


@pytest.fixture(scope="session")
def first_swing(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    """Two small files of one invented swing."""
    return bay_pair(tmp_path_factory.mktemp("first swing"), "first")


@pytest.fixture(scope="session")
def second_swing(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    """Two small files of another, a little slower going back."""
    motion = replace(MOTION, back_s=0.9)
    return bay_pair(tmp_path_factory.mktemp("second swing"), "second", motion=motion, seed=1)


@pytest.fixture(scope="session")
def prepared(
    tmp_path_factory: pytest.TempPathFactory, first_swing: Pair, second_swing: Pair
) -> Filled:
    """A library with these two swings; for copies only."""
    folder = tmp_path_factory.mktemp("prepared") / "library"
    return fill_with_two(folder, first_swing, second_swing)


@pytest.fixture
def filled(prepared: Filled, tmp_path: Path) -> Filled:
    """A library of its own for one test, with a starred swing and today's."""
    return prepared.copied(tmp_path / "library")
