"""Where the cameras stand, from one board at several places of the mat.

Each place is one standing of the board, filmed by all cameras at the same time or one after the
other while the board stays. Boards that stand on their foot, or lie, say where the ground is; one
of them, or a stick, says where the target line and the mat mark are. All is adjusted together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from calibration.bay_build import Built, build, placed_cameras
from calibration.corners import Corners
from calibration.errors import CalibrationError
from calibration.lens import Lens, check_setting
from calibration.places import Place, Surroundings
from calibration.points import measured_length
from calibration.projection import check_finite
from calibration.scene import Solved, settle
from calibration.standing import METRES_GOOD_MM, BayCalibration, Kind, PlaceFit, ScaleCheck

LEAST_PLACES, BEST_PLACES = 3, 5
BAD_TIMES_MEDIAN, LEAST_BAD_PX = 3.0, 0.1
LARGEST_SIGMA_SHARE = 0.0005
"""Of the picture's width: 0.64 px of 1280. What fits leaves a tenth of it."""
LARGEST_BAD_SHARE = 0.4
LARGEST_SCALE_OFF, SCALE_TIMES_U = 0.02, 3.0
"""A print that is off by less is within what a stick's marked ends can tell."""
_CLEARLY = 5.0
SUSPECT_SIGMA_SHARE, CLEARLY_BETTER, MOST_SPOILT, QUICK_ROUNDS = 0.0002, 1.6, 2, 6
"""0.26 px of 1280 is twice what a poor picture's corners are off; then each sight is left out once
to see whether the others then fit."""


def calibrate_bay(
    places: Sequence[Place], lenses: Mapping[str, Lens], around: Surroundings | None = None
) -> BayCalibration:
    """Find where the cameras stand.

    How large the squares are no number of cameras can tell: of a smaller board, nearer cameras see
    the same. A wrong size makes the whole bay smaller or larger by as much, and all fits; only
    another known length, the stick's, finds it.

    Args:
        places: Three or more, better five, some seen by both cameras.
        lenses: Each camera's lens.
        around: Stick, line and ground.

    Raises:
        CalibrationError: If there are too few places, the line or the ground can't be told, places
            don't fit each other, a picture is mirrored, of another size or camera, or squares have
            another size than entered by the stick that both cameras see. Nothing is changed.
    """
    known = around or Surroundings()
    _check(places, lenses, known)
    used, bad = list(places), list[tuple[str, str]]()
    sights = sum(len(place.sights) for place in places)
    while True:
        built = build(used, lenses, known)
        solved = settle(built.scene, built.evidence)
        if not bad and solved.sigma_px > _largest_sigma_px(built):
            _refuse_mirrored(places, lenses, known, solved.sigma_px)
        worst = _worst(solved, built) or _spoiling(solved, built, len(bad))
        if worst is None:
            break
        gone = _gone_with(used, worst)
        bad += gone
        used = _without(used, gone)
        if len(bad) > LARGEST_BAD_SHARE * sights:
            raise _no_fit(solved)
    if solved.sigma_px > _largest_sigma_px(built):
        raise _no_fit(solved)
    return _result(solved, built, bad, known)


def _check(places: Sequence[Place], lenses: Mapping[str, Lens], known: Surroundings) -> None:
    if len(places) < LEAST_PLACES:
        raise CalibrationError(
            f"{len(places)} places of the board are too few for the bay.",
            try_next=f"Stand it at {BEST_PLACES} places, turned half towards each camera.",
        )
    for place in places:
        for name, corners in place.sights.items():
            if name not in lenses:
                raise CalibrationError(
                    f"{place.name} was filmed by {name}, whose lens isn't known.",
                    try_next="Calibrate that camera's lens first.",
                )
            now = replace(lenses[name].setting, camera=name, size_px=corners.size_px)
            check_setting(lenses[name], now)
            check_finite(f"{place.name} in {name}", corners.pixels)
    lines = [place.name for place in places if place.heading_deg is not None]
    if len(lines) > 1 or (not lines and known.stick is None):
        raise CalibrationError(
            f"{len(lines)} places of the board give the target line; one has to.",
            try_next="Stand the board's foot on the line once, or lay a stick along it.",
        )
    for name, ends in known.stick.ends_px.items() if known.stick else ():
        check_finite(f"The stick's ends in {name}", ends)


def _worst(solved: Solved, built: Built) -> tuple[str, str] | None:
    """The sight that fits far worse than the others, by place and camera."""
    misfits = np.array(solved.board_rms_px)
    worst = int(np.argmax(misfits))
    apart = misfits[worst] > max(BAD_TIMES_MEDIAN * np.median(misfits), LEAST_BAD_PX)
    return built.sights[worst] if apart else None


def _spoiling(solved: Solved, built: Built, bad: int) -> tuple[str, str] | None:
    """The sight without which all others fit: where a board moved, its misfit spreads to all."""
    width = built.scene.lenses[0].setting.size_px[0]
    if solved.sigma_px < SUSPECT_SIGMA_SHARE * width or bad >= MOST_SPOILT:
        return None
    boards = built.evidence.boards
    sigmas = []
    for gone in range(len(boards)):
        left = replace(built.evidence, boards=boards[:gone] + boards[gone + 1 :])
        sigmas.append(settle(solved.scene, left, rounds=QUICK_ROUNDS).sigma_px)
    best = int(np.argmin(sigmas))
    return built.sights[best] if sigmas[best] < solved.sigma_px / CLEARLY_BETTER else None


