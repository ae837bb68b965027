"""One open file and one decoder.

Owns going to a key frame, and decoding on from there. Called by the frame reader and the maker of
working copies, each with its own.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from pathlib import Path

import av
from av.codec.context import ThreadType
from av.stream import Discard

from capturestation.media._opening import open_container, video_stream


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


def picture_bytes(frame: av.VideoFrame) -> int:
    """Memory that a decoded frame holds."""
    return sum(plane.buffer_size for plane in frame.planes)
