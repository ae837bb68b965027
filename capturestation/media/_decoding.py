"""One open file and one decoder; decoded frames to upright arrays.

Owns how colours are read and how a turned picture is set upright. Called by the frame reader and
the probe only, each with its own decoder and reformatter.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from pathlib import Path

import av
import numpy as np
from av.codec.context import ThreadType
from av.stream import Discard
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter

from capturestation.media._opening import open_container, video_stream
from capturestation.records import FrameArray

_UNSPECIFIED = 2
"""The library's number for a picture that doesn't say how its colours are coded."""

LARGE_PX = 1280
"""From this size on, players read untagged colours as BT.709, below as BT.601."""


class Decoder:
    """One open file, one decoder, and where it stands."""

    def __init__(self, path: Path, *, threads: ThreadType) -> None:
        self.container = open_container(path)
        self.position: int | None = None
        self.keeps_order = threads is not ThreadType.AUTO
        try:
            self.stream = video_stream(self.container, path)
            for other in self.container.streams:
                if other.index != self.stream.index:
                    other.discard = Discard.all
            self.stream.thread_type = threads
        except BaseException:
            self.container.close()
            raise
        self.frames = self._decoded()

    def seek(self, seek_pts: int) -> None:
        """Stand at the key packet with that seek stamp, or at one before it."""
        self.position = None
        self.frames.close()
        self.container.seek(seek_pts, stream=self.stream)
        self.frames = self._decoded()

    def run(self) -> Iterator[av.VideoFrame]:
        """Frames from here on, in the order shown; may be called again to go on."""
        for frame in self.frames:
            self.position = pts_of(frame)
            yield frame

    def _decoded(self) -> Generator[av.VideoFrame, None, None]:
        for packet in self.container.demux(self.stream):
            try:
                frames = packet.decode()
            except av.FFmpegError:
                # What was decoded before the damage and waits for its turn is whole. What comes
                # after it may lean on what is lost: nothing more until the next seek.
                if self.keeps_order:
                    yield from self.stream.decode(None)
                raise
            yield from (frame for frame in frames if frame.pts is not None)

    def close(self) -> None:
        """Let go of the file."""
        self.frames.close()
        self.container.close()


def pts_of(frame: av.VideoFrame) -> int:
    """The stamp of a frame that has passed `Decoder.run`, which lets none without one pass."""
    assert frame.pts is not None
    return frame.pts


def clockwise_deg(frame: av.VideoFrame) -> int:
    """The turn that shows a frame upright, to the nearest quarter: 0, 90, 180 or 270.

    The library counts it the other way round, from -180 to 180.
    """
    return round(-frame.rotation / 90) % 4 * 90


def upright_rgb(frame: av.VideoFrame, reformatter: VideoReformatter) -> FrameArray:
    """The frame as shown, (H, W, 3) RGB, full range, read-only."""
    guess = Colorspace.ITU709 if max(frame.width, frame.height) >= LARGE_PX else Colorspace.ITU601
    converted = reformatter.reformat(
        frame,
        format="rgb24",
        src_colorspace=guess if frame.colorspace == _UNSPECIFIED else None,
        dst_color_range=ColorRange.JPEG,
        threads=1,
    )
    return _turned(converted, clockwise_deg(frame))


def upright_grey(
    frame: av.VideoFrame, reformatter: VideoReformatter, width: int, height: int
) -> FrameArray:
    """The frame as shown, grey, full range, read-only; scaled to a size as stored first."""
    converted = reformatter.reformat(
        frame,
        width=width,
        height=height,
        format="gray",
        dst_color_range=ColorRange.JPEG,
        threads=1,
    )
    return _turned(converted, clockwise_deg(frame))


def _turned(frame: av.VideoFrame, turn_deg: int) -> FrameArray:
    picture = np.ascontiguousarray(np.rot90(frame.to_ndarray(), -turn_deg // 90), np.uint8)
    picture.setflags(write=False)
    return picture


def picture_bytes(frame: av.VideoFrame) -> int:
    """Memory that a decoded frame holds."""
    return sum(plane.buffer_size for plane in frame.planes)
