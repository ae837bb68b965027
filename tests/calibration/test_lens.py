"""A lens comes back from views of a board with errors that hold it, or the reason is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD
from calibration.errors import CalibrationError
from calibration.lens import (
    LensModel,
    Setting,
    View,
    calibrate_lens,
    check_setting,
    lens_from_field_of_view,
)
from tests.helpers.seen_boards import before_lens, lens_views, setting_of

CAMERA = before_lens()
SETTING = setting_of(CAMERA)


def views(count: int = 14, *, noise_px: float = 0.1, tilt_deg: float = 35.0) -> list[View]:
    """Views of the lens's board, always the same."""
    rng = np.random.default_rng(3)
    return lens_views(CAMERA, LENS_BOARD, count, rng, noise_px=noise_px, tilt_deg=tilt_deg)


def moved(view: View, shift_px: np.ndarray) -> View:
    """A view whose corners lie elsewhere."""
    corners = view.corners
    return replace(view, corners=replace(corners, pixels=corners.pixels + shift_px))


def test_without_noise_the_lens_comes_back_exactly() -> None:
    found = calibrate_lens(views(noise_px=0.0), SETTING, models=[LensModel.SIDEWAYS])

    assert found.lens.numbers == pytest.approx(CAMERA.lens_numbers, abs=1e-4)


def test_with_noise_its_errors_hold_what_is_off() -> None:
    found = calibrate_lens(views(), SETTING, models=[LensModel.SIDEWAYS]).lens

    off = np.abs(found.numbers - CAMERA.lens_numbers)
    free = found.u > 0
    assert (off[free] < 3.5 * found.u[free]).all()
    assert found.u[0] < 0.01 * found.numbers[0]
    assert found.rms_px == pytest.approx(0.1, rel=0.1)


def test_unseen_views_choose_as_much_bend_as_there_is() -> None:
    chosen = calibrate_lens(views(20, noise_px=0.05), SETTING)

    assert chosen.lens.model is LensModel.SIDEWAYS
    assert chosen.held_out_px[LensModel.PLAIN] > 5 * chosen.held_out_px[LensModel.SIDEWAYS]


def test_a_view_whose_corners_are_spoilt_is_named_and_left_out() -> None:
    spoilt = views()
    rng = np.random.default_rng(8)
    spoilt[4] = moved(spoilt[4], rng.normal(0, 2.0, spoilt[4].corners.pixels.shape))

    found = calibrate_lens(spoilt, SETTING)

    assert found.bad == ("picture 5",)
    assert [view.used for view in found.views].count(False) == 1
    assert found.lens.rms_px < 0.12


def test_one_stray_corner_does_not_pull_the_lens() -> None:
    stray = views()
    shift = np.zeros(stray[2].corners.pixels.shape)
    shift[5] = (1.5, -1.0)
    stray[2] = moved(stray[2], shift)

    found = calibrate_lens(stray, SETTING, models=[LensModel.SIDEWAYS]).lens

    assert (np.abs(found.numbers - CAMERA.lens_numbers)[:4] < 3.5 * found.u[:4]).all()


def test_square_pixels_hold_both_focal_lengths_equal() -> None:
    found = calibrate_lens(views(), SETTING, models=[LensModel.SIDEWAYS], square_pixels=True).lens

    assert found.numbers[0] == found.numbers[1]
    assert found.u[0] == found.u[1]


def test_views_from_the_same_side_are_refused() -> None:
    with pytest.raises(CalibrationError, match="same side"):
        calibrate_lens(views(tilt_deg=0.5), SETTING)


def test_too_few_views_are_refused() -> None:
    with pytest.raises(CalibrationError, match="4 pictures of the board are too few"):
        calibrate_lens(views(4), SETTING)


def test_pictures_of_another_size_are_refused_with_both_sizes() -> None:
    other = Setting(camera="face-on", size_px=(1920, 1080))

    with pytest.raises(CalibrationError, match=r"1280 x 720.*1920 x 1080"):
        calibrate_lens(views(), other)


def test_a_corner_that_is_not_a_number_is_refused_with_its_picture() -> None:
    broken = views()
    broken[3] = moved(broken[3], np.full((1, 2), np.nan))

    with pytest.raises(CalibrationError, match=r"picture 4.*not numbers"):
        calibrate_lens(broken, SETTING)


def test_pictures_of_two_boards_are_refused() -> None:
    rng = np.random.default_rng(4)
    mixed = [*views(6), *lens_views(CAMERA, BAY_BOARD, 2, rng)]

    with pytest.raises(CalibrationError, match="another board"):
        calibrate_lens(mixed, SETTING)


def test_pictures_of_two_cameras_are_refused() -> None:
    rng = np.random.default_rng(4)
    zoomed = replace(CAMERA, focal_px=(1500.0, 1500.0), distortion=(0.1, 0.0, 0.0, 0.0, 0.0))
    mixed = [*views(7), *lens_views(zoomed, LENS_BOARD, 7, rng)]

    with pytest.raises(CalibrationError, match="don't fit one lens"):
        calibrate_lens(mixed, SETTING)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"camera": "down-the-line"}, "another camera"),
        ({"size_px": (1920, 1080)}, "another picture size: 1280 x 720, and it is 1920 x 1080"),
        ({"zoom": "2x"}, "another zoom"),
        ({"mounting": "upright"}, "another mounting"),
    ],
)
def test_a_lens_belongs_to_its_setting(change: dict[str, object], words: str) -> None:
    lens = lens_from_field_of_view(SETTING, 66.0)
    now = {"camera": SETTING.camera, "size_px": SETTING.size_px, "zoom": "", "mounting": "level"}

    check_setting(lens, SETTING)
    with pytest.raises(CalibrationError, match=words):
        check_setting(lens, Setting(**{**now, **change}))  # type: ignore[arg-type]


def test_a_field_of_view_gives_a_focal_length_known_to_its_share() -> None:
    lens = lens_from_field_of_view(SETTING, 66.0, share=0.05)

    assert lens.hfov_deg == pytest.approx(66.0)
    assert lens.u[0] == pytest.approx(0.05 * lens.numbers[0])
    with pytest.raises(CalibrationError, match="none of a camera"):
        lens_from_field_of_view(SETTING, 400.0)
