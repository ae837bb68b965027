"""One picture of a recording as a small JPEG, to know a swing by in a list.

Owns shrinking and encoding. Refuses to know where it is kept. Called by the station.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
from av.video.codeccontext import VideoCodecContext
from av.video.reformatter import ColorRange, Colorspace

from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray

_BEST_SCALE = 3
"""Of the encoder's quantiser, 1 finest to 31: edges stay clean at 15 KB a picture."""


def still_jpeg(path: Path, media_ns: int, *, box_px: tuple[int, int]) -> bytes:
    """The frame of a file nearest to a time, upright and small, as JPEG.

    Args:
        path: Any file that `FrameReader` reads.
        media_ns: The time, media clock.
        box_px: Long and short side that it fits, to even sizes; never enlarged.

    Raises:
        NotReadableError: If the file, or that frame, can't be read.
    """
    with FrameReader(path, cache_mb=0) as reader:
        ordinal = reader.at(media_ns)
        return jpeg_bytes(next(reader.iter_rgb(ordinal, ordinal + 1, box_px=box_px)))


def jpeg_bytes(frame_rgb: FrameArray) -> bytes:
    """A picture as JPEG, in the colours that JPEG means: BT.601, full range (ITU-T T.871).

    Args:
        frame_rgb: (H, W, 3) uint8 RGB, full range.
    """
    height, width = frame_rgb.shape[:2]
    picture = av.VideoFrame.from_ndarray(frame_rgb, format="rgb24").reformat(
        format="yuvj420p", dst_colorspace=Colorspace.ITU601, dst_color_range=ColorRange.JPEG
    )
    encoder = av.CodecContext.create("mjpeg", "w")
    assert isinstance(encoder, VideoCodecContext)
    encoder.width, encoder.height, encoder.pix_fmt = width, height, "yuvj420p"
    encoder.time_base = Fraction(1)
    encoder.qmin = encoder.qmax = _BEST_SCALE
    packets = [*encoder.encode(picture), *encoder.encode(None)]
    return b"".join(bytes(packet) for packet in packets)
