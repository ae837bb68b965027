"""A fault of the program is noted without names, told on the window's thread, and survived."""

from __future__ import annotations

import logging
import sys
import threading

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError
from capturestation.ui.bugs import BugHook, where_of

SECRET = "Zoë Ångström"


def look_up(name: str) -> int:
    """Fail over a name."""
    known: dict[str, int] = {}
    try:
        return known[name]
    except KeyError as error:
        raise ValueError(name) from error


def raised(message: str) -> ValueError:
    """An error that was raised for another, both with a name in their message."""
    with pytest.raises(ValueError, match=message) as caught:
        look_up(message)
    return caught.value


def test_where_it_was_names_kinds_and_lines_and_no_message() -> None:
    where = where_of(raised(SECRET))

    assert where.startswith("ValueError from KeyError ← test_bugs.py:")
    assert SECRET not in where


def test_a_bug_is_told_and_noted_without_a_name(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    hook = BugHook()
    error = raised(SECRET)

    with caplog.at_level(logging.ERROR), qtbot.waitSignal(hook.found) as caught:
        hook.catch(type(error), error, error.__traceback__)

    assert caught.args == [where_of(error)]
    assert "a bug: ValueError" in caplog.text
    assert SECRET not in caplog.text


def test_a_bug_in_a_thread_is_told_on_the_window_s(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    told_on: list[threading.Thread] = []

    def fail() -> None:
        raise ZeroDivisionError

    with BugHook() as hook:
        hook.found.connect(lambda _where: told_on.append(threading.current_thread()))
        thread = threading.Thread(target=fail, name="failing")
        thread.start()
        thread.join(10)
        qtbot.waitUntil(lambda: bool(told_on))

    assert told_on == [threading.main_thread()]


def test_what_the_world_refuses_is_no_bug_wherever_it_comes_up(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    hook = BugHook()
    error = LibraryError(f"The row of {SECRET} is damaged.", try_next="Rebuild.")

    with (
        caplog.at_level(logging.WARNING),
        qtbot.waitSignal(hook.refused) as caught,
        qtbot.assertNotEmitted(hook.found),
    ):
        hook.catch(type(error), error, None)

    assert caught.args == [error]
    assert SECRET not in caplog.text


def test_the_stop_key_is_no_bug(qtbot: QtBot) -> None:
    hook = BugHook()

    with qtbot.waitSignal(hook.stop_asked), qtbot.assertNotEmitted(hook.found):
        hook.catch(KeyboardInterrupt, KeyboardInterrupt(), None)


def test_the_hooks_of_before_are_back_afterwards() -> None:
    before = (sys.excepthook, threading.excepthook)

    with BugHook() as hook:
        during = sys.excepthook

    assert during == hook.catch
    assert (sys.excepthook, threading.excepthook) == before
