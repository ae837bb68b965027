"""Something painted, laid over many pictures in the form that is encoded.

Owns the blending. What covers nothing costs nothing: only the covered places are computed, so a
few lines over a picture take a small part of the time that decoding it takes.

Source: ITU-R BT.709, limited range, as `media.canvas`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.media.canvas import planes
from capturestation.records import FloatArray, FrameArray, IntArray

_LUMA = np.array([0.2126, 0.7152, 0.0722])
_BLACK, _LUMA_SPAN = 16.0, 219.0
_GREY, _COLOUR_SPAN = 128.0, 224.0
_BLUE_SPAN, _RED_SPAN = 1.8556, 1.5748
# 2 x (1 - the weight of blue) and of red: BT.709's own.


@dataclass(frozen=True, slots=True)
class _Covered:
    """The covered places of one plane: where, how much of the picture stays, and what is added."""

    places: IntArray
    stays: np.ndarray[tuple[int, ...], np.dtype[np.float32]]
    adds: np.ndarray[tuple[int, ...], np.dtype[np.float32]]

    def blend(self, plane: FrameArray) -> None:
        """Change a plane in place; it is one piece of memory."""
        flat = plane.reshape(-1)
        flat[self.places] = (self.stays * flat[self.places] + self.adds).astype(np.uint8)


class Overlay:
    """A layer that is laid over planar pictures of one size.

    Args:
        layer: (H, W, 4) red, green, blue, each already times the cover, and the cover, 0..255;
            even sizes.

    Raises:
        ValueError: If it has no cover or its sizes are odd.

    Example:
        >>> clear = Overlay(np.zeros((2, 2, 4), np.uint8))
        >>> clear.over(np.full((3, 2), 99, np.uint8)).tolist()
        [[99, 99], [99, 99], [99, 99]]
    """

    def __init__(self, layer: FrameArray) -> None:
        if layer.ndim != 3 or layer.shape[2] != 4 or layer.shape[0] % 2 or layer.shape[1] % 2:
            msg = f"a layer is (H, W, 4) of even sizes, got {layer.shape}"
            raise ValueError(msg)
        self._shape = layer.shape[0] * 3 // 2, layer.shape[1]
        parts = layer.astype(np.float64) / 255
        rgb, cover = parts[:, :, :3], parts[:, :, 3]
        luma = rgb @ _LUMA
        blue = (rgb[:, :, 2] - luma) / _BLUE_SPAN
        red = (rgb[:, :, 0] - luma) / _RED_SPAN
        small = _halved(cover)
        self._covered = (
            _covered(cover, _BLACK * cover + _LUMA_SPAN * luma),
            _covered(small, _GREY * small + _COLOUR_SPAN * _halved(blue)),
            _covered(small, _GREY * small + _COLOUR_SPAN * _halved(red)),
        )

    def over(self, picture: FrameArray) -> FrameArray:
        """The picture with the layer over it, a new one, read-only.

        Args:
            picture: (H * 3 / 2, W), planar.

        Raises:
            ValueError: If it has another size.
        """
        if picture.shape != self._shape:
            msg = f"the layer lies over {self._shape}, got {picture.shape}"
            raise ValueError(msg)
        made = np.ascontiguousarray(picture).copy()
        for covered, plane in zip(self._covered, planes(made), strict=True):
            covered.blend(plane)
        made.setflags(write=False)
        return made


def _halved(plane: FloatArray) -> FloatArray:
    """The mean of every two by two."""
    height, width = plane.shape
    small: FloatArray = plane.reshape(height // 2, 2, width // 2, 2).mean(axis=(1, 3))
    return small


def _covered(cover: FloatArray, adds: FloatArray) -> _Covered:
    places = np.flatnonzero(cover)
    return _Covered(
        places.astype(np.int64),
        (1.0 - cover.reshape(-1)[places]).astype(np.float32),
        # Half a level more, because whole levels are cut off, not rounded.
        (adds.reshape(-1)[places] + 0.5).astype(np.float32),
    )
