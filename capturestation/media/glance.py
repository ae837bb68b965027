"""A look at coded pictures without a file: a few grey ones round a strike, a small one to show.

Owns decoding from packets in memory, as small as the coding allows at once. Called by the recording
process beside its rings; one object for each thread.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

import av
import numpy as np
from av.video.codeccontext import VideoCodecContext
from av.video.reformatter import VideoReformatter

from capturestation.media._mapping import FOREIGN
from capturestation.media.head import model_of
from capturestation.media.packets import Packet
from capturestation.records import FrameArray

_JPEG_FORM = "yuvj420p"
_TURNS = {0: 0, 90: 3, 180: 2, 270: 1}
# A quarter turn of an array goes the other way round.


class Glance:
    """Decodes packets of one source.

    Args:
        head: What a decoder must know.
        long_px: Longer side of what is wanted; the picture's own if that is smaller.
        rotation_deg: Clockwise turn that shows it upright.
    """

    def __init__(self, head: bytes, *, long_px: int, rotation_deg: int = 0) -> None:
        self._rotation_deg = rotation_deg
        self._reformatter = VideoReformatter()
        with model_of(head) as model:
            context = model.codec_context
            self._width, self._height = context.width, context.height
            self._decoder = _decoder(context, long_px)
        scale = min(1.0, long_px / max(self._width, self._height))
        self.size = (_even(self._width * scale), _even(self._height * scale))

    def greys(self, packets: Sequence[Packet]) -> list[tuple[int, FrameArray]]:
        """The pictures of packets, upright and grey, each with its stamp.

        Args:
            packets: In the order they came, from one that stands for itself.

        Returns:
            Stamp and (H, W) picture of each that can be decoded, in the order shown.
        """
        found = []
        for frame in self._decoded(packets):
            # A grey one is the first plane of this form: no colour is touched.
            plane = self._scaled(frame, "yuv420p").planes[0]
            rows = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)
            upright = np.rot90(rows[:, : plane.width], _TURNS[self._rotation_deg])
            found.append((frame.pts or 0, np.ascontiguousarray(upright)))
        return sorted(found, key=lambda one: one[0])

    def jpeg(self, packet: Packet) -> bytes:
        """A packet that stands for itself as a small JPEG; not turned. Empty if it is damaged."""
        found = b""
        for frame in self._decoded([packet]):
            small = self._scaled(frame, _JPEG_FORM)
            small.pts = 0
            coder = av.CodecContext.create("mjpeg", "w")
            assert isinstance(coder, VideoCodecContext)
            coder.width, coder.height = small.width, small.height
            coder.pix_fmt = _JPEG_FORM
            coder.time_base = Fraction(1, 30)
            coder.options = {"qmin": "4", "qmax": "6"}
            found = b"".join(bytes(part) for part in [*coder.encode(small), *coder.encode(None)])
        return found

    def _scaled(self, frame: av.VideoFrame, form: str) -> av.VideoFrame:
        width, height = self.size
        return self._reformatter.reformat(frame, width=width, height=height, format=form)

    def _decoded(self, packets: Sequence[Packet]) -> Iterator[av.VideoFrame]:
        """One at a time: a second of full pictures takes a hundred megabytes."""
        for packet in packets:
            coded = av.Packet(packet.data)
            coded.pts, coded.dts = packet.pts, packet.dts
            coded.time_base = packet.time_base
            try:
                yield from self._decoder.decode(coded)
            except FOREIGN:
                # A packet that was cut on its way: the next ones are looked at.
                continue
        yield from self._decoder.decode(None)
        self._decoder.flush_buffers()


def _decoder(model: VideoCodecContext, long_px: int) -> VideoCodecContext:
    decoder = av.CodecContext.create(model.codec.name, "r")
    assert isinstance(decoder, VideoCodecContext)
    decoder.extradata = model.extradata
    decoder.width, decoder.height = model.width, model.height
    if model.codec.name == "mjpeg":
        # This coding can be opened at a half, a quarter or an eighth, for as much less work.
        longer = max(model.width, model.height)
        halvings = next((n for n in (3, 2, 1) if longer >> n >= long_px), 0)
        decoder.options = {"lowres": str(halvings)}
    return decoder


def _even(size: float) -> int:
    return max(2, round(size / 2) * 2)
