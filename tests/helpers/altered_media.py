"""Finished files, altered as editors, full cards and bad cables alter them."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from contextlib import ExitStack
from fractions import Fraction
from pathlib import Path

import av
from av.stream import Disposition


def trim_by_edit_list(path: Path, *, start_s: Fraction, long_s: Fraction) -> None:
    """Trim a finished MP4 or MOV in place by its edit lists; every packet stays in the file.

    Args:
        path: A file written by `write_coded_clip`, which has one edit for each track.
        start_s: Where the shown part begins, on the file's clock so far.
        long_s: How long the shown part is; in whole milliseconds, the unit that the file has.
    """
    data = bytearray(path.read_bytes())
    (movie,) = _boxes(data, 0, len(data), [b"moov"])
    for track in _boxes(data, *movie, [b"trak"]):
        (media,) = _boxes(data, *track, [b"mdia", b"mdhd"])
        (edits,) = _boxes(data, *track, [b"edts", b"elst"])
        (timescale,) = struct.unpack_from(">I", data, media[0] + 12)
        version, count = data[edits[0]], struct.unpack_from(">I", data, edits[0] + 4)[0]
        assert (version, count) == (0, 1), "one short edit is what the muxer writes"
        _, media_time = struct.unpack_from(">Ii", data, edits[0] + 8)
        shifted = media_time + int(start_s * timescale)
        struct.pack_into(">Ii", data, edits[0] + 8, int(long_s * 1000), shifted)
    path.write_bytes(data)


def _boxes(data: bytearray, start: int, stop: int, names: list[bytes]) -> list[tuple[int, int]]:
    """Where the insides of every box named so lie, one level for each name."""
    found: list[tuple[int, int]] = []
    while start + 8 <= stop:
        size, name = struct.unpack_from(">I4s", data, start)
        if name == names[0]:
            inside = (start + 8, start + size)
            found += _boxes(data, *inside, names[1:]) if names[1:] else [inside]
        start += size
    return found


def drop_head(source: Path, target: Path, *, key: int) -> None:
    """Copy the picture's packets from a key packet on, as a cut without re-encoding does.

    Args:
        source: Any file.
        target: The file to make.
        key: Which key packet comes first, 0 for the first.
    """
    with av.open(str(source)) as old, av.open(str(target), "w") as new:
        stream = old.streams.video[0]
        copy = new.add_stream_from_template(stream)
        keys = 0
        for packet in old.demux(stream):
            keys += packet.is_keyframe
            if packet.size and keys > key:
                packet.stream = copy
                new.mux(packet)


def join_tracks(target: Path, sources: Sequence[Path], *, usual: int | None = None) -> Path:
    """Put every track of several files into one, in that order.

    Args:
        target: The file to make.
        sources: Files to take the tracks from.
        usual: Which track alone is marked as usual; every track as its muxer likes unless given.
    """
    with ExitStack() as stack:
        new = stack.enter_context(av.open(str(target), "w"))
        olds = [stack.enter_context(av.open(str(source))) for source in sources]
        copies: dict[tuple[int, int], av.stream.Stream] = {}
        for number, old in enumerate(olds):
            for stream in old.streams:
                copy = new.add_stream_from_template(stream)
                if usual is not None:
                    mark = len(copies) == usual
                    copy.disposition = Disposition.default if mark else Disposition(0)
                copies[number, stream.index] = copy
        for number, old in enumerate(olds):
            for packet in old.demux():
                if packet.size:
                    packet.stream = copies[number, packet.stream.index]
                    new.mux(packet)
    return target


def rename_coding(path: Path, old: bytes, new: bytes) -> None:
    """Give every track coded as `old` another four-letter name in place, one that nobody knows."""
    data = path.read_bytes()
    assert old in data, "the name stands where the track is described"
    path.write_bytes(data.replace(old, new))


def damage_frame(path: Path, ordinal: int) -> None:
    """Overwrite the coded bytes of one shown frame with nonsense, in place."""
    with av.open(str(path)) as container:
        packets = [packet for packet in container.demux(video=0) if packet.size]
        hit = sorted(packets, key=lambda packet: packet.pts or 0)[ordinal]
        first, size = hit.pos, hit.size
    assert first is not None
    data = bytearray(path.read_bytes())
    data[first : first + size] = b"\xff" * size
    path.write_bytes(data)


def cut_tail(path: Path, *, share: float) -> None:
    """Keep only the first `share` of a file's bytes, in place."""
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])


def stored_turn(path: Path) -> tuple[int, ...]:
    """The upper two rows of the first track's display matrix as stored, in whole units.

    The standard's matrix (a b; c d) takes a stored pixel (x, y) to (ax + cy, bx + dy), y down.
    """
    data = bytearray(path.read_bytes())
    (movie,) = _boxes(data, 0, len(data), [b"moov"])
    head = _boxes(data, *movie, [b"trak", b"tkhd"])[0][0]
    a, b, _, c, d = struct.unpack_from(">5i", data, head + 40)
    return tuple(part // 65536 for part in (a, b, c, d))
