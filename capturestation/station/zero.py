"""Place one recording on the swing's clock: the strike in its sound, the ball in its picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from capturestation.errors import NoSoundError, TimingRefusedError
from capturestation.media.frames import FrameReader
from capturestation.media.sound import Sound, read_sound
from capturestation.records import IntArray, Sync
from capturestation.station.pacing import Paced
from capturestation.station.sources import Source
from capturestation.swing.tracks import MotionTrack
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket, ball_leaving
from capturestation.timing.delay import KnownDelay
from capturestation.timing.heard import Shutter, listen_window
from capturestation.timing.launch import Launch, launch_of
from capturestation.timing.strike import Onset, find_strikes
from capturestation.timing.sync import place_zero
from capturestation.tracking.ball import cut_patches, find_ball
from capturestation.tracking.flight import flying_spots

LOOK_NS = 300_000_000
"""The ball is looked for this far round a burst: the net's thud may be louder and is up to 160 ms
late."""
_MOST_LOOKS = 3
_NEW_LOOK_NS = LOOK_NS // 3
_SURE = 0.6
# Of a bracket's confidence: a ball found so is not looked for at the next burst.
_SAME_NS = 1_000_000
# Two looks at one burst find it within that.


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A recording on the clock, with its motion on the file's own clock.

    Args:
        sync: Its place.
        motion: How much moves, media clock.
        sound: Its sound; None if it has none or its sound is no clock.
        onset: The burst of the sound that was taken for the strike; None if none was.
    """

    sync: Sync
    motion: MotionTrack
    sound: Sound | None = None
    onset: Onset | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ball:
    """The ball leaving the picture."""

    bracket: BallBracket
    launch: Launch | None


def place(
    source: Source,
    microphone: Microphone,
    pace: Paced,
    *,
    known_delay: KnownDelay | None = None,
) -> Placed:
    """Find contact in one file.

    Args:
        source: The file.
        microphone: Where its sound was taken.
        pace: How much moves in it and how fast it plays; where slower, its sound is no clock.
        known_delay: Its camera's own picture against sound, from earlier swings.

    Raises:
        NotReadableError: If a frame or the sound can't be decoded.
        TimingRefusedError: If there is no strike, or sound and picture contradict each other.
    """
    motion, media_per_swing = pace.motion, pace.media_per_swing
    sound = _sound(source) if media_per_swing == 1 else None
    times_ns = _real(source.index.times_ns, media_per_swing)
    shutter = Shutter(frame_ns=round(source.frame_ns / media_per_swing))
    onsets = () if sound is None else find_strikes(sound.samples, sound.rate_hz, sound.start_ns)
    moving = MotionTrack(times_ns=_real(motion.times_ns, media_per_swing), energy=motion.energy)
    bursts, busy = _looks(onsets, moving)
    ball = _ball(source, times_ns, (bursts, busy), shutter)
    if sound is not None and ball is not None:
        onsets = heard_again(sound, onsets, ball.bracket, (shutter, microphone, known_delay))
    try:
        sync = place_zero(
            view=source.view,
            onsets=onsets,
            bracket=None if ball is None else ball.bracket,
            launch=None if ball is None else ball.launch,
            shutter=shutter,
            microphone=microphone,
            known_delay=known_delay,
        )
    except TimingRefusedError as error:
        ways = f"{error.try_next} It is given in seconds of the {source.view} file. {pace.said}"
        raise TimingRefusedError(
            f"{source.path.name}: {error.what}",
            try_next=ways.strip(),
            subject=str(source.path),
        ) from error
    sync = pace.on(sync)
    return Placed(sync=sync, motion=motion, sound=sound, onset=_taken(sync, onsets, microphone))


def _real(media_ns: IntArray, media_per_swing: Fraction) -> IntArray:
    """Stamps as they would be if the file played at full speed."""
    slowed = media_ns * media_per_swing.denominator // media_per_swing.numerator
    return slowed.astype(np.int64)


def _sound(source: Source) -> Sound | None:
    try:
        return read_sound(source.path)
    except NoSoundError:
        return None


def _looks(onsets: Sequence[Onset], motion: MotionTrack) -> tuple[list[int], list[int]]:
    """Where to look for the ball: at the best bursts that lie apart, then where most moves."""
    bursts: list[int] = []
    for onset in onsets[:_MOST_LOOKS]:
        if all(abs(onset.arrival_ns - other) > _NEW_LOOK_NS for other in bursts):
            bursts.append(onset.arrival_ns)
    busiest = motion.without_blinks().busiest_ns(_MOST_LOOKS - 1, LOOK_NS)
    busy = [at for at in busiest if all(abs(at - other) > _NEW_LOOK_NS for other in bursts)]
    return bursts, busy


def heard_again(
    sound: Sound,
    onsets: tuple[Onset, ...],
    bracket: BallBracket,
    about: tuple[Shutter, Microphone, KnownDelay | None],
) -> tuple[Onset, ...]:
    """The bursts, and what is heard when the picture says where to listen."""
    window = listen_window(bracket, *about)
    near = find_strikes(sound.samples, sound.rate_hz, sound.start_ns, window=window)
    known = [onset.arrival_ns for onset in onsets]
    fresh = [o for o in near if all(abs(o.arrival_ns - at) > _SAME_NS for at in known)]
    return tuple(sorted([*onsets, *fresh], key=lambda onset: -onset.score))


def _taken(sync: Sync, onsets: Sequence[Onset], microphone: Microphone) -> Onset | None:
    """The burst that became the strike."""
    if sync.sound_ns is None:
        return None
    arrival_ns = sync.sound_ns + microphone.travel_ns
    return min(onsets, key=lambda onset: abs(onset.arrival_ns - arrival_ns))


def _ball(
    source: Source, times_ns: IntArray, looks: tuple[list[int], list[int]], shutter: Shutter
) -> _Ball | None:
    """The ball leaving near one of the looks: the first that is sure, else the surest.

    Where nothing was heard, only a sure one counts: a club's rest is round and goes away too.
    """
    best: _Ball | None = None
    bursts, busy = looks
    with FrameReader(source.path) as reader:
        for guess_ns in (*bursts, *busy):
            found = _ball_near(reader, times_ns, guess_ns, shutter)
            if found is None:
                continue
            if found.bracket.confidence >= _SURE:
                return found
            if guess_ns in bursts and (
                best is None or found.bracket.confidence > best.bracket.confidence
            ):
                best = found
    return best


def _ball_near(
    reader: FrameReader, times_ns: IntArray, guess_ns: int, shutter: Shutter
) -> _Ball | None:
    near = np.flatnonzero(np.abs(times_ns - guess_ns) <= LOOK_NS)
    if len(near) == 0:
        return None
    greys = np.stack([reader.frame_grey(int(n)) for n in near])
    window_ns: IntArray = times_ns[near]
    spot = find_ball(greys, window_ns, guess_ns)
    if spot is None:
        return None
    bracket = ball_leaving(cut_patches(greys, spot), window_ns)
    if bracket is None:
        return None
    seen = flying_spots(greys, window_ns, spot, bracket)
    rest = (spot.x_px, spot.y_px)
    launch = launch_of(seen, rest, spot.radius_px, bracket, shutter.frame_ns)
    return _Ball(bracket=bracket, launch=launch)
