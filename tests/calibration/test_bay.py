"""Cameras come back to where they stand with errors that hold, or the reason is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.bay import calibrate_bay, unmirrored
from calibration.boards import Board
from calibration.camera import project_points
from calibration.corners import Corners
from calibration.errors import CalibrationError
from calibration.lens import Lens, lens_from_field_of_view
from calibration.places import LineStick, Place, Stance, Surroundings
from calibration.poses import angle_deg, camera_pose
from calibration.projection import FloatArray
from calibration.standing import BayCalibration, Kind
from tests.helpers.made_bays import DOWN_THE_LINE, FACE_ON, MadeBay, made_bay

MADE = made_bay(np.random.default_rng(45))
EXACT_LENSES = {
    camera.name: replace(
        MADE.lenses[camera.name], numbers=camera.lens_numbers, covariance=1e-12 * np.eye(9)
    )
    for camera in MADE.cameras
}


def places(seed: int = 1, noise_px: float = 0.06) -> list[Place]:
    """What the cameras of the bay measured."""
    return MADE.places(np.random.default_rng(seed), noise_px)


def off(found: BayCalibration, made: MadeBay = MADE) -> list[tuple[float, float]]:
    """How far each camera is off, mm and degrees."""
    result = []
    for camera in made.cameras:
        turn, lens_m = camera_pose(camera)
        turn_found, lens_found = camera_pose(found.placed(camera.name).camera)
        result.append(
            (1000 * float(np.linalg.norm(lens_found - lens_m)), angle_deg(turn_found @ turn.T))
        )
    return result


def changed(place: Place, camera: str, corners: Corners) -> Place:
    """A place as one camera saw it otherwise."""
    return replace(place, sights={**place.sights, camera: corners})


def stick(length_m: float = 1.22, offset_m: float = 0.3) -> LineStick:
    """A stick laid parallel to the target line, marked in both views without error."""
    ends = np.array([[-0.61, offset_m, 0.004], [0.61, offset_m, 0.004]])
    return LineStick(
        ends_px={camera.name: project_points(camera, ends) for camera in MADE.cameras},
        length_m=length_m,
        offset_m=offset_m,
    )


def without_line(some: list[Place]) -> list[Place]:
    """The same places, none of which gives the line."""
    return [replace(place, heading_deg=None) for place in some]


def test_without_errors_the_cameras_come_back_exactly() -> None:
    flat = MadeBay(cameras=MADE.cameras, lenses=EXACT_LENSES, board=MADE.board, stood=MADE.stood)

    found = calibrate_bay(
        flat.places(np.random.default_rng(1), 0.0), EXACT_LENSES, Surroundings(ground_u_mm=1.5)
    )

    # The mat itself is uneven by 1.5 mm, so the bay's level is not exact.
    assert max(mm for mm, _ in off(found)) < 8
    assert found.kind is Kind.BOARD


def test_what_is_off_stays_within_the_errors_that_are_stated() -> None:
    found = calibrate_bay(places(), MADE.lenses)

    for (mm, deg), camera in zip(off(found), MADE.cameras, strict=True):
        error = found.error(camera.name)
        assert mm < 2.5 * error.mm
        assert deg < 2.5 * error.deg
        assert error.mm < 25
    assert found.metres_good
    assert found.sigma_px == pytest.approx(0.06, rel=0.15)
    assert found.bad == ()


def test_a_lens_within_its_errors_is_mended_by_the_bays_pictures() -> None:
    found = calibrate_bay(places(), MADE.lenses)

    for camera in MADE.cameras:
        placed = found.placed(camera.name)
        before = np.abs(MADE.lenses[camera.name].numbers - camera.lens_numbers)[0]
        assert abs(placed.camera.focal_px[0] - camera.focal_px[0]) < max(before, 2.0)
        assert placed.covariance[6, 6] <= MADE.lenses[camera.name].covariance[0, 0] * 1.001


def test_a_stick_gives_the_line_as_well_as_a_boards_foot() -> None:
    found = calibrate_bay(without_line(places()), MADE.lenses, Surroundings(stick=stick()))

    assert max(mm for mm, _ in off(found)) < 40
    assert found.scale is not None
    assert found.scale.ratio == pytest.approx(1.0, abs=0.01)


def test_squares_of_another_size_than_entered_are_found_by_a_stick() -> None:
    smaller = replace(MADE.board, square_mm=54.0, foot_mm=36.0)
    wrong = [
        replace(
            place, sights={name: replace(one, board=smaller) for name, one in place.sights.items()}
        )
        for place in places()
    ]

    with pytest.raises(CalibrationError, match=r"stick is 10\d\d mm long.*smaller"):
        calibrate_bay(wrong, MADE.lenses, Surroundings(stick=stick()))


def test_a_place_at_which_the_board_moved_is_named_and_left_out() -> None:
    moved = places()
    away = moved[2].sights[DOWN_THE_LINE]
    moved[2] = changed(
        moved[2], DOWN_THE_LINE, replace(away, pixels=away.pixels + np.array([9.0, 4.0]))
    )

    found = calibrate_bay(moved, MADE.lenses)

    assert {one.split(" (")[0] for one in found.bad} == {moved[2].name}
    assert max(mm for mm, _ in off(found)) < 30
    assert [fit.used for fit in found.places].count(False) == len(found.bad)


def mirrored(corners: Corners) -> Corners:
    """What a mirrored picture would have given."""
    return unmirrored(corners)


def test_a_mirrored_camera_is_told() -> None:
    turned = [
        changed(place, FACE_ON, mirrored(place.sights[FACE_ON]))
        if FACE_ON in place.sights
        else place
        for place in places()
    ]

    with pytest.raises(CalibrationError, match="face-on are mirrored"):
        calibrate_bay(turned, MADE.lenses)


def test_places_whose_pictures_were_mixed_up_are_named_and_left_out() -> None:
    mixed = places()
    shared = [n for n, place in enumerate(mixed) if len(place.sights) == 2]
    both = [number for number in shared if mixed[number].heading_deg is None][:2]
    for number in both:
        sights = mixed[number].sights
        swapped = {FACE_ON: sights[DOWN_THE_LINE], DOWN_THE_LINE: sights[FACE_ON]}
        mixed[number] = replace(mixed[number], sights=swapped)

    found = calibrate_bay(mixed, MADE.lenses)

    assert {one.split(" (")[0] for one in found.bad} == {mixed[number].name for number in both}
    assert max(mm for mm, _ in off(found)) < 40


def test_places_that_fit_in_no_way_are_refused() -> None:
    rng = np.random.default_rng(1)
    blown = [
        replace(place, sights={
            name: replace(one, pixels=one.pixels + rng.normal(0, 3.0, one.pixels.shape))
            for name, one in place.sights.items()
        })
        for place in places()
    ]  # fmt: skip

    with pytest.raises(CalibrationError, match="don't fit each other"):
        calibrate_bay(blown, MADE.lenses)


def in_one_row() -> list[Place]:
    """Places whose feet all stand along the target line."""
    rng = np.random.default_rng(2)
    kept = []
    for number, x in enumerate((-0.3, 0.0, 0.3)):
        name, stance, heading, pose = MADE.stood[0]
        shifted = pose.copy()
        shifted[0, 3] += x
        stood = ((f"{name}{number}", stance, heading if number == 1 else None, shifted),)
        kept += replace(MADE, stood=stood).places(rng)
    return kept


def nan_place() -> list[Place]:
    """A place with a corner that is not a number."""
    some = places()
    pixels = some[1].sights[FACE_ON].pixels.copy()
    pixels[0] = np.nan
    some[1] = changed(some[1], FACE_ON, replace(some[1].sights[FACE_ON], pixels=pixels))
    return some


def other_size() -> list[Place]:
    """A place filmed in another size."""
    some = places()
    corners = replace(some[1].sights[FACE_ON], size_px=(1920, 1080))
    some[1] = changed(some[1], FACE_ON, corners)
    return some


def none_shared() -> list[Place]:
    """Places that only one camera each saw."""
    return [
        replace(place, sights={name: one})
        for number, place in enumerate(places())
        for name, one in [list(place.sights.items())[number % len(place.sights)]]
    ]


@pytest.mark.parametrize(
    ("shown", "words"),
    [
        (places()[:2], "2 places of the board are too few"),
        (without_line(places()), "0 places of the board give the target line"),
        ([replace(place, heading_deg=0.0) for place in places()], "6 places of the board give"),
        (in_one_row(), "along one line"),
        (nan_place(), "2 of 108 values are not numbers"),
        (other_size(), "another picture size: 1280 x 720, and it is 1920 x 1080"),
        (none_shared(), "No place of the board is seen by"),
    ],
    ids=["too few", "no line", "many lines", "one row", "nan", "size", "none shared"],
)
def test_what_cannot_give_a_bay_is_refused_with_the_reason(shown: list[Place], words: str) -> None:
    with pytest.raises(CalibrationError, match=words):
        calibrate_bay(shown, MADE.lenses)


def test_a_camera_without_a_lens_is_refused() -> None:
    lenses: dict[str, Lens] = {FACE_ON: MADE.lenses[FACE_ON]}

    with pytest.raises(CalibrationError, match="down-the-line, whose lens isn't known"):
        calibrate_bay(places(), lenses)


def test_where_a_lens_is_only_a_field_of_view_metres_are_not_good() -> None:
    wide = {
        name: lens_from_field_of_view(lens.setting, lens.hfov_deg)
        for name, lens in MADE.lenses.items()
    }

    assert not calibrate_bay(places(), wide).metres_good


def test_one_camera_alone_is_placed_as_well() -> None:
    alone = [
        replace(place, sights={FACE_ON: place.sights[FACE_ON]})
        for place in places()
        if FACE_ON in place.sights
    ]

    found = calibrate_bay(alone, {FACE_ON: MADE.lenses[FACE_ON]})

    turn, lens_m = camera_pose(MADE.cameras[0])
    assert np.linalg.norm(found.cameras[0].lens_m - lens_m) * 1000 < 3 * found.error(FACE_ON).mm
    assert turn.shape == (3, 3)


def lying(board: Board, at_m: FloatArray) -> FloatArray:
    """A board on its back."""
    pose = np.eye(4)
    pose[:3, 3] = at_m - board.foot_m.mean(axis=0)
    return pose


def test_a_lying_board_gives_the_ground_and_the_line() -> None:
    stood = (
        ("mat", Stance.LYING, 0.0, lying(MADE.board, np.zeros(3))),
        *((name, stance, None, pose) for name, stance, _, pose in MADE.stood[1:]),
    )
    bay = replace(MADE, stood=stood)

    found = calibrate_bay(bay.places(np.random.default_rng(3), 0.05), MADE.lenses)

    assert max(mm for mm, _ in off(found, bay)) < 40
