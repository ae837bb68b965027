"""Opens a file for reading, or says in one sentence why it can't be.

Owns the choice of containers that are read at all, the streams that count as picture and sound,
and the step from PyAV's rationals to `Fraction`. Called by every reader of this package.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Protocol

import av
from av.audio.stream import AudioStream
from av.codec import CodecContext
from av.container import InputContainer
from av.stream import Disposition
from av.video.stream import VideoStream

from capturestation.errors import NotReadableError
from capturestation.media._mapping import not_readable, reading, undecodable

_CONTAINERS = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg"
"""What cameras, phones and editors write. Left to itself the library also takes a text file for a
picture of text, and a playlist for leave to open other files."""


class _Ratio(Protocol):
    @property
    def numerator(self) -> int: ...
    @property
    def denominator(self) -> int: ...


def as_fraction(ratio: _Ratio | None) -> Fraction | None:
    """PyAV's rational, whichever type its version has, as a `Fraction`; None where it has none.

    Example:
        >>> as_fraction(Fraction(1, 90000)), as_fraction(None)
        (Fraction(1, 90000), None)
    """
    if ratio is None or ratio.denominator == 0:
        return None
    return Fraction(ratio.numerator, ratio.denominator)


def time_base(stream: av.stream.Stream, path: Path) -> Fraction:
    """The unit of a stream's stamps.

    Raises:
        NotReadableError: If the file gives none.
    """
    unit = as_fraction(stream.time_base)
    if unit is None or unit <= 0:
        raise NotReadableError(
            f"{path.name} does not say how its stamps count.",
            try_next="Convert it to MP4 with a tool that keeps the stamps.",
            subject=str(path),
        )
    return unit


@contextmanager
def opened(path: Path) -> Iterator[InputContainer]:
    """The file, open for reading; failures while it is open are mapped too.

    Raises:
        NotReadableError: If it is missing, empty, cut or not a video.
    """
    with reading(path), open_container(path) as container:
        yield container


def open_container(path: Path) -> InputContainer:
    """The file, open for reading, for an owner that closes it.

    Raises:
        NotReadableError: If it is missing, empty, cut or not a video.
    """
    with reading(path):
        if path.stat().st_size == 0:
            raise NotReadableError(
                f"{path.name} is empty.",
                try_next="Copy it from the camera again.",
                subject=str(path),
            )
    try:
        return av.open(
            # Named as a file, so that a colon in a name is not taken for a protocol.
            f"file:{path}",
            "r",
            metadata_errors="replace",
            container_options={"format_whitelist": _CONTAINERS, "protocol_whitelist": "file"},
        )
    except av.error.ArgumentError as error:
        # That is how a container outside the list is refused.
        raise NotReadableError(
            f"{path.name} is not a video that can be read here.",
            try_next="Convert it to MP4, or have the camera record MP4.",
            subject=str(path),
        ) from error
    except (av.FFmpegError, OSError) as error:
        raise not_readable(path, error) from error


def video_stream(container: InputContainer, path: Path) -> VideoStream:
    """The moving picture that is taken: the one the file marks as usual, the largest of several.

    A cover picture of a sound file is none.

    Raises:
        NotReadableError: If there is none, or none that can be decoded.
    """
    moving = moving_pictures(container)
    if moving:
        return max(moving, key=_video_rank)
    if any(not can_decode(stream) for stream in container.streams.video):
        raise undecodable(path)
    raise NotReadableError(
        f"{path.name} holds no moving picture.",
        try_next="Choose the video file of that swing.",
        subject=str(path),
    )


def moving_pictures(container: InputContainer) -> list[VideoStream]:
    """Every track of moving pictures that can be decoded."""
    still = Disposition.attached_pic | Disposition.timed_thumbnails
    return [s for s in container.streams.video if can_decode(s) and not s.disposition & still]


def _video_rank(stream: VideoStream) -> tuple[bool, int, int]:
    usual = bool(stream.disposition & Disposition.default)
    return usual, stream.width * stream.height, -stream.index


def can_decode(stream: av.stream.Stream) -> bool:
    """Whether the library has a decoder for a track."""
    context: CodecContext | None = stream.codec_context
    return context is not None


def sound_stream(container: InputContainer) -> AudioStream | None:
    """The sound that is taken: the first one marked as usual, else the first; None without any.

    Cameras write a plain track first and a surround track, often of a kind that nobody else can
    decode, behind it.
    """
    tracks = sound_tracks(container)
    usual = [stream for stream in tracks if stream.disposition & Disposition.default]
    return next(iter(usual or tracks), None)


def sound_tracks(container: InputContainer) -> list[AudioStream]:
    """Every track of sound that can be decoded."""
    return [stream for stream in container.streams.audio if can_decode(stream)]


def pixel_aspect(stream: VideoStream) -> Fraction:
    """Width of a stored pixel over its height; 1 where the file doesn't say."""
    return as_fraction(stream.sample_aspect_ratio) or Fraction(1)


def refuse_cut(stream: av.stream.Stream, path: Path) -> None:
    """Refuse a file whose table of packets promises more bytes than there are.

    Raises:
        NotReadableError: If so; the library itself would go on with what is left.
    """
    size = path.stat().st_size
    entries = list(stream.index_entries)
    there = sum(entry.pos + entry.size <= size for entry in entries)
    if there < len(entries):
        raise NotReadableError(
            f"{path.name} is cut: {there} of its {len(entries)} pieces of {stream.type} are there.",
            try_next="Copy it from the camera again.",
            subject=str(path),
        )
