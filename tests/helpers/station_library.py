"""A library with a student who said yes, and what lies in it, for tests of the use cases."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from capturestation.library import Library
from capturestation.records import (
    Consent,
    Giver,
    Mark,
    MarkSource,
    Moment,
    Purpose,
    Quiet,
    Student,
    Swing,
)
from capturestation.station import marking, people
from capturestation.station.intake import IntakeRequest, add_swing, with_tempo
from capturestation.swing.marks import with_found
from tests.helpers.bay_files import Pair
from tests.helpers.library_records import DAY

NAME = "Zoë Ångström"
MS = 1_000_000
MORNING = datetime(2026, 10, 30, 9, 0, tzinfo=UTC)


def grown_up(library: Library, name: str = NAME) -> Student:
    """A student of age who said yes to coaching."""
    student = people.add_student(library, name=name, birth_year=1980)
    yes = Consent(purpose=Purpose.COACHING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    return people.answer_consent(library, student.id, yes)


def request_of(student: Student, pair: Pair, hour: int = 0) -> IntakeRequest:
    """A pair of files as a swing of that student, struck on one morning."""
    return IntakeRequest(
        student=student.id,
        files=pair.by_view,
        club="7 iron",
        struck_at=MORNING.replace(hour=9 + hour),
    )


def taken_in(library: Library, student: Student, pair: Pair, hour: int = 0) -> Swing:
    """That swing, kept."""
    return add_swing(library, request_of(student, pair, hour), Quiet())


def everything_in(folder: Path) -> set[str]:
    """All files of a library, and all folders of swings, by their place in it.

    The database's helpers come and go, and an empty folder of a month holds nothing.
    """
    paths = (path for path in folder.rglob("*") if not path.name.startswith("library."))
    return {
        path.relative_to(folder).as_posix()
        for path in paths
        if path.is_file() or len(path.relative_to(folder).parts) > 3
    }


def with_zero(library: Library, swing: Swing) -> Swing:
    """That swing with impact marked at zero, as intake always leaves it, and its tempo."""
    impact = Mark(
        moment=Moment.IMPACT,
        at_ns=0,
        early_ns=-MS,
        late_ns=MS,
        confidence=1.0,
        source=MarkSource.FOUND,
    )
    marks = with_found(swing.book.marks, (impact,))
    return library.save_book(with_tempo(replace(swing.book, marks=marks)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A library that is copied for each test.

    Args:
        folder: Where it lies.
        best: Its first swing: starred, and marked by hand at one moment.
        today: Its last swing.
    """

    folder: Path
    best: Swing
    today: Swing

    def copied(self, to: Path) -> Filled:
        """The same in another folder, for a test to change."""
        return replace(self, folder=Path(shutil.copytree(self.folder, to)))


def fill_with_two(folder: Path, first: Pair, second: Pair) -> Filled:
    """Make a library with two swings of one student, two hours apart."""
    with Library.open(folder) as library:
        student = grown_up(library)
        best = taken_in(library, student, first)
        best = marking.mark_by_hand(library, best, Moment.SHAFT_LEVEL_DOWN, at_ns=-60 * MS)
        best = marking.set_star(library, best, starred=True)
        today = taken_in(library, student, second, hour=2)
    return Filled(folder=folder, best=best, today=today)
