"""The strike as a recording's own sound tells it, and which of several bursts it is.

Owns what turns an arrival at the microphone into contact in stamps of the ball's row: the way
through the air, the camera's own delay, the row; each with its error. `timing.sync` weighs it
against the picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt

from capturestation.records import ErrorPart
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay
from capturestation.timing.strike import Onset

MS = 1_000_000
WIDEST_NS = 60 * MS
WIDEST_FRAMES = 3
HISTORY_U = 3.0
UNKNOWN_DELAY_U_NS = round(60 * MS / sqrt(3))
# Phones and webcams stay 10-60 ms apart, either way: evenly spread over +-60 ms.
UNKNOWN_READOUT_NS = 16 * MS
# Published read-outs are 14-32 ms; the shorter kind films at 60 Hz and more, as stations do.
USUAL_EXPOSURE_NS = 2 * MS
# 1/500 s, the longest that still shows a body without blur.
_MOVED_M = 0.1
# A camera that stays on its tripod through a lesson is not carried farther than that.
_FAINT_SCORE = 5.0
# Bursts under about 5 dB come out of the room's own noise every second.
_FAINTEST_SCORE = 2.0
# In the few milliseconds in which the strike must be, they don't.
_HALF_AS_GOOD = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Shutter:
    """How a camera takes its pictures.

    Args:
        frame_ns: From one frame to the next.
        exposure_ns: How long a row is lit; None where unknown.
        readout_ns: From the top row to the bottom one; 0 for a global shutter, None where unknown.
        ball_row_share: Where the ball lies, 0 for the top row and 1 for the bottom one.
    """

    frame_ns: int
    exposure_ns: int | None = None
    readout_ns: int | None = None
    ball_row_share: float = 0.8

    @property
    def exposure_u_ns(self) -> int:
        """A ball gone for part of the exposure may be called there or gone."""
        known = USUAL_EXPOSURE_NS if self.exposure_ns is None else self.exposure_ns
        return round(min(known, self.frame_ns) / sqrt(12))

    @property
    def ball_row_ns(self) -> int:
        """How long after the stamp's row the ball's row is read, 0 where unknown."""
        return round((self.readout_ns or 0) * self.ball_row_share)

    @property
    def readout_u_ns(self) -> int:
        """What the read-out leaves uncertain where no picture of the ball settles it."""
        if self.readout_ns is None:
            return round(UNKNOWN_READOUT_NS / sqrt(12))
        return round(0.2 * self.ball_row_ns)

    @property
    def widest_ns(self) -> int:
        """How far sound and picture of one device are ever apart."""
        return max(WIDEST_FRAMES * self.frame_ns, WIDEST_NS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A burst as first contact in stamps of the ball's row, and what makes it uncertain.

    Args:
        onset: The burst.
        sound_ns: First contact on the sound's own clock.
        contact_ns: First contact in stamps of the ball's row.
        parts: What is uncertain about `contact_ns`.
    """

    onset: Onset
    sound_ns: int
    contact_ns: int
    parts: tuple[ErrorPart, ...]

    def inside(self, bracket: BallBracket, slack_ns: int = 0) -> bool:
        """Whether contact lies between the last frame with the ball and the first without it."""
        early, late = bracket.last_with_ns - slack_ns, bracket.first_without_ns + slack_ns
        return early <= self.contact_ns <= late


def listen_window(
    bracket: BallBracket,
    shutter: Shutter,
    microphone: Microphone,
    known_delay: KnownDelay | None = None,
) -> tuple[int, int]:
    """When the strike may arrive at the microphone if the ball left so: from, and before.

    Args:
        bracket: The ball leaving its picture.
        shutter: How the camera takes pictures.
        microphone: Where the sound was taken.
        known_delay: This camera's own picture against sound; without it a device may be off by as
            much as is ever accepted.
    """
    if known_delay is None:
        shift_ns, slack_ns = -shutter.ball_row_ns, shutter.widest_ns
    else:
        shift_ns = known_delay.delay_ns
        slack_ns = round(HISTORY_U * hypot(known_delay.u_ns, shutter.exposure_u_ns))
    shift_ns -= microphone.travel_ns
    return (
        bracket.last_with_ns - shift_ns - slack_ns,
        bracket.first_without_ns - shift_ns + slack_ns,
    )


def as_heard(
    onset: Onset,
    shutter: Shutter,
    microphone: Microphone,
    known_delay: KnownDelay | None,
    bracket: BallBracket | None,
) -> Heard:
    """What a burst says of contact, if it is the strike."""
    sound_ns = onset.arrival_ns - microphone.travel_ns
    parts: tuple[ErrorPart, ...]
    strike = ErrorPart(cause="strike in the sound", u_ns=onset.u_ns)
    if known_delay is not None:
        # The history was measured on this camera's own pictures of a ball with its own microphone:
        # it holds the row and the distance, but for what was moved since.
        u_m = min(microphone.u_distance_m, _MOVED_M)
        parts = (
            strike,
            *replace(microphone, u_distance_m=u_m).error_parts,
            ErrorPart(cause="the camera's own delay", u_ns=known_delay.u_ns),
        )
        contact_ns = sound_ns + known_delay.delay_ns
    else:
        parts = (strike, *microphone.error_parts)
        contact_ns = sound_ns - shutter.ball_row_ns
        if bracket is None:
            parts = (
                *parts,
                ErrorPart(cause="a delay never measured", u_ns=UNKNOWN_DELAY_U_NS),
                ErrorPart(cause="read-out", u_ns=shutter.readout_u_ns),
            )
    return Heard(onset=onset, sound_ns=sound_ns, contact_ns=contact_ns, parts=parts)


def choose(
    heard: Sequence[Heard],
    bracket: BallBracket | None,
    shutter: Shutter,
    known_delay: KnownDelay | None,
) -> Heard | None:
    """The burst that fits the picture, else the best that is near, else the best."""
    loud = [one for one in heard if one.onset.score >= _FAINT_SCORE]
    if bracket is None:
        return loud[0] if loud else None
    if known_delay is not None:
        slack_ns = round(HISTORY_U * known_delay.u_ns)
        fit = [one for one in heard if one.inside(bracket, slack_ns)]
        best = max(fit, key=lambda one: one.onset.score, default=None)
        if best is not None and best.onset.score >= _FAINTEST_SCORE:
            return best
    enough = _HALF_AS_GOOD * loud[0].onset.score if loud else 0.0
    for one in heard:
        if one.inside(bracket) and one.onset.after_ns is None and one.onset.score >= enough:
            return one
    near = [one for one in loud if abs(bracket.middle_ns - one.contact_ns) <= shutter.widest_ns]
    return next(iter(near), loud[0] if loud else None)
