from __future__ import annotations

import hashlib
import os
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, CancelledError, NotReadableError
from capturestation.records import Quiet, StopAfter, View
from capturestation.station.sources import read_sources, struck_at
from tests.helpers.bay_files import CONTACT_S, FRAMES, RATE_HZ, Filmed, Pair, bay_file
from tests.helpers.coded_media import Traits, write_coded_clip


def test_a_source_says_what_its_file_holds(first_swing: Pair) -> None:
    face_on, down_the_line = read_sources(
        first_swing.by_view, {View.FACE_ON: "left webcam"}, Quiet()
    )

    recording = face_on.recording()
    assert recording.file == "face-on.mp4"
    assert recording.camera == "left webcam"
    assert down_the_line.recording().camera == ""
    assert (recording.width_px, recording.height_px) == (160, 96)
    assert (recording.frames, recording.rate_hz) == (FRAMES, RATE_HZ)
    assert recording.has_sound
    data = first_swing.face_on.read_bytes()
    assert recording.sha256 == hashlib.sha256(data).hexdigest()
    assert recording.size_bytes == len(data)
    assert face_on.frame_ns == pytest.approx(1e9 / 60, abs=1)


def test_one_file_for_two_views_is_refused(first_swing: Pair, tmp_path: Path) -> None:
    copy = tmp_path / "copy.mp4"
    copy.write_bytes(first_swing.face_on.read_bytes())
    files = {View.FACE_ON: first_swing.face_on, View.DOWN_THE_LINE: copy}

    with pytest.raises(
        BadInputError, match=r"copy\.mp4 is given for down-the-line and for face-on"
    ):
        read_sources(files, {}, Quiet())


def test_one_view_coded_twice_is_refused(first_swing: Pair, tmp_path: Path) -> None:
    again = bay_file(tmp_path / "again.mp4", Filmed(seed=9, contact_s=CONTACT_S - 0.1))
    files = {View.FACE_ON: first_swing.face_on, View.DOWN_THE_LINE: again}

    with pytest.raises(BadInputError, match="show the same view"):
        read_sources(files, {}, Quiet())


def test_no_file_at_all_is_refused() -> None:
    with pytest.raises(BadInputError, match="one to 3 files, not 0"):
        read_sources({}, {}, Quiet())


def test_a_still_picture_is_no_swing(tmp_path: Path) -> None:
    still = write_coded_clip(tmp_path / "still.mp4", frames=1, rate_hz=Fraction(30))

    with pytest.raises(NotReadableError, match=r"still\.mp4 holds 1 frame"):
        read_sources({View.FACE_ON: still}, {}, Quiet())


def test_reading_stops_when_asked(first_swing: Pair) -> None:
    with pytest.raises(CancelledError):
        read_sources(first_swing.by_view, {}, StopAfter(0.0))


@pytest.mark.parametrize("told", ["2026-10-30T15:04:05.000000Z", "2026-10-30T16:04:05+01:00"])
def test_a_file_that_says_when_it_was_made_is_believed(tmp_path: Path, told: str) -> None:
    traits = Traits(tags={"creation_time": told})
    path = write_coded_clip(tmp_path / "a.mp4", frames=3, rate_hz=Fraction(30), traits=traits)

    when = struck_at(read_sources({View.FACE_ON: path}, {}, Quiet()))

    assert when == datetime(2026, 10, 30, 15, 4, 5, tzinfo=UTC)


@pytest.mark.parametrize("tags", [None, {"creation_time": "1970-01-01T00:00:00Z"}])
def test_without_a_believable_tag_the_time_of_writing_counts(
    tmp_path: Path, tags: dict[str, str] | None
) -> None:
    path = write_coded_clip(
        tmp_path / "a.mp4", frames=3, rate_hz=Fraction(30), traits=Traits(tags=tags)
    )
    written = datetime(2026, 9, 1, 12, 0, tzinfo=UTC)
    os.utime(path, (written.timestamp(), written.timestamp()))

    assert struck_at(read_sources({View.FACE_ON: path}, {}, Quiet())) == written
