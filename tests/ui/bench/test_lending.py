"""Lending a clip to a phone nearby: off until pressed, a square while open, shut by itself."""

from __future__ import annotations

import threading
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import cv2
import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.errors import OutputError
from capturestation.station import nearby
from capturestation.ui.bench.lending import Lending
from capturestation.ui.look import Look
from tests.helpers.pixels import pixels

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    path = tmp_path / "2026-10-30 7 iron.mp4"
    path.write_bytes(b"a clip" * 1000)
    return path


@pytest.fixture
def lending(qtbot: QtBot, clip: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Lending]:
    monkeypatch.setattr(nearby, "own_address", lambda: "127.0.0.1")
    made = Lending(Look())
    qtbot.addWidget(made)
    made.offer(clip)
    made.show()
    yield made
    made.shut()


def test_nothing_listens_until_it_is_pressed(lending: Lending, qtbot: QtBot) -> None:
    before = lending.door, lending.square.isVisible()

    qtbot.mouseClick(lending.press, LEFT)

    assert before == (None, False)
    assert lending.door is not None
    assert lending.door.is_open
    assert lending.square.isVisible()
    assert "10 minutes" in lending.told.text()
    assert lending.press.text() == "Shut the door"


def test_the_square_that_is_shown_is_the_address(lending: Lending, qtbot: QtBot) -> None:
    qtbot.mouseClick(lending.press, LEFT)

    shown = lending.square.pixmap().toImage()
    read, *_ = cv2.QRCodeDetector().detectAndDecode(pixels(shown))

    assert lending.door is not None
    assert read == lending.door.address


def test_once_a_phone_has_it_that_is_said_and_the_square_goes(
    lending: Lending, clip: Path, qtbot: QtBot
) -> None:
    qtbot.mouseClick(lending.press, LEFT)
    door = lending.door
    assert door is not None
    took: list[bytes] = []

    def take() -> None:
        with urllib.request.urlopen(door.address, timeout=20) as answer:
            took.append(answer.read())

    phone = threading.Thread(target=take)
    phone.start()
    qtbot.waitUntil(lambda: lending.door is None, timeout=20_000)
    phone.join(20)

    assert took == [clip.read_bytes()]
    assert lending.told.text() == "The phone has it."
    assert not lending.square.isVisible()


def test_pressed_again_or_with_another_clip_it_is_shut(
    lending: Lending, clip: Path, qtbot: QtBot
) -> None:
    qtbot.mouseClick(lending.press, LEFT)
    first = lending.door
    qtbot.mouseClick(lending.press, LEFT)
    told = lending.told.text()
    qtbot.mouseClick(lending.press, LEFT)
    second = lending.door
    lending.offer(clip.with_name("other.mp4"))

    assert first is not None
    assert second is not None
    assert not first.is_open
    assert not second.is_open
    assert told == "The door is shut."
    assert lending.door is None
    assert not lending.square.isVisible()


def test_without_a_network_the_next_step_is_said(
    lending: Lending, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none() -> str:
        raise OutputError("This computer is on no network.", try_next="Save the files.")

    monkeypatch.setattr(nearby, "own_address", none)

    qtbot.mouseClick(lending.press, LEFT)

    assert lending.door is None
    assert lending.told.text() == "This computer is on no network. Save the files."
