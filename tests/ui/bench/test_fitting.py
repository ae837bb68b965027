"""Pictures are fitted to golfer and club a while after a swing was opened."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.errors import NotReadableError
from capturestation.records import Box, Swing, View, Watch
from capturestation.station.bench.reach import Reaches
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.fitting import Fitter
from tests.helpers.seen_swings import seen_swing, then_swing

BOX = Box(left=0.2, top=0.1, right=0.6, bottom=0.9)


class Known(Reaches):
    """Knows one box without looking, once it is let."""

    def __init__(self) -> None:
        super().__init__(lambda _swing, _view: Path(), lambda _swing: Path())
        self.let = threading.Event()
        self.asked: list[list[str]] = []
        self.refuses = False

    def boxes(self, swings: Iterable[Swing], watch: Watch) -> Mapping[View, Box]:
        self.asked.append([str(swing.id) for swing in swings])
        assert self.let.wait(10)
        watch.report(0.5, "looking")
        if self.refuses:
            raise NotReadableError("It can't be read.", try_next="Record it again.")
        return {View.FACE_ON: BOX}


@pytest.fixture
def known() -> Known:
    return Known()


@pytest.fixture
def fitter(qtbot: QtBot, known: Known) -> Iterator[Fitter]:
    made = Fitter(BenchState(), known)
    yield made
    known.let.set()
    made.close_fitting()


def settled(fitter: Fitter, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not fitter.is_busy)


def test_both_swings_are_looked_at_once_and_then_fitted(
    fitter: Fitter, known: Known, qtbot: QtBot
) -> None:
    known.let.set()
    fitter.state.open_now(seen_swing())
    fitter.state.open_then(then_swing())
    settled(fitter, qtbot)

    assert known.asked == [["now", "then"]]
    assert fitter.state.boxes == {View.FACE_ON: BOX}


def test_a_swing_that_is_exchanged_meanwhile_is_fitted_no_more(
    fitter: Fitter, known: Known, qtbot: QtBot
) -> None:
    fitter.state.open_now(seen_swing())
    qtbot.waitUntil(lambda: len(known.asked) == 1)
    fitter.state.close()
    qtbot.waitUntil(lambda: not fitter._soon.isActive())
    known.let.set()
    settled(fitter, qtbot)

    assert fitter.state.boxes == {}


def test_what_can_not_be_read_stays_whole_and_is_not_told(
    fitter: Fitter, known: Known, qtbot: QtBot
) -> None:
    known.refuses = True
    known.let.set()
    fitter.state.open_now(seen_swing())
    settled(fitter, qtbot)

    assert fitter.state.boxes == {}


def test_closed_it_looks_no_more(fitter: Fitter, known: Known) -> None:
    fitter.close_fitting()
    fitter.state.open_now(seen_swing())

    assert not fitter.is_busy
    assert known.asked == []
