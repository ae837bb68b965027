"""One camera that is measured, and what one live picture of it shows.

Owns the way from a live picture, as it was stored and maybe smaller, to the recordings' own pixels.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from calibration.advice import Coverage
from calibration.boards import Board
from calibration.corners import Corners, Sight, find_corners
from calibration.lens import Setting
from calibration.standing import BayCalibration
from capturestation.records import Box, FrameArray, Point, View
from capturestation.records.capture import SourceSetting
from capturestation.station.bay.standing import CameraStanding

STILL_PX = 0.7
"""Between two looks: a board in a hand moves by more, one that stands by a tenth of it."""
NEW_PLACE_SHARE = 0.015
"""Of the picture's width: a board that was moved by a hand's breadth, or turned."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """One camera that is measured.

    Args:
        view: Where it stands.
        camera: Its name.
        size_px: Its recordings' width and height, upright.
        turn_deg: Clockwise turn that shows its picture upright.
        zoom: The lens or zoom it is set to.
    """

    view: View
    camera: str
    size_px: tuple[int, int]
    turn_deg: int = 0
    zoom: str = ""

    @property
    def setting(self) -> Setting:
        """What its lens belongs to."""
        mounting = "upright" if self.turn_deg % 180 else "level"
        return Setting(camera=self.camera, size_px=self.size_px, zoom=self.zoom, mounting=mounting)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundCamera:
    """What was worked out of one camera, for whoever reads it.

    Args:
        view: Where it stands.
        away_m: From the mat mark to the lens, along the floor.
        high_m: The lens's height.
        u_mm: Standard error of its place.
        u_deg: Likewise of its direction.
    """

    view: View
    away_m: float
    high_m: float
    u_mm: float
    u_deg: float


def found_camera(aim: Aim, bay: BayCalibration) -> FoundCamera:
    """What was worked out of one camera."""
    placed = bay.placed(aim.camera)
    x, y, z = placed.camera.lens_m.tolist()
    error = placed.error
    return FoundCamera(
        view=aim.view, away_m=math.hypot(x, y), high_m=z, u_mm=error.mm, u_deg=error.deg
    )


def find_in(grey: FrameArray, aim: Aim, board: Board) -> Sight:
    """Look for a board in a live picture, as it was stored, in the pixels of the recordings.

    Takes 20 to 150 ms: beside the window.
    """
    upright = upright_of(grey, aim.turn_deg)
    sight = find_corners(np.ascontiguousarray(upright), board)
    if sight.corners is None:
        return sight
    scale = aim.size_px[0] / upright.shape[1]
    found = sight.corners
    larger = Corners(
        board=board,
        size_px=aim.size_px,
        ids=found.ids,
        pixels=(found.pixels + 0.5) * scale - 0.5,
        square_px=scale * found.square_px,
        window_px=round(scale * found.window_px),
    )
    return Sight(corners=larger)


def upright_of(grey: FrameArray, turn_deg: int) -> FrameArray:
    """A picture turned as it is shown."""
    turned: FrameArray = np.rot90(grey, -(turn_deg // 90))
    return turned


def aims_of(
    sources: tuple[SourceSetting, ...], standing: Mapping[View, CameraStanding]
) -> tuple[Aim, ...]:
    """The cameras that can be measured: those with a name, which send.

    Args:
        sources: As the bay is set up.
        standing: What each gives.
    """
    found = []
    for source in sources:
        known = standing.get(source.view)
        if not source.camera or known is None or known.got is None:
            continue
        wide, high = known.got.width_px, known.got.height_px
        size = (high, wide) if source.rotation_deg % 180 else (wide, high)
        found.append(
            Aim(
                view=source.view,
                camera=source.camera,
                size_px=size,
                turn_deg=source.rotation_deg,
                zoom=source.lens,
            )
        )
    return tuple(sorted(found, key=lambda aim: list(View).index(aim.view)))


def empty_fields(coverage: Coverage) -> tuple[Box, ...]:
    """Where in a picture the board was not seen yet, shares of it."""
    rows, columns = coverage.cells.shape
    return tuple(
        Box(
            left=column / columns,
            top=row / rows,
            right=(column + 1) / columns,
            bottom=(row + 1) / rows,
        )
        for row, column in zip(*np.nonzero(coverage.cells == 0), strict=True)
    )


def dots_of(sight: Sight | None) -> tuple[Point, ...]:
    """The corners that are seen, shares of the picture, upright."""
    if sight is None or sight.corners is None:
        return ()
    shares = (sight.corners.pixels + 0.5) / np.array(sight.corners.size_px)
    return tuple(Point(x=float(x), y=float(y)) for x, y in shares)


def is_still(before: Corners | None, now: Corners) -> bool:
    """Whether a board stood still from one look to the next."""
    if before is None:
        return False
    return _apart_px(now, before) < STILL_PX * now.size_px[0] / 1280


def is_near(one: Corners, other: Corners) -> bool:
    """Whether a board stands where it stood, as far as one picture shows."""
    apart = _apart_px(one, other)
    return bool(apart < NEW_PLACE_SHARE * one.size_px[0])


def _apart_px(one: Corners, other: Corners) -> float:
    """How far the corners that both show are from each other, half of them nearer."""
    _, ours, theirs = np.intersect1d(one.ids, other.ids, return_indices=True)
    if len(ours) < len(one.ids) / 2:
        return math.inf
    return float(np.median(np.linalg.norm(one.pixels[ours] - other.pixels[theirs], axis=1)))
