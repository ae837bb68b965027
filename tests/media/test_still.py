"""A still is the frame that was asked for, upright, small, in its colours."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest

from capturestation.errors import NotReadableError
from capturestation.media.still import jpeg_bytes, still_jpeg
from capturestation.records import FrameArray
from tests.helpers.coded_media import Traits, read_code, write_coded_clip

RATE_HZ = Fraction(30)


def opened(jpeg: bytes) -> FrameArray:
    """A JPEG as another library reads it."""
    bgr = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_COLOR)
    assert bgr is not None
    return np.ascontiguousarray(bgr[..., ::-1]).astype(np.uint8)


@pytest.mark.parametrize("number", [0, 17, 47])
def test_a_still_is_the_frame_nearest_to_the_time(tmp_path: Path, number: int) -> None:
    path = write_coded_clip(
        tmp_path / "a.mp4", frames=48, rate_hz=RATE_HZ, size=(640, 360), traits=Traits(key_every=48)
    )

    still = opened(still_jpeg(path, round(number / RATE_HZ * 10**9) + 10**6, box_px=(320, 320)))

    assert still.shape == (180, 320, 3)
    assert read_code(still) == number


def test_a_still_of_a_camera_that_stood_upright_is_upright(tmp_path: Path) -> None:
    path = write_coded_clip(
        tmp_path / "a.mov",
        frames=3,
        rate_hz=RATE_HZ,
        size=(360, 640),
        traits=Traits(rotation_deg=90),
    )

    assert opened(still_jpeg(path, 0, box_px=(320, 320))).shape == (320, 180, 3)


@pytest.mark.parametrize("colour", [(200, 40, 40), (30, 200, 60), (255, 255, 255), (0, 0, 0)])
def test_another_reader_sees_the_same_colours(colour: tuple[int, int, int]) -> None:
    still = opened(jpeg_bytes(np.full((180, 320, 3), colour, np.uint8)))

    assert np.abs(still.astype(int) - colour).max() <= 3


def test_a_file_that_is_no_video_is_named(tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_text("text")

    with pytest.raises(NotReadableError, match=r"a\.mp4"):
        still_jpeg(tmp_path / "a.mp4", 0, box_px=(320, 320))
