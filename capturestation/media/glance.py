"""A look at coded pictures without a file: a few grey ones round a strike, a small one to show.

Owns decoding from packets in memory, as small as the coding allows at once. Called by the recording
process beside its rings; one object for each thread.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import av
import cv2
import numpy as np
from av.video.codeccontext import VideoCodecContext
from av.video.reformatter import VideoReformatter

from capturestation.media._mapping import FOREIGN
from capturestation.media._small import WAYS, halvings, opened_small
from capturestation.media._store import packet_of
from capturestation.media.head import model_of
from capturestation.media.packets import Packet
from capturestation.records import FrameArray

_TURNS = {0: 0, 90: 3, 180: 2, 270: 1}
# A quarter turn of an array goes the other way round.
_COLOUR = (
    cv2.IMREAD_COLOR,
    cv2.IMREAD_REDUCED_COLOR_2,
    cv2.IMREAD_REDUCED_COLOR_4,
    cv2.IMREAD_REDUCED_COLOR_8,
)
_QUALITY = 80


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
            longer = max(context.width, context.height)
            scale = min(1.0, long_px / longer)
            self.size = (_even(context.width * scale), _even(context.height * scale))
            self._halvings = halvings(longer, long_px)
            self._decoder = None if context.name == "mjpeg" else _decoder(context)

    def greys(self, packets: Sequence[Packet]) -> list[tuple[int, FrameArray]]:
        """The pictures of packets, upright and grey, each with its stamp.

        Args:
            packets: In the order they came, from one that stands for itself.

        Returns:
            Stamp and (H, W) picture of each that can be decoded, in the order shown.
        """
        greys = self._greys_of_jpegs(packets) if self._decoder is None else self._greys(packets)
        turns = _TURNS[self._rotation_deg]
        found = [(pts, np.ascontiguousarray(np.rot90(grey, turns))) for pts, grey in greys]
        return sorted(found, key=lambda one: one[0])

    def _greys_of_jpegs(self, packets: Sequence[Packet]) -> Iterator[tuple[int, FrameArray]]:
        for packet in packets:
            grey = opened_small(packet.data, WAYS[self._halvings], self.size)
            if grey is not None:
                yield packet.pts, grey

    def _greys(self, packets: Sequence[Packet]) -> Iterator[tuple[int, FrameArray]]:
        for frame in self._decoded(packets):
            # A grey one is the first plane of this form: no colour is touched.
            plane = self._scaled(frame, "yuv420p").planes[0]
            rows = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)
            yield frame.pts or 0, rows[:, : plane.width]

    def jpeg(self, packet: Packet) -> bytes:
        """A packet that stands for itself as a small JPEG; not turned. Empty if it is damaged."""
        if self._decoder is None:
            small = opened_small(packet.data, _COLOUR[self._halvings], self.size)
            return b"" if small is None else _coded(small)
        found = b""
        for frame in self._decoded([packet]):
            found = _coded(np.asarray(self._scaled(frame, "bgr24").to_ndarray(), np.uint8))
        return found

    def _scaled(self, frame: av.VideoFrame, form: str) -> av.VideoFrame:
        width, height = self.size
        return self._reformatter.reformat(frame, width=width, height=height, format=form)

    def _decoded(self, packets: Sequence[Packet]) -> Iterator[av.VideoFrame]:
        """One at a time: a second of full pictures takes a hundred megabytes."""
        assert self._decoder is not None
        for packet in packets:
            coded = packet_of(packet.data)
            coded.pts, coded.dts = packet.pts, packet.dts
            coded.time_base = packet.time_base
            try:
                yield from self._decoder.decode(coded)
            except FOREIGN:
                # A packet that was cut on its way: the next ones are looked at.
                continue
        yield from self._decoder.decode(None)
        self._decoder.flush_buffers()


def _decoder(model: VideoCodecContext) -> VideoCodecContext:
    decoder = av.CodecContext.create(model.codec.name, "r")
    assert isinstance(decoder, VideoCodecContext)
    decoder.extradata = model.extradata
    decoder.width, decoder.height = model.width, model.height
    return decoder


def _coded(picture_bgr: FrameArray) -> bytes:
    _, data = cv2.imencode(".jpg", picture_bgr, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    return data.tobytes()


def _even(size: float) -> int:
    return max(2, round(size / 2) * 2)
