"""Changes are written one after another, in the order in which they were made."""

from __future__ import annotations

import threading

from pytestqt.qtbot import QtBot

from capturestation.errors import NotFoundError, StationError
from capturestation.records import Swing
from capturestation.ui.bench.saving import Saver
from tests.helpers.made_swings import made_swing


def test_what_was_done_first_is_written_first(qtbot: QtBot) -> None:
    written: list[str] = []
    answers: list[Swing] = []
    gate = threading.Event()
    saver = Saver()
    saver.saved.connect(answers.append)

    def write(name: str, *, waits: bool = False) -> Swing:
        if waits:
            assert gate.wait(10)
        written.append(name)
        return made_swing(name)

    saver.save(lambda: write("first", waits=True))
    saver.save(lambda: write("second"))
    gate.set()
    qtbot.waitUntil(lambda: not saver.is_busy)

    assert written == ["first", "second"]
    assert [swing.id for swing in answers] == ["second"]


def test_after_a_failure_the_rest_is_written(qtbot: QtBot) -> None:
    told: list[StationError] = []
    answers: list[Swing] = []
    saver = Saver()
    saver.trouble.connect(told.append)
    saver.saved.connect(answers.append)

    def fail() -> Swing:
        raise NotFoundError("Gone.", try_next="Look elsewhere.")

    saver.save(fail)
    saver.save(lambda: made_swing("second"))
    qtbot.waitUntil(lambda: bool(answers))

    assert [type(error) for error in told] == [NotFoundError]
