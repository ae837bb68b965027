from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import (
    BadInputError,
    CancelledError,
    ComparisonRefusedError,
    MarkRefusedError,
    RefusedError,
    StationError,
)
from capturestation.library import Library
from capturestation.records import (
    BallResult,
    MarkSource,
    Moment,
    Quiet,
    StopAfter,
    Student,
    Swing,
    SwingKind,
    View,
)
from capturestation.station import marking
from tests.helpers.bay_files import Pair
from tests.helpers.library_records import fill
from tests.helpers.station_library import taken_in, with_zero

MS = 1_000_000
Change = Callable[[Library, Swing], Swing]


@pytest.fixture
def swing(library: Library, tmp_path: Path) -> Swing:
    """A kept swing with a hand's mark at the top; its files are no videos."""
    return with_zero(library, fill(library, tmp_path / "originals").swing)


def times(swing: Swing) -> dict[Moment, int | None]:
    return {mark.moment: mark.at_ns for mark in marking.effective(swing.book)}


def test_a_mark_by_hand_counts_and_is_kept(library: Library, swing: Swing) -> None:
    marked = marking.mark_by_hand(library, swing, Moment.CLUB_STARTS, at_ns=-1_000 * MS, u_ns=MS)

    mark = marking.effective(marked.book)[0]
    assert (mark.moment, mark.source) == (Moment.CLUB_STARTS, MarkSource.HAND)
    assert (mark.early_ns, mark.at_ns, mark.late_ns) == (-1_001 * MS, -1_000 * MS, -999 * MS)
    assert library.swing(swing.id) == marked


def test_a_mark_in_no_recording_is_refused_with_their_span(library: Library, swing: Swing) -> None:
    with pytest.raises(MarkRefusedError, match="lies in no recording") as refused:
        marking.mark_by_hand(library, swing, Moment.CLUB_STARTS, at_ns=-31_000 * MS)

    assert "The recordings run from" in refused.value.try_next
    assert library.swing(swing.id) == swing


def test_half_a_frame_is_the_error_unless_told(library: Library, swing: Swing) -> None:
    marked = marking.mark_by_hand(library, swing, Moment.CLUB_STARTS, at_ns=-1_000 * MS)

    mark = marking.effective(marked.book)[0]
    assert mark.late_ns == -1_000 * MS + round(1_001 / 30_000 / 2 * 1e9)


def test_tempo_follows_the_marks(library: Library, swing: Swing) -> None:
    marked = marking.mark_by_hand(library, swing, Moment.CLUB_STARTS, at_ns=-1_060 * MS)

    measured = {r.name: r.measured for r in marked.book.results if r.measured}
    assert measured["time back"].value == pytest.approx(0.8)
    assert measured["time down"].value == pytest.approx(0.26)
    assert measured["back to down"].value == pytest.approx(0.8 / 0.26)
    missing = {r.name: r.why_missing for r in swing.book.results if r.why_missing}
    assert "pelvis turn" in {r.name for r in marked.book.results}, missing


def mark_at(moment: Moment, at_ns: int, u_ns: int | None = None) -> Change:
    return lambda library, swing: marking.mark_by_hand(
        library, swing, moment, at_ns=at_ns, u_ns=u_ns
    )


def impact_gone(library: Library, swing: Swing) -> Swing:
    return marking.mark_absent(library, swing, Moment.IMPACT)


def club_gone(library: Library, swing: Swing) -> Swing:
    return marking.change_swing(
        library, swing, club=" ", kind=None, notes=None, ball=swing.book.ball
    )


