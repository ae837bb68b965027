"""From where the recordings of a swing were filmed, by the calibrations that held then.

Owns why a calibration doesn't count for a swing: none held, another picture size, or the camera was
seen to have been moved. A later calibration never changes an earlier swing.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from calibration.camera import DOCUMENT_FORMAT, Camera, read_camera
from calibration.documents import read_bay
from calibration.errors import CalibrationError
from calibration.places import LINE_U_DEG
from calibration.projection import unbend
from calibration.standing import PER_CAMERA, BayCalibration, Kind, PlacedCamera
from capturestation.library import Library
from capturestation.records import (
    CalibrationKind,
    CalibrationRow,
    FloatArray,
    Hand,
    Point,
    Recording,
    Swing,
    View,
)

_ALIKE = 64
# Documents that are remembered: a library's lessons share a few.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standpoint:
    """One calibrated view of one swing.

    Args:
        placed: Where it stands and how its lens draws, with the errors of both.
        row: What was kept of its calibration.
    """

    placed: PlacedCamera
    row: CalibrationRow

    @property
    def camera(self) -> Camera:
        """Where it stands and how its lens draws."""
        return self.placed.camera

    @property
    def is_full(self) -> bool:
        """Whether places in the bay may be asked of it, not only angles in the picture."""
        return self.row.kind is CalibrationKind.FULL

    def pixels(self, point: Point) -> FloatArray:
        """A share of the picture in pixels, (1, 2)."""
        width, height = self.camera.size_px
        return np.array([[point.x * width - 0.5, point.y * height - 0.5]])

    def share(self, pixels: FloatArray) -> Point:
        """A place of the picture, (2,) pixels, as its share."""
        width, height = self.camera.size_px
        return Point(x=float((pixels[0] + 0.5) / width), y=float((pixels[1] + 0.5) / height))

    def ray(self, point: Point) -> FloatArray:
        """The way that a place of the picture looks, bay axes, (3,), one metre ahead."""
        flat = unbend(lens_numbers(self.camera), self.pixels(point))[0]
        pose = np.asarray(self.camera.world_from_camera, dtype=np.float64)
        way: FloatArray = pose[:3, :3] @ np.array([flat[0], flat[1], 1.0])
        return way


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standpoints:
    """All views of a swing.

    Args:
        swing: Which.
        side: 1 where the golfer stands left of the target line, right-handed; else -1.
        by_view: Those that are known.
        missing: Why another one isn't, a sentence each.
    """

    swing: Swing
    side: int = 1
    by_view: Mapping[View, Standpoint] = field(default_factory=dict)
    missing: Mapping[View, str] = field(default_factory=dict)


def lens_numbers(camera: Camera) -> FloatArray:
    """The nine numbers of a lens, as geometry takes them."""
    return np.array([*camera.focal_px, *camera.centre_px, *camera.distortion])


def standpoints(library: Library, swing: Swing) -> Standpoints:
    """From where each recording of a swing was filmed, as far as that is known."""
    known: dict[View, Standpoint] = {}
    missing: dict[View, str] = {}
    for recording in swing.facts.recordings:
        found = _standpoint(library, swing, recording)
        if isinstance(found, str):
            missing[recording.view] = found
        else:
            known[recording.view] = found
    hand = library.student(swing.book.student_id).hand
    side = 1 if hand is Hand.RIGHT else -1
    return Standpoints(swing=swing, side=side, by_view=known, missing=missing)


def bay_word(library: Library, swing: Swing) -> str:
    """A short word for the calibrations that count for a swing; empty where none was ever made.

    Another one comes with a camera that was measured, withdrawn or found to have been moved.
    """
    rows = {
        recording.view: library.calibration_at(recording.camera, swing.facts.struck_at)
        for recording in swing.facts.recordings
        if recording.camera
    }
    held = [
        f"{view} {'moved' if view in swing.book.moved else row.id}"
        for view, row in sorted(rows.items())
        if row is not None
    ]
    return hashlib.sha256("\n".join(held).encode()).hexdigest()[:8] if held else ""


def _standpoint(library: Library, swing: Swing, recording: Recording) -> Standpoint | str:
    if not recording.camera:
        return "Its camera has no name, so no calibration is known to be its own."
    row = library.calibration_at(recording.camera, swing.facts.struck_at)
    if row is None:
        return "Its camera was not calibrated yet when it was struck."
    if recording.view in swing.book.moved:
        return "Its camera was moved after it was calibrated."
    try:
        placed = placed_in(row)
    except CalibrationError as error:
        return f"Its calibration can't be read: {error.what}"
    size_px = placed.camera.size_px
    if size_px != (recording.width_px, recording.height_px):
        size = f"{size_px[0]}x{size_px[1]}"
        return f"Its camera was calibrated in {size}, filmed in another size."
    return Standpoint(placed=placed, row=row)


def camera_in(row: CalibrationRow) -> Camera:
    """The camera of a calibration.

    Raises:
        CalibrationError: If its document holds none.
    """
    return placed_in(row).camera


def placed_in(row: CalibrationRow) -> PlacedCamera:
    """The camera of a calibration with its errors; without any where they were never measured.

    Raises:
        CalibrationError: If its document holds none.
    """
    return _read(row.camera, row.document, row.u_place_mm or 0.0, row.u_turn_deg or 0.0)


def bay_in(row: CalibrationRow) -> BayCalibration:
    """The whole bay of a calibration; of one camera alone where only that was measured.

    Raises:
        CalibrationError: If its document holds none.
    """
    if not _is_of_one(row.document):
        return read_bay(row.document)
    placed = placed_in(row)
    return BayCalibration(
        cameras=(placed.camera,),
        covariance=placed.covariance,
        kind=Kind.BOARD,
        sigma_px=0.0,
        places=(),
        bad=(),
        line_u_deg=LINE_U_DEG,
        metres_good=row.kind is CalibrationKind.FULL,
    )


@lru_cache(_ALIKE)
def _read(name: str, document: str, u_place_mm: float, u_turn_deg: float) -> PlacedCamera:
    if not _is_of_one(document):
        return read_bay(document).placed(name)
    spread = np.zeros(PER_CAMERA)
    # Each error is that of all three directions together.
    spread[:3] = math.radians(u_turn_deg) ** 2 / 3
    spread[3:6] = (u_place_mm / 1000.0) ** 2 / 3
    return PlacedCamera(camera=read_camera(document), covariance=np.diag(spread))


def _is_of_one(document: str) -> bool:
    """Whether a document holds one camera alone, not a bay."""
    try:
        found = json.loads(document)
    except ValueError:
        return False
    return isinstance(found, dict) and found.get("format") == DOCUMENT_FORMAT
