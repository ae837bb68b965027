"""A file's own word of how it is turned, written anew; nothing else of the file changes.

Owns the display matrix in the header of an MP4 or MOV file. Refuses other containers, and pictures
that are mirrored. The file that is changed is a copy of the caller's.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from capturestation.errors import BadInputError
from capturestation.media._mapping import reading, writing
from capturestation.media._upright import turn_of_matrix

_QUARTERS = {0: (1, 0, 0, 1), 90: (0, 1, -1, 0), 180: (-1, 0, 0, -1), 270: (0, -1, 1, 0)}
# a, b, c and d of the display matrix for each turn clockwise (ISO/IEC 14496-12, 6.2.2).
_ONE, _ONE_OF_LAST = 1 << 16, 1 << 30
_MATRIX_AT = {0: 40, 1: 52}
# Where it lies in a track's header, by the header's version (ISO/IEC 14496-12, 8.3.2).
_MATRIX = ">9i"
_HANDLER_AT = 8


@dataclass(frozen=True, slots=True)
class _Box:
    kind: bytes
    start: int
    end: int


def turn_file(path: Path, turn_deg: int) -> None:
    """Have a file say that it is turned by so much more, clockwise.

    Args:
        path: An MP4 or MOV file; changed where it lies.
        turn_deg: 90, 180 or 270.

    Raises:
        BadInputError: If it is another kind of file, or its pictures are mirrored.
        NotReadableError: If it can't be read.
        OutputError: If it can't be written.
    """
    with reading(path):
        at = _matrix_at(path)
        with path.open("rb") as file:
            file.seek(at)
            matrix = struct.unpack(_MATRIX, file.read(struct.calcsize(_MATRIX)))
    known = turn_of_matrix(matrix)
    if known.mirrored:
        raise _no_way(path, "its pictures are mirrored")
    a, b, c, d = _QUARTERS[(known.clockwise_deg + turn_deg) % 360]
    fresh = (a * _ONE, b * _ONE, 0, c * _ONE, d * _ONE, 0, 0, 0, _ONE_OF_LAST)
    with writing(path), path.open("r+b") as file:
        file.seek(at)
        file.write(struct.pack(_MATRIX, *fresh))


def _matrix_at(path: Path) -> int:
    """Where the display matrix of the pictures' track begins."""
    content = path.read_bytes()
    for moov in _boxes(content, 0, len(content), b"moov"):
        for track in _boxes(content, moov.start, moov.end, b"trak"):
            if not _shows_pictures(content, track):
                continue
            for header in _boxes(content, track.start, track.end, b"tkhd"):
                return header.start + _MATRIX_AT[min(content[header.start], 1)]
    raise _no_way(path, "it is no MP4 or MOV file with pictures")


def _shows_pictures(content: bytes, track: _Box) -> bool:
    for media in _boxes(content, track.start, track.end, b"mdia"):
        for handler in _boxes(content, media.start, media.end, b"hdlr"):
            at = handler.start + _HANDLER_AT
            return content[at : at + 4] == b"vide"
    return False


def _boxes(content: bytes, start: int, end: int, kind: bytes) -> Iterator[_Box]:
    """The boxes of a kind that lie side by side in a piece of a file."""
    at = start
    while at + 8 <= end:
        size, name = struct.unpack_from(">I4s", content, at)
        head = 8
        if size == 1 and at + 16 <= end:
            (size,), head = struct.unpack_from(">Q", content, at + 8), 16
        size = end - at if size == 0 else size
        if size < head:
            return
        if name == kind:
            yield _Box(name, at + head, min(at + size, end))
        at += size


def _no_way(path: Path, why: str) -> BadInputError:
    return BadInputError(
        f"{path.name} can't be turned: {why}.",
        try_next="Turn it with whatever made it, and add it again.",
        subject=str(path),
    )
