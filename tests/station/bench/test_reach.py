"""What of each view has to be seen is found from a few frames, and kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import CancelledError
from capturestation.media.encode import ClipWriter
from capturestation.records import (
    Box,
    FrameArray,
    IntArray,
    Quiet,
    StopAfter,
    Swing,
    SwingId,
    View,
    around,
)
from capturestation.station.bench.reach import Reaches
from capturestation.tracking.reach import Reach
from tests.helpers.made_swings import MS, made_swing, made_sync
from tests.helpers.pictures import Bay, empty_picture, swing_pictures
from tests.helpers.swings import Motion

BEFORE_NS = 1_250 * MS
BAY = Bay()


def stamps() -> IntArray:
    return np.arange(120, dtype=np.int64) * 1_000 * MS // 60 - BEFORE_NS


def swung(right_px: int) -> Iterator[FrameArray]:
    """A swing with the golfer standing so much further right."""
    for grey in swing_pictures(1, stamps(), Motion(), BAY):
        yield np.roll(grey, right_px, axis=1)


def still() -> Iterator[FrameArray]:
    return (empty_picture(BAY) for _ in stamps())


def written(path: Path, greys: Iterator[FrameArray]) -> Path:
    rate_hz = Fraction(60)
    with ClipWriter(path, width=BAY.width_px, height=BAY.height_px, rate_hz=rate_hz) as clip:
        for grey in greys:
            clip.write_rgb(np.repeat(grey[:, :, np.newaxis], 3, axis=2))
    return path


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("reach")
    broken = folder / "broken.mp4"
    broken.write_bytes(b"no film")
    return {
        "now": written(folder / "now.mp4", swung(0)),
        "then": written(folder / "then.mp4", swung(-16)),
        "still": written(folder / "still.mp4", still()),
        "broken": broken,
    }


def swing(name: str, *, placed: bool = True) -> Swing:
    syncs = (made_sync(View.FACE_ON, -BEFORE_NS),) if placed else ()
    return made_swing(name, day=0, views=(View.FACE_ON,), syncs=syncs)


@dataclass
class Shelf:
    """Where recordings lie, and how often one was asked for."""

    files: dict[str, Path]
    nowhere: Path
    asked: list[str] = field(default_factory=list)

    def media(self, one: Swing, view: View) -> Path:
        assert view is View.FACE_ON
        self.asked.append(str(one.id))
        return self.files[str(one.id)]

    def copies(self, _swing: SwingId) -> Path:
        return self.nowhere

    @property
    def reaches(self) -> Reaches:
        return Reaches(self.media, self.copies)


@pytest.fixture
def shelf(files: dict[str, Path], tmp_path: Path) -> Shelf:
    return Shelf(files, tmp_path)


def whole_reach(right_px: int) -> Box:
    """From every frame."""
    reach = Reach()
    for grey in swung(right_px):
        reach.see(grey)
    box = reach.box(evenly=True)
    assert box is not None
    return box


def edges(box: Box) -> list[float]:
    return [box.left, box.top, box.right, box.bottom]


def test_a_few_frames_say_as_much_as_all(shelf: Shelf) -> None:
    found = shelf.reaches.boxes([swing("now")], Quiet())

    assert found.keys() == {View.FACE_ON}
    assert edges(found[View.FACE_ON]) == pytest.approx(edges(whole_reach(0)), abs=0.04)


def test_two_swings_are_cut_alike_to_what_both_need(shelf: Shelf) -> None:
    reaches = shelf.reaches
    both = reaches.boxes([swing("now"), swing("then")], Quiet())[View.FACE_ON]
    each = [reaches.boxes([swing(name)], Quiet())[View.FACE_ON] for name in ("now", "then")]

    assert both == around(each)
    assert both.width > each[0].width


@pytest.mark.parametrize("name", ["still", "broken"])
def test_where_one_is_not_known_nothing_is_cut(shelf: Shelf, name: str) -> None:
    assert shelf.reaches.boxes([swing("now"), swing(name)], Quiet()) == {}


def test_a_recording_off_the_clock_is_not_looked_at(shelf: Shelf) -> None:
    assert shelf.reaches.boxes([swing("now", placed=False)], Quiet()) == {}
    assert shelf.asked == []


def test_what_was_found_is_kept(shelf: Shelf) -> None:
    reaches = shelf.reaches
    first = reaches.boxes([swing("now")], Quiet())

    assert reaches.boxes([swing("now")], Quiet()) == first
    assert shelf.asked == ["now"]


def test_stopped_it_keeps_nothing_and_can_be_asked_again(shelf: Shelf) -> None:
    reaches = shelf.reaches
    with pytest.raises(CancelledError):
        reaches.boxes([swing("now")], StopAfter(0.3))

    assert reaches.boxes([swing("now")], Quiet())
    assert shelf.asked == ["now", "now"]
