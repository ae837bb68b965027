"""Closing the window: how it stands is kept, work is asked about, nothing is left open."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import SwingId, Watch
from capturestation.station.desk import Desk, read_desk
from capturestation.ui.look import Theme
from capturestation.ui.window import Window
from tests.ui.conftest import MakeWindow, bench_of, book_of


class Held:
    """Work that goes on until it is let go."""

    def __init__(self) -> None:
        self.go, self.begun = threading.Event(), threading.Event()
        self.fails = False

    def __call__(self, watch: Watch) -> str:
        self.begun.set()
        self.go.wait(10)
        watch.report(0.5, "on")
        if self.fails:
            raise NotFoundError("The file is gone.", try_next="Plug the card in.")
        return "The clip is made."


@pytest.fixture
def held() -> Iterator[Held]:
    made = Held()
    yield made
    made.go.set()


def state_of(tmp_path: Path) -> Desk:
    """What was kept."""
    return read_desk(tmp_path / "state" / "window.json").desk


def begin(window: Window, held: Held) -> None:
    """Begin work and try to close."""
    book_of(window).work(held)
    assert held.begun.wait(10)
    window.close()


def test_how_it_stands_is_kept(window: Window, tmp_path: Path) -> None:
    window.resize(1100, 640)
    window.go_to("bench")
    bench_of(window).look_at(SwingId("swing"))
    window.look.choose(Theme.DARK)
    window.look.enlarge(1.5)
    window.tv.show()
    window.remote.learnt.emit("remote.next", "Right")

    window.close()

    kept = state_of(tmp_path)
    assert (kept.place, kept.swing) == ("bench", "swing")
    assert (kept.theme, kept.scale, kept.tv) == ("dark", 1.5, True)
    assert (kept.width_px, kept.height_px) == (1100, 640)
    assert kept.learnt() == {"remote.next": ("Right",)}
    assert kept.of_place("book") == {"done": "0"}


def test_nothing_is_left_open(window: Window, folder: Path) -> None:
    window.tv.show()

    window.close()

    with Library.open(folder) as library:
        assert library._turn.path.exists()
    assert not window.tv.is_on


def test_a_state_that_can_t_be_written_does_not_keep_it_open(
    window: Window, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "state").write_text("a file where the folder should be", encoding="utf-8")

    assert window.close()
    assert "was not kept: OutputError" in caplog.text


def test_with_work_under_way_it_asks_and_stays_open(window: Window, held: Held) -> None:
    begin(window, held)

    assert window.isVisible()
    assert window.pages.currentWidget() is window.question


def test_finish_closes_when_it_is_done(window: Window, held: Held, qtbot: QtBot) -> None:
    begin(window, held)
    window.question.answers[0].click()
    still_open = window.isVisible()
    held.go.set()
    qtbot.waitUntil(lambda: not window.isVisible())

    assert still_open


def test_finished_work_that_failed_is_read_first(window: Window, held: Held, qtbot: QtBot) -> None:
    held.fails = True
    begin(window, held)
    window.question.answers[0].click()
    held.go.set()
    qtbot.waitUntil(lambda: bool(window.troubles.troubles))
    qtbot.waitUntil(lambda: window.pages.currentWidget() is book_of(window))

    assert window.isVisible()
    assert [error.what for error in window.troubles.troubles] == ["The file is gone."]


def test_stop_stops_and_closes(window: Window, held: Held, qtbot: QtBot) -> None:
    begin(window, held)
    window.question.answers[1].click()
    held.go.set()

    qtbot.waitUntil(lambda: not window.isVisible())


def test_stay_and_escape_go_back_to_the_place(window: Window, held: Held) -> None:
    begin(window, held)
    window.question.answers[2].click()
    after_stay = window.pages.currentWidget()
    window.close()
    window.leave()

    assert after_stay is book_of(window)
    assert window.pages.currentWidget() is book_of(window)
    assert window.isVisible()
    assert not window.closing.is_under_way


def test_a_folder_that_was_chosen_is_kept_and_one_that_was_asked_for_is_not(
    make_window: MakeWindow, folder: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    window = make_window()
    asked_for = window.desk_now().library
    window.start.chose.emit(folder)
    window.close()

    assert asked_for == ""
    assert state_of(tmp_path).library == str(folder)


def test_closing_while_the_library_opens_asks_nothing(
    bare_window: MakeWindow, folder: Path
) -> None:
    window = bare_window()
    window.open(folder)
    closed = window.close()

    assert closed
    assert window.places == {}
    with Library.open(folder) as library:
        assert library.folder == folder


def test_what_was_done_is_written_before_it_closes(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = bench_of(window)
    writing = [True]
    monkeypatch.setattr(type(bench), "is_writing", property(lambda _self: writing[0]))
    window.close()
    stayed = window.isVisible()
    writing[0] = False

    qtbot.waitUntil(lambda: not window.isVisible())
    assert stayed


def test_what_could_not_be_written_is_read_before_it_closes(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = bench_of(window)
    writing = [True]
    monkeypatch.setattr(type(bench), "is_writing", property(lambda _self: writing[0]))
    window.close()
    bench.trouble.emit(NotFoundError("The disk is gone.", try_next="Plug it in."))
    writing[0] = False
    qtbot.waitUntil(lambda: not window.is_closing)

    assert window.isVisible()
    assert [error.what for error in window.troubles.troubles] == ["The disk is gone."]
