"""The window as a program, from start to end, without a display."""

from __future__ import annotations

import logging
import os
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PyQt6.QtCore import QTimer
from PyQt6.QtWidgets import QApplication

from capturestation.station.desk import Desk, read_desk, write_desk
from capturestation.ui.app import run_window
from capturestation.ui.window import Window
from tests.helpers.two_places import TinyBench, TinyBook

KINDS = (TinyBook, TinyBench)


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: QApplication) -> Iterator[Path]:
    """Where the window's state is kept for this test; the application's look is as before after."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    style = qapp.style()
    before = (style.objectName() if style else "", qapp.palette(), qapp.font(), qapp.styleSheet())
    yield tmp_path / "capturestation" / "window.json"
    name, palette, font, sheet = before
    qapp.setStyleSheet(sheet)
    qapp.setStyle(name)
    qapp.setPalette(palette)
    qapp.setFont(font)


def once_open(act: Callable[[Window], None]) -> QTimer:
    """Do something once the window shows its places."""
    timer = QTimer()
    timer.setInterval(5)

    def look() -> None:
        for widget in QApplication.topLevelWidgets():
            if isinstance(widget, Window) and widget.isVisible() and widget.places:
                timer.stop()
                act(widget)

    timer.timeout.connect(look)
    timer.start()
    return timer


def test_it_opens_the_library_and_keeps_how_it_stood(folder: Path, state: Path) -> None:
    def act(window: Window) -> None:
        window.go_to("bench")
        window.close()

    timer = once_open(act)
    code = run_window(folder, ["test"], KINDS)

    assert not timer.isActive()
    assert code == 0
    assert read_desk(state).desk.place == "bench"


def test_it_opens_what_was_open_last_and_says_what_was_damaged(folder: Path, state: Path) -> None:
    seen: list[object] = []

    def act(window: Window) -> None:
        seen.extend((window.look.scale, window.start.folder, window.troubles.troubles))
        window.close()

    state.parent.mkdir(parents=True)
    write_desk(state, Desk(library=str(folder), scale=2.0))
    timer = once_open(act)
    run_window(None, ["test"], KINDS)
    state.write_text("{", encoding="utf-8")
    timer = once_open(act)
    run_window(folder, ["test"], KINDS)

    assert not timer.isActive()
    assert seen[:3] == [2.0, folder, ()]
    assert seen[3:5] == [1.0, folder]
    assert "stands as at first" in str(seen[5])


def test_a_bug_is_shown_and_noted_beside_the_state(folder: Path, state: Path) -> None:
    shown: list[str] = []

    def act(window: Window) -> None:
        error = ZeroDivisionError("Zoë")
        sys.excepthook(ZeroDivisionError, error, None)
        shown.append(window.fault.title.text())
        window.close()

    logging.getLogger("capturestation.ui.bugs").disabled = False
    timer = once_open(act)
    run_window(folder, ["test"], KINDS)
    noted = (state.parent / "window.log").read_text(encoding="utf-8")

    assert not timer.isActive()
    assert shown == ["Something in this program went wrong"]
    assert "a bug: ZeroDivisionError" in noted
    assert "Zoë" not in noted


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_stop_key_and_the_system_close_it_in_order(
    folder: Path, state: Path, number: signal.Signals
) -> None:
    before = signal.getsignal(number)
    timer = once_open(lambda _window: os.kill(os.getpid(), number))

    code = run_window(folder, ["test"], KINDS)

    assert not timer.isActive()
    assert code == 0
    assert state.is_file()
    assert signal.getsignal(number) is before
