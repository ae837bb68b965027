"""Which frames a file shows and when, found without decoding a picture.

Owns the order, the stamps and the key frames of shown frames. Packets that an edit list trims
away, or that nothing can be decoded from, are not counted: a trimmed file may hold 90 packets and
show 78. Called by the frame reader, by intake and by whoever needs a frame's time.
"""

from __future__ import annotations

import statistics
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import numpy as np
from av.container import InputContainer
from av.stream import Discard
from av.video.stream import VideoStream

from capturestation.errors import NotReadableError
from capturestation.media._opening import opened, refuse_cut, time_base, video_stream
from capturestation.records import NS_PER_S, BoolArray, IntArray, MediaTime

_SAFE = 1 << 61
# Twice that still fits into 64 bits.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameIndex:
    """The shown frames of a file in the order they are shown; n of them.

    Args:
        pts: Stamps, (n,), rising, in `time_base`.
        time_base: Seconds per unit.
        durations: How long each is shown, (n,), in `time_base`.
        is_key: Whether each stands for itself, (n,).
        key_pts: Stamps of every key packet in the file, shown or not, (k,), rising. A trimmed
            file may need one from before its first shown frame.
        key_dts: When each of them is due at the decoder, (k,): some containers seek by that.
        hidden: Frames that it doesn't show: trimmed away, or before the first key frame.
        times_ns: Times, (n,), media clock, rounded as `MediaTime.ns`.
    """

    pts: IntArray
    time_base: Fraction
    durations: IntArray
    is_key: BoolArray
    key_pts: IntArray
    key_dts: IntArray
    hidden: int = 0
    times_ns: IntArray = field(init=False)

    def __post_init__(self) -> None:
        shapes = {self.pts.shape, self.durations.shape, self.is_key.shape}
        if len(shapes) != 1 or not len(self.pts):
            msg = f"one stamp, duration and flag for each of 1 or more frames, got {shapes}"
            raise ValueError(msg)
        if np.any(np.diff(self.pts) <= 0):
            msg = "stamps must rise"
            raise ValueError(msg)
        object.__setattr__(self, "times_ns", _times_ns(self.pts, self.time_base))
        for part in (
            self.pts,
            self.durations,
            self.is_key,
            self.key_pts,
            self.key_dts,
            self.times_ns,
        ):
            part.setflags(write=False)

    def __len__(self) -> int:
        return len(self.pts)

    @property
    def mean_rate_hz(self) -> Fraction | None:
        """Intervals a second between the first and the last stamp; None for a single frame."""
        if len(self) == 1:
            return None
        return (len(self) - 1) / (int(self.pts[-1] - self.pts[0]) * self.time_base)

    @property
    def is_steady(self) -> bool:
        """Whether every stamp is where a constant rate puts it, within one unit of its rounding."""
        grid = np.linspace(self.pts[0], self.pts[-1], len(self))
        return bool(np.abs(self.pts - grid).max() <= 1.0)

    @property
    def longest_group(self) -> int:
        """The most frames from one that stands for itself to the next: what a seek may decode."""
        starts = np.flatnonzero(self.is_key)
        edges = np.unique(np.concatenate([[0], starts, [len(self)]]))
        return int(np.diff(edges).max())

    @property
    def duration_ns(self) -> int:
        """From the first frame to the end of the last."""
        units = int(self.pts[-1] - self.pts[0] + self.durations[-1])
        return round(units * self.time_base * NS_PER_S)

    def at(self, media_ns: int) -> int:
        """The ordinal of the frame nearest in time; the earlier one of two that are as near.

        Example:
            >>> two = np.array([0, 100], np.int64)
            >>> both = np.array([True, True])
            >>> index = FrameIndex(
            ...     pts=two,
            ...     time_base=Fraction(1, 1000),
            ...     durations=two + 100,
            ...     is_key=both,
            ...     key_pts=two,
            ...     key_dts=two,
            ... )
            >>> index.at(-5), index.at(50_000_000), index.at(50_000_001)
            (0, 0, 1)
        """
        after = int(np.searchsorted(self.times_ns, media_ns))
        if after == 0:
            return 0
        if after == len(self):
            return len(self) - 1
        before = media_ns - int(self.times_ns[after - 1])
        return after - 1 if before <= int(self.times_ns[after]) - media_ns else after


