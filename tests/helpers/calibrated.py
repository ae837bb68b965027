"""The invented bay's cameras as calibrations, and a library whose swings were filmed by them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from calibration.camera import Camera, camera_document, project_points
from capturestation.records import CalibrationRow, Point, Spot, SpotMark, View
from capturestation.station.standpoints import Standpoint, Standpoints, placed_in
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON
from sample_sessions.cameras import Camera as BayCamera
from tests.helpers.made_swings import made_swing

WELL_BEFORE = datetime(2020, 1, 1, tzinfo=UTC)
BY_VIEW = {View.FACE_ON: FACE_ON, View.DOWN_THE_LINE: DOWN_THE_LINE}


def calibrated(camera: BayCamera, name: str = "") -> Camera:
    """The camera as a calibration without any error would have it."""
    pose = np.linalg.inv(camera.camera_from_world)
    lens = camera.lens
    return Camera(
        name=name or camera.name,
        size_px=(lens.width_px, lens.height_px),
        focal_px=(lens.focal_px, lens.focal_px),
        centre_px=lens.centre_px,
        distortion=lens.bend,
        world_from_camera=tuple(tuple(float(v) for v in row) for row in pose),
    )


def calibration_row(camera: Camera, key: str, since: datetime = WELL_BEFORE) -> CalibrationRow:
    """What the library keeps of it."""
    return CalibrationRow(
        id=key,
        camera=camera.name,
        valid_from=since,
        document=camera_document(camera),
        u_place_mm=8.0,
        u_turn_deg=0.2,
    )


def moved(camera: BayCamera, by_m: tuple[float, float, float], aim_m: float = 0.0) -> BayCamera:
    """The same camera on another day, stood elsewhere and looking a little aside."""
    x, y, z = camera.at_m
    u, v, w = camera.look_at_m
    dx, dy, dz = by_m
    aside = (0.0, aim_m) if camera.view is View.DOWN_THE_LINE else (aim_m, 0.0)
    return replace(camera, at_m=(x + dx, y + dy, z + dz), look_at_m=(u + aside[0], v + aside[1], w))


def filmed(
    name: str,
    cameras: Mapping[View, Camera],
    spots_m: Mapping[Spot, tuple[float, float, float]] | None = None,
    side: int = 1,
) -> Standpoints:
    """A swing filmed by these cameras, in whose pictures these places were pointed out."""
    swing = made_swing(name, views=tuple(cameras))
    spots = tuple(
        SpotMark(view=view, spot=spot, at=share(camera, place))
        for view, camera in cameras.items()
        for spot, place in (spots_m or {}).items()
    )
    swing = replace(swing, book=replace(swing.book, spots=spots))
    rows = {view: calibration_row(camera, str(view)) for view, camera in cameras.items()}
    by_view = {v: Standpoint(placed=placed_in(row), row=row) for v, row in rows.items()}
    return Standpoints(swing=swing, side=side, by_view=by_view)


def share(camera: Camera, place_m: tuple[float, float, float]) -> Point:
    """Where a place of the bay is in a camera's picture."""
    [[x, y]] = project_points(camera, np.array([place_m]))
    width, height = camera.size_px
    return Point(x=float((x + 0.5) / width), y=float((y + 0.5) / height))
