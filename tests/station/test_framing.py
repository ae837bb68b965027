"""Clips cut to where golfer and club move, from recordings of an invented golfer."""

from __future__ import annotations

import dataclasses
import threading
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.compare.playout import Pace
from capturestation.drawing.layout import LayoutName
from capturestation.errors import CancelledError
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, IntArray, Quiet, StopAfter, Swing, View
from capturestation.station.handout import ClipRequest, ClipSide, make_clip
from tests.helpers.made_swings import MS, made_swing, made_sync
from tests.helpers.pictures import Bay, empty_picture, swing_pictures
from tests.helpers.swings import Motion

pytestmark = pytest.mark.usefixtures("qapp")

RATE_HZ = Fraction(60)
BEFORE_NS = 1_250 * MS
BAY = Bay()


def stamps() -> IntArray:
    return np.arange(120, dtype=np.int64) * 1_000 * MS // 60 - BEFORE_NS


def moved_right(px: int) -> Iterator[FrameArray]:
    """The swing with the golfer standing further right; the wall there is plain."""
    for grey in swing_pictures(1, stamps(), Motion(), BAY):
        yield np.roll(grey, px, axis=1)


def still() -> Iterator[FrameArray]:
    return (empty_picture(BAY) for _ in stamps())


def write(path: Path, greys: Iterator[FrameArray]) -> Path:
    with ClipWriter(path, width=BAY.width_px, height=BAY.height_px, rate_hz=RATE_HZ) as clip:
        for grey in greys:
            clip.write_rgb(np.repeat(grey[:, :, np.newaxis], 3, axis=2))
    return path


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("swings")
    return {
        "then": write(folder / "then.mp4", moved_right(-16)),
        "now": write(folder / "now.mp4", moved_right(0)),
        "still": write(folder / "still.mp4", still()),
    }


def sized(name: str, size: tuple[int, int], day: int) -> Swing:
    swing = made_swing(name, day=day, syncs=tuple(made_sync(view, -BEFORE_NS) for view in View))
    recordings = tuple(
        dataclasses.replace(one, width_px=size[0], height_px=size[1])
        for one in swing.facts.recordings
    )
    return dataclasses.replace(swing, facts=dataclasses.replace(swing.facts, recordings=recordings))


def wanted(files: dict[str, Path], then_size: tuple[int, int] = (240, 136)) -> ClipRequest:
    then = sized("then", then_size, 0)
    now = sized("now", (240, 136), 42)
    return ClipRequest(
        now=ClipSide(swing=now, media={View.FACE_ON: files["now"]}, word="today"),
        then=ClipSide(swing=then, media={View.FACE_ON: files["then"]}, word="own best"),
        layout=LayoutName.THEN_AND_NOW,
        start_ns=-1_200 * MS,
        stop_ns=700 * MS,
        pace=Pace(slow=Fraction(1), hold_s=Fraction(0)),
        short_side_px=240,
        cut_to_swing=True,
    )


def test_both_swings_of_a_view_are_cut_alike_to_where_either_moves(
    files: dict[str, Path], tmp_path: Path
) -> None:
    report = make_clip(wanted(files), tmp_path / "c.mp4", watch=Quiet())

    then, now = report.placements["then face-on"], report.placements["now face-on"]
    assert then.source == now.source
    assert (then.target.width, then.target.height) == (now.target.width, now.target.height)
    assert 0.4 < now.width_share < 0.75
    said = [words for words in report.said if "cut to where the swing moves" in words]
    assert said == [
        f"face-on: cut to where the swing moves, shows {now.width_share:.0%} of the picture's width"
        + (f" and {now.height_share:.0%} of its height." if now.height_share < 1 else ".")
    ]


def test_what_is_shown_is_what_the_report_says(files: dict[str, Path], tmp_path: Path) -> None:
    report = make_clip(wanted(files), tmp_path / "c.mp4", watch=Quiet())

    placed = report.placements["now face-on"]
    with FrameReader(report.path) as clip, FrameReader(files["now"]) as source:
        for frame in (0, 20, 34):
            shown = clip.frame_grey(frame)[placed.target.cut].astype(float)
            at = int(report.sources["now face-on"][frame])
            meant = source.frame_grey(at)[placed.source.cut].astype(float)
            rows = np.linspace(0, len(meant) - 1, len(shown)).round().astype(int)
            columns = np.linspace(0, meant.shape[1] - 1, shown.shape[1]).round().astype(int)
            assert np.corrcoef(shown.ravel(), meant[np.ix_(rows, columns)].ravel())[0, 1] > 0.9


def test_the_club_is_never_cut_off(files: dict[str, Path], tmp_path: Path) -> None:
    """No pixel of golfer, club or ball is ever outside what is shown."""
    report = make_clip(wanted(files), tmp_path / "c.mp4", watch=Quiet())

    rows, columns = report.placements["now face-on"].source.cut
    outside = np.ones((BAY.height_px, BAY.width_px), dtype=np.bool_)
    outside[rows, columns] = False
    quiet = dataclasses.replace(BAY, noise=0.0)
    empty = empty_picture(quiet).astype(int)
    for grey in swing_pictures(1, stamps(), Motion(), quiet):
        assert not (np.abs(grey.astype(int) - empty) > 8)[outside].any()


def test_pictures_of_unlike_shape_are_each_cut_to_their_own_swing(
    files: dict[str, Path], tmp_path: Path
) -> None:
    report = make_clip(wanted(files, then_size=(136, 240)), tmp_path / "c.mp4", watch=Quiet())

    then, now = report.placements["then face-on"], report.placements["now face-on"]
    assert then.source.left < now.source.left


def test_a_picture_in_which_nothing_moves_is_shown_by_its_middle(
    files: dict[str, Path], tmp_path: Path
) -> None:
    asked = wanted(files)
    now = dataclasses.replace(asked.now, media={View.FACE_ON: files["still"]})
    assert asked.then is not None
    then = dataclasses.replace(asked.then, media=now.media)

    report = make_clip(
        dataclasses.replace(asked, now=now, then=then), tmp_path / "c.mp4", watch=Quiet()
    )

    placed = report.placements["now face-on"]
    assert placed.height_share == 1.0
    assert abs(placed.source.left + placed.source.right - BAY.width_px) <= 2
    assert not [words for words in report.said if "where the swing moves" in words]


def test_stopped_while_looking_nothing_is_left(files: dict[str, Path], tmp_path: Path) -> None:
    with pytest.raises(CancelledError):
        make_clip(wanted(files), tmp_path / "c.mp4", watch=StopAfter(0.02))

    assert list(tmp_path.iterdir()) == []
    assert not [t.name for t in threading.enumerate() if t.name.startswith("clip-")]
