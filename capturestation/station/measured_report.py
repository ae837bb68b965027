"""What was measured of a lens or a bay, as text, as JSON with units, and as a picture.

Owns the words and the figures of the reports. The JSON says what it is and of which version.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from calibration.camera import Camera
from calibration.lens import LensResult
from calibration.standing import BayCalibration
from capturestation.drawing.bay_plan import PlanCamera, bay_plan
from capturestation.errors import OutputError
from capturestation.records import Plain
from capturestation.station.bay.standing_order import looks
from capturestation.station.from_pictures import Unused

VERSION = 1
_PM = "\N{PLUS-MINUS SIGN}"


def lens_plain(found: LensResult, unused: tuple[Unused, ...]) -> dict[str, Plain]:
    """A lens as JSON values."""
    lens = found.lens
    numbers: list[Plain] = [float(number) for number in lens.numbers]
    u: list[Plain] = [float(one) for one in lens.u]
    return {
        "format": "lens report",
        "version": VERSION,
        "camera": lens.setting.camera,
        "size_px": list(lens.setting.size_px),
        "zoom": lens.setting.zoom,
        "mounting": lens.setting.mounting,
        "focal_px": numbers[:2],
        "u_focal_px": u[:2],
        "centre_px": numbers[2:4],
        "u_centre_px": u[2:4],
        "distortion_k1_k2_p1_p2_k3": numbers[4:],
        "u_distortion": u[4:],
        "hfov_deg": lens.hfov_deg,
        "model": str(lens.model),
        "rms_px": lens.rms_px,
        "held_out_px": {str(model): px for model, px in found.held_out_px.items()},
        "views": [
            {"name": view.name, "rms_px": view.rms_px, "used": view.used} for view in found.views
        ],
        "covered_share": found.coverage.share,
        "unused": [{"file": one.file.name, "why": one.why} for one in unused],
    }


def lens_text(found: LensResult, unused: tuple[Unused, ...]) -> str:
    """A lens in words."""
    lens = found.lens
    used = sum(view.used for view in found.views)
    lines = [
        f"{lens.setting.camera}: {lens.hfov_deg:.1f}\N{DEGREE SIGN} across, "
        f"focal length {lens.numbers[0]:.1f} px {_PM} {lens.u[0]:.1f}, bend by {lens.model}.",
        f"From {used} pictures, {lens.rms_px:.2f} px left over; the board was seen in "
        f"{found.coverage.share:.0%} of the picture's fields.",
    ]
    if found.bad:
        lines.append(f"Left out, because they don't fit the others: {', '.join(found.bad)}.")
    if found.coverage.missing:
        wanting = ", ".join(str(one) for one in found.coverage.missing)
        lines.append(f"It would be better known with pictures of: {wanting}.")
    return "\n".join([*lines, *(f"{one.file.name}: {one.why}" for one in unused)])


def bay_plain(bay: BayCalibration, unused: tuple[Unused, ...] = ()) -> dict[str, Plain]:
    """A bay as JSON values."""
    scale = bay.scale
    return {
        "format": "bay report",
        "version": VERSION,
        "by": str(bay.kind),
        "metres_good": bay.metres_good,
        "sigma_px": bay.sigma_px,
        "u_line_deg": bay.line_u_deg,
        "cameras": [_camera_plain(bay, camera) for camera in bay.cameras],
        "places": [
            {
                "name": place.name,
                "camera": place.camera,
                "rms_px": None if math.isnan(place.rms_px) else place.rms_px,
                "used": place.used,
            }
            for place in bay.places
        ],
        "left_out": list(bay.bad),
        "scale": None if scale is None else {"of": scale.name, "ratio": scale.ratio, "u": scale.u},
        "unused": [{"file": one.file.name, "why": one.why} for one in unused],
    }


def _camera_plain(bay: BayCalibration, camera: Camera) -> dict[str, Plain]:
    error = bay.error(camera.name)
    x, y, z = camera.lens_m.tolist()
    return {
        "camera": camera.name,
        "size_px": list(camera.size_px),
        "lens_m": [x, y, z],
        "looks": looks(camera),
        "u_place_mm": error.mm,
        "u_turn_deg": error.deg,
        "world_from_camera_m": [list(row) for row in camera.world_from_camera],
    }


def bay_text(bay: BayCalibration, unused: tuple[Unused, ...] = ()) -> str:
    """A bay in words."""
    lines = []
    for camera in bay.cameras:
        error = bay.error(camera.name)
        x, y, z = camera.lens_m.tolist()
        lines.append(
            f"{camera.name}: {math.hypot(x, y):.2f} m from the mat mark, {z:.2f} m high, "
            f"looks {looks(camera)}, "
            f"{_PM} {error.mm:.0f} mm, {_PM} {error.deg:.2f}\N{DEGREE SIGN}."
        )
    lines.append(f"The target line may lie {bay.line_u_deg:g}\N{DEGREE SIGN} off the true one.")
    if bay.bad:
        lines.append(f"Left out, because they don't fit the others: {', '.join(bay.bad)}.")
    good = "metres in the bay and for laying pictures over one another"
    only = "laying pictures over one another and for angles in the picture; no metres"
    lines.append(f"Good for {good if bay.metres_good else only}.")
    return "\n".join([*lines, *(f"{one.file.name}: {one.why}" for one in unused)])


def write_plan(bay: BayCalibration, file: Path) -> Path:
    """Write the bay from above as a PNG.

    Raises:
        OutputError: If it can't be written.
    """
    cameras = [_on_plan(bay, camera) for camera in bay.cameras]
    if not bay_plan(cameras, "Where the cameras stand").save(str(file), "PNG"):
        raise OutputError(
            f"{file} can't be written.",
            try_next="Choose a folder that you may write to, with room on its disk.",
            subject=str(file),
        )
    return file


def _on_plan(bay: BayCalibration, camera: Camera) -> PlanCamera:
    ahead = np.asarray(camera.world_from_camera)[:3, 2]
    error = bay.error(camera.name)
    x, y, z = camera.lens_m.tolist()
    return PlanCamera(
        name=camera.name,
        at_m=(x, y),
        looks_deg=math.degrees(math.atan2(ahead[1], ahead[0])),
        hfov_deg=2 * math.degrees(math.atan(0.5 * camera.size_px[0] / camera.focal_px[0])),
        words=f"{z:.2f} m high, {_PM} {error.mm:.0f} mm, {_PM} {error.deg:.2f}\N{DEGREE SIGN}",
        u_m=error.mm / 1000.0,
    )
