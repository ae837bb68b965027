"""The second screen shows pictures alone, blanks by a key and never takes the keyboard."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QColor, QGuiApplication
from PyQt6.QtWidgets import QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.texts import say
from capturestation.ui.tv import GROUND, Tv, TvWindow, other_screen
from tests.helpers.two_places import PATCH, Patch
from tests.ui.conftest import shown

ROOT = Path(__file__).parents[2]


@pytest.fixture
def owner(qtbot: QtBot) -> QWidget:
    made = QLineEdit()
    qtbot.addWidget(made)
    shown(made, qtbot)
    return made


@pytest.fixture
def tv(owner: QWidget) -> Iterator[Tv]:
    made = Tv(owner)
    yield made
    made.close()


def window_of(tv: Tv) -> TvWindow:
    """The window that the pictures are in."""
    return tv._tv


def middle(window: TvWindow) -> QColor:
    """What is seen in its middle."""
    picture = window.grab().toImage()
    return picture.pixelColor(picture.width() // 2, picture.height() // 2)


def test_it_shows_what_it_is_given_on_a_dark_ground(tv: Tv) -> None:
    without = middle(window_of(tv))
    tv.show_from(Patch())
    tv.show()

    assert without == GROUND
    assert middle(window_of(tv)) == PATCH
    assert window_of(tv).grab().toImage().pixelColor(2, 2) == GROUND
    assert window_of(tv).isVisible()


def test_blank_shows_nothing_until_it_is_pressed_again(tv: Tv, qtbot: QtBot) -> None:
    said: list[str] = []
    tv.says.connect(said.append)
    tv.show_from(Patch())
    tv.show()
    tv.toggle_blank()
    blanked = middle(window_of(tv))
    tv.toggle_blank()

    assert blanked == GROUND
    assert middle(window_of(tv)) == PATCH
    assert said[1:] == [
        "The second screen is blank.",
        "The second screen shows the pictures again.",
    ]


def test_blank_does_nothing_where_it_is_off(tv: Tv) -> None:
    tv.toggle_blank()

    assert not tv.is_blank


def test_a_place_without_pictures_leaves_it_dark(tv: Tv) -> None:
    tv.show_from(Patch())
    tv.show()
    tv.show_from(None)

    assert middle(window_of(tv)) == GROUND


def test_on_one_screen_it_is_a_plain_window_that_leaves_the_keyboard_alone(
    tv: Tv, owner: QWidget
) -> None:
    said: list[str] = []
    tv.says.connect(said.append)
    owner.setFocus()

    tv.toggle()

    assert tv.is_on
    assert not tv.fills_a_screen
    assert "There is no second screen" in said[0]
    assert owner.hasFocus()
    assert window_of(tv).windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus


def test_closed_by_hand_it_is_off(tv: Tv, qtbot: QtBot) -> None:
    tv.show()
    with qtbot.waitSignal(tv.changed):
        window_of(tv).close()

    assert not tv.is_on


def test_toggling_twice_puts_it_away(tv: Tv) -> None:
    tv.toggle()
    tv.toggle()

    assert not tv.is_on
    assert not window_of(tv).isVisible()


@pytest.mark.process
def test_with_two_screens_it_fills_the_one_that_the_window_is_not_on(tmp_path: Path) -> None:
    sizes = {"desk": (0, 1280, 720), "wall": (1280, 1920, 1080)}
    screens = [
        {"name": name, "x": x, "y": 0, "width": w, "height": h, "logicalDpi": 96, "dpr": 1}
        for name, (x, w, h) in sizes.items()
    ]
    config = tmp_path / "screens.json"
    config.write_text(json.dumps({"screens": screens}), encoding="utf-8")
    env = {**os.environ, "QT_QPA_PLATFORM": f"offscreen:configfile={config}"}

    done = subprocess.run(
        [sys.executable, "-m", "tests.helpers.two_screens"],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        check=True,
        timeout=50,
    )

    assert json.loads(done.stdout) == {
        "window": "desk",
        "pictures": "wall",
        "size": [1920, 1080],
        "fills": True,
        "said": [say("shell.tv.shown")],
    }


def test_where_its_screen_was_unplugged_it_is_put_away_and_says_so(
    tv: Tv, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    tv.show()
    window_of(tv).setWindowState(Qt.WindowState.WindowFullScreen)
    tv.says.connect(said.append)

    tv._follow_screens()

    assert not tv.is_on
    assert not window_of(tv).isVisible()
    assert said == [say("shell.tv.gone")]


def test_a_screen_that_comes_later_is_filled(tv: Tv, monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    tv.show()
    tv.says.connect(said.append)
    own = QGuiApplication.primaryScreen()
    monkeypatch.setattr("capturestation.ui.tv.other_screen", lambda _own, _screens: own)

    tv._follow_screens()

    assert tv.fills_a_screen
    assert said == [say("shell.tv.shown")]


def test_screens_that_come_and_go_don_t_matter_where_it_is_off(tv: Tv) -> None:
    tv._follow_screens()

    assert not tv.is_on
    assert not window_of(tv).isVisible()


def test_the_other_screen_is_one_that_the_window_is_not_on() -> None:
    assert other_screen("left", ["left", "right"]) == "right"
    assert other_screen("right", ["left", "right"]) == "left"
    assert other_screen("left", ["left"]) is None
    assert other_screen(None, ["left"]) == "left"
