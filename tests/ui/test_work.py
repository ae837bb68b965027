"""Work runs beside the window and its answer comes back on the window's thread."""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator
from weakref import ref

import pytest
from PyQt6 import sip
from PyQt6.QtCore import QObject
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from capturestation.errors import CancelledError, NotFoundError, StationError
from capturestation.records import Watch
from capturestation.ui.work import Workers


@pytest.fixture
def workers(qtbot: QtBot) -> Iterator[Workers]:
    made = Workers()
    yield made
    made.close()


def test_an_answer_comes_back_on_the_window_s_thread(workers: Workers, qtbot: QtBot) -> None:
    answers: list[tuple[str, threading.Thread]] = []
    threads: list[threading.Thread] = []

    def op(watch: Watch) -> str:
        threads.append(threading.current_thread())
        watch.report(0.5, "half")
        return "done"

    job = workers.run(
        "test", op, lambda word: answers.append((word, threading.current_thread())), _unwanted
    )
    qtbot.waitUntil(lambda: bool(answers))

    assert answers == [("done", threading.main_thread())]
    assert threads[0] is not threading.main_thread()
    assert job.is_over
    assert workers.jobs == ()


def test_an_error_of_the_station_is_handed_over(workers: Workers, qtbot: QtBot) -> None:
    errors: list[StationError] = []

    def op(_watch: Watch) -> None:
        raise NotFoundError("Nothing there.", try_next="Look elsewhere.")

    workers.run("test", op, _unwanted, errors.append)
    qtbot.waitUntil(lambda: bool(errors))

    assert isinstance(errors[0], NotFoundError)


class Picture:
    """Stands for what a job holds while it is at work."""


def test_a_job_that_fails_lets_go_of_what_it_held(workers: Workers, qtbot: QtBot) -> None:
    errors: list[StationError] = []
    held: list[ref[Picture]] = []

    def op(_watch: Watch) -> None:
        picture = Picture()
        held.append(ref(picture))
        raise NotFoundError("Nothing there.", try_next="Look elsewhere.")

    # Without Python looking for rings: what was held may be large.
    gc.disable()
    try:
        workers.run("test", op, _unwanted, errors.append)
        qtbot.waitUntil(lambda: bool(errors))
        is_gone = held[0]() is None
    finally:
        gc.enable()

    assert is_gone


def test_a_job_asked_to_stop_is_cancelled(workers: Workers, qtbot: QtBot) -> None:
    errors: list[StationError] = []
    asked = threading.Event()

    def op(watch: Watch) -> None:
        asked.wait(10)
        watch.report(0.1, "on")

    job = workers.run("test", op, _unwanted, errors.append)
    job.stop()
    asked.set()
    qtbot.waitUntil(lambda: bool(errors))

    assert isinstance(errors[0], CancelledError)


def test_a_bug_goes_to_the_hook_that_tells_all_bugs(
    workers: Workers, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[type[BaseException]] = []
    monkeypatch.setattr("sys.excepthook", lambda kind, _error, _trace: told.append(kind))

    def op(_watch: Watch) -> None:
        raise ZeroDivisionError

    workers.run("test", op, _unwanted, _unwanted)
    qtbot.waitUntil(lambda: bool(told))

    assert told == [ZeroDivisionError]
    assert workers.jobs == ()


def test_progress_is_told(workers: Workers, qtbot: QtBot) -> None:
    told: list[tuple[float, str]] = []
    begin = threading.Event()

    def op(watch: Watch) -> None:
        begin.wait(10)
        watch.report(0.25, "a quarter")

    job = workers.run("test", op, lambda _none: None, _unwanted)
    job.moved.connect(lambda share, words: told.append((share, words)))
    begin.set()
    qtbot.waitUntil(lambda: job.is_over)

    assert told == [(0.25, "a quarter")]


class Late:
    """Work that has begun and answers when it is let go."""

    def __init__(self) -> None:
        self.begun, self.go = threading.Event(), threading.Event()

    def __call__(self, _watch: Watch) -> str:
        self.begun.set()
        self.go.wait(10)
        return "late"


def test_an_answer_that_comes_after_the_end_is_dropped(qapp: QApplication) -> None:
    workers = Workers()
    late = Late()
    job = workers.run("test", late, _unwanted, _unwanted)
    assert late.begun.wait(10)
    late.go.set()
    workers.close()
    qapp.processEvents()

    assert workers.jobs == ()
    assert not job.is_over


def test_an_answer_that_comes_when_its_owner_is_gone_is_dropped(qapp: QApplication) -> None:
    owner = QObject()
    workers = Workers(owner)
    late = Late()
    job = workers.run("test", late, _unwanted, _unwanted)
    assert late.begun.wait(10)
    sip.delete(owner)
    late.go.set()
    workers._pool.shutdown(wait=True)
    qapp.processEvents()

    assert sip.isdeleted(workers)
    assert workers.jobs == ()
    assert not job.is_over


def test_whoever_hears_of_a_job_misses_none_of_its_reports(workers: Workers, qtbot: QtBot) -> None:
    told: list[float] = []

    def listen() -> None:
        for job in workers.jobs:
            job.moved.connect(lambda share, _words: told.append(share))

    def op(watch: Watch) -> None:
        watch.report(0.5, "at once")

    workers.changed.connect(listen)
    job = workers.run("test", op, lambda _none: None, _unwanted)
    qtbot.waitUntil(lambda: job.is_over)

    assert told == [0.5]


def _unwanted(answer: object) -> None:
    msg = f"not expected here: {answer!r}"
    raise AssertionError(msg)
