"""A camera's calibration as its document says it: no lens distortion, at the bay's origin."""

from __future__ import annotations

from typing import TypedDict

from calibration.camera import DOCUMENT_FORMAT, DOCUMENT_VERSION


class CameraDocument(TypedDict):
    """The keys of the document."""

    format: str
    version: int
    camera: str
    size_px: list[int]
    focal_px: list[float]
    centre_px: list[float]
    distortion_k1_k2_p1_p2_k3: list[float]
    world_from_camera_m: list[list[float]]


CAMERA = CameraDocument(
    format=DOCUMENT_FORMAT,
    version=DOCUMENT_VERSION,
    camera="left webcam",
    size_px=[1280, 720],
    focal_px=[900.0, 900.0],
    centre_px=[639.5, 359.5],
    distortion_k1_k2_p1_p2_k3=[0.0] * 5,
    world_from_camera_m=[[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]],
)
