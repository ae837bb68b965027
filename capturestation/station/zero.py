"""Place one recording on the swing's clock: the strike in its sound, the ball in its picture."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from capturestation.errors import NoSoundError, TimingRefusedError
from capturestation.media.frames import FrameReader
from capturestation.media.sound import read_sound
from capturestation.records import FrameArray, IntArray, Sync, Watch
from capturestation.station.sources import Source
from capturestation.swing.tracks import MotionTrack
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket, ball_leaving
from capturestation.timing.strike import Onset, find_strikes
from capturestation.timing.sync import Shutter, place_zero
from capturestation.tracking.ball import cut_patches, find_ball
from capturestation.tracking.motion import motion_energy

LOOK_NS = 300_000_000
"""The ball is looked for this far round the loudest strike: the net's thud may be louder and is up
to 160 ms late."""
MOTION_WIDTH_PX = 320


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A recording on the clock, with its motion on the file's own clock."""

    sync: Sync
    motion: MotionTrack


def motion_of(source: Source, watch: Watch) -> MotionTrack:
    """How much moves in each frame of a file, on the media clock.

    Raises:
        NotReadableError: If a frame can't be decoded.
        CancelledError: If the watch stops it.
    """
    with FrameReader(source.path) as reader:
        greys = reader.iter_grey(0, len(source.index.pts), width_px=MOTION_WIDTH_PX)
        return motion_energy(_watched(greys, len(source.index.pts), watch), source.index.times_ns)


def _watched(greys: Iterable[FrameArray], count: int, watch: Watch) -> Iterator[FrameArray]:
    for done, grey in enumerate(greys):
        watch.report(done / count, "reading the motion")
        yield grey


def place(source: Source, microphone: Microphone, watch: Watch) -> Placed:
    """Find contact in one file.

    Raises:
        NotReadableError: If a frame or the sound can't be decoded.
        CancelledError: If the watch stops it.
        TimingRefusedError: If there is no strike, or sound and picture contradict each other.
    """
    motion = motion_of(source, watch)
    onsets = _strikes(source)
    guess_ns = onsets[0].arrival_ns if onsets else _busiest_ns(motion)
    bracket = _bracket(source, guess_ns)
    try:
        sync = place_zero(
            view=source.view,
            onsets=onsets,
            bracket=bracket,
            shutter=Shutter(frame_ns=source.frame_ns),
            microphone=microphone,
        )
    except TimingRefusedError as error:
        raise TimingRefusedError(
            f"{source.path.name}: {error.what}",
            try_next=f"{error.try_next} The way: --contact-at {source.view}=SECONDS.",
            subject=str(source.path),
        ) from error
    return Placed(sync=sync, motion=motion)


def _strikes(source: Source) -> tuple[Onset, ...]:
    try:
        sound = read_sound(source.path)
    except NoSoundError:
        return ()
    return find_strikes(sound.samples, sound.rate_hz, sound.start_ns)


def _busiest_ns(motion: MotionTrack) -> int:
    return int(motion.times_ns[int(np.argmax(motion.energy))])


def _bracket(source: Source, guess_ns: int) -> BallBracket | None:
    times_ns = source.index.times_ns
    near = np.flatnonzero(np.abs(times_ns - guess_ns) <= LOOK_NS)
    if len(near) == 0:
        return None
    with FrameReader(source.path) as reader:
        greys = np.stack([reader.frame_grey(int(n)) for n in near])
    window_ns: IntArray = times_ns[near]
    spot = find_ball(greys, window_ns, guess_ns)
    if spot is None:
        return None
    return ball_leaving(cut_patches(greys, spot), window_ns)
