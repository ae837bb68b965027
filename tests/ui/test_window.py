"""The window: places by words and keys, pages over them, steps, troubles, keys that are learnt."""

from __future__ import annotations

from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtGui import QGuiApplication
from PyQt6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from capturestation.errors import StationError
from capturestation.records import StudentId, SwingId
from capturestation.station.desk import Desk, Learnt
from capturestation.station.undo import Step
from capturestation.ui.look import Theme
from capturestation.ui.window import Window
from tests.ui.conftest import MakeWindow, bench_of, book_of

KEY = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


def page(window: Window) -> QWidget | None:
    """The page that is seen."""
    return window.pages.currentWidget()


def press(
    window: Window,
    qtbot: QtBot,
    key: Qt.Key,
    held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
) -> None:
    """Press a key where the keyboard is."""
    qtbot.keyClick(window.focusWidget() or window, key, held)


def test_it_begins_in_the_first_place_with_the_keyboard_in_it(window: Window) -> None:
    assert page(window) is book_of(window)
    assert window.header.places == ("book", "bench")
    assert book_of(window).field.hasFocus()


def test_places_are_reached_by_keys_and_have_the_keyboard_where_they_had_it(
    window: Window, qtbot: QtBot
) -> None:
    book_of(window).list.setFocus()
    press(window, qtbot, KEY.Key_2, CTRL)
    on_bench = page(window)
    press(window, qtbot, KEY.Key_Right)
    press(window, qtbot, KEY.Key_1, CTRL)

    assert on_bench is bench_of(window)
    assert bench_of(window).done == ["next frame"]
    assert book_of(window).list.hasFocus()


def test_every_word_of_the_shell_is_reached_by_tab(window: Window, qtbot: QtBot) -> None:
    reached = set()
    for _ in range(12):
        press(window, qtbot, KEY.Key_Tab)
        focused = window.focusWidget()
        assert focused is not None
        reached.add(focused.accessibleName())

    assert {"Keys and look", "Bench: look at a swing", "find", "Star"} <= reached


