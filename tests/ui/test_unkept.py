"""What is written and isn't kept is asked about before the window closes."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from capturestation.ui.window import Window
from tests.ui.conftest import bench_of, book_of


@pytest.fixture
def unkept(window: Window, monkeypatch: pytest.MonkeyPatch) -> Window:
    """A window whose Book has a page that isn't kept, while one is at the Bench."""
    monkeypatch.setattr(type(book_of(window)), "unkept", "Page of Zoë")
    window.go_to("bench")
    return window


def test_it_names_what_is_not_kept_and_staying_leads_there(unkept: Window) -> None:
    unkept.close()
    asked = unkept.question.text.text()
    unkept.question.answers[0].click()

    assert asked == "Page of Zoë. It is lost if the window closes now."
    assert unkept.isVisible()
    assert unkept.place is book_of(unkept)
    assert unkept.pages.currentWidget() is book_of(unkept)


def test_it_closes_when_it_may_be_lost(unkept: Window) -> None:
    unkept.close()
    unkept.question.answers[1].click()

    assert not unkept.isVisible()


def test_leaving_the_question_stays_and_asks_again(unkept: Window) -> None:
    unkept.close()
    unkept.leave()
    stayed = unkept.pages.currentWidget()
    unkept.close()

    assert stayed is bench_of(unkept)
    assert unkept.pages.currentWidget() is unkept.question


def test_work_that_goes_on_after_all_has_it_asked_again(unkept: Window, qtbot: QtBot) -> None:
    unkept.close()
    book_of(unkept).work(lambda _watch: "done")
    unkept.question.answers[1].click()
    if unkept.closing.is_under_way:
        unkept.closing.stay()
    qtbot.waitUntil(lambda: not unkept.workers.jobs)
    unkept.close()

    assert unkept.isVisible()


def test_what_is_kept_without_being_asked_is_kept_first(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = book_of(window)
    monkeypatch.setattr(type(book), "keep_typed", lambda self: self.done.append("kept"))

    window.close()

    assert book.done == ["kept"]
    assert not window.isVisible()
