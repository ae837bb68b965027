"""The morning check as it is seen."""

from __future__ import annotations

import numpy as np
from PyQt6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from capturestation.station.bay.bay import Bay
from capturestation.station.bay.check import LASTS_S, MorningCheck
from capturestation.ui.bay.check_page import CheckPage, grey_of
from capturestation.ui.look import Look
from tests.ui.bay.conftest import sent


def lines(page: CheckPage) -> list[str]:
    return [what.text() for what, _ in page.lines if what.text()]


def test_half_a_minute_later_it_says_what_to_put_right(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    now = [100.0]
    page = CheckPage(bare_bay, look, clock_s=lambda: now[0])
    qtbot.addWidget(page)
    done: list[MorningCheck] = []
    page.done.connect(done.append)
    sent(bare_bay)
    page.begin()
    early = (page.text.text(), page.again.isVisibleTo(page))

    now[0] += LASTS_S
    page.look_now()

    assert early == ("Clap once, or hit one ball, where balls are struck. 30 s left.", False)
    assert done == [page.check]
    assert page.text.text() == "Put right what has a square first."
    assert "■\N{NO-BREAK SPACE}face-on: out of focus" in lines(page)
    assert page.again.isVisibleTo(page)


def test_each_line_that_is_not_well_says_what_to_do(
    bare_bay: Bay, look: Look, qtbot: QtBot
) -> None:
    page = CheckPage(bare_bay, look)
    qtbot.addWidget(page)
    sent(bare_bay)
    page.begin()
    page.end()

    for what, do in page.lines:
        assert bool(do.text()) == (not what.text().startswith("●"))


def test_a_picture_s_grey_is_taken_as_it_is() -> None:
    image = QImage(101, 97, QImage.Format.Format_RGB32)
    image.fill(QColor(90, 90, 90))

    grey = grey_of(image)

    assert grey.shape == (97, 101)
    assert np.abs(grey.astype(int) - 90).max() <= 1
