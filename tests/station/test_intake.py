from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.errors import (
    BadInputError,
    CancelledError,
    ConsentRefusedError,
    NotFoundError,
    NotReadableError,
    OutputError,
    StationError,
    TimingRefusedError,
)
from capturestation.folders import files as disk
from capturestation.library import Library
from capturestation.records import (
    Moment,
    Quiet,
    StopAfter,
    Student,
    SwingKind,
    SyncSource,
    View,
    Zero,
)
from capturestation.station import marking, people
from capturestation.station.intake import IntakeRequest, add_swing, place_by_hand
from tests.helpers.altered_media import cut_tail
from tests.helpers.bay_files import CONTACT_S, Filmed, Pair, bay_file
from tests.helpers.coded_media import write_coded_clip
from tests.helpers.station_library import MORNING, everything_in, grown_up, request_of, taken_in

MS = 1_000_000
BY_HAND = {View.FACE_ON: 1_300 * MS, View.DOWN_THE_LINE: 1_100 * MS}


def refused(library: Library, request: IntakeRequest, kind: type[StationError]) -> StationError:
    """The refusal, once it is sure that it changed nothing."""
    before = everything_in(library.folder)

    with pytest.raises(kind) as caught:
        add_swing(library, request, Quiet())

    assert everything_in(library.folder) == before
    assert library.latest_swing() is None
    assert library.newest_lessons() == ()
    return caught.value


def test_two_files_become_one_swing_on_one_clock(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)

    assert library.swing(swing.id) == swing
    for view, contact_s in ((View.FACE_ON, CONTACT_S), (View.DOWN_THE_LINE, CONTACT_S - 0.2)):
        sync = swing.sync(view)
        assert sync is not None
        assert sync.source is SyncSource.SOUND
        # The strike is written without the way to the microphone, which intake takes off.
        heard_early_s = contact_s + sync.swing_minus_media_ns / 1e9
        assert 0.0 < heard_early_s < 0.012
        assert abs(heard_early_s) < 3 * sync.u_ns / 1e9
    assert {Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT} <= {m.moment for m in swing.book.marks}
    assert {result.name for result in swing.book.results} >= {"time back", "time down"}


def test_the_files_handed_in_stay_as_they_are(
    library: Library, student: Student, first_swing: Pair
) -> None:
    before = {path: path.read_bytes() for path in first_swing.by_view.values()}

    swing = taken_in(library, student, first_swing)

    for view, path in first_swing.by_view.items():
        assert path.read_bytes() == before[path]
        assert library.media_path(swing, view).read_bytes() == before[path]


def test_no_path_in_the_library_carries_a_name(
    library: Library, student: Student, tmp_path: Path
) -> None:
    path = bay_file(tmp_path / "Zoë Ångström driver.mp4")
    request = IntakeRequest(student=student.id, files={View.FACE_ON: path}, club="driver")

    add_swing(library, request, Quiet())

    places = " ".join(everything_in(library.folder)).lower()
    assert not any(part in places for part in ("zo", "ngstr", "driver"))


def test_a_lesson_of_the_day_is_opened_once(
    library: Library, student: Student, first_swing: Pair, second_swing: Pair
) -> None:
    swings = [
        taken_in(library, student, pair, hour)
        for hour, pair in enumerate((first_swing, second_swing))
    ]

    lessons = library.lessons(student.id)
    assert [lesson.on for lesson in lessons] == [MORNING.date()]
    assert {swing.book.lesson_id for swing in swings} == {lessons[0].id}


def test_without_sound_contact_by_hand_is_enough(
    library: Library, student: Student, tmp_path: Path
) -> None:
    silent = bay_file(tmp_path / "silent.mp4", Filmed(has_sound=False))
    request = IntakeRequest(
        student=student.id,
        files={View.FACE_ON: silent},
        club="7 iron",
        contacts_ns={View.FACE_ON: 1_300 * MS},
    )

    swing = add_swing(library, request, Quiet())

    sync = swing.sync(View.FACE_ON)
    assert sync is not None
    assert (sync.source, sync.swing_minus_media_ns) == (SyncSource.HAND, -1_300 * MS)


def test_a_rehearsal_has_its_zero_at_the_bottom_of_the_arc(
    library: Library, student: Student, tmp_path: Path
) -> None:
    silent = bay_file(tmp_path / "no ball.mp4", Filmed(has_sound=False))
    request = IntakeRequest(
        student=student.id,
        files={View.FACE_ON: silent},
        club="7 iron",
        kind=SwingKind.REHEARSAL,
        contacts_ns={View.FACE_ON: 1_300 * MS},
    )

    swing = add_swing(library, request, Quiet())

    assert swing.book.zero is Zero.ARC_BOTTOM
    struck = marking.change_swing(
        library, swing, club=None, kind=SwingKind.FULL, notes=None, ball=swing.book.ball
    )
    assert struck.book.zero is Zero.CONTACT


def test_without_sound_or_ball_the_way_out_is_told(
    library: Library, student: Student, tmp_path: Path
) -> None:
    still = write_coded_clip(tmp_path / "no ball.mp4", frames=30, rate_hz=Fraction(30))
    request = IntakeRequest(student=student.id, files={View.FACE_ON: still}, club="7 iron")

    error = refused(library, request, TimingRefusedError)

    assert error.what.startswith("no ball.mp4: ")
    assert error.try_next.endswith("It is given in seconds of the face-on file.")


