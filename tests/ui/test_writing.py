"""What is written beside the window is written in its order and tells on the window's thread."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import OutputError, StationError
from capturestation.station.undo import Step, UndoList
from capturestation.ui.writing import Write, Writer, beside

FULL = OutputError("The disk is full.", try_next="Make room.")


class Wrote:
    """A writer, and what came of what it was asked for.

    Args:
        qtbot: Waits.
    """

    def __init__(self, qtbot: QtBot) -> None:
        self.writer = Writer()
        self.told: list[str] = []
        self.threads: dict[str, threading.Thread] = {}
        self.gate = threading.Event()
        self._qtbot = qtbot

    def ask(self, name: str, error: StationError | None = None) -> None:
        """Have something written that waits at the gate."""

        def op() -> None:
            self.threads[name] = threading.current_thread()
            assert self.gate.wait(10)
            if error is not None:
                raise error

        def begin() -> Write:
            self.told.append(f"begin {name}")
            return Write(op=op, done=lambda: self._tell(name), failed=lambda e: self._tell(str(e)))

        self.writer.add(begin)

    def _tell(self, words: str) -> None:
        assert threading.current_thread() is threading.main_thread()
        self.told.append(words)

    def settle(self) -> None:
        """Open the gate and wait until all is written."""
        self.gate.set()
        self._qtbot.waitUntil(lambda: not self.writer.is_busy)


@pytest.fixture
def wrote(qtbot: QtBot) -> Iterator[Wrote]:
    made = Wrote(qtbot)
    yield made
    made.gate.set()
    made.writer.close()


def test_each_begins_when_the_one_before_is_written(wrote: Wrote) -> None:
    wrote.ask("one")
    wrote.ask("two")
    before = list(wrote.told)
    is_busy = wrote.writer.is_busy
    wrote.settle()

    assert is_busy
    assert before == ["begin one"]
    assert wrote.told == ["begin one", "one", "begin two", "two"]
    assert threading.main_thread() not in wrote.threads.values()


def test_what_fails_is_told_and_the_next_is_written(wrote: Wrote) -> None:
    wrote.ask("one", FULL)
    wrote.ask("two")
    wrote.settle()

    assert wrote.told == ["begin one", str(FULL), "begin two", "two"]


def test_nothing_to_be_written_lets_the_next_begin(wrote: Wrote) -> None:
    wrote.writer.add(lambda: None)
    wrote.ask("one")
    wrote.settle()

    assert wrote.told == ["begin one", "one"]


def test_closed_it_has_written_what_it_began_and_begins_nothing_more(wrote: Wrote) -> None:
    wrote.ask("one")
    wrote.ask("two")
    wrote.gate.set()

    wrote.writer.close()

    assert set(wrote.threads) == {"one"}
    assert wrote.told == ["begin one"]


def test_a_step_that_was_done_beside_the_window_is_only_noted() -> None:
    done: list[str] = []
    step = beside(
        Step(words="star", do=lambda: done.append("do"), undo=lambda: done.append("undo"))
    )
    steps = UndoList()

    step.doing.run()
    step.doing.take_note()
    steps.run(step)
    noted = list(done)
    steps.undo()
    steps.redo()

    assert noted == ["do"]
    assert done == ["do", "undo", "do"]
    assert steps.undo_words == "star"
