"""A clip shows what is drawn on today's pictures, and ends with a page of words."""

from __future__ import annotations

import dataclasses
from contextlib import ExitStack
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.compare.playout import Pace
from capturestation.drawing.note_page import note_page
from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, Pen, Quiet, Shape, View
from capturestation.station.handout import ClipReport, ClipRequest, make_clip
from tests.helpers.coded_bay import coded_bay, request_all_four_of
from tests.helpers.made_swings import MS
from tests.helpers.sketches import drawing

pytestmark = pytest.mark.usefixtures("qapp")
ACROSS = drawing(Shape.LINE, (0.1, 0.5), (0.9, 0.5), pen=Pen.FIRST, view=View.FACE_ON)


@pytest.fixture(scope="module")
def request_short(tmp_path_factory: pytest.TempPathFactory) -> ClipRequest:
    """A fifth of a second of all four pictures."""
    return dataclasses.replace(
        request_all_four_of(coded_bay(tmp_path_factory.mktemp("bay"))),
        start_ns=-100 * MS,
        stop_ns=100 * MS,
        pace=Pace(slow=Fraction(1)),
    )


def made(request: ClipRequest, path: Path) -> tuple[ClipReport, list[FrameArray]]:
    report = make_clip(request, path, watch=Quiet())
    with ExitStack() as stack:
        clip = stack.enter_context(FrameReader(report.path))
        return report, [clip.frame_rgb(n) for n in range(len(clip))]


def with_drawings(request: ClipRequest) -> ClipRequest:
    return dataclasses.replace(request, now=dataclasses.replace(request.now, drawings=(ACROSS,)))


def test_today_s_pictures_of_that_view_are_drawn_on_in_every_frame_and_nothing_else_is(
    request_short: ClipRequest, tmp_path: Path
) -> None:
    _, plain = made(request_short, tmp_path / "plain.mp4")
    report, drawn = made(with_drawings(request_short), tmp_path / "drawn.mp4")

    target = report.placements["now face-on"].target
    assert len(plain) == len(drawn) > 3
    for before, after in zip(plain, drawn, strict=True):
        changed = np.abs(after.astype(int) - before).max(axis=2) > 30
        inside = changed[target.cut]
        rows, columns = np.nonzero(inside)
        assert abs(rows.mean() - target.height / 2) < 2
        assert np.ptp(columns) == pytest.approx(0.8 * target.width, abs=8)
        changed[target.cut] = False
        assert not changed.any()


def test_a_drawing_has_its_pen_s_colour(request_short: ClipRequest, tmp_path: Path) -> None:
    report, frames = made(with_drawings(request_short), tmp_path / "drawn.mp4")

    target = report.placements["now face-on"].target
    middle = frames[0][target.top + target.height // 2, target.left + target.width // 2].astype(int)
    assert middle[0] > middle[2] + 60
    assert middle[1] > middle[2] + 60


def test_the_page_stands_at_the_end_as_long_as_reading_takes(
    request_short: ClipRequest, tmp_path: Path
) -> None:
    plain, _ = made(request_short, tmp_path / "plain.mp4")
    wanted = dataclasses.replace(request_short, note="Hold the finish.")

    report, frames = made(wanted, tmp_path / "noted.mp4")

    page = note_page(report.layout, "To work on", "Hold the finish.", "30 Oct 2026")
    assert report.frames == plain.frames + 96 == len(frames)
    assert report.duration_s == Fraction(report.frames, 30)
    for frame in (frames[plain.frames], frames[-1]):
        assert np.abs(frame.astype(int) - page).mean() < 4
    assert np.abs(frames[plain.frames - 1].astype(int) - page).mean() > 10
