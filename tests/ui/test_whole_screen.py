"""Pictures alone on the whole screen, and everything as it stood after."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.ui.window import Window
from tests.ui.conftest import bench_of


def seen(window: Window) -> tuple[bool, bool, bool]:
    """The whole screen, the header, the caption."""
    return window.isFullScreen(), window.header.isVisible(), window.caption.isVisible()


def test_the_pictures_fill_the_screen_and_give_it_back(window: Window) -> None:
    window.go_to("bench")
    bench_of(window).bare.emit(True)
    alone = seen(window)
    bench_of(window).bare.emit(False)

    assert alone == (True, False, False)
    assert seen(window) == (False, True, True)


def test_a_window_on_the_whole_screen_stays_there(window: Window) -> None:
    window.go_to("bench")
    window.whole_screen.toggle()
    bench_of(window).bare.emit(True)
    bench_of(window).bare.emit(False)

    assert seen(window) == (True, True, True)


def test_what_is_asked_or_looked_up_meanwhile_has_its_frame(window: Window, qtbot: QtBot) -> None:
    window.go_to("bench")
    bench_of(window).bare.emit(True)
    window.show_sheet()
    over = seen(window)
    window.leave_over()

    assert over == (True, True, True)
    assert seen(window) == (True, False, False)


def test_who_goes_to_another_place_finds_all_of_it(window: Window) -> None:
    window.go_to("bench")
    bench_of(window).bare.emit(True)
    window.go_to("book")

    assert seen(window) == (False, True, True)


def test_the_key_of_the_whole_screen_leaves_the_pictures_too(window: Window) -> None:
    window.go_to("bench")
    bench_of(window).bare.emit(True)
    window.whole_screen.toggle()

    assert seen(window) == (False, True, True)
