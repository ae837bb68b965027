"""Small grey pictures of a file of JPEGs, opened small at once: a third of the work.

Owns how small a JPEG is opened. What can't be opened so is left to the frame reader, which knows
what to say of it. Called by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cv2
import numpy as np

from capturestation.media._decoding import Decoder
from capturestation.records import FrameArray

WAYS = (
    cv2.IMREAD_GRAYSCALE,
    cv2.IMREAD_REDUCED_GRAYSCALE_2,
    cv2.IMREAD_REDUCED_GRAYSCALE_4,
    cv2.IMREAD_REDUCED_GRAYSCALE_8,
)
"""Whole, and at a half, a quarter or an eighth."""


def halvings(longer_px: int, wanted_px: int) -> int:
    """How many times a side is halved and is still no shorter than what is wanted, at most thrice.

    Example:
        >>> halvings(1280, 320), halvings(1280, 640), halvings(1920, 640), halvings(300, 320)
        (2, 1, 1, 0)
    """
    return next((times for times in (3, 2, 1) if longer_px >> times >= wanted_px), 0)


def opened_small(data: bytes | memoryview, way: int, size: tuple[int, int]) -> FrameArray | None:
    """A JPEG's picture as stored, at a size; None where nothing can be seen.

    Args:
        data: The JPEG.
        way: One of the library's, such as of `WAYS`.
        size: Width and height.
    """
    # As stored: how it is turned, others know better.
    picture = cv2.imdecode(np.frombuffer(data, np.uint8), way | cv2.IMREAD_IGNORE_ORIENTATION)
    if picture is None:
        return None
    if picture.shape[1::-1] != size:
        picture = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    return np.asarray(picture, np.uint8)


def small_greys(
    decoder: Decoder, stamps: Sequence[int], size: tuple[int, int]
) -> Iterator[FrameArray]:
    """Grey pictures of a file of JPEGs, as stored; ends early at one that can't be had so.

    Args:
        decoder: The file; it is read from here on.
        stamps: Of the frames, rising, without a hole.
        size: Width and height.
    """
    way = WAYS[halvings(decoder.stream.width, size[0])]
    decoder.seek(stamps[0])
    wanted = iter(stamps)
    due = next(wanted)
    for packet in decoder.container.demux(decoder.stream):
        if packet.size == 0 or packet.pts is None or packet.pts < due:
            continue
        grey = opened_small(bytes(packet), way, size) if packet.pts == due else None
        if grey is None:
            return
        yield grey
        following = next(wanted, None)
        if following is None:
            return
        due = following
