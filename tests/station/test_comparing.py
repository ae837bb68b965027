from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.library import Library
from capturestation.records import (
    NS_PER_S,
    CalibrationRow,
    Measured,
    Moment,
    Result,
    Student,
    Swing,
    SwingKind,
    new_id,
)
from capturestation.station import comparing, marking
from capturestation.station.finding import latest, latest_or
from capturestation.station.intake import with_tempo
from tests.helpers.library_records import STRUCK, a_lesson, a_struck_swing, a_student, keep
from tests.helpers.station_library import with_zero

MS = 1_000_000


class Bay:
    """Keeps swings whose moments are marked by hand; their files are no videos."""

    def __init__(self, library: Library, student: Student, folder: Path) -> None:
        self.library = library
        self.folder = folder
        self.lesson = library.add_lesson(a_lesson(student))
        self.count = 0

    def struck(self, *, back_ms: int = 800, kind: SwingKind = SwingKind.FULL) -> Swing:
        """The next swing, an hour after the one before."""
        when = STRUCK + timedelta(hours=self.count)
        self.count += 1
        swing = keep(self.library, a_struck_swing(self.folder, self.lesson, struck_at=when))
        marked = marking.mark_by_hand(
            self.library,
            with_zero(self.library, swing),
            Moment.CLUB_STARTS,
            at_ns=(-260 - back_ms) * MS,
        )
        return marking.change_swing(
            self.library, marked, club=None, kind=kind, notes=None, ball=marked.book.ball
        )

    def starred(self, swing: Swing) -> Swing:
        """That swing, a best."""
        return marking.set_star(self.library, swing, starred=True)


@pytest.fixture
def bay(library: Library, tmp_path: Path) -> Bay:
    """A lesson without a swing."""
    return Bay(library, library.add_student(a_student()), tmp_path / "originals")


def back_of(found: comparing.Comparison) -> comparing.ChangeRow:
    return next(change for change in found.changes if change.name == "time back")


def row_of(rows: Iterable[comparing.MomentRow], moment: Moment) -> comparing.MomentRow:
    return next(row for row in rows if row.moment is moment)


def test_the_latest_swing_is_the_one_struck_last_not_the_one_added_last(
    bay: Bay, library: Library
) -> None:
    bay.count = 5
    later = bay.struck()
    bay.count = 0
    bay.struck()

    assert latest(library) == later
    assert latest_or(library, "Latest") == later


def test_the_latest_swing_is_found_behind_many_lessons_without_one(
    bay: Bay, library: Library
) -> None:
    swing = bay.struck()
    for days in range(25):
        library.add_lesson(
            a_lesson(library.student(swing.book.student_id), STRUCK.date() + timedelta(days=days))
        )

    assert latest(library) == swing


def test_an_empty_library_has_no_latest_swing(library: Library) -> None:
    with pytest.raises(NotFoundError, match="no swing yet"):
        latest(library)


def test_a_swing_is_laid_beside_the_latest_best_of_its_kind(bay: Bay, library: Library) -> None:
    bay.starred(bay.struck())
    best = bay.starred(bay.struck())
    bay.starred(bay.struck(kind=SwingKind.PART))
    now = bay.struck()

    found = comparing.compare(library, "latest", None)

    assert (found.now, found.then, found.label) == (now, best, "own best")


def test_without_a_star_the_first_swing_of_the_lesson_stands_in(bay: Bay, library: Library) -> None:
    first = bay.struck()
    bay.struck()
    bay.struck()

    found = comparing.compare(library, "latest", None)

    assert (found.then, found.label) == (first, "first of today")


def test_a_swing_may_be_chosen_by_hand_and_be_the_latest(bay: Bay, library: Library) -> None:
    first, second = bay.struck(), bay.struck()

    found = comparing.compare(library, first.id, "latest")

    assert (found.now, found.then, found.label) == (first, second, "chosen")


def test_each_moment_has_a_row_and_says_what_is_missing(bay: Bay, library: Library) -> None:
    first, second = bay.struck(back_ms=800), bay.struck(back_ms=900)
    second = marking.mark_absent(library, second, Moment.SHAFT_LEVEL_DOWN)

    rows = comparing.compare(library, second.id, first.id).rows

    assert [row.moment for row in rows] == list(Moment)
    starts = row_of(rows, Moment.CLUB_STARTS)
    assert (starts.now_ns, starts.then_ns, starts.said) == (-1_160 * MS, -1_060 * MS, "")
    slowest = second.facts.recordings[0].rate_hz
    assert slowest is not None
    assert starts.now_within_ns == starts.then_within_ns == round(NS_PER_S / slowest / 2)
    impact = row_of(rows, Moment.IMPACT)
    assert (impact.now_ns, impact.now_within_ns) == (0, 2 * max(s.u_ns for s in second.book.syncs))
    level = row_of(rows, Moment.SHAFT_LEVEL_DOWN)
    assert level.said == "now: does not occur, then: not marked"


