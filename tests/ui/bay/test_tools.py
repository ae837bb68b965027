"""The words about the last ball and the next ones."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.records import SwingKind
from tests.helpers.bay_facts import struck
from tests.ui.bay.conftest import Opened


def test_without_anybody_there_are_no_words(opened: Opened) -> None:
    before = opened.place.tools.isVisible()
    opened.choose()

    assert (before, opened.place.tools.isVisible()) == (False, True)


def test_words_do_what_keys_do(opened: Opened) -> None:
    opened.get_ready()
    opened.say(struck("a"))
    tools = opened.place.tools

    tools.star.click()
    tools.rates[3].click()
    tools.talk.click()

    last = opened.bay.balls.last
    assert last is not None
    assert (last.starred, last.rating, opened.bay.keeps_talk) == (True, 4, True)
    assert (tools.star.isChecked(), tools.rates[3].isChecked()) == (True, True)
    assert tools.talk.text() == "Talk: kept"


def test_swings_without_a_strike_are_kept_at_a_press(opened: Opened) -> None:
    opened.get_ready()
    swings = opened.place.tools.swings
    before = swings.text()

    swings.click()

    assert (before, swings.text()) == ("Without a strike: not kept", "Without a strike: kept")
    assert (opened.bay.keeps_swings, swings.isChecked()) == (True, True)


def test_they_show_what_holds_now(opened: Opened) -> None:
    opened.get_ready()
    tools = opened.place.tools
    nothing = (tools.star.isEnabled(), tools.picture.isEnabled(), tools.keep.isEnabled())

    opened.bay.wish(club="putter", kind=SwingKind.PUTT)

    assert nothing == (False, False, True)
    assert (tools.club.text(), tools.kind.text()) == ("Club: putter", "Kind: putt")


def test_a_press_leaves_the_keyboard_where_it_is(opened: Opened, qtbot: QtBot) -> None:
    opened.get_ready()
    opened.place.band.button.setFocus()

    qtbot.mouseClick(opened.place.tools.talk, Qt.MouseButton.LeftButton)

    assert opened.place.band.button.hasFocus()


def test_where_the_row_is_narrow_the_most_needed_words_stay(opened: Opened) -> None:
    opened.get_ready()
    tools = opened.place.tools
    tools.resize(2400, tools.height())
    wide = [word.isVisible() for word in (tools.keep, tools.star, *tools.rates)]

    tools.resize(500, tools.height())

    assert all(wide)
    assert (tools.keep.isVisible(), tools.star.isVisible()) == (True, True)
    assert not any(word.isVisible() for word in tools.rates)