def test_who_is_going_to_hit_is_told_to_every_place_and_without_a_bay_one_stays(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(bench_of(window), "take_student", told.append)

    book_of(window).hits.emit(StudentId("student"))

    assert told == ["student"]
    assert window.place is book_of(window)


def test_what_the_book_opens_is_looked_at_on_the_bench(window: Window) -> None:
    book_of(window).opens.emit(SwingId("swing"))

    assert page(window) is bench_of(window)
    assert bench_of(window).looked_at == "swing"


def test_the_sheet_lies_over_the_place_whose_keys_rest_meanwhile(
    window: Window, qtbot: QtBot
) -> None:
    window.go_to("bench")
    press(window, qtbot, KEY.Key_F1)
    over = page(window)
    shown = window.sheet.words_of("bench.next_frame")
    press(window, qtbot, KEY.Key_Right)
    press(window, qtbot, KEY.Key_F1)
    press(window, qtbot, KEY.Key_Right)

    assert over is window.sheet
    assert shown == "→"
    assert page(window) is bench_of(window)
    assert bench_of(window).done == ["next frame"]


def test_a_question_mark_shows_the_sheet_and_escape_puts_it_away(
    window: Window, qtbot: QtBot
) -> None:
    window.go_to("bench")
    press(window, qtbot, KEY.Key_Question)
    over = page(window)
    press(window, qtbot, KEY.Key_Escape)

    assert over is window.sheet
    assert page(window) is bench_of(window)


def test_a_step_is_taken_back_and_done_again_and_said(window: Window, qtbot: QtBot) -> None:
    book = book_of(window)
    book.list.setFocus()
    press(window, qtbot, KEY.Key_S)
    done = list(book.done)
    press(window, qtbot, KEY.Key_Z, CTRL)
    back, said = list(book.done), window.caption.sentence
    press(window, qtbot, KEY.Key_Z, CTRL | SHIFT)

    assert (done, back, book.done) == (["star"], [], ["star"])
    assert said == "Taken back: best."
    assert window.caption.sentence == "Done again: best."
    assert book.refreshed == 2
    assert bench_of(window).refreshed == 2


def test_with_nothing_to_take_back_it_says_so(window: Window, qtbot: QtBot) -> None:
    book_of(window).list.setFocus()
    press(window, qtbot, KEY.Key_Z, CTRL)
    undo = window.caption.sentence
    press(window, qtbot, KEY.Key_Y, CTRL)

    assert undo == "Nothing to take back."
    assert window.caption.sentence == "Nothing to do again."


def test_a_step_that_can_t_be_taken_back_is_a_trouble_and_stays(window: Window) -> None:
    def fail() -> None:
        raise StationError("The disk is full.", try_next="Free some space.")

    window.steps.run(Step(words="move", do=lambda: None, undo=fail))

    window.stepping.undo()

    assert [error.what for error in window.troubles.troubles] == ["The disk is full."]
    assert window.steps.undo_words == "move"


def test_a_trouble_of_a_place_is_told_and_escape_reads_it(window: Window, qtbot: QtBot) -> None:
    book_of(window).fail()
    told = window.troubles.troubles
    kept_keyboard = book_of(window).field.hasFocus()
    press(window, qtbot, KEY.Key_Escape)

    assert [error.what for error in told] == ["The swing is gone."]
    assert kept_keyboard
    assert window.troubles.troubles == ()


def test_escape_closes_what_a_place_has_open(window: Window, qtbot: QtBot) -> None:
    window.go_to("bench")
    bench_of(window).open_inside = True

    press(window, qtbot, KEY.Key_Escape)

    assert not bench_of(window).open_inside


def test_a_remote_plays_by_f5_and_escape_in_turn(window: Window, qtbot: QtBot) -> None:
    window.go_to("bench")
    for key in (KEY.Key_Escape, KEY.Key_F5, KEY.Key_Escape, KEY.Key_Escape):
        press(window, qtbot, key)
    press(window, qtbot, KEY.Key_F5, SHIFT)
    press(window, qtbot, KEY.Key_Period)
    press(window, qtbot, KEY.Key_PageDown)

    assert bench_of(window).done == [
        "play by remote",
        "play by remote",
        "play by remote",
        "view by remote",
        "next by remote",
    ]


def test_a_learnt_key_is_heard_shown_and_forgotten_again(window: Window, qtbot: QtBot) -> None:
    window.go_to("bench")
    window.remote.learnt.emit("remote.next", "Right")
    press(window, qtbot, KEY.Key_Right)
    learnt = window.desk_now().learnt()
    window.remote.forgets.emit()
    press(window, qtbot, KEY.Key_Right)

    assert learnt == {"remote.next": ("Right",)}
    assert bench_of(window).done == ["next by remote", "next frame"]
    assert window.desk_now().learnt() == {}


def test_several_keys_of_a_remote_may_mean_the_same(window: Window) -> None:
    window.remote.learnt.emit("remote.play", "F6")
    window.remote.learnt.emit("remote.play", "F7")

    assert window.desk_now().learnt() == {"remote.play": ("F6", "F7")}


def test_letters_and_paper_change_by_keys(window: Window, qtbot: QtBot) -> None:
    press(window, qtbot, KEY.Key_Plus, CTRL)
    larger = window.look.scale
    press(window, qtbot, KEY.Key_Minus, CTRL)
    press(window, qtbot, KEY.Key_D, CTRL)

    assert larger > 1.0
    assert window.look.scale == 1.0
    assert window.look.theme is Theme.DARK


def test_the_whole_screen_comes_and_goes(window: Window, qtbot: QtBot) -> None:
    press(window, qtbot, KEY.Key_F11)
    whole = window.isFullScreen()
    press(window, qtbot, KEY.Key_F11)

    assert whole
    assert not window.isFullScreen()


def test_the_second_screen_shows_the_pictures_of_the_place_that_is_seen(
    window: Window, qtbot: QtBot
) -> None:
    window.go_to("bench")
    press(window, qtbot, KEY.Key_T, CTRL)
    on = window.tv.is_on
    press(window, qtbot, KEY.Key_B, CTRL)

    assert on
    assert window.tv.is_blank
    assert window.caption.sentence == "The second screen is blank."


def test_a_fault_is_told_on_a_page_and_the_program_goes_on(window: Window, qtbot: QtBot) -> None:
    window.go_to("bench")
    window.tell_fault("KeyError ← window.py:1 go_to")
    over = page(window)
    note = window.fault.note.text()
    window.fault.answers[1].click()
    clipboard = QGuiApplication.clipboard()
    press(window, qtbot, KEY.Key_Escape)
    press(window, qtbot, KEY.Key_Right)

    assert over is window.fault
    assert "KeyError ← window.py:1 go_to" in note
    assert clipboard is not None
    assert clipboard.text() == "KeyError ← window.py:1 go_to"
    assert bench_of(window).done == ["next frame"]


def test_how_it_stood_comes_back(make_window: MakeWindow) -> None:
    desk = Desk(
        place="bench",
        theme="light",
        remote=(Learnt(action="remote.next", keys=("Right",)),),
    ).with_place("book", {"done": "7"})

    window = make_window(desk)

    assert page(window) is bench_of(window)
    assert book_of(window).kept_before == {"done": "7"}
    assert [line.keys for line in window.keyboard.lines if line.action == "remote.next"] == [
        ("Right",)
    ]


def test_a_swing_that_is_gone_is_not_looked_at_again(make_window: MakeWindow) -> None:
    window = make_window(Desk(place="bench", swing=SwingId("gone")))

    assert bench_of(window).looked_at is None
    assert window.troubles.troubles == ()


def test_a_place_that_is_no_more_leads_to_the_first(make_window: MakeWindow) -> None:
    assert page(window := make_window(Desk(place="shed"))) is book_of(window)


@pytest.mark.parametrize("key", ["shed", ""])
def test_going_nowhere_stays(window: Window, key: str) -> None:
    window.go_to(key)

    assert page(window) is book_of(window)


def test_before_a_library_is_open_keys_do_no_harm(
    bare_window: MakeWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    window = bare_window()
    window.open(tmp_path / "nothing")
    qtbot.waitUntil(lambda: bool(window.start.page.answers))

    for key in (KEY.Key_1, KEY.Key_2, KEY.Key_Z, KEY.Key_T, KEY.Key_B):
        press(window, qtbot, key, CTRL)
    press(window, qtbot, KEY.Key_Escape)
    press(window, qtbot, KEY.Key_F1)
    press(window, qtbot, KEY.Key_F1)

    assert page(window) is window.start
    assert window.start.page.answers[0].hasFocus()


def test_what_a_place_says_stands_in_the_caption_while_one_is_there(window: Window) -> None:
    window.go_to("bench")
    bench_of(window).stands.emit("Views 3 ms apart.")
    there = window.caption.sentence
    window.go_to("book")
    gone = window.caption.sentence
    bench_of(window).stands.emit("Views 4 ms apart.")

    assert (there, gone, window.caption.sentence) == ("Views 3 ms apart.", "", "")
