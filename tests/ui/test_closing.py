"""Closing while work is under way: finish, stop or stay, each as it says."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from capturestation.records import Watch
from capturestation.ui.asking import AskPage
from capturestation.ui.closing import Closing, Wish
from capturestation.ui.look import Look
from capturestation.ui.work import Workers


class Desk:
    """A job under way, and what closing says about it."""

    def __init__(self, workers: Workers, look: Look) -> None:
        self.go, self.begun = threading.Event(), threading.Event()
        self.told: list[object] = []
        self.workers, self.page, self.closing = workers, AskPage(look), Closing(workers)
        self.closing.settled.connect(lambda stopped: self.told.append(("settled", stopped)))
        self.closing.stays.connect(lambda: self.told.append("stays"))

    def begin(self) -> None:
        """Begin the job."""
        self.workers.run("Making the clip", self._op, self.told.append, self._failed)
        assert self.begun.wait(10)

    def _op(self, watch: Watch) -> str:
        self.begun.set()
        self.go.wait(10)
        watch.report(0.5, "on")
        return "done"

    def _failed(self, error: Exception) -> None:
        self.told.append(type(error).__name__)

    def answer(self, number: int) -> None:
        """Press an answer."""
        self.page.answers[number].click()


@pytest.fixture
def desk(workers: Workers, look: Look, qtbot: QtBot) -> Iterator[Desk]:
    made = Desk(workers, look)
    qtbot.addWidget(made.page)
    made.page.show()
    yield made
    made.go.set()


def test_without_work_it_may_close(desk: Desk) -> None:
    assert desk.closing.may_close()


def test_with_work_it_asks_and_names_the_work(desk: Desk) -> None:
    desk.begin()

    desk.closing.ask(desk.page)

    assert not desk.closing.may_close()
    assert desk.page.text.text().startswith("Making the clip.")
    assert [made.text() for made in desk.page.answers] == [
        "Finish it, then close",
        "Stop it and close",
        "Stay",
    ]


def test_finish_waits_for_the_answer_and_then_closes(desk: Desk, qtbot: QtBot) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.answer(0)
    waiting = desk.page.title.text()
    desk.go.set()
    qtbot.waitUntil(lambda: len(desk.told) == 2)

    assert waiting == "Closes when it is done."
    assert desk.told == ["done", ("settled", False)]
    assert not desk.closing.is_under_way


def test_stop_stops_it_and_then_closes(desk: Desk, qtbot: QtBot) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.answer(1)
    desk.go.set()
    qtbot.waitUntil(lambda: len(desk.told) == 2)

    assert desk.told == ["CancelledError", ("settled", True)]


def test_stay_lets_the_work_go_on(desk: Desk, qtbot: QtBot) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.answer(2)
    desk.go.set()
    qtbot.waitUntil(lambda: len(desk.told) == 2)

    assert desk.told == ["stays", "done"]
    assert desk.closing.wish is Wish.NONE


def test_finishing_can_still_be_thought_better_of(desk: Desk, qtbot: QtBot) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.answer(0)
    desk.answer(0)
    desk.go.set()
    qtbot.waitUntil(lambda: len(desk.told) == 2)

    assert desk.told == ["stays", "done"]


def test_work_that_ends_before_the_answer_takes_the_question_away(desk: Desk, qtbot: QtBot) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.go.set()
    qtbot.waitUntil(lambda: len(desk.told) == 2)

    assert desk.told == ["done", "stays"]


def test_asked_twice_the_first_answer_stands(desk: Desk) -> None:
    desk.begin()
    desk.closing.ask(desk.page)
    desk.answer(0)

    desk.closing.ask(desk.page)

    assert desk.closing.wish is Wish.FINISH


def test_a_trifle_is_not_asked_about(desk: Desk, workers: Workers) -> None:
    desk.begin()

    assert Closing(workers, lambda job: job.words == "Making the clip").may_close()
