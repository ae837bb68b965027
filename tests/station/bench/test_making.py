"""A field's picture: the short way where it shows the same, else through RGB; dropped when late."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from capturestation.drawing.grid import Side
from capturestation.media.screen import Screen
from capturestation.records import FrameArray, Planes, View
from capturestation.station.bench.making import NotWantedError, picture_of
from capturestation.station.bench.wishes import FrameWish, PictureWish
from tests.helpers.coded_media import read_code
from tests.helpers.seen_swings import MadeFrames, even_frames

SIZE = (160, 96)
SAME = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)
DOWN = (1.0, 0.0, 0.0, 0.0, 1.0, 16.0, 0.0, 0.0, 1.0)
SMALL = (0.5, 0.0, 40.0, 0.0, 0.5, 24.0, 0.0, 0.0, 1.0)
PAPER = (250, 240, 230)


@dataclass(kw_only=True)
class CodedFrames(MadeFrames):
    """Frames that have planes too: grey ones, whose luma is their red, green and blue."""

    matrix: int = 1

    def frame_planes(self, ordinal: int) -> Planes | None:
        half = np.full((48, 80), 128, np.uint8)
        luma = super().frame_rgb(ordinal)[:, :, 0].copy()
        self.asked[-1] = -ordinal
        return Planes(luma=luma, blue=half, red=half, matrix=self.matrix, is_full=True)


def coded(matrix: int = 1) -> CodedFrames:
    return CodedFrames(times_ns=even_frames().times_ns, matrix=matrix)


def wish(*, over: int | None = None, size: tuple[int, int] = SIZE) -> PictureWish:
    return PictureWish(
        view=View.FACE_ON,
        size_px=size,
        base=FrameWish(side=Side.NOW, ordinal=7, matrix=SAME),
        over=None if over is None else FrameWish(side=Side.THEN, ordinal=over, matrix=DOWN),
        opacity=0.9,
        paper=PAPER,
    )


def number(picture: FrameArray) -> int:
    return read_code(picture[:, :, :3])


def test_planes_are_shown_without_a_step_through_rgb() -> None:
    now, then = coded(), coded()

    picture = picture_of(wish(over=9), {Side.NOW: now, Side.THEN: then}, Screen())

    assert (now.asked, then.asked) == ([-7], [-9])
    assert number(picture) == 7
    assert number(np.vstack([picture[16:], picture[:16]])) == 9


@pytest.mark.parametrize("size", [(160, 96), (159, 95), (121, 96)])
def test_a_picture_is_as_large_as_its_field(size: tuple[int, int]) -> None:
    picture = picture_of(wish(size=size), {Side.NOW: coded()}, Screen())

    assert picture.shape == (size[1], size[0], 4)
    assert picture.strides[1:] == (4, 1)
    assert (picture[:, :, 3] == 255).all()


@pytest.mark.parametrize("then", [even_frames(), coded(5)], ids=["no planes", "other weights"])
def test_what_can_not_be_mixed_so_goes_through_rgb(then: MadeFrames) -> None:
    now = coded()

    picture = picture_of(wish(over=9), {Side.NOW: now, Side.THEN: then}, Screen())

    assert (now.asked[-1], then.asked[-1]) == (7, 9)
    assert number(picture) == 7
    assert number(np.vstack([picture[16:], picture[:16]])) == 9


def test_where_paper_shows_it_has_its_own_colour() -> None:
    small = replace(wish(), base=FrameWish(side=Side.NOW, ordinal=7, matrix=SMALL))

    picture = picture_of(small, {Side.NOW: coded()}, Screen())

    assert picture[2, 2].tolist() == [230, 240, 250, 255]
    assert number(picture[24:72, 40:120]) == 7


@pytest.mark.parametrize("frames", [even_frames, coded])
def test_what_is_not_wanted_any_more_goes_no_further(
    frames: Callable[[], MadeFrames],
) -> None:
    now, then = frames(), frames()

    with pytest.raises(NotWantedError):
        picture_of(wish(over=9), {Side.NOW: now, Side.THEN: then}, Screen(), lambda: False)

    assert then.asked == []
