"""Recordings put on the clock: retries, slow files, no ball, and what a camera learns of itself."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import TimingRefusedError
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import (
    Moment,
    Quiet,
    Student,
    Swing,
    SwingKind,
    Sync,
    SyncSource,
    View,
    Zero,
)
from capturestation.station.delays import camera_delays, known_delay
from capturestation.station.intake import IntakeRequest, add_swing, place_by_hand
from tests.helpers.bay_files import CONTACT_S, RATE_HZ, Filmed, Pair, bay_file
from tests.helpers.station_library import MORNING, taken_in

MS = 1_000_000
FRAME_MS = 1000 / float(RATE_HZ)


def added(library: Library, request: IntakeRequest) -> Sync:
    """The face-on place of a swing that is taken in so."""
    sync = add_swing(library, request, Quiet()).sync(View.FACE_ON)
    assert sync is not None
    return sync


def asked(student: Student, path: Path) -> IntakeRequest:
    return IntakeRequest(student=student.id, files={View.FACE_ON: path}, club="7 iron")


def test_without_a_sound_the_ball_in_the_picture_places_contact(
    library: Library, student: Student, tmp_path: Path
) -> None:
    path = bay_file(tmp_path / "silent.mp4", Filmed(has_sound=False))

    sync = added(library, asked(student, path))

    assert sync.source is SyncSource.PICTURE
    assert abs(sync.contact_media_ns / MS - 1000 * CONTACT_S) <= FRAME_MS
    assert sync.sound_ns is None


def test_the_ball_is_looked_for_at_the_next_burst_too(
    library: Library, student: Student, tmp_path: Path
) -> None:
    # The only burst is a door, far from the ball; the ball is found where most moves.
    path = bay_file(tmp_path / "door.mp4", Filmed(heard_s=0.35))

    with pytest.raises(TimingRefusedError, match=r"ball leaves at 1\.29") as refused:
        add_swing(library, asked(student, path), Quiet())

    assert "slower" in refused.value.try_next
    assert "contact by hand" in refused.value.try_next
    assert library.latest_swing() is None


@pytest.mark.parametrize("times", [2, 8])
def test_a_file_that_plays_slower_is_placed_by_its_ball_in_the_swings_own_time(
    library: Library, student: Student, tmp_path: Path, times: int
) -> None:
    path = bay_file(tmp_path / "slow.mp4", Filmed(slower=times))
    request = replace(asked(student, path), media_per_swing={View.FACE_ON: Fraction(times)})

    swing = add_swing(library, request, Quiet())

    sync = library.swing(swing.id).sync(View.FACE_ON)
    assert sync is not None
    assert sync.media_per_swing == times
    assert sync.sound_ns is None
    assert abs(sync.contact_media_ns / MS - 1000 * times * CONTACT_S) <= FRAME_MS
    back = next(m for m in swing.book.marks if m.moment is Moment.TOP)
    assert back.at_ns == pytest.approx(-250 * MS, abs=80 * MS)


def test_a_hand_moves_a_slower_file_in_its_own_seconds(
    library: Library, student: Student, tmp_path: Path
) -> None:
    path = bay_file(tmp_path / "slow.mp4", Filmed(slower=4))
    request = replace(asked(student, path), media_per_swing={View.FACE_ON: Fraction(4)})
    swing = add_swing(library, request, Quiet())

    moved = place_by_hand(library, swing, View.FACE_ON, 5_000 * MS, None, Quiet())

    sync = moved.sync(View.FACE_ON)
    assert sync is not None
    assert (sync.contact_media_ns, sync.media_per_swing) == (5_000 * MS, Fraction(4))


def no_ball(library: Library, student: Student, path: Path, kind: SwingKind) -> Swing:
    return add_swing(library, replace(asked(student, path), kind=kind), Quiet())


@pytest.mark.parametrize("kind", [SwingKind.REHEARSAL, SwingKind.DRILL])
@pytest.mark.parametrize("neighbour_s", [None, 0.6])
def test_a_rehearsal_has_its_zero_at_the_bottom_of_the_arc(
    library: Library, student: Student, tmp_path: Path, kind: SwingKind, neighbour_s: float | None
) -> None:
    filmed = Filmed(has_ball=False, has_sound=neighbour_s is not None, heard_s=neighbour_s)
    swing = no_ball(library, student, bay_file(tmp_path / "air.mp4", filmed), kind)

    sync = swing.sync(View.FACE_ON)
    assert swing.book.zero is Zero.ARC_BOTTOM
    assert sync is not None
    assert abs(sync.contact_media_ns / MS - 1000 * CONTACT_S) <= 2 * sync.u_ns / MS
    assert "bottom of the arc" in sync.said


def test_a_drill_with_a_ball_has_its_zero_at_contact(
    library: Library, student: Student, tmp_path: Path
) -> None:
    swing = no_ball(library, student, bay_file(tmp_path / "drill.mp4"), SwingKind.DRILL)

    assert swing.book.zero is Zero.CONTACT


def test_a_full_swing_without_a_ball_is_refused_unless_it_is_asked_for(
    library: Library, student: Student, tmp_path: Path
) -> None:
    path = bay_file(tmp_path / "miss.mp4", Filmed(has_ball=False, has_sound=False))
    with pytest.raises(TimingRefusedError, match="No strike is heard"):
        add_swing(library, asked(student, path), Quiet())
    assert library.latest_swing() is None

    swing = add_swing(library, replace(asked(student, path), zero=Zero.ARC_BOTTOM), Quiet())

    assert swing.book.zero is Zero.ARC_BOTTOM


def test_two_sounds_of_one_strike_are_laid_on_each_other(
    library: Library, student: Student, first_swing: Pair
) -> None:
    sync = taken_in(library, student, first_swing).sync(View.DOWN_THE_LINE)

    assert sync is not None
    assert "Both sounds laid on each other agree" in sync.said


LATE_MS = 34.0
CONTACTS_S = (1.300, 1.305, 1.311, 1.296)


def lesson_of_one_camera(library: Library, student: Student, folder: Path) -> list[Sync]:
    """Swings of one camera whose sound comes 34 ms before its picture, one after another."""
    syncs = []
    for number, contact_s in enumerate(CONTACTS_S):
        filmed = Filmed(contact_s=contact_s, heard_s=contact_s - LATE_MS / 1000, seed=number)
        path = bay_file(folder / f"{number}.mp4", filmed)
        request = replace(
            asked(student, path),
            cameras={View.FACE_ON: "left phone"},
            struck_at=MORNING.replace(hour=9 + number),
        )
        syncs.append(added(library, request))
    return syncs


def test_a_camera_learns_its_own_delay_from_its_swings(
    library: Library, student: Student, tmp_path: Path
) -> None:
    *first, fourth = lesson_of_one_camera(library, student, tmp_path)

    (learnt,) = camera_delays(library)

    assert all("own delay" not in sync.said for sync in first)
    assert "own delay" in fourth.said
    assert fourth.source is SyncSource.SOUND
    assert fourth.u_ns < min(sync.u_ns for sync in first)
    assert learnt.camera == "left phone"
    assert learnt.known is not None
    # The way to the microphone, which the click doesn't have, is taken off the sound.
    assert learnt.known.delay_ns / MS == pytest.approx(LATE_MS + 8.7, abs=6)
    assert learnt.said.startswith("The picture shows contact 4")


def test_another_mode_or_a_nameless_camera_has_no_history(
    library: Library, student: Student, tmp_path: Path
) -> None:
    lesson_of_one_camera(library, student, tmp_path)
    newest = library.latest_swing()
    assert newest is not None
    (recording,) = newest.facts.recordings
    later = MORNING.replace(hour=20)

    assert known_delay(library, recording, later) is not None
    assert known_delay(library, replace(recording, width_px=1920), later) is None
    assert known_delay(library, replace(recording, rate_hz=Fraction(240)), later) is None
    assert known_delay(library, replace(recording, camera=""), later) is None
    assert known_delay(library, recording, MORNING.replace(hour=10)) is None


def test_a_camera_that_changed_is_refused_with_the_way_out(
    library: Library, student: Student, tmp_path: Path
) -> None:
    lesson_of_one_camera(library, student, tmp_path)
    path = bay_file(tmp_path / "changed.mp4", Filmed(heard_s=CONTACT_S + 0.03, seed=77))
    request = replace(
        asked(student, path),
        cameras={View.FACE_ON: "left phone"},
        struck_at=MORNING.replace(hour=20),
    )
    before = library.latest_swing()

    with pytest.raises(TimingRefusedError, match="earlier swings") as refused:
        add_swing(library, request, Quiet())

    assert "new name" in refused.value.try_next
    assert library.latest_swing() == before
    renamed = replace(request, cameras={View.FACE_ON: "left phone, new settings"})
    assert added(library, renamed).source is SyncSource.PICTURE


def test_the_files_of_this_page_are_what_they_say(tmp_path: Path) -> None:
    slow = bay_file(tmp_path / "slow.mp4", Filmed(slower=2))

    with FrameReader(slow) as reader:
        seconds = np.asarray(reader.index.times_ns) / 1e9

    assert seconds[-1] == pytest.approx(2 * 132 / float(RATE_HZ), abs=0.1)
