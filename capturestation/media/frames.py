"""Any frame of a file by its number, exactly that frame.

Owns seeking, decoding and turning upright. A frame is known by its stamp, never by counting or by
where a seek lands. Called by the screen, the clip and the trackers.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

import av
import numpy as np
from av.codec.context import ThreadType

from capturestation.errors import NotReadableError
from capturestation.media._colour import Converter, coding_of
from capturestation.media._cutting import Cutter
from capturestation.media._decoding import Decoder, picture_bytes, pts_of
from capturestation.media._mapping import FOREIGN, not_readable
from capturestation.media._opening import pixel_aspect
from capturestation.media._small import small_greys
from capturestation.media._upright import set_upright, shown_size, stored_size
from capturestation.media.canvas import Cut
from capturestation.media.index import FrameIndex, index_frames
from capturestation.media.screen import planes_of
from capturestation.records import FrameArray, Planes


class OtherFramesError(ValueError):
    """A copy that holds other frames than the file that it is said to be of."""


class FrameReader:
    """Opens any shown frame of one file; close it, or use it in a `with` block.

    Decoded frames are kept up to a limit, so stepping back through a group of pictures decodes
    it once. Threads may share a reader: they wait for one another, as two of them converting one
    decoded frame would crash the process.

    Args:
        path: The file.
        cache_mb: How much decoded picture to keep.
        copy: A working copy, from which pictures are taken instead: the same frames, upright,
            faster and smaller, for looking only. Numbers and times stay the file's own.

    Raises:
        NotReadableError: If the file is missing, empty, cut, not a video, or holds no frame.
        OtherFramesError: If the copy is not of this file.

    Example:
        with FrameReader(path) as reader:
            at_impact = reader.frame_rgb(reader.at(impact_ns))
    """

    def __init__(self, path: Path, *, cache_mb: int = 64, copy: Path | None = None) -> None:
        self.path = path
        self.index: FrameIndex = index_frames(path)
        # The frames of the file that is decoded, by the same numbers.
        self._stored = self.index if copy is None else index_frames(copy)
        self._source = copy or path
        if len(self._stored) != len(self.index):
            msg = f"a copy of {len(self._stored)} frames of a file of {len(self.index)}"
            raise OtherFramesError(msg)
        self._room_bytes = cache_mb << 20
        self._kept: OrderedDict[int, av.VideoFrame] = OrderedDict()
        self._kept_bytes = 0
        self._lock = threading.RLock()
        self._decoder = Decoder(self._source, threads=ThreadType.SLICE)
        self._converter = self._new_converter()
        self._cutter = Cutter(self._converter)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def __len__(self) -> int:
        return len(self.index)

    def _new_converter(self) -> Converter:
        aspect, is_copy = pixel_aspect(self._decoder.stream), self._source != self.path
        return Converter(self._source, aspect, upright=is_copy)

    @property
    def source(self) -> Path:
        """The file whose pictures are taken: itself, or its working copy."""
        return self._source

    def close(self) -> None:
        """Let go of the file and of what was kept."""
        with self._lock:
            self._kept.clear()
            self._kept_bytes = 0
            self._decoder.close()

    def at(self, media_ns: int) -> int:
        """The ordinal of the frame nearest to a time on the media clock."""
        return self.index.at(media_ns)

    def frame_rgb(self, ordinal: int) -> FrameArray:
        """Frame `ordinal`, upright.

        Args:
            ordinal: 0 to len - 1, in the order shown.

        Returns:
            (H, W, 3) uint8 RGB, full range, read-only.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            return self._converter.rgb(self._frame(ordinal))

    def frame_planes(self, ordinal: int) -> Planes | None:
        """Frame `ordinal` as it is coded; None where only `frame_rgb` can show it.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            frame, turns = self._frame(ordinal), self._converter.turns
            return planes_of(frame, coding_of(frame, self._source), turns.of(frame))

    def frame_planar(self, ordinal: int, cut: Cut) -> FrameArray:
        """A piece of frame `ordinal`, upright, in the form that is encoded.

        Args:
            ordinal: 0 to len - 1, in the order shown.
            cut: Which piece, and how large.

        Returns:
            (to_height * 3 / 2, to_width) uint8, planar as `media.canvas` describes it.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
            ValueError: If the piece reaches over the picture's edge.
        """
        with self._lock:
            return self._cutter.planar(self._frame(ordinal), cut)

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of its pictures as shown.

        Raises:
            NotReadableError: If the first one can't be decoded.
        """
        with self._lock:
            first = self._frame(0)
            return shown_size(first, self._converter.turns.of(first), self._converter.pixel_aspect)

    def frame_grey(self, ordinal: int) -> FrameArray:
        """Frame `ordinal`, upright, (H, W) uint8 grey, full range, read-only.

        Raises:
            IndexError: If there is no such frame.
            NotReadableError: If it can't be decoded.
        """
        with self._lock:
            frame = self._frame(ordinal)
            return self._converter.grey(frame, *stored_size(frame, self._converter.pixel_aspect))

    def iter_grey(self, start: int, stop: int, *, width_px: int) -> Iterator[FrameArray]:
        """Frames `start` to `stop` - 1 in order, small and grey: for a fast look over a clip.

        It has a decoder of its own, so the reader can be used meanwhile.

        Args:
            start: First ordinal.
            stop: One past the last ordinal.
            width_px: Width of the small pictures as shown; never enlarged.

        Yields:
            (h, width_px) uint8, full range, read-only; the shape keeps the picture's proportions.

        Raises:
            IndexError: If there are no such frames.
            NotReadableError: If one of them can't be decoded.
        """
        self._refuse_outside(start, stop)
        return self._scan(start, stop, width_px)

    def iter_rgb(
        self, start: int, stop: int, *, box_px: tuple[int, int] | None = None
    ) -> Iterator[FrameArray]:
        """Frames `start` to `stop` - 1 in order, in colour; faster than asking one by one.

        It has a decoder of its own, so the reader can be used meanwhile.

        Args:
            start: First ordinal.
            stop: One past the last ordinal.
            box_px: Long and short side that pictures are shrunk to fit, to even sizes; their own
                size unless given.

        Yields:
            (h, w, 3) uint8 RGB, full range, read-only.

        Raises:
            IndexError: If there are no such frames.
            NotReadableError: If one of them can't be decoded.
        """
        self._refuse_outside(start, stop)
        converter = self._new_converter()
        return (converter.rgb(frame, box_px) for frame in self._in_order(start, stop))

    def _refuse_outside(self, start: int, stop: int) -> None:
        if not 0 <= start <= stop <= len(self.index):
            msg = f"frames {start} to {stop} of {len(self.index)}"
            raise IndexError(msg)

    def _scan(self, start: int, stop: int, width_px: int) -> Iterator[FrameArray]:
        converter, done = self._new_converter(), start
        if self._decoder.stream.codec_context.name == "mjpeg" and start < stop:
            for grey in self._small_jpegs(start, stop, width_px):
                yield grey
                done += 1
        for frame in self._in_order(done, stop):
            width, height = stored_size(frame, converter.pixel_aspect)
            is_sideways = converter.turns.of(frame).sideways
            yield converter.grey(frame, *_shrunk((width, height), width_px, is_sideways))

    def _small_jpegs(self, start: int, stop: int, width_px: int) -> Iterator[FrameArray]:
        """The same pictures, opened small at once, up to one that can't be."""
        with self._lock:
            first = self._frame(start)
            turn = self._converter.turns.of(first)
            if not coding_of(first, self._source).full_range:
                return
            size = _shrunk(
                stored_size(first, self._converter.pixel_aspect), width_px, turn.sideways
            )
        decoder = Decoder(self._source, threads=ThreadType.SLICE)
        try:
            stamps = self._stored.pts[start:stop].tolist()
            for grey in small_greys(decoder, stamps, size):
                yield set_upright(grey, turn)
        finally:
            decoder.close()

    def _in_order(self, start: int, stop: int) -> Iterator[av.VideoFrame]:
        wanted, cause = start, None
        # Threads that work ahead report damage late; the slow way then finds which frame it is.
        for threads in (ThreadType.AUTO, ThreadType.SLICE):
            if wanted == stop:
                return
            decoder = Decoder(self._source, threads=threads)
            try:
                for frame in self._consecutive(decoder, wanted, stop):
                    yield frame
                    wanted += 1
            except FOREIGN as error:
                cause = error
            finally:
                decoder.close()
        if wanted < stop:
            raise self._broken(wanted, cause) from cause

    def _consecutive(self, decoder: Decoder, start: int, stop: int) -> Iterator[av.VideoFrame]:
        """Frames from `start` on, without a hole; fewer than asked for where one is missing."""
        wanted = start
        for seek_pts in self._ways_to(start):
            decoder.seek(seek_pts)
            for frame in decoder.run():
                if pts_of(frame) > self._stored.pts[wanted]:
                    break
                if pts_of(frame) == self._stored.pts[wanted]:
                    yield frame
                    wanted += 1
                if wanted == stop:
                    return
            if wanted > start:
                return

    def _frame(self, ordinal: int) -> av.VideoFrame:
        if not 0 <= ordinal < len(self.index):
            msg = f"frame {ordinal} of {len(self.index)}"
            raise IndexError(msg)
        kept = self._kept.get(ordinal)
        if kept is not None:
            self._kept.move_to_end(ordinal)
            return kept
        try:
            found = self._decode(ordinal)
        except FOREIGN as error:
            self._decoder.position = None
            raise self._broken(ordinal, error) from error
        if found is None:
            raise self._broken(ordinal)
        return found

    def _decode(self, ordinal: int) -> av.VideoFrame | None:
        if self._is_ahead(ordinal):
            found = self._run_to(ordinal)
            if found is not None:
                return found
        for seek_pts in self._ways_to(ordinal):
            self._decoder.seek(seek_pts)
            found = self._run_to(ordinal)
            if found is not None:
                return found
        return None

    def _is_ahead(self, ordinal: int) -> bool:
        """Whether running on from where the decoder stands is the shortest way."""
        position = self._decoder.position
        wanted = int(self._stored.pts[ordinal])
        if position is None or position >= wanted:
            return False
        nearest_key = self._stored.key_pts[self._key_before(ordinal)]
        return bool(nearest_key <= position or self._stored.pts[ordinal - 1] == position)

    def _run_to(self, ordinal: int) -> av.VideoFrame | None:
        wanted = int(self._stored.pts[ordinal])
        for frame in self._decoder.run():
            self._keep(frame)
            if pts_of(frame) == wanted:
                return frame
            if pts_of(frame) > wanted:
                return None
        return None

    def _key_before(self, ordinal: int) -> int:
        """The number of the last key packet shown at or before a frame.

        By stamp, not by place in the file: a frame shown before a key frame may lie behind it
        and lean on the one before.
        """
        after = np.searchsorted(self._stored.key_pts, self._stored.pts[ordinal], side="right")
        return max(0, int(after) - 1)

    def _ways_to(self, ordinal: int) -> list[int]:
        """Where to seek, best first: the nearest key frame, the one before, the beginning.

        By both its stamps: some containers seek by the one, some by the other, and a seek may
        land behind where it was asked to.
        """
        key = self._key_before(ordinal)
        by_pts, by_dts = self._stored.key_pts, self._stored.key_dts
        ways = (by_pts[key], by_dts[key], by_dts[max(0, key - 1)], by_dts[0])
        return list(dict.fromkeys(int(way) for way in ways))

    def _keep(self, frame: av.VideoFrame) -> None:
        pts = pts_of(frame)
        ordinal = int(np.searchsorted(self._stored.pts, pts))
        if ordinal == len(self._stored) or self._stored.pts[ordinal] != pts:
            return
        self._kept_bytes += 0 if ordinal in self._kept else picture_bytes(frame)
        self._kept[ordinal] = frame
        self._kept.move_to_end(ordinal)
        while self._kept_bytes > self._room_bytes and len(self._kept) > 1:
            _, oldest = self._kept.popitem(last=False)
            self._kept_bytes -= picture_bytes(oldest)

    def _broken(self, ordinal: int, error: BaseException | None = None) -> NotReadableError:
        at_s = self.index.times_ns[ordinal] / 1e9
        return not_readable(self._source, error, where=f"frame {ordinal} ({at_s:.3f} s)")


def _shrunk(size: tuple[int, int], width_px: int, is_sideways: bool) -> tuple[int, int]:
    """A stored size whose width as shown is at most so much."""
    scale = min(1.0, width_px / size[1 if is_sideways else 0])
    width, height = (max(1, round(side * scale)) for side in size)
    return width, height
