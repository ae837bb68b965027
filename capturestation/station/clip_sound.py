"""A clip's sound: today's own, where it can be heard as it was.

Owns what is heard when. At real speed the sound runs with the picture and falls silent in holds. In
slow motion it would be a growl, so only the strike is heard, once, when the clip is at impact.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from capturestation.compare.playout import NOT_HELD, ClipScript
from capturestation.errors import NoSoundError
from capturestation.media.sound import Sound, read_sound
from capturestation.records import NS_PER_S, IntArray, Moment, SoundArray, View
from capturestation.station.clip_request import ClipRequest, ClipSide

STRIKE_NS = NS_PER_S // 5
_FADE_S = 0.005
# Cuts in a sound click; 5 ms of fading hides that and loses nothing of a strike 200 ms away.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClipSound:
    """The sound of a whole clip.

    Args:
        samples: Mono, from the clip's first frame to the end of its last.
        rate_hz: Sampling rate.
        said: What is heard, in one sentence.
    """

    samples: SoundArray
    rate_hz: int
    said: str

    def of_frame(self, frame: int, clip_rate_hz: Fraction) -> SoundArray:
        """The samples that belong to one frame of the clip."""
        first, last = (round(n * self.rate_hz / clip_rate_hz) for n in (frame, frame + 1))
        return self.samples[first:last]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """A stretch of the swing's sound: from when in the clip, from where in the swing, how long."""

    clip_s: Fraction
    swing_ns: int
    long_ns: int


def clip_sound(request: ClipRequest, script: ClipScript) -> ClipSound:
    """Lay today's sound under a script.

    Raises:
        NoSoundError: If none of today's recordings has a sound.
    """
    view, sound = _todays_sound(request)
    swing_minus_sound_ns = _swing_minus_sound_ns(request.now, view)
    if request.pace.slow == 1:
        pieces, said = _running(script), f"Sound of the {view} camera, silent while it holds."
    else:
        pieces = _strike(script)
        said = f"Slow motion is silent; the strike is heard once at impact ({view} camera)."
        said = said if pieces else "Silent: the clip does not reach impact."
    samples = np.zeros(round(len(script) * sound.rate_hz / script.rate_hz), dtype=np.float32)
    for piece in pieces:
        _lay(samples, piece, sound, swing_minus_sound_ns)
    return ClipSound(samples=samples, rate_hz=sound.rate_hz, said=said)


def _todays_sound(request: ClipRequest) -> tuple[View, Sound]:
    syncs = {view: request.now.swing.sync(view) for view in request.now.media}
    # A file that was slowed down for good plays a sound of another length.
    placed = [view for view, one in syncs.items() if one is not None and one.media_per_swing == 1]
    for view in placed:
        try:
            return view, read_sound(request.now.media[view])
        except NoSoundError:
            continue
    raise NoSoundError(
        f"None of the recordings of swing {request.now.swing.id} has a sound.",
        try_next="Make the clip without sound.",
        subject=request.now.swing.id,
    )


def _swing_minus_sound_ns(side: ClipSide, view: View) -> int:
    """By the strike in this very sound where it is known: a camera's sound may lag its picture."""
    sync = side.swing.sync(view)
    if sync is None:
        raise KeyError(view)
    return sync.swing_minus_media_ns if sync.sound_ns is None else -sync.sound_ns


def _running(script: ClipScript) -> list[_Piece]:
    """The sound of every run of frames that play.

    Into a hold it rings on for a little, so that a strike is heard when the picture reaches
    impact and not when it goes on; what was heard then is left out afterwards.
    """
    playing = script.held == NOT_HELD
    edges = np.flatnonzero(np.diff(np.concatenate(([0], playing.astype(np.int64), [0]))))
    runs = [(int(first), int(stop)) for first, stop in edges.reshape(-1, 2)]
    next_starts = [*(first for first, _ in runs[1:]), len(script)]
    pieces, heard_ns = [], 0
    for (first, stop), next_start in zip(runs, next_starts, strict=True):
        hold_ns = round((next_start - stop) / script.rate_hz * NS_PER_S)
        ring_ns = min(STRIKE_NS, hold_ns)
        long_ns = round((stop - first) / script.rate_hz * NS_PER_S)
        pieces.append(
            _Piece(
                clip_s=first / script.rate_hz + Fraction(heard_ns, NS_PER_S),
                swing_ns=int(script.now_ns[first]) + heard_ns,
                long_ns=long_ns + ring_ns - heard_ns,
            )
        )
        heard_ns = ring_ns
    return [piece for piece in pieces if piece.long_ns > 0]


def _strike(script: ClipScript) -> list[_Piece]:
    at = _impact_frames(script)
    if not len(at):
        return []
    clip_s = int(at[0]) / script.rate_hz
    early_ns = min(STRIKE_NS, int(clip_s * NS_PER_S))
    start_s = clip_s - Fraction(early_ns, NS_PER_S)
    return [_Piece(clip_s=start_s, swing_ns=-early_ns, long_ns=early_ns + STRIKE_NS)]


def _impact_frames(script: ClipScript) -> IntArray:
    if Moment.IMPACT in script.moments:
        return np.flatnonzero(script.held == script.moments.index(Moment.IMPACT))
    return np.flatnonzero(script.now_ns >= 0) if script.now_ns[0] <= 0 else np.zeros(0, np.int64)


def _lay(samples: SoundArray, piece: _Piece, sound: Sound, swing_minus_sound_ns: int) -> None:
    start_ns = piece.swing_ns - swing_minus_sound_ns
    part = sound.between(start_ns, start_ns + piece.long_ns)
    late_s = Fraction(part.start_ns - start_ns, NS_PER_S)
    first = round((piece.clip_s + late_s) * sound.rate_hz)
    heard = part.samples[: max(len(samples) - first, 0)].copy()
    fade = min(round(_FADE_S * sound.rate_hz), len(heard) // 2)
    if fade:
        ramp = np.linspace(0.0, 1.0, fade, dtype=np.float32)
        heard[:fade] *= ramp
        heard[-fade:] *= ramp[::-1]
    samples[first : first + len(heard)] = heard
