"""Clips of flat colour patches, given as the codes that a standard assigns to them.

Nothing but the encoder touches the codes, so what a reader makes of them can be compared with the
standard's own arithmetic.

Source of the weights: ITU-R BT.601-7 2.5.1, BT.709-6 3.2, BT.2020-2 table 4.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.video.stream import VideoStream

from capturestation.records import FloatArray, FrameArray

KR_KB = {"BT.601": (0.299, 0.114), "BT.709": (0.2126, 0.0722), "BT.2020": (0.2627, 0.0593)}


@dataclass(frozen=True, kw_only=True)
class Coded:
    """How patches are coded and tagged; the numbers are those of ITU-T H.273.

    Args:
        weights: Whose weights of red and blue make luma.
        full: Whether codes use the full range.
        bits: Of a channel.
        codec: Name of the encoder.
        pixel_format: 4:2:0 of as many bits.
        matrix: Tag; 2 leaves it out.
        range_tag: 0 leaves it out, 1 limited, 2 full.
        primaries: Tag; 2 leaves it out.
        transfer: Tag; 2 leaves it out.
        size: Of the picture.
    """

    weights: str = "BT.709"
    full: bool = False
    bits: int = 8
    codec: str = "libx264"
    pixel_format: str = "yuv420p"
    matrix: int = 2
    range_tag: int = 0
    primaries: int = 2
    transfer: int = 2
    size: tuple[int, int] = (192, 96)

    def codes(self, rgb: Sequence[float]) -> tuple[int, int, int]:
        """Luma and colour-difference codes of one colour, 0..1 each."""
        kr, kb = KR_KB[self.weights]
        red, green, blue = rgb
        luma = kr * red + (1 - kr - kb) * green + kb * blue
        parts = (luma, (blue - luma) / (2 * (1 - kb)), (red - luma) / (2 * (1 - kr)))
        step, top = 1 << (self.bits - 8), (1 << self.bits) - 1
        if self.full:
            whole, across, down = (round(part * top) for part in parts)
            return whole, min(across + 128 * step, top), min(down + 128 * step, top)
        y, u, v = parts
        return (
            round((219 * y + 16) * step),
            round((224 * u + 128) * step),
            round((224 * v + 128) * step),
        )


def write_patches(path: Path, coded: Coded, colours: Sequence[Sequence[float]]) -> Path:
    """Write twelve frames of upright bars, one for each colour, left to right."""
    with av.open(str(path), "w") as container:
        video = container.add_stream(coded.codec, rate=Fraction(30))
        assert isinstance(video, VideoStream)
        video.width, video.height = coded.size
        video.pix_fmt = coded.pixel_format
        video.options = _options(coded)
        context = video.codec_context
        context.colorspace, context.color_range = coded.matrix, coded.range_tag
        context.color_primaries, context.color_trc = coded.primaries, coded.transfer
        for number in range(12):
            frame = _frame(coded, colours)
            frame.pts, frame.time_base = number, Fraction(1, 30)
            container.mux(video.encode(frame))
        container.mux(video.encode(None))
    return path


def _options(coded: Coded) -> dict[str, object]:
    if coded.codec == "libx265":
        return {"crf": "4", "preset": "ultrafast", "x265-params": "log-level=none"}
    if coded.codec == "libx264":
        return {"crf": "2", "preset": "veryfast"}
    return {"qmin": "1", "qmax": "1"}


def _frame(coded: Coded, colours: Sequence[Sequence[float]]) -> av.VideoFrame:
    frame = av.VideoFrame(*coded.size, coded.pixel_format)
    kind = np.uint8 if coded.bits == 8 else np.uint16
    bars = np.array([coded.codes(colour) for colour in colours])
    for plane, row in zip(frame.planes, bars.T, strict=True):
        samples = np.zeros((plane.height, plane.line_size // kind().itemsize), kind)
        samples[:, : plane.width] = np.repeat(row, -(-plane.width // len(row)))[: plane.width]
        plane.update(samples.tobytes())
    frame.colorspace, frame.color_range = coded.matrix, coded.range_tag
    frame.color_primaries, frame.color_trc = coded.primaries, coded.transfer
    return frame


def patches(frame_rgb: FrameArray, count: int) -> FloatArray:
    """The middle of each bar, (count, 3), 0..255."""
    height, width = frame_rgb.shape[:2]
    centres = ((np.arange(count) + 0.5) * width / count).astype(int)
    rows = slice(height // 3, height * 2 // 3)
    bars = [frame_rgb[rows, c - 2 : c + 3].mean(axis=(0, 1)) for c in centres]
    return np.asarray(bars, np.float64)
