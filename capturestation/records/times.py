"""Time as data: media stamps, the moments of a swing, marks on them, and where zero is.

The swing's own clock counts integer nanoseconds; zero is the first contact of club and ball.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from capturestation.records.arrays import IntArray
from capturestation.records.views import View

NS_PER_S = 1_000_000_000
Times = TypeVar("Times", int, IntArray)
"""One time, or an array of times, in whole nanoseconds."""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class MediaTime:
    """A stamp of a media file, as the file counts.

    Example:
        >>> MediaTime(pts=3, time_base=Fraction(1, 120)).ns
        25000000
    """

    pts: int
    time_base: Fraction

    @property
    def ns(self) -> int:
        """Nanoseconds from the file's own zero, rounded half to even."""
        return round(self.pts * self.time_base * NS_PER_S)


class Moment(StrEnum):
    """The moments of a swing in the order they happen, in trade words."""

    SET = "set"
    CLUB_STARTS = "club starts"
    TAKEAWAY = "takeaway"
    LEAD_ARM_LEVEL_BACK = "lead arm level, back"
    TOP = "top"
    LEAD_ARM_LEVEL_DOWN = "lead arm level, down"
    SHAFT_LEVEL_DOWN = "shaft level, down"
    IMPACT = "impact"
    SHAFT_LEVEL_THROUGH = "shaft level, through"
    TRAIL_ARM_LEVEL_THROUGH = "trail arm level, through"
    FINISH = "finish"

    @property
    def place(self) -> int:
        """0 for the first moment of a swing, 10 for the last."""
        return list(Moment).index(self)


class MarkSource(StrEnum):
    """Who says so; a hand's mark always wins."""

    HAND = "hand"
    FOUND = "found"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """When a moment happens on the swing's clock, or that it does not occur.

    A moment without any mark was not found; that is not the same as "does not occur".

    Args:
        moment: Which moment.
        occurs: False says that this swing has no such moment (a pitch may never reach level).
        at_ns: Best single time, swing clock; None when it does not occur.
        early_ns: Start of the interval that holds the moment; None when it does not occur.
        late_ns: End of that interval.
        confidence: 0..1, that the moment lies in the interval.
        source: Hand or found.
        method: Name and version of what found it, or an empty string for a hand.
    """

    moment: Moment
    occurs: bool = True
    at_ns: int | None
    early_ns: int | None
    late_ns: int | None
    confidence: float
    source: MarkSource
    method: str = ""

    def __post_init__(self) -> None:
        times = (self.early_ns, self.at_ns, self.late_ns)
        if not self.occurs:
            if times != (None, None, None):
                msg = f"{self.moment}: a moment that does not occur has no time, got {times}"
                raise ValueError(msg)
            return
        if self.early_ns is None or self.at_ns is None or self.late_ns is None:
            msg = f"{self.moment}: a moment that occurs needs three times, got {times}"
            raise ValueError(msg)
        if not self.early_ns <= self.at_ns <= self.late_ns:
            msg = f"{self.moment}: early <= at <= late is broken by {times}"
            raise ValueError(msg)
        if not 0.0 <= self.confidence <= 1.0:
            msg = f"{self.moment}: confidence {self.confidence} is outside 0..1"
            raise ValueError(msg)


def hand_mark(moment: Moment, at_ns: int, *, u_ns: int = 0) -> Mark:
    """A mark set by hand, known to one frame either way (`u_ns`)."""
    return Mark(
        moment=moment,
        at_ns=at_ns,
        early_ns=at_ns - u_ns,
        late_ns=at_ns + u_ns,
        confidence=1.0,
        source=MarkSource.HAND,
    )


def no_such_moment(moment: Moment, *, source: MarkSource = MarkSource.HAND) -> Mark:
    """Say that this swing has no such moment."""
    return Mark(
        moment=moment,
        occurs=False,
        at_ns=None,
        early_ns=None,
        late_ns=None,
        confidence=1.0,
        source=source,
    )


class Zero(StrEnum):
    """What the swing's zero is."""

    CONTACT = "contact"
    ARC_BOTTOM = "bottom of the arc"


class SyncSource(StrEnum):
    """What placed a recording on the swing's clock."""

    SOUND = "sound"
    PICTURE = "picture"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorPart:
    """One named cause of an error and its standard uncertainty in nanoseconds."""

    cause: str
    u_ns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sync:
    """Where one recording stands on the swing's clock.

    Only `to_swing` and `to_media` turn one clock into the other.

    Args:
        view: Whose recording.
        swing_minus_media_ns: Add it to a media time, divided by `media_per_swing`, to get the
            swing's time.
        u_ns: Standard uncertainty of that sum, all parts together.
        source: What decided it.
        parts: The named parts of `u_ns`, in quadrature.
        said: The reason in one plain sentence for the coach.
        sound_ns: Strike by this recording's sound, distance taken off, media clock; None if unused.
        last_with_ns: Last frame with the ball, middle of its exposure, media clock.
        first_without_ns: First frame without the ball.
        picture_minus_sound_ns: What the picture's correction moved; 0 where they agree.
        contact_seen_ns: Contact by the ball's flight in the picture, media clock; None if unseen.
        contact_seen_u_ns: Standard uncertainty of it.
        media_per_swing: How many seconds the file plays for one of the swing; 1 unless the file
            was slowed down for good. Its sound is then no clock.
    """

    view: View
    swing_minus_media_ns: int
    u_ns: int
    source: SyncSource
    parts: tuple[ErrorPart, ...] = ()
    said: str = ""
    sound_ns: int | None = None
    last_with_ns: int | None = None
    first_without_ns: int | None = None
    picture_minus_sound_ns: int | None = None
    contact_seen_ns: int | None = None
    contact_seen_u_ns: int | None = None
    media_per_swing: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        if self.media_per_swing <= 0:
            msg = f"a file plays at a rate above 0, got {self.media_per_swing}"
            raise ValueError(msg)

    def to_swing(self, media_ns: Times) -> Times:
        """The swing's time of a media time.

        Example:
            >>> slow = Sync(
            ...     view=View.FACE_ON,
            ...     swing_minus_media_ns=-5,
            ...     u_ns=1,
            ...     source=SyncSource.HAND,
            ...     media_per_swing=Fraction(8),
            ... )
            >>> slow.to_swing(48), slow.to_media(1)
            (1, 48)
        """
        rate = self.media_per_swing
        slowed = (2 * media_ns * rate.denominator + rate.numerator) // (2 * rate.numerator)
        return slowed + self.swing_minus_media_ns

    def to_media(self, swing_ns: Times) -> Times:
        """The media time of a swing's time; the way back is exact to half a nanosecond."""
        rate = self.media_per_swing
        scaled = 2 * (swing_ns - self.swing_minus_media_ns) * rate.numerator + rate.denominator
        return scaled // (2 * rate.denominator)

    @property
    def contact_media_ns(self) -> int:
        """The swing's zero on the recording's own clock."""
        return self.to_media(0)