def _times_ns(pts: IntArray, unit: Fraction) -> IntArray:
    """Stamps in nanoseconds, each rounded as `MediaTime.ns`."""
    each_ns = unit * NS_PER_S
    if int(np.abs(pts).max()) * each_ns.numerator > _SAFE:
        return np.array([MediaTime(pts=int(one), time_base=unit).ns for one in pts], np.int64)
    whole, rest = np.divmod(pts * each_ns.numerator, each_ns.denominator)
    beyond = 2 * rest - each_ns.denominator
    up = (beyond > 0) | ((beyond == 0) & (whole % 2 == 1))
    times: IntArray = (whole + up).astype(np.int64)
    return times


def index_frames(path: Path) -> FrameIndex:
    """Index a file by reading its packets.

    Raises:
        NotReadableError: If it is missing, empty, cut, not a video, holds no frame, or its
            stamps don't say when its frames are shown.
    """
    with opened(path) as container:
        stream = video_stream(container, path)
        refuse_cut(stream, path)
        _refuse_stampless(container, stream, path)
        packets = _packets(container, stream, path)
        unit = time_base(stream, path)
    if not packets:
        raise NotReadableError(
            f"{path.name} holds no picture.",
            try_next="Record it again, or copy it from the camera again.",
            subject=str(path),
        )
    return _index(packets, unit, path)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Packet:
    pts: int
    dts: int
    duration: int
    is_key: bool
    shown: bool


def _packets(container: InputContainer, stream: VideoStream, path: Path) -> list[_Packet]:
    for other in container.streams:
        other.discard = Discard.default if other.index == stream.index else Discard.all
    found = []
    for packet in container.demux(stream):
        if packet.size == 0:
            continue
        if packet.pts is None:
            raise _stampless(path)
        found.append(
            _Packet(
                pts=packet.pts,
                dts=packet.pts if packet.dts is None else packet.dts,
                duration=packet.duration or 0,
                is_key=packet.is_keyframe,
                shown=not packet.is_discard,
            )
        )
    return found


def _index(packets: list[_Packet], unit: Fraction, path: Path) -> FrameIndex:
    keys = sorted((p.pts, p.dts) for p in packets if p.is_key)
    keys = keys or [(packets[0].pts, packets[0].dts)]
    # Before the first key frame nothing can be decoded: the cut end of a group of pictures.
    first = keys[0][0]
    shown = sorted((p for p in packets if p.shown and p.pts >= first), key=lambda p: p.pts)
    pts = np.array([p.pts for p in shown], np.int64)
    if not shown or np.any(np.diff(pts) == 0):
        raise _stampless(path)
    return FrameIndex(
        pts=pts,
        time_base=unit,
        durations=_durations(shown, pts),
        is_key=np.array([p.is_key for p in shown]),
        key_pts=np.array([pts for pts, _ in keys], np.int64),
        key_dts=np.array([dts for _, dts in keys], np.int64),
        hidden=len(packets) - len(shown),
    )


def _durations(shown: list[_Packet], pts: IntArray) -> IntArray:
    """Each frame stays until the next; the last as long as its packet says, or as most do."""
    gaps = np.diff(pts)
    usual = round(statistics.median(gaps.tolist())) if len(gaps) else 1
    return np.append(gaps, shown[-1].duration or usual).astype(np.int64)


def _refuse_stampless(container: InputContainer, stream: VideoStream, path: Path) -> None:
    # AVI has no place for the order in which frames are shown; the library makes it up.
    if container.format.name == "avi" and stream.codec_context.has_b_frames:
        raise _stampless(path)


def _stampless(path: Path) -> NotReadableError:
    return NotReadableError(
        f"{path.name} does not say when its frames are shown.",
        try_next="Convert it to MP4 with a tool that keeps the frame times.",
        subject=str(path),
    )