def _gone_with(places: Sequence[Place], worst: tuple[str, str]) -> list[tuple[str, str]]:
    """All sights of that place: what is left of a wrong one fits, and would tilt the ground."""
    place = next(one for one in places if one.name == worst[0])
    if place.heading_deg is not None:
        return [worst]
    return [(place.name, camera) for camera in place.sights]


def _without(places: Sequence[Place], gone: Sequence[tuple[str, str]]) -> list[Place]:
    """The places less some cameras' sights of them."""
    left = []
    for place in places:
        seen = {name: one for name, one in place.sights.items() if (place.name, name) not in gone}
        if not seen and place.heading_deg is not None:
            raise CalibrationError(
                f"{place.name}, which gives the target line, doesn't fit the other places.",
                try_next="Stand the board on the line again and film it while nothing moves.",
            )
        if seen:
            left.append(replace(place, sights=seen))
    return left


def _largest_sigma_px(built: Built) -> float:
    return LARGEST_SIGMA_SHARE * built.scene.lenses[0].setting.size_px[0]


def _no_fit(solved: Solved) -> CalibrationError:
    return CalibrationError(
        f"The places of the board don't fit each other: {solved.sigma_px:.1f} px are left over.",
        try_next="Film each place while board and cameras stand still, each camera with its own "
        "lens; then measure again.",
    )


def _refuse_mirrored(
    places: Sequence[Place], lenses: Mapping[str, Lens], known: Surroundings, sigma_px: float
) -> None:
    """Whether all would fit if one camera's pictures were turned about."""
    for name in lenses:
        turned = [_turned_back(place, name) for place in places]
        try:
            built = build(turned, lenses, known)
        except CalibrationError:
            continue
        found = settle(built.scene, built.evidence, rounds=QUICK_ROUNDS)
        if found.sigma_px < sigma_px / _CLEARLY:
            raise CalibrationError(
                f"The pictures of {name} are mirrored.",
                try_next="Switch the mirroring off where the camera is set, and film again.",
            )


def _turned_back(place: Place, camera: str) -> Place:
    """A place as one camera would have seen it had its pictures been mirrored."""
    seen = {name: unmirrored(one) if name == camera else one for name, one in place.sights.items()}
    return replace(place, sights=seen)


def unmirrored(corners: Corners) -> Corners:
    """Corners of a mirrored picture as the picture itself would have them.

    A mirrored board still looks like a board; only its corners get each other's numbers.
    """
    across, up = corners.board.inner
    column, row = corners.ids % across, corners.ids // across
    if corners.board.rows % 2:
        row = up - 1 - row
    else:
        column = across - 1 - column
    ids = row * across + column
    order = np.argsort(ids)
    pixels = corners.pixels * [-1.0, 1.0] + [corners.size_px[0] - 1.0, 0.0]
    return replace(corners, ids=ids[order], pixels=pixels[order])


def _result(
    solved: Solved, built: Built, bad: Sequence[tuple[str, str]], known: Surroundings
) -> BayCalibration:
    scene = solved.scene
    cameras = placed_cameras(scene)
    fits = [
        PlaceFit(name=place, camera=camera, rms_px=rms, used=True)
        for (place, camera), rms in zip(built.sights, solved.board_rms_px, strict=True)
    ]
    fits += [
        PlaceFit(name=place, camera=camera, rms_px=np.nan, used=False) for place, camera in bad
    ]
    found = BayCalibration(
        cameras=cameras,
        covariance=solved.covariance,
        kind=Kind.BOARD,
        sigma_px=solved.sigma_px,
        places=tuple(fits),
        bad=tuple(f"{place} ({camera})" for place, camera in bad),
        line_u_deg=known.line_u_deg,
        metres_good=False,
    )
    errors = [found.error(camera.name) for camera in cameras]
    if max(error.deg for error in errors) > _CLEARLY:
        raise CalibrationError(
            "Where the ground is can't be told: all boards stand along one line.",
            try_next="Turn the board between its places, or lay it down once.",
        )
    lenses_known = all(lens.model is not None for lens in scene.lenses)
    good = lenses_known and max(error.mm for error in errors) <= METRES_GOOD_MM
    return replace(found, metres_good=good, scale=_scale(found, known))


def _scale(found: BayCalibration, known: Surroundings) -> ScaleCheck | None:
    """The stick's length as measured, against what was entered."""
    if known.stick is None or len(known.stick.ends_px) < 2:
        return None
    length, u_m = measured_length(found, known.stick.ends_px, u_px=known.stick.u_px)
    check = ScaleCheck(name="stick", ratio=length / known.stick.length_m,
                       u=u_m / known.stick.length_m)  # fmt: skip
    off = abs(check.ratio - 1.0)
    if off > LARGEST_SCALE_OFF and off > SCALE_TIMES_U * check.u:
        square = "larger" if check.ratio > 1 else "smaller"
        raise CalibrationError(
            f"By this board's squares the stick is {1000 * length:.0f} mm long, and "
            f"{1000 * known.stick.length_m:.0f} mm was entered.",
            try_next=f"Measure a square of the print: the side entered looks {square} than it is.",
        )
    return check
