"""Frames shown the short way look as they do through RGB; what can't go that way says so."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from capturestation.media.frames import FrameReader
from capturestation.media.screen import Screen
from capturestation.records import FrameArray, Planes
from tests.helpers.coded_media import Traits, write_coded_clip
from tests.helpers.patch_media import Coded, write_patches

COLOURS = (
    (0.0, 0.0, 0.0),
    (1.0, 1.0, 1.0),
    (0.5, 0.5, 0.5),
    (0.78, 0.16, 0.16),
    (0.2, 0.55, 0.2),
    (0.15, 0.25, 0.7),
)
KINDS = {
    "709 limited": Coded(matrix=1, range_tag=1),
    "709 full": Coded(full=True, matrix=1, range_tag=2),
    "601 limited": Coded(weights="BT.601", matrix=6, range_tag=1),
    "601 full, yuvj": Coded(
        weights="BT.601", full=True, pixel_format="yuvj420p", matrix=6, range_tag=2
    ),
    "says nothing": Coded(weights="BT.601"),
}


def grey(width: int = 4, height: int = 4) -> Planes:
    half = np.full((height // 2, width // 2), 128, np.uint8)
    luma = np.full((height, width), 126, np.uint8)
    return Planes(luma=luma, blue=half, red=half, matrix=1, is_full=False)


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_it_shows_the_colours_that_rgb_shows(kind: Coded, tmp_path: Path) -> None:
    path = write_patches(tmp_path / "a.mkv", kind, COLOURS)

    with FrameReader(path) as reader:
        planes, through_rgb = reader.frame_planes(3), reader.frame_rgb(3)
    assert planes is not None
    shown = Screen().picture(planes)

    assert shown.shape == (96, 192, 4)
    assert (shown[:, :, 3] == 255).all()
    assert np.abs(shown[:, :, 2::-1].astype(int) - through_rgb).max() <= 1


@pytest.mark.parametrize("width", range(178, 260, 2))
def test_every_pixel_of_a_row_is_its_own_picture_s(width: int) -> None:
    # So that room which is given out again is not what it should be by chance.
    left = [np.full(4 * width * 64 + more, 77, np.uint8) for more in range(0, 256, 16)]
    del left

    shown = Screen().picture(grey(width, 64))

    assert shown.shape == (64, width, 4)
    assert (shown == shown[0, 0]).all()


def test_planes_stay_what_they_are_while_the_reader_goes_on(tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=12, rate_hz=Fraction(30))

    with FrameReader(path, cache_mb=0) as reader:
        planes = reader.frame_planes(2)
        assert planes is not None
        before = planes.luma.copy()
        for ordinal in (9, 5, 11):
            reader.frame_planes(ordinal)

    assert np.array_equal(planes.luma, before)
    assert not planes.luma.flags.writeable


@pytest.mark.parametrize(
    "traits",
    [Traits(rotation_deg=90), Traits(mirrored=True), Traits(pixel_format="yuv420p10le")],
    ids=["turned", "mirrored", "ten bits"],
)
def test_what_has_to_be_changed_first_has_no_planes(traits: Traits, tmp_path: Path) -> None:
    path = write_coded_clip(tmp_path / "a.mp4", frames=4, rate_hz=Fraction(30), traits=traits)

    with FrameReader(path) as reader:
        assert reader.frame_planes(1) is None


@pytest.mark.parametrize(
    "planes",
    [grey(5, 4), grey(4, 5), replace(grey(), blue=np.zeros((4, 4), np.uint8))],
    ids=["odd width", "odd height", "colours of another size"],
)
def test_other_sizes_are_refused(planes: Planes) -> None:
    with pytest.raises(ValueError, match="colours"):
        Screen().picture(planes)


def test_one_screen_shows_pictures_of_any_size_one_after_another() -> None:
    screen = Screen()

    shapes = [screen.picture(grey(*size)).shape for size in ((4, 4), (8, 6), (4, 4))]

    assert shapes == [(4, 4, 4), (6, 8, 4), (4, 4, 4)]


def test_a_picture_once_made_is_not_painted_over() -> None:
    screen = Screen()
    first: FrameArray = screen.picture(grey())
    kept = first.copy()
    screen.picture(replace(grey(), luma=np.full((4, 4), 16, np.uint8)))

    assert np.array_equal(first, kept)
