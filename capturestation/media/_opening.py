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
from av.container import InputContainer
from av.stream import Disposition
from av.video.stream import VideoStream

from capturestation.errors import NotReadableError
from capturestation.media._mapping import not_readable, reading

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
    """The first moving picture; a cover picture of a sound file is none.

    Raises:
        NotReadableError: If there is none.
    """
    for stream in container.streams.video:
        if not stream.disposition & (Disposition.attached_pic | Disposition.timed_thumbnails):
            return stream
    raise NotReadableError(
        f"{path.name} holds no moving picture.",
        try_next="Choose the video file of that swing.",
        subject=str(path),
    )


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
