"""How fast a file plays: as a person says, as its tags say, else as its swing and sound give away.

Owns the order of these three and what is said of it. A file that was slowed down for good has no
sound that could be a clock, so this comes before anything is placed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from capturestation.errors import NoSoundError, TimingRefusedError
from capturestation.media.sound import read_sound
from capturestation.records import NS_PER_S, Part, Sync, Watch
from capturestation.station.motion import motion_of
from capturestation.station.sources import Source
from capturestation.swing.tracks import MotionTrack
from capturestation.timing.pace import Pace, highest_hz, lasting, pace_of
from capturestation.timing.sync import played_slower


@dataclass(frozen=True, slots=True, kw_only=True)
class Paced:
    """A file's motion, and how many times slower it plays.

    Args:
        media_per_swing: Seconds of the file for one of the swing.
        motion: How much moves, media clock.
        said: How that is known, a sentence; empty where a person or the file itself said so.
    """

    media_per_swing: Fraction
    motion: MotionTrack
    said: str = ""

    def on(self, sync: Sync) -> Sync:
        """The place of the file itself, from the place that it has if played at full speed."""
        slow = sync if self.media_per_swing == 1 else played_slower(sync, self.media_per_swing)
        return replace(slow, said=f"{slow.said} {self.said}".strip())


def paced(source: Source, told: Fraction | None, watch: Watch, *, at_full_speed: bool) -> Paced:
    """Read a file's motion and find how fast it plays.

    Args:
        source: The file.
        told: What a person or the file's tags say; None where neither does.
        watch: Told how far the reading is.
        at_full_speed: Whether the swing was made at full speed: a drill or a rehearsal may be slow
            itself, and then how long it lasts tells nothing.

    Raises:
        NotReadableError: If a frame or the sound can't be decoded.
        CancelledError: If the watch stops it.
        TimingRefusedError: If it surely plays slower and how much can't be told.
    """
    if told is not None or not at_full_speed:
        slower = Fraction(1) if told is None else told
        return Paced(media_per_swing=slower, motion=motion_of(source, watch, slower))
    motion = motion_of(source, Part(watch, 0.0, 0.5))
    pace = _given_away(source, motion)
    if pace.is_plain:
        return Paced(media_per_swing=Fraction(1), motion=motion)
    if not pace.rivals:
        words = f"As the file plays, {pace.why}: if it was slowed down, say how many times."
        return Paced(media_per_swing=Fraction(1), motion=motion, said=words)
    slower = _the_one(source, pace)
    return Paced(
        media_per_swing=slower,
        motion=motion_of(source, Part(watch, 0.5, 1.0), slower),
        said=f"Nobody said so, but {pace.why}. If that is wrong, say how many times slower it "
        "plays, 1 for not at all.",
    )


def _given_away(source: Source, motion: MotionTrack) -> Pace:
    calm = motion.without_blinks()
    swing = lasting(calm.times_ns, calm.energy)
    top_hz = _top_hz(source) if swing is not None and swing.is_long else None
    return pace_of(swing, Fraction(NS_PER_S, source.frame_ns), top_hz)


def _top_hz(source: Source) -> float | None:
    try:
        sound = read_sound(source.path)
    except NoSoundError:
        return None
    return highest_hz(sound.samples, sound.rate_hz)


def _the_one(source: Source, pace: Pace) -> Fraction:
    if len(pace.rivals) == 1:
        return pace.rivals[0]
    some = " or ".join(f"{float(times):g}" for times in pace.rivals)
    raise TimingRefusedError(
        f"{source.path.name} plays slower than the swing was ({pace.why}), {some} times.",
        try_next="Say how many times slower it plays; 1 for not at all.",
        subject=str(source.path),
    )
