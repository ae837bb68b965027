"""Lenses and bays as versioned JSON with units in its keys, and back.

A document that is newer, broken or of another kind is refused whole; nothing is guessed.
"""

from __future__ import annotations

import json
import math

import numpy as np

from calibration.camera import camera_document, read_camera
from calibration.errors import CalibrationError
from calibration.lens import Lens, LensModel, Setting
from calibration.projection import LENS_NUMBERS, FloatArray
from calibration.standing import BayCalibration, Kind, PlaceFit, ScaleCheck

LENS_FORMAT, BAY_FORMAT = "bay lens", "bay"
VERSION = 1
_AGAIN = "Choose the file that the calibration wrote."


def lens_document(lens: Lens) -> str:
    """A lens with its errors."""
    return json.dumps(
        {
            "format": LENS_FORMAT,
            "version": VERSION,
            "camera": lens.setting.camera,
            "size_px": lens.setting.size_px,
            "zoom": lens.setting.zoom,
            "mounting": lens.setting.mounting,
            "numbers": list(LENS_NUMBERS),
            "units": ["px"] * 4 + ["1"] * 5,
            "values": lens.numbers.tolist(),
            "covariance": lens.covariance.tolist(),
            "model": None if lens.model is None else str(lens.model),
            "rms_px": lens.rms_px,
        },
        indent=1,
    )


def read_lens(document: str) -> Lens:
    """Read what `lens_document` wrote.

    Raises:
        CalibrationError: If it is no such document, is newer, or holds no usable lens.
    """
    found = _opened(document, LENS_FORMAT)
    try:
        size = [int(_number(side)) for side in _list(found["size_px"])]
        model = found["model"]
        return Lens(
            setting=Setting(
                camera=str(found["camera"]),
                size_px=(size[0], size[1]),
                zoom=str(found["zoom"]),
                mounting=str(found["mounting"]),
            ),
            numbers=_array(found["values"], (9,)),
            covariance=_array(found["covariance"], (9, 9)),
            model=None if model is None else LensModel(str(model)),
            rms_px=_number(found["rms_px"]),
        )
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise _broken(error) from error


def bay_document(bay: BayCalibration) -> str:
    """A bay with all its cameras and their errors."""
    fits = [
        {"place": one.name, "camera": one.camera, "used": one.used,
         "rms_px": one.rms_px if math.isfinite(one.rms_px) else None}
        for one in bay.places
    ]  # fmt: skip
    scale = None
    if bay.scale is not None:
        scale = {"of": bay.scale.name, "ratio": bay.scale.ratio, "u": bay.scale.u}
    return json.dumps(
        {
            "format": BAY_FORMAT,
            "version": VERSION,
            "cameras": [json.loads(camera_document(camera)) for camera in bay.cameras],
            "covariance_order": "per camera: turn (3, rad), lens (3, m), fx fy cx cy (px), "
            "k1 k2 p1 p2 k3",
            "covariance": bay.covariance.tolist(),
            "kind": str(bay.kind),
            "sigma_px": bay.sigma_px,
            "places": fits,
            "left_out": list(bay.bad),
            "line_u_deg": bay.line_u_deg,
            "metres_good": bay.metres_good,
            "scale": scale,
        },
        indent=1,
    )


def read_bay(document: str) -> BayCalibration:
    """Read what `bay_document` wrote.

    Raises:
        CalibrationError: If it is no such document, is newer, or holds no usable bay.
    """
    found = _opened(document, BAY_FORMAT)
    try:
        cameras = tuple(read_camera(json.dumps(one)) for one in _list(found["cameras"]))
        side = 15 * len(cameras)
        return BayCalibration(
            cameras=cameras,
            covariance=_array(found["covariance"], (side, side)),
            kind=Kind(str(found["kind"])),
            sigma_px=_number(found["sigma_px"]),
            places=tuple(_fit(one) for one in _list(found["places"])),
            bad=tuple(str(one) for one in _list(found["left_out"])),
            line_u_deg=_number(found["line_u_deg"]),
            metres_good=found["metres_good"] is True,
            scale=_scale(found["scale"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise _broken(error) from error


def _opened(document: str, wanted: str) -> dict[str, object]:
    try:
        found = json.loads(document)
    except json.JSONDecodeError as error:
        raise CalibrationError(
            f"The calibration is not JSON: {error.msg} in line {error.lineno}.", try_next=_AGAIN
        ) from error
    if not isinstance(found, dict) or found.get("format") != wanted:
        raise CalibrationError(
            f"This is no such calibration: its format is not '{wanted}'.", try_next=_AGAIN
        )
    version = found.get("version")
    if not isinstance(version, int) or version > VERSION:
        raise CalibrationError(
            f"The calibration is of version {version}, newer than this program.",
            try_next="Open it with the program that wrote it, or measure again.",
        )
    return found


def _broken(error: Exception) -> CalibrationError:
    if isinstance(error, CalibrationError):
        return error
    what = f"lacks {error}" if isinstance(error, KeyError) else f"holds no usable value: {error}"
    return CalibrationError(f"The calibration {what}.", try_next=_AGAIN)


def _list(value: object) -> list[object]:
    if not isinstance(value, list):
        msg = f"a list is asked for, got {value!r}"
        raise TypeError(msg)
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        msg = f"a number is asked for, got {value!r}"
        raise TypeError(msg)
    return float(value)


def _array(value: object, shape: tuple[int, ...]) -> FloatArray:
    array = np.asarray(_list(value), dtype=np.float64)
    if array.shape != shape:
        msg = f"shape {shape} is asked for, got {array.shape}"
        raise ValueError(msg)
    return array


def _fit(value: object) -> PlaceFit:
    if not isinstance(value, dict):
        msg = f"a place is asked for, got {value!r}"
        raise TypeError(msg)
    rms = value["rms_px"]
    return PlaceFit(
        name=str(value["place"]),
        camera=str(value["camera"]),
        rms_px=float("nan") if rms is None else _number(rms),
        used=value["used"] is True,
    )


def _scale(value: object) -> ScaleCheck | None:
    if value is None:
        return None
    if not isinstance(value, dict):
        msg = f"a length is asked for, got {value!r}"
        raise TypeError(msg)
    return ScaleCheck(name=str(value["of"]), ratio=_number(value["ratio"]), u=_number(value["u"]))
