"""How much moves in a file, read from end to end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import islice

from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, FrameArray, Watch
from capturestation.station.sources import Source
from capturestation.swing.tracks import MotionTrack
from capturestation.tracking.motion import motion_energy

MOTION_WIDTH_PX = 320
_SLOW_HZ = 60


def motion_of(source: Source, watch: Watch, media_per_swing: Fraction = Fraction(1)) -> MotionTrack:
    """How much moves in each frame of a file, on the media clock.

    In a file that plays slower hardly anything moves from one frame to the next; there, frames a
    sixtieth of a second of the swing apart are compared.

    Args:
        source: The file.
        watch: Told how far the reading is.
        media_per_swing: How many times slower it plays.

    Raises:
        NotReadableError: If a frame can't be decoded.
        CancelledError: If the watch stops it.
    """
    with FrameReader(source.path) as reader:
        count = len(source.index.pts)
        greys = reader.iter_grey(0, count, width_px=MOTION_WIDTH_PX)
        step = 1
        if media_per_swing != 1:
            step = max(round(media_per_swing * NS_PER_S / (_SLOW_HZ * source.frame_ns)), 1)
        some = islice(_watched(greys, count, watch), 0, None, step)
        return motion_energy(some, source.index.times_ns[::step])


def _watched(greys: Iterable[FrameArray], count: int, watch: Watch) -> Iterator[FrameArray]:
    for done, grey in enumerate(greys):
        watch.report(done / count, "reading the motion")
        yield grey
