"""A painted layer lies over planar pictures as it would over the same pictures in RGB."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.media.canvas import planar, planes
from capturestation.media.overlay import Overlay
from capturestation.records import FrameArray

colours = st.tuples(*[st.integers(0, 255)] * 3)


def flat_layer(colour: tuple[int, int, int], cover: int, size: int = 8) -> FrameArray:
    layer = np.zeros((size, size, 4), np.uint8)
    layer[:, :, :3] = np.rint(np.array(colour) * cover / 255)
    layer[:, :, 3] = cover
    return layer


def flat(colour: tuple[int, int, int], size: int = 8) -> FrameArray:
    return np.full((size, size, 3), colour, np.uint8)


@given(under=colours, over=colours, cover=st.integers(1, 255))
def test_a_half_covered_picture_is_the_mix_of_both_colours(
    under: tuple[int, int, int], over: tuple[int, int, int], cover: int
) -> None:
    mixed = np.rint((np.array(over) * cover + np.array(under) * (255 - cover)) / 255)

    made = Overlay(flat_layer(over, cover)).over(planar(flat(under)))

    wanted = planar(np.broadcast_to(mixed, (8, 8, 3)).astype(np.uint8))
    assert np.abs(made.astype(int) - wanted).max() <= 2


def test_where_nothing_is_painted_the_picture_stays_as_it_was_and_so_does_the_one_handed_in() -> (
    None
):
    rng = np.random.default_rng(5)
    picture = planar(rng.integers(0, 256, (16, 16, 3)).astype(np.uint8))
    picture.setflags(write=False)
    before = picture.copy()
    layer = np.zeros((16, 16, 4), np.uint8)
    layer[4:8, 6:10] = 255

    made = Overlay(layer).over(picture)

    luma, blue, red = planes(made)
    assert (luma[4:8, 6:10] == 235).all()
    assert (blue[2:4, 3:5] == 128).all()
    assert (red[2:4, 3:5] == 128).all()
    for plane, old, step in zip(planes(made), planes(before), (1, 2, 2), strict=True):
        untouched = np.ones(plane.shape, bool)
        untouched[4 // step : 8 // step, 6 // step : 10 // step] = False
        assert np.array_equal(plane[untouched], old[untouched])
    assert np.array_equal(picture, before)
    assert not made.flags.writeable


def test_a_picture_of_another_size_is_refused() -> None:
    overlay = Overlay(np.zeros((4, 4, 4), np.uint8))

    with pytest.raises(ValueError, match=r"over \(6, 4\), got \(6, 8\)"):
        overlay.over(np.zeros((6, 8), np.uint8))


@pytest.mark.parametrize("shape", [(4, 4, 3), (5, 4, 4), (4, 3, 4), (4, 4)])
def test_a_layer_without_cover_or_of_odd_sizes_is_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="even sizes"):
        Overlay(np.zeros(shape, np.uint8))
