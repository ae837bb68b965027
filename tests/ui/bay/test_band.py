"""The one word, who is hitting, and the large button."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.station.bay.bay import Mode
from capturestation.ui.bay.band import BigWord
from capturestation.ui.look import Look
from tests.ui.bay.conftest import Opened


def darkness(word: BigWord) -> float:
    """Share of dark pixels."""
    image = word.grab().toImage()
    xs, ys = range(0, image.width(), 3), range(0, image.height(), 3)
    dark = [image.pixelColor(x, y).lightness() < 128 for x in xs for y in ys]
    return sum(dark) / len(dark)


def test_ready_and_paused_are_told_apart_without_colour(look: Look, qtbot: QtBot) -> None:
    word = BigWord(look)
    qtbot.addWidget(word)
    word.fit(120, 600)
    word.put("Paused", is_strong=False)
    paused = darkness(word)
    word.put("Ready", is_strong=True)
    ready = darkness(word)

    assert paused < 0.4
    assert ready > 0.6
    assert word.accessibleName() == "Ready"


def test_the_word_fills_its_band_at_every_width(look: Look, qtbot: QtBot) -> None:
    word = BigWord(look)
    qtbot.addWidget(word)
    word.put("Ready", is_strong=True)
    word.fit(200, 2000)
    wide = word.width()
    word.fit(200, 300)

    assert wide > 500
    assert (word.width(), word.height()) == (300, 200)


def test_it_says_who_hits_and_what_the_button_does(opened: Opened) -> None:
    band = opened.place.band
    told = [(band.word.word, band.line.text(), band.button.text())]
    opened.choose()
    told.append((band.word.word, band.line.text(), band.button.text()))
    other = band.other.isVisible()
    opened.get_ready()
    told.append((band.word.word, band.line.text(), band.button.text()))

    name = opened.student.name
    assert told == [
        ("Paused", "Who is hitting? Nobody is filmed.", "Choose who is hitting"),
        ("Paused", f"Who is hitting? {name}, 7 iron?", "Yes: get ready"),
        ("Ready", f"{name}, 7 iron: every struck ball is kept.", "Pause"),
    ]
    assert other
    assert not band.other.isVisible()


def test_somebody_else_can_be_chosen(opened: Opened) -> None:
    opened.choose()

    opened.place.band.other.click()

    assert opened.over is opened.place.who


def test_a_press_of_the_button_is_a_pause(opened: Opened) -> None:
    opened.get_ready()

    opened.place.band.button.click()

    assert opened.bay.mode is Mode.ASKS
    assert opened.place.band.word.word == "Paused"


def test_the_word_is_at_least_a_fifth_of_the_place(opened: Opened, qtbot: QtBot) -> None:
    opened.place.resize(1280, 900)
    qtbot.waitUntil(lambda: opened.place.band.word.height() == 180)

    assert opened.place.band.button.height() >= 0.6 * 180 - 1