REFUSED: dict[str, tuple[Change, type[StationError]]] = {
    "impact elsewhere": (mark_at(Moment.IMPACT, 5), MarkRefusedError),
    "no impact": (impact_gone, MarkRefusedError),
    "finish before impact": (mark_at(Moment.FINISH, -MS), MarkRefusedError),
    "start after the top": (mark_at(Moment.CLUB_STARTS, -200 * MS), MarkRefusedError),
    "an error below zero": (mark_at(Moment.CLUB_STARTS, -MS, -1), BadInputError),
    "no club": (club_gone, BadInputError),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_refused_changes_nothing(library: Library, swing: Swing, case: str) -> None:
    change, kind = REFUSED[case]

    with pytest.raises(kind):
        change(library, swing)

    assert library.swing(swing.id) == swing


def test_a_moment_that_does_not_occur_has_no_time(library: Library, swing: Swing) -> None:
    marked = marking.mark_absent(library, swing, Moment.LEAD_ARM_LEVEL_BACK)

    assert times(marked)[Moment.LEAD_ARM_LEVEL_BACK] is None
    assert library.swing(swing.id) == marked


def test_a_hands_mark_taken_away_leaves_none(library: Library, swing: Swing) -> None:
    cleared = marking.clear_mark(library, swing, Moment.TOP)

    assert Moment.TOP not in times(cleared)
    assert library.swing(swing.id) == cleared


def test_clearing_a_moment_that_no_hand_marked_changes_nothing(
    library: Library, swing: Swing
) -> None:
    assert marking.clear_mark(library, swing, Moment.FINISH) == swing
    assert library.swing(swing.id) == swing


def test_a_star_is_set_and_taken_away(library: Library, swing: Swing) -> None:
    starred = marking.set_star(library, swing, starred=True)
    assert library.swing(swing.id).book.starred

    assert marking.set_star(library, starred, starred=False) == swing


def test_what_is_not_named_stays_when_a_swing_is_changed(library: Library, swing: Swing) -> None:
    changed = marking.change_swing(
        library, swing, club=" driver ", kind=SwingKind.PART, notes=None, ball=swing.book.ball
    )

    assert changed.book == replace(swing.book, club="driver", kind=SwingKind.PART)
    assert library.swing(swing.id) == changed


def test_finding_again_keeps_the_hands_marks(
    library: Library, student: Student, first_swing: Pair
) -> None:
    kept = taken_in(library, student, first_swing)
    marked = marking.mark_by_hand(library, kept, Moment.TOP, at_ns=-260 * MS)

    again = marking.find_again(library, marked, Quiet())

    assert again == marked
    assert times(again)[Moment.TOP] == -260 * MS


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9])
def test_finding_again_stops_when_asked_and_changes_nothing(
    library: Library, student: Student, first_swing: Pair, share: float
) -> None:
    kept = taken_in(library, student, first_swing)

    with pytest.raises(CancelledError):
        marking.find_again(library, kept, StopAfter(share))

    assert library.swing(kept.id) == kept


def test_marks_by_hand_are_carried_to_another_swing_and_never_over_a_mark_there(
    library: Library, student: Student, first_swing: Pair, second_swing: Pair
) -> None:
    known = taken_in(library, student, first_swing)
    for moment, at_ms in ((Moment.TAKEAWAY, -900), (Moment.SHAFT_LEVEL_DOWN, -60)):
        known = marking.mark_by_hand(library, known, moment, at_ns=at_ms * MS)
    fresh = taken_in(library, student, second_swing, hour=1)
    fresh = marking.mark_absent(library, fresh, Moment.TAKEAWAY)

    carried = marking.carry_over(library, fresh, known, Quiet())

    marks = {mark.moment: mark for mark in marking.effective(carried.book)}
    assert not marks[Moment.TAKEAWAY].occurs
    proposed = marks[Moment.SHAFT_LEVEL_DOWN]
    assert proposed.source is MarkSource.FOUND
    assert proposed.at_ns == pytest.approx(-60 * MS, abs=40 * MS)
    assert library.swing(fresh.id) == carried


def test_nothing_is_carried_from_a_swing_that_no_hand_marked(
    library: Library, student: Student, first_swing: Pair, second_swing: Pair
) -> None:
    known = taken_in(library, student, first_swing)
    fresh = taken_in(library, student, second_swing, hour=1)

    with pytest.raises(RefusedError, match="no mark by hand"):
        marking.carry_over(library, fresh, known, Quiet())

    assert library.swing(fresh.id) == fresh


def test_nothing_is_carried_from_another_kind_of_swing(
    library: Library, student: Student, first_swing: Pair, second_swing: Pair
) -> None:
    known = taken_in(library, student, first_swing)
    known = marking.change_swing(
        library, known, club=None, kind=SwingKind.DRILL, notes=None, ball=BallResult()
    )
    fresh = taken_in(library, student, second_swing, hour=1)

    with pytest.raises(ComparisonRefusedError, match="differ in kind"):
        marking.carry_over(library, fresh, known, Quiet())

    assert library.swing(fresh.id) == fresh


def test_a_recording_that_is_gone_is_named(
    library: Library, student: Student, first_swing: Pair
) -> None:
    kept = taken_in(library, student, first_swing)
    library.media_path(kept, View.FACE_ON).unlink()

    with pytest.raises(BadInputError, match=r"face-on\.mp4 is not there"):
        marking.find_again(library, kept, Quiet())

    assert library.swing(kept.id) == kept
