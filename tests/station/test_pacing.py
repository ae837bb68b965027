"""Files slowed down for good that no tag gives away, and plain ones that must not be taken so."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import TimingRefusedError
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, Quiet, Student, SwingKind, Sync, SyncSource, View
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.station.pacing import Paced, paced
from capturestation.station.sources import read_sources
from capturestation.timing.pace import lasting, pace_of
from capturestation.tracking.motion import WIDTH_PX, motion_energy
from sample_sessions.session import load_session
from tests.helpers.bay_files import CONTACT_S, RATE_HZ, Filmed, bay_file
from tests.helpers.slowed_media import Left, slowed

MS = 1_000_000
FRAME_MS = 1000 / float(RATE_HZ)


def asked(student: Student, path: Path) -> IntakeRequest:
    return IntakeRequest(student=student.id, files={View.FACE_ON: path}, club="7 iron")


def added(library: Library, request: IntakeRequest) -> Sync:
    sync = add_swing(library, request, Quiet()).sync(View.FACE_ON)
    assert sync is not None
    return sync


def read(path: Path, told: Fraction | None = None, *, at_full_speed: bool = True) -> Paced:
    (source,) = read_sources({View.FACE_ON: path}, {}, Quiet())
    return paced(source, told, Quiet(), at_full_speed=at_full_speed)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A swing at full speed with its strike, 60 frames a second."""
    return bay_file(tmp_path_factory.mktemp("bay") / "plain.mp4")


@pytest.mark.parametrize("times", [4, 8])
@pytest.mark.parametrize("left", Left)
def test_a_slowed_file_is_placed_by_its_ball_and_never_by_its_sound(
    library: Library, student: Student, tmp_path: Path, plain: Path, times: int, left: Left
) -> None:
    path = slowed(plain, tmp_path / "slow.mp4", times, left)

    sync = added(library, asked(student, path))

    assert sync.media_per_swing == times
    assert sync.source is SyncSource.PICTURE
    assert sync.sound_ns is None
    assert abs(sync.contact_media_ns / MS - 1000 * times * CONTACT_S) <= times * FRAME_MS
    assert sync.said.startswith(f"The file plays {times} times slower; its sound is no clock, and")
    assert "its swing lasts for" in sync.said
    assert "1 for not at all" in sync.said


def test_a_rendered_swing_slowed_for_good_has_its_zero_at_contact(
    library: Library, student: Student, tmp_path: Path
) -> None:
    swing = load_session().swings[0]
    path = slowed(swing.clip(View.FACE_ON), tmp_path / "slow.mp4", 4, Left.STRETCHED)

    sync = added(library, asked(student, path))

    true_ns = swing.truth(View.FACE_ON).contact_picture_media_ns
    assert true_ns is not None
    assert sync.media_per_swing == 4
    assert abs(sync.contact_media_ns / 4 - true_ns) <= 2 * sync.u_ns
    assert "its sound ends at" in sync.said


def test_a_tag_is_taken_at_its_word(
    library: Library, student: Student, tmp_path: Path, plain: Path
) -> None:
    path = slowed(plain, tmp_path / "slow.mp4", 4, Left.STRETCHED, tag="60")

    sync = added(library, asked(student, path))

    assert sync.media_per_swing == 4
    assert sync.source is SyncSource.PICTURE
    assert "Nobody said so" not in sync.said


def test_a_person_outdoes_the_tag_and_what_the_swing_gives_away(
    library: Library, student: Student, tmp_path: Path, plain: Path
) -> None:
    tagged = slowed(plain, tmp_path / "slow.mp4", 4, Left.NONE, tag="60")
    request = replace(asked(student, tagged), media_per_swing={View.FACE_ON: Fraction(5)})

    assert added(library, request).media_per_swing == 5
    assert read(tagged, Fraction(1)).media_per_swing == 1
    assert read(plain, Fraction(2)).media_per_swing == 2


@pytest.mark.parametrize("kind", [SwingKind.DRILL, SwingKind.REHEARSAL])
def test_a_drill_may_be_as_slow_as_it_likes(
    library: Library, student: Student, tmp_path: Path, plain: Path, kind: SwingKind
) -> None:
    path = slowed(plain, tmp_path / "slow drill.mp4", 4, Left.NONE)

    assert added(library, replace(asked(student, path), kind=kind)).media_per_swing == 1


def test_contact_by_hand_stands_in_the_slowed_files_own_seconds(
    library: Library, student: Student, tmp_path: Path, plain: Path
) -> None:
    path = slowed(plain, tmp_path / "slow.mp4", 4, Left.SILENT)
    request = replace(asked(student, path), contacts_ns={View.FACE_ON: 5_200 * MS})

    sync = added(library, request)

    assert (sync.contact_media_ns, sync.media_per_swing) == (5_200 * MS, Fraction(4))
    assert "Nobody said so" in sync.said


def test_a_slowed_file_without_a_ball_is_refused_with_what_gave_it_away(
    library: Library, student: Student, tmp_path: Path
) -> None:
    still = bay_file(tmp_path / "miss.mp4", Filmed(has_ball=False))
    path = slowed(still, tmp_path / "slow.mp4", 8, Left.STRETCHED)

    with pytest.raises(TimingRefusedError, match="no ball is seen leaving") as refused:
        add_swing(library, asked(student, path), Quiet())

    assert "how many times slower" in refused.value.try_next
    assert library.latest_swing() is None


@pytest.mark.parametrize("has_sound", [True, False])
def test_somebody_who_walks_by_makes_no_slow_motion_of_a_quick_swing(
    library: Library, student: Student, tmp_path: Path, has_sound: bool
) -> None:
    walk = Filmed(contact_s=6.0, frames=420, walks_s=(0.5, 4.0), has_sound=has_sound)
    path = bay_file(tmp_path / "walk.mp4", walk)

    sync = added(library, asked(student, path))

    assert sync.media_per_swing == 1
    assert abs(sync.contact_media_ns / MS - 6000) <= FRAME_MS
    assert read(path).motion.busiest_ns(1, 1)[0] < 4_500 * MS


def test_a_plain_file_says_nothing_of_pace(plain: Path) -> None:
    read_plain = read(plain)

    assert read_plain.media_per_swing == 1
    assert read_plain.said == ""


BOTH = (View.FACE_ON, View.DOWN_THE_LINE)
CLIPS = [(swing.name, view) for swing in load_session().swings for view in BOTH]


@pytest.mark.parametrize(("name", "view"), CLIPS)
def test_no_clip_of_the_session_is_taken_for_slow_at_120_60_or_30_a_second(
    name: str, view: View
) -> None:
    swing = next(one for one in load_session().swings if one.name == name)
    with FrameReader(swing.clip(view)) as reader:
        greys = np.stack(list(reader.iter_grey(0, len(reader), width_px=WIDTH_PX)))
        times_ns = reader.index.times_ns

    for step in (1, 2, 4):
        track = motion_energy(greys[::step], times_ns[::step]).without_blinks()
        found = lasting(track.times_ns, track.energy)
        rate_hz = Fraction(NS_PER_S, int(np.median(np.diff(track.times_ns))))
        assert found is not None
        assert found.fast_s < 0.33
        assert found.busy_s < 2.0
        assert pace_of(found, rate_hz, 3_000.0).is_plain