def test_contact_outside_the_file_is_refused(
    library: Library, student: Student, first_swing: Pair
) -> None:
    contacts = {**BY_HAND, View.DOWN_THE_LINE: 9_000 * MS}
    request = replace(request_of(student, first_swing), contacts_ns=contacts)

    error = refused(library, request, TimingRefusedError)

    assert "first b.mp4, which runs from 0.000 s to 2.200 s" in error.what


def test_a_child_without_consent_is_not_kept(library: Library, first_swing: Pair) -> None:
    child = people.add_student(library, name="Kim", birth_year=people.today().year - 12)

    error = refused(library, request_of(child, first_swing), ConsentRefusedError)

    assert "student, parent" in error.what


def test_a_swing_needs_a_club(library: Library, student: Student, first_swing: Pair) -> None:
    refused(library, replace(request_of(student, first_swing), club=" "), BadInputError)


def test_another_students_lesson_is_refused(
    library: Library, student: Student, first_swing: Pair
) -> None:
    other = grown_up(library, "Bo")
    lesson = people.add_lesson(library, other.id)
    before = everything_in(library.folder)

    with pytest.raises(BadInputError, match="not a lesson of"):
        add_swing(library, replace(request_of(student, first_swing), lesson=lesson.id), Quiet())

    assert everything_in(library.folder) == before


def test_a_file_that_is_kept_already_is_refused_and_found(
    library: Library, student: Student, first_swing: Pair
) -> None:
    kept = taken_in(library, student, first_swing)
    before = everything_in(library.folder)

    with pytest.raises(BadInputError, match=f"in the library already, in swing {kept.id}"):
        taken_in(library, student, first_swing, hour=1)

    assert everything_in(library.folder) == before
    assert library.swings_of(student.id) == (kept,)


def test_a_cut_file_is_refused_by_name(
    library: Library, student: Student, first_swing: Pair, tmp_path: Path
) -> None:
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(first_swing.down_the_line.read_bytes())
    cut_tail(cut, share=0.5)
    files = {View.FACE_ON: first_swing.face_on, View.DOWN_THE_LINE: cut}

    error = refused(
        library, replace(request_of(student, first_swing), files=files), NotReadableError
    )

    assert "cut.mp4" in error.what


@pytest.mark.parametrize("share", [0.0, 0.05, 0.1, 0.3, 0.75, 0.8, 0.9, 0.98, 0.99])
def test_stopped_at_any_share_neither_folder_nor_row_is_left(
    library: Library, student: Student, first_swing: Pair, share: float
) -> None:
    before = everything_in(library.folder)

    with pytest.raises(CancelledError):
        add_swing(library, request_of(student, first_swing), StopAfter(share))

    assert everything_in(library.folder) == before
    assert library.latest_swing() is None
    assert library.newest_lessons() == ()


def test_a_full_disk_leaves_neither_folder_nor_row(
    library: Library, student: Student, first_swing: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_write = disk._write_all

    def full(number: int, data: bytes) -> None:
        if len(data) > 10_000:
            raise OSError(28, "No space left on device")
        real_write(number, data)

    monkeypatch.setattr(disk, "_write_all", full)

    error = refused(library, request_of(student, first_swing), OutputError)

    assert error.what.startswith("There is no room left to write")


def test_a_view_placed_by_hand_keeps_its_place_in_the_order_and_the_hands_marks(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)
    swing = marking.mark_by_hand(library, swing, Moment.TOP, at_ns=-250 * MS)

    moved = place_by_hand(
        library, swing, View.FACE_ON, contact_ns=1_310 * MS, u_ns=2 * MS, watch=Quiet()
    )

    assert [sync.view for sync in moved.book.syncs] == [View.FACE_ON, View.DOWN_THE_LINE]
    sync = moved.sync(View.FACE_ON)
    assert sync is not None
    assert (sync.swing_minus_media_ns, sync.u_ns) == (-1_310 * MS, 2 * MS)
    top = next(m for m in marking.effective(moved.book) if m.moment is Moment.TOP)
    assert top.at_ns == -250 * MS
    assert library.swing(swing.id) == moved


@pytest.mark.parametrize(
    ("view", "contact_ns", "kind"),
    [
        (View.EXTRA, 1_300 * MS, NotFoundError),
        (View.FACE_ON, 9_000 * MS, TimingRefusedError),
    ],
)
def test_a_place_that_is_refused_moves_nothing(
    library: Library,
    student: Student,
    first_swing: Pair,
    view: View,
    contact_ns: int,
    kind: type[StationError],
) -> None:
    swing = taken_in(library, student, first_swing)

    with pytest.raises(kind):
        place_by_hand(library, swing, view, contact_ns=contact_ns, u_ns=None, watch=Quiet())

    assert library.swing(swing.id) == swing


def test_placing_by_hand_stops_when_asked_and_moves_nothing(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)

    with pytest.raises(CancelledError):
        place_by_hand(
            library,
            swing,
            View.FACE_ON,
            contact_ns=1_300 * MS,
            u_ns=None,
            watch=StopAfter(0.5),
        )

    assert library.swing(swing.id) == swing
