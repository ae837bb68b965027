"""Each word moves in its own way."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.ui.bench.nudge_pad import NudgePad

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def moved() -> list[tuple[int, ...]]:
    return []


@pytest.fixture
def pad(qtbot: QtBot, moved: list[tuple[int, ...]]) -> NudgePad:
    made = NudgePad(
        lambda *way: moved.append(way), lambda frames: moved.append((frames,)), moved.clear
    )
    qtbot.addWidget(made)
    made.show_for(has_then=True, is_over=True)
    return made


def test_every_way_has_its_word(pad: NudgePad, qtbot: QtBot, moved: list[tuple[int, ...]]) -> None:
    for pressed in (pad.back, pad.on, *pad.ways.values()):
        qtbot.mouseClick(pressed, LEFT)

    assert moved == [
        (-1,),
        (1,),
        (-1, 0, 0),
        (1, 0, 0),
        (0, -1, 0),
        (0, 1, 0),
        (0, 0, -1),
        (0, 0, 1),
    ]
    qtbot.mouseClick(pad.reset, LEFT)
    assert moved == []


def test_place_is_moved_only_where_one_lies_over_the_other(pad: NudgePad) -> None:
    pad.show_for(has_then=True, is_over=False)
    beside = pad.on.isVisible(), pad.ways["left"].isVisible()
    pad.show_for(has_then=False, is_over=True)

    assert beside == (True, False)
    assert not pad.on.isVisible()
