"""A finished clip is dragged out, copied or saved."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import QMimeData, QPoint, Qt, QUrl
from PyQt6.QtGui import QDrag
from pytestqt.qtbot import QtBot

from capturestation.ui.bench.handing import HandOn, files_as_data
from capturestation.ui.look import Look

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def done() -> list[str]:
    return []


@pytest.fixture
def hand_on(qtbot: QtBot, done: list[str]) -> HandOn:
    made = HandOn(
        Look(),
        lambda: done.append("save"),
        lambda: done.append("else"),
        lambda: done.append("copy"),
    )
    qtbot.addWidget(made)
    made.resize(400, 300)
    made.show()
    return made


def test_it_is_seen_only_while_there_is_a_clip(hand_on: HandOn, tmp_path: Path) -> None:
    hand_on.show_files((), None)
    without = hand_on.isVisible()
    hand_on.show_files((tmp_path / "clip.mp4",), None)

    assert (without, hand_on.isVisible()) == (False, True)
    assert hand_on.slip.text() == "Drag it out"
    assert "clip.mp4" in hand_on.slip.accessibleName()
    assert not hand_on.elsewhere.isVisible()


def test_the_folder_of_last_time_is_offered(
    hand_on: HandOn, tmp_path: Path, qtbot: QtBot, done: list[str]
) -> None:
    hand_on.show_files((tmp_path / "clip.mp4",), tmp_path / "students")
    for pressed in (hand_on.save, hand_on.elsewhere):
        qtbot.mouseClick(pressed, LEFT)

    assert hand_on.save.text() == "Save in “students”"
    assert done == ["save", "else"]


def test_a_real_drag_takes_the_file_with_it(
    hand_on: HandOn, tmp_path: Path, qtbot: QtBot, done: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = tmp_path / "clip.mp4"
    dragged: list[list[QUrl]] = []

    def held(drag: QDrag, _action: Qt.DropAction) -> Qt.DropAction:
        data = drag.mimeData()
        dragged.append(data.urls() if data else [])
        return Qt.DropAction.CopyAction

    monkeypatch.setattr(QDrag, "exec", held)
    hand_on.show_files((clip,), None)
    qtbot.mousePress(hand_on.slip, LEFT, pos=QPoint(20, 20))
    qtbot.mouseMove(hand_on.slip, QPoint(22, 20))
    still = list(dragged)
    qtbot.mouseMove(hand_on.slip, QPoint(90, 60))
    qtbot.mouseMove(hand_on.slip, QPoint(120, 80))
    qtbot.mouseRelease(hand_on.slip, LEFT, pos=QPoint(120, 80))

    assert still == []
    assert dragged == [[QUrl.fromLocalFile(str(clip))]]
    assert done == []


def test_a_press_without_a_drag_copies_the_file(
    hand_on: HandOn, tmp_path: Path, qtbot: QtBot, done: list[str]
) -> None:
    hand_on.show_files((tmp_path / "clip.mp4",), None)
    qtbot.keyClick(hand_on.slip, Qt.Key.Key_Space)

    assert done == ["copy"]


def test_a_file_is_handed_on_as_its_address(tmp_path: Path) -> None:
    data: QMimeData = files_as_data([tmp_path / "ä clip.mp4"])

    assert [Path(url.toLocalFile()) for url in data.urls()] == [tmp_path / "ä clip.mp4"]
