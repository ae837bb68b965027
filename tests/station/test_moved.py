"""A camera that was moved is found by the picture of the empty bay that was kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from calibration.bump import BumpVerdict
from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.media.encode import ClipWriter
from capturestation.records import CalibrationKind, FrameArray, View
from capturestation.station.moved import check, compared, held_with_picture, moved_views
from capturestation.station.references import grey_of_reference, reference_of
from tests.helpers.calibrated import BY_VIEW, calibrated, calibration_row
from tests.helpers.made_swings import FIRST_DAY, made_recording
from tests.helpers.walls import turned, wall

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
CAMERA = calibrated(BY_VIEW[FACE_ON])
EMPTY = wall(1)
ROW = replace(calibration_row(CAMERA, "a", FIRST_DAY), reference=reference_of(EMPTY))


def filmed(path: Path, grey: FrameArray) -> Path:
    """A film of three frames that show it."""
    with ClipWriter(path, width=1280, height=720, rate_hz=Fraction(30)) as writer:
        for _ in range(3):
            writer.write_rgb(np.dstack([grey] * 3))
    return path


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library") as opened:
        opened.add_calibration(ROW)
        yield opened


def test_the_picture_of_the_empty_bay_is_kept_as_it_was_seen() -> None:
    kept = grey_of_reference(ROW.reference)

    assert kept.shape == EMPTY.shape
    assert np.abs(kept.astype(int) - EMPTY).mean() < 3
    assert len(ROW.reference) < 400_000


@pytest.mark.parametrize(
    ("grey", "verdict"),
    [
        (wall(1), BumpVerdict.STILL),
        (turned(wall(1), 12), BumpVerdict.MOVED),
        (wall(2), BumpVerdict.UNSURE),
        (np.full((720, 1280), 90, np.uint8), BumpVerdict.UNSURE),
    ],
)
def test_a_camera_stands_was_moved_or_can_t_be_told(grey: FrameArray, verdict: BumpVerdict) -> None:
    bump = compared(ROW, grey)

    assert bump is not None
    assert bump.verdict is verdict


def test_another_size_is_brought_to_the_kept_one_and_another_shape_is_not_compared() -> None:
    larger = np.repeat(np.repeat(EMPTY, 2, axis=0), 2, axis=1)

    bump = compared(ROW, larger)

    assert bump is not None
    assert bump.verdict is BumpVerdict.STILL
    assert compared(ROW, EMPTY[:, :800]) is None


def test_a_check_says_by_how_much(library: Library) -> None:
    later = FIRST_DAY + timedelta(days=1)

    still = check(library, CAMERA.name, EMPTY, later)
    moved = check(library, CAMERA.name, turned(EMPTY, 12), later)
    unsure = check(library, CAMERA.name, wall(2), later)

    assert (still.verdict, still.is_moved) == ("still", False)
    assert (moved.verdict, moved.is_moved) == ("moved", True)
    assert moved.turn_deg == pytest.approx(np.degrees(12 / CAMERA.focal_px[0]), rel=0.1)
    assert "was moved since it was measured" in moved.said
    assert (unsure.verdict, unsure.turn_deg) == ("unsure", None)
    with pytest.raises(NotFoundError, match="No picture of the empty bay"):
        check(library, "another", EMPTY, later)


def test_only_a_full_one_with_its_picture_can_tell(library: Library) -> None:
    later = FIRST_DAY + timedelta(days=1)
    assert held_with_picture(library, CAMERA.name, later) == ROW
    library.replace_calibration(replace(ROW, kind=CalibrationKind.ANGLES))
    outdoors = held_with_picture(library, CAMERA.name, later)
    library.replace_calibration(replace(ROW, reference=""))

    assert outdoors is None
    assert held_with_picture(library, CAMERA.name, later) is None
    assert held_with_picture(library, "", later) is None


def test_a_swing_s_views_are_held_against_their_pictures(library: Library, tmp_path: Path) -> None:
    struck = FIRST_DAY + timedelta(days=1)
    recordings = [replace(made_recording(v), camera=CAMERA.name) for v in (FACE_ON, BEHIND)]
    files = {FACE_ON: filmed(tmp_path / "a.mp4", turned(EMPTY, 12)), BEHIND: tmp_path / "none.mp4"}
    before = moved_views(library, recordings, files, FIRST_DAY - timedelta(days=1))
    after = moved_views(library, recordings, files, struck)
    files[FACE_ON] = filmed(tmp_path / "b.mp4", EMPTY)

    assert before == ()
    assert after == (FACE_ON,)
    assert moved_views(library, recordings, files, struck) == ()
