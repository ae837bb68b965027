"""What is done again and again, and what it died of."""

from __future__ import annotations

import threading

import pytest

from capturestation.capture.regular import Regular


class Counted(Regular):
    """Says when it did its thing often enough, then dies if it should."""

    def __init__(self, *, wanted: int, dies: bool = False) -> None:
        super().__init__("counted", 0.001)
        self._left = wanted
        self._dies = dies
        self.done = threading.Event()

    def turn(self) -> None:
        self._left -= 1
        if self._left <= 0:
            self.done.set()
            if self._dies:
                msg = "of a mistake"
                raise ValueError(msg)


def test_it_is_done_again_until_it_is_stopped() -> None:
    counted = Counted(wanted=3)

    counted.start()
    assert counted.done.wait(20)
    counted.stop()

    assert "counted" not in {thread.name for thread in threading.enumerate()}


def test_what_it_died_of_is_said_to_whoever_asks() -> None:
    counted = Counted(wanted=1, dies=True)

    counted.start()
    assert counted.done.wait(20)

    with pytest.raises(RuntimeError, match="the thread counted died") as raised:
        counted.stop()
    assert isinstance(raised.value.__cause__, ValueError)


def test_one_that_was_never_begun_can_be_stopped() -> None:
    counted = Counted(wanted=1)

    counted.stop()

    assert not counted.done.is_set()