def test_a_longer_time_back_is_a_change_only_beyond_the_players_own_spread(
    bay: Bay, library: Library
) -> None:
    for back_ms in (800, 1_100, 790, 1_105, 950):
        bay.struck(back_ms=back_ms)
    bay.starred(bay.struck(back_ms=800))
    bay.struck(back_ms=1_000)
    within = back_of(comparing.compare(library, "latest", None))
    bay.struck(back_ms=1_600)

    beyond = back_of(comparing.compare(library, "latest", None))

    assert within.difference == pytest.approx(0.2)
    assert (within.words, within.note) == ("no clear change", "")
    assert beyond.difference == pytest.approx(0.8)
    assert beyond.is_clear


@pytest.mark.parametrize(
    ("calibrated_h", "camera", "shared"),
    [
        (None, "left webcam", True),
        (-1.0, "left webcam", True),
        (0.5, "left webcam", False),
        (0.5, "another", True),
    ],
)
def test_errors_of_the_set_up_cancel_only_where_the_set_up_was_the_same(
    bay: Bay, library: Library, calibrated_h: float | None, camera: str, shared: bool
) -> None:
    swings = [bay.struck(), bay.struck()]
    tempo = Measured(value=3.0, unit="ratio", u_random=0.3, u_systematic=0.4)
    for swing in swings:
        results = (Result(name="with a share", measured=tempo),)
        library.save_book(replace(swing.book, results=results))
    if calibrated_h is not None:
        since = STRUCK + timedelta(hours=calibrated_h)
        library.add_calibration(
            CalibrationRow(id=new_id(), camera=camera, valid_from=since, document="{}")
        )

    found = comparing.compare(library, swings[1].id, swings[0].id).changes[0]

    systematic = 0.0 if shared else 0.4
    assert found.u == pytest.approx(math.sqrt(2) * math.hypot(0.3, systematic))


def test_with_few_swings_it_is_said_that_the_spread_is_not_known(
    bay: Bay, library: Library
) -> None:
    bay.struck(back_ms=800)
    bay.struck(back_ms=1_400)

    found = comparing.compare(library, "latest", None)

    back = back_of(found)
    assert back.is_clear
    assert back.words.startswith("longer by 0.60")
    assert "5 other swings like these, and 0 are measured" in back.note


def test_a_measure_that_one_swing_lacks_is_left_out_and_said(bay: Bay, library: Library) -> None:
    first, second = bay.struck(), bay.struck()
    bare = marking.clear_mark(library, first, Moment.CLUB_STARTS)
    assert with_tempo(bare.book) == bare.book

    found = comparing.compare(library, second.id, first.id)

    assert {change.name for change in found.changes} == {"time down", "tempo"}
    assert "then, time back: 'club starts' is not marked." in found.said


def test_swings_that_must_not_be_compared_are_refused(bay: Bay, library: Library) -> None:
    first = bay.struck()
    part = bay.struck(kind=SwingKind.PART)

    with pytest.raises(ComparisonRefusedError, match="differ in kind"):
        comparing.compare(library, part.id, first.id)
    with pytest.raises(ComparisonRefusedError, match="with itself"):
        comparing.compare(library, part.id, "latest")
    with pytest.raises(ComparisonRefusedError, match="No best of this club and kind"):
        comparing.compare(library, part.id, None)


def test_the_plain_form_names_both_swings_in_short(bay: Bay, library: Library) -> None:
    first, second = bay.struck(), bay.struck()

    plain = comparing.plain(comparing.compare(library, second.id, first.id))

    assert isinstance(plain["now"], dict)
    assert plain["now"]["id"] == second.id
    assert "marks" not in plain["now"]


def test_clear_changes_come_with_what_the_lesson_works_on_first() -> None:
    one = Measured(value=1.0, unit="deg", u_random=0.1)
    rows = [
        comparing.ChangeRow(
            name=name, now=one, then=one, difference=1.0, u=0.1, is_clear=is_clear, words=name
        )
        for name, is_clear in (
            ("chest turn, top", True),
            ("head up, top", False),
            ("pelvis turn, impact", True),
        )
    ]

    found = comparing.clear_changes(rows, ["pelvis square by lead arm level on the way down"])

    assert [row.name for row in found] == ["pelvis turn, impact", "chest turn, top"]
