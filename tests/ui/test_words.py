"""Labels and buttons are plain text, pressed by finger or key, and named for a screen reader."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from capturestation.ui.look import Look
from capturestation.ui.style import style_sheet
from capturestation.ui.words import button, ground, label, put_words, restyle


def test_a_name_with_an_ampersand_is_shown_whole_and_read_out_whole(qtbot: QtBot) -> None:
    pressed: list[int] = []
    made = button("Zoë & co", lambda: pressed.append(1))
    qtbot.addWidget(made)
    made.show()

    qtbot.mouseClick(made, Qt.MouseButton.LeftButton)
    qtbot.keyClick(made, Qt.Key.Key_Space)

    assert made.text() == "Zoë && co"
    assert made.accessibleName() == "Zoë & co"
    assert len(pressed) == 2


def test_other_words_are_read_out_too(qtbot: QtBot) -> None:
    made = button("Star", lambda: None, name="Mark as best")
    qtbot.addWidget(made)
    before = made.accessibleName()

    put_words(made, "No star")

    assert before == "Mark as best"
    assert (made.text(), made.accessibleName()) == ("No star", "No star")


def test_a_long_word_is_broken_and_asks_for_no_more_room_than_others(qtbot: QtBot) -> None:
    short, long, emoji = (
        label(words, wraps=True) for words in ("W" * 20, "W" * 300, "\U0001f3cc\U0001f3fd" * 40)
    )
    for made in (short, long, emoji):
        qtbot.addWidget(made)

    assert long.text() == "W" * 300
    assert long.minimumSizeHint().width() <= short.minimumSizeHint().width()
    assert "\u200b\U0001f3fd" not in QLabel.text(emoji)
    assert QLabel.text(short) == short.text()


def test_what_is_pressed_is_cut_and_told_whole(qtbot: QtBot) -> None:
    made = button("Keep", lambda: None)
    qtbot.addWidget(made)
    before = made.toolTip()

    put_words(made, "A" * 100)

    assert made.text() == "A" * 59 + "…"
    assert (before, made.toolTip(), made.accessibleName()) == ("", "A" * 100, "A" * 100)


def test_a_label_shows_code_as_text(qtbot: QtBot) -> None:
    made = label("<i>7 iron</i>", letters="head", soft=True, wraps=True)
    qtbot.addWidget(made)

    assert made.textFormat() is Qt.TextFormat.PlainText
    assert (made.property("letters"), made.property("tone")) == ("head", "soft")


def test_a_changed_kind_is_seen_after_restyling(qtbot: QtBot) -> None:
    made = label("top")
    qtbot.addWidget(made)
    look = Look()
    made.setStyleSheet(style_sheet(look))
    made.show()

    made.setProperty("letters", "huge")
    restyle(made)

    assert made.font().pixelSize() == look.px("huge")


def test_a_ground_is_painted_for_a_widget_of_our_own(qtbot: QtBot) -> None:
    class Band(QWidget):
        pass

    band, look = Band(), Look()
    qtbot.addWidget(band)
    ground(band, "trouble")
    band.setStyleSheet(style_sheet(look))
    band.resize(40, 40)

    seen = band.grab().toImage().pixelColor(20, 20)

    assert seen == look.colour("trouble")


def test_enter_and_the_space_bar_press_it(qtbot: QtBot) -> None:
    presses: list[str] = []
    made = button("Begin", lambda: presses.append("begin"))
    qtbot.addWidget(made)
    made.show()
    made.setFocus()
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
        qtbot.keyClick(made, key)

    assert presses == ["begin"] * 3


def test_a_mouse_leaves_the_keyboard_where_it_is(qtbot: QtBot) -> None:
    host = QWidget()
    qtbot.addWidget(host)
    rows = QVBoxLayout(host)
    field, made = QLineEdit(), button("Slower", lambda: None)
    rows.addWidget(field)
    rows.addWidget(made)
    host.show()
    host.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)

    qtbot.mouseClick(made, Qt.MouseButton.LeftButton)
    after_mouse = field.hasFocus()
    qtbot.keyClick(field, Qt.Key.Key_Tab)

    assert after_mouse
    assert made.hasFocus()


def test_a_phrase_that_holds_together_is_not_broken_within_its_words(qtbot: QtBot) -> None:
    phrase = "Disk: 110 minutes left, 110 balls".replace(" ", "\N{NO-BREAK SPACE}")
    made = label(phrase)
    qtbot.addWidget(made)

    assert QLabel.text(made) == phrase
