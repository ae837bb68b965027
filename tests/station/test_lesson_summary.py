"""A lesson in a few lines: groups that are never mixed, spread, typical, near and far."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import BallResult, Measured, Result, Swing, SwingKind
from capturestation.station.lesson_summary import Summary, summary_of
from tests.helpers.station_library import Filled

NAMES = ("pelvis turn, top", "chest turn, top", "side tilt, top")


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        for swing, value in ((filled.best, 40.0), (filled.today, 46.0)):
            give(opened, swing, value)
        yield opened


def give(library: Library, swing: Swing, value: float) -> None:
    results = tuple(
        Result(name=name, measured=Measured(value=value, unit="deg", u_random=1.0))
        for name in NAMES
    )
    library.change_book(swing.id, lambda book: replace(book, results=results))


def summed(library: Library, filled: Filled) -> Summary:
    return summary_of(library, filled.today.book.lesson_id)


def test_swings_are_held_against_the_own_best(library: Library, filled: Filled) -> None:
    ball = BallResult(start="left", rating=4)
    library.change_book(filled.today.id, lambda book: replace(book, ball=ball))

    [group] = summed(library, filled).groups

    assert group.best == filled.best.id
    assert group.swings == ((filled.best.id, filled.best.book.ball), (filled.today.id, ball))
    assert group.nearest is not None
    assert group.nearest.swing == filled.today.id
    assert group.nearest.measures == 3
    assert group.farthest is None
    assert group.typical is None
    assert dict(group.points)["pelvis turn, top"].spread == pytest.approx(6 / 2**0.5)


def test_other_clubs_and_kinds_stand_apart_and_drills_are_only_counted(
    library: Library, filled: Filled
) -> None:
    library.change_book(filled.best.id, lambda book: replace(book, club="driver"))
    apart = summed(library, filled)
    library.change_book(filled.best.id, lambda book: replace(book, kind=SwingKind.DRILL))
    drilled = summed(library, filled)

    assert [group.club for group in apart.groups] == ["driver", "7 iron"]
    assert apart.groups[1].best is None
    assert apart.groups[1].nearest is None
    assert [group.club for group in drilled.groups] == ["7 iron"]
    assert drilled.left_out == 1


def test_a_lesson_that_is_not_there_is_said(library: Library) -> None:
    with pytest.raises(NotFoundError):
        summary_of(library, "zzzzzzzzzzzz")
