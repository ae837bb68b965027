"""Small pictures come when they are asked for; what was passed by quickly is let go."""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import replace
from pathlib import Path

import pytest
from PyQt6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from capturestation.errors import NotReadableError
from capturestation.records import Swing, SwingId, View
from capturestation.ui.book.pictures import Pictures
from tests.helpers.made_swings import made_recording, made_swing, made_sync
from tests.ui.book.conftest import Opened


class Maker:
    """Notes what is asked for; answers when told."""

    def __init__(self) -> None:
        self.asked: list[tuple[SwingId, View, Future[Path]]] = []

    def ask(self, swing_id: SwingId, view: View) -> Future[Path]:
        future: Future[Path] = Future()
        self.asked.append((swing_id, view, future))
        return future


@pytest.fixture
def maker(qtbot: QtBot) -> Maker:
    return Maker()


def placed(name: str, at_ns: int = 0, view: View = View.FACE_ON) -> Swing:
    swing = made_swing(name)
    facts = replace(swing.facts, recordings=(made_recording(view),))
    return Swing(facts=facts, book=replace(swing.book, syncs=(made_sync(view, at_ns),)))


def a_file(folder: Path) -> Path:
    image = QImage(32, 18, QImage.Format.Format_RGB32)
    image.fill(QColor("red"))
    path = folder / "picture.png"
    image.save(str(path))
    return path


def test_a_picture_is_asked_for_once_and_told_when_it_comes(
    maker: Maker, tmp_path: Path, qtbot: QtBot
) -> None:
    pictures, swing = Pictures(maker), placed("a")
    assert pictures.picture(swing) is None
    assert pictures.picture(swing) is None
    assert [view for _, view, _ in maker.asked] == [View.FACE_ON]

    with qtbot.waitSignal(pictures.came) as heard:
        maker.asked[0][2].set_result(a_file(tmp_path))

    assert heard.args == [swing.id]
    image = pictures.picture(swing)
    assert image is not None
    assert image.width() == 32


def test_a_swing_that_is_placed_anew_gets_a_new_picture(maker: Maker) -> None:
    pictures = Pictures(maker)
    pictures.picture(placed("a"))

    pictures.picture(placed("a", at_ns=5))

    assert len(maker.asked) == 2


def test_without_a_face_on_view_another_stands_for_the_swing(maker: Maker) -> None:
    pictures = Pictures(maker)

    pictures.picture(placed("a", view=View.DOWN_THE_LINE))
    pictures.picture(replace(placed("b"), book=replace(placed("b").book, syncs=())))

    assert [view for _, view, _ in maker.asked] == [View.DOWN_THE_LINE]


def test_a_picture_that_can_t_be_made_leaves_empty_paper(maker: Maker) -> None:
    pictures, swing = Pictures(maker), placed("a")
    pictures.picture(swing)

    maker.asked[0][2].set_exception(NotReadableError("Cut.", try_next="Look."))

    assert pictures.picture(swing) is None
    assert len(maker.asked) == 1


def test_what_was_passed_by_waits_no_longer_and_is_asked_for_again(maker: Maker) -> None:
    pictures = Pictures(maker)
    swings = [placed(f"{number:03}") for number in range(70)]
    for swing in swings:
        pictures.picture(swing)
    cancelled = [swing_id for swing_id, _, future in maker.asked if future.cancelled()]
    assert cancelled == [swing.id for swing in swings[:10]]

    pictures.picture(swings[0])

    assert maker.asked[-1][0] == swings[0].id


def test_after_the_end_nothing_is_asked_for_and_nothing_told(
    maker: Maker, tmp_path: Path, qtbot: QtBot
) -> None:
    pictures, told = Pictures(maker), list[str]()
    pictures.came.connect(told.append)
    pictures.picture(placed("a"))

    pictures.let_go()
    maker.asked[0][2].set_result(a_file(tmp_path))
    qtbot.wait(0)

    assert pictures.picture(placed("b")) is None
    assert len(maker.asked) == 1
    assert told == []


def test_the_picture_at_impact_comes_by_itself(book: Opened, qtbot: QtBot) -> None:
    pictures = book.place.pictures

    qtbot.waitUntil(lambda: pictures.picture(book.filled.today) is not None, timeout=20_000)

    image = pictures.picture(book.filled.today)
    assert image is not None
    assert image.width() > 0
