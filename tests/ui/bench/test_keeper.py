"""Changes are written one after another beside the window, and none is lost when it closes."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import OutputError, StationError
from capturestation.ui.bench.keeper import Keeper


@pytest.fixture
def keeper() -> Iterator[Keeper]:
    made = Keeper()
    yield made
    made.close()


def nothing() -> None:
    """Is called where nothing should be done."""


def refused() -> None:
    raise OutputError("The disk is full.", try_next="Make room.")


def test_changes_are_written_in_their_order_on_another_thread(keeper: Keeper, qtbot: QtBot) -> None:
    written: list[tuple[int, bool]] = []
    main = threading.main_thread()

    for number in range(20):
        keeper(
            "change",
            lambda number=number: written.append((number, threading.current_thread() is main)),  # type: ignore[misc]
            nothing,
        )
    qtbot.waitUntil(lambda: not keeper.is_busy)

    assert written == [(number, False) for number in range(20)]


def test_a_change_that_can_not_be_written_is_told_on_the_window_s_thread(
    keeper: Keeper, qtbot: QtBot
) -> None:
    told: list[StationError] = []
    shown: list[threading.Thread] = []
    keeper.trouble.connect(told.append)

    keeper("change", refused, lambda: shown.append(threading.current_thread()))
    qtbot.waitUntil(lambda: bool(told))

    assert shown == [threading.main_thread()]
    assert str(told[0]) == "The disk is full. Make room."


def test_what_waits_is_written_before_it_closes(qtbot: QtBot) -> None:
    keeper = Keeper()
    gate, written = threading.Event(), list[int]()
    keeper("waits", lambda: gate.wait(10), nothing)
    keeper("change", lambda: written.append(1), nothing)
    keeper("refused", refused, nothing)
    gate.set()

    untold = keeper.close()

    assert written == [1]
    assert [type(error) for error in untold] == [OutputError]


def test_something_is_done_once_all_before_it_is_written(keeper: Keeper, qtbot: QtBot) -> None:
    order: list[str] = []

    keeper("change", lambda: order.append("written"), nothing)
    keeper.when_kept(lambda: order.append("then"))
    qtbot.waitUntil(lambda: len(order) == 2)

    assert order == ["written", "then"]


def test_a_bug_goes_to_the_hook_that_tells_all_bugs(
    keeper: Keeper, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[type[BaseException]] = []
    monkeypatch.setattr("sys.excepthook", lambda kind, _error, _trace: told.append(kind))

    def broken() -> None:
        raise ZeroDivisionError

    keeper("change", broken, nothing)
    qtbot.waitUntil(lambda: bool(told))

    assert told == [ZeroDivisionError]
