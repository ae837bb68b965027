"""The Bay's words in the header: all, or one that leads to them."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.ui.bay.head import HeadWords
from capturestation.ui.look import Look


def test_all_words_are_there_or_one(look: Look, qtbot: QtBot) -> None:
    made = HeadWords(look)
    qtbot.addWidget(made)
    made.show()
    seen = []
    for width in (1600, 500):
        made.fit(width)
        seen.append((made.more.isVisible(), [w.isVisible() for w in made.words.values()]))

    assert seen == [(False, [True] * 4), (True, [False] * 4)]


def test_each_asks_for_its_action(look: Look, qtbot: QtBot) -> None:
    made = HeadWords(look)
    qtbot.addWidget(made)
    asked: list[str] = []
    made.asked.connect(asked.append)

    for word in made.words.values():
        word.click()

    assert asked == ["bay.check", "bay.setup", "bay.measure", "bay.end"]
    with qtbot.waitSignal(made.more_wanted):
        made.more.click()
