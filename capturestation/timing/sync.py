"""Where a recording stands on the swing's clock: sound and picture weighed against each other.

Owns the rule of which of them decides, the errors that go with it, and the sentence that tells the
coach. Refuses to guess where the two contradict each other. `Sync.swing_minus_media_ns` turns a
frame's stamp into the time at which the ball's row of it was exposed: picture to picture is what a
coach sees, so a camera's constant delay between picture and sound is taken out where it is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from capturestation.errors import TimingRefusedError
from capturestation.records import ErrorPart, Sync, SyncSource, View
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
_FAINT_SCORE = 5.0
# Bursts under about 5 dB come out of the room's own noise every second.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heard:
    """A burst as first contact in stamps of the ball's row, and what makes it uncertain."""

    onset: Onset
    sound_ns: int
    contact_ns: int
    parts: tuple[ErrorPart, ...]


def place_zero(
    *,
    view: View,
    onsets: Sequence[Onset],
    bracket: BallBracket | None,
    shutter: Shutter,
    microphone: Microphone,
    known_delay: KnownDelay | None = None,
) -> Sync:
    """Put one recording on the swing's clock.

    The sound is the finer clock, the picture the one that counts. If first contact by the sound
    lies between the last frame with the ball and the first without it, the sound decides. If it
    lies outside but not far, the device's sound is late or early and the picture decides. Further
    off, the sound doesn't belong to the picture.

    Args:
        view: Whose recording.
        onsets: Bursts of its sound, best first.
        bracket: The ball leaving its picture; None if that wasn't seen.
        shutter: How the camera takes pictures.
        microphone: Where the sound was taken.
        known_delay: This camera's own picture against sound, from earlier swings.

    Returns:
        The place, with `parts` that add up in quadrature to `u_ns`.

    Raises:
        TimingRefusedError: If sound and picture contradict each other or this camera's history, or
            if there is neither a strike nor a ball leaving.
    """
    heard = [_heard(onset, shutter, microphone, known_delay, bracket) for onset in onsets]
    chosen = _choose(heard, bracket, shutter)
    if bracket is None:
        return _by_sound_alone(view, chosen, shutter, known_delay)
    if chosen is None:
        said = "No strike is heard; the ball leaving the picture decides."
        return _by_picture(view, bracket, shutter, None, said)
    if bracket.last_with_ns <= chosen.contact_ns <= bracket.first_without_ns:
        return _by_both(view, chosen, bracket, shutter, known_delay)
    return _corrected(view, chosen, bracket, shutter, known_delay)


def by_hand(view: View, contact_media_ns: int, u_ns: int) -> Sync:
    """Put a recording on the swing's clock where a person says that contact is.

    Args:
        view: Whose recording.
        contact_media_ns: First contact on the recording's own clock.
        u_ns: Standard uncertainty of it.
    """
    return Sync(
        view=view,
        swing_minus_media_ns=-contact_media_ns,
        u_ns=u_ns,
        source=SyncSource.HAND,
        parts=(ErrorPart(cause="placed by hand", u_ns=u_ns),),
        said="Contact was placed by hand.",
    )


def _heard(
    onset: Onset,
    shutter: Shutter,
    microphone: Microphone,
    known_delay: KnownDelay | None,
    bracket: BallBracket | None,
) -> _Heard:
    sound_ns = onset.arrival_ns - microphone.travel_ns
    parts = [ErrorPart(cause="strike in the sound", u_ns=onset.u_ns), *microphone.error_parts]
    if known_delay is not None:
        # The history was measured on this camera's pictures of a ball, so it holds the row as well.
        contact_ns = sound_ns + known_delay.delay_ns
        parts.append(ErrorPart(cause="the camera's own delay", u_ns=known_delay.u_ns))
    elif bracket is None:
        contact_ns = sound_ns - shutter.ball_row_ns
        parts.append(ErrorPart(cause="a delay never measured", u_ns=UNKNOWN_DELAY_U_NS))
        parts.append(ErrorPart(cause="read-out", u_ns=shutter.readout_u_ns))
    else:
        contact_ns = sound_ns - shutter.ball_row_ns
    return _Heard(onset=onset, sound_ns=sound_ns, contact_ns=contact_ns, parts=tuple(parts))


def _choose(
    heard: Sequence[_Heard], bracket: BallBracket | None, shutter: Shutter
) -> _Heard | None:
    """The burst that fits the picture, else the best that is near, else the best."""
    loud = [one for one in heard if one.onset.score >= _FAINT_SCORE]
    if bracket is None:
        return loud[0] if loud else None
    enough = _HALF_AS_GOOD * loud[0].onset.score if loud else 0.0
    for one in heard:
        inside = bracket.last_with_ns <= one.contact_ns <= bracket.first_without_ns
        if inside and one.onset.after_ns is None and one.onset.score >= enough:
            return one
    near = [one for one in loud if abs(bracket.middle_ns - one.contact_ns) <= _limit(shutter)]
    return next(iter(near), loud[0] if loud else None)


def _limit(shutter: Shutter) -> int:
    return max(WIDEST_FRAMES * shutter.frame_ns, WIDEST_NS)


def _by_sound_alone(
    view: View, chosen: _Heard | None, shutter: Shutter, known_delay: KnownDelay | None
) -> Sync:
    if chosen is None:
        raise TimingRefusedError(
            f"No strike is heard in the {view} recording and no ball is seen leaving it.",
            try_next="Place contact by hand; of a rehearsal without a ball, the bottom of the arc.",
            subject=str(view),
        )
    if known_delay is not None:
        said = (
            "The ball isn't seen leaving; the sound decides, with this camera's own delay of "
            f"{_ms(known_delay.delay_ns)} from {known_delay.strikes} earlier swings."
        )
    else:
        said = (
            "The ball isn't seen leaving; the sound alone decides, and this camera's delay "
            f"between picture and sound was never measured (give or take {_ms(WIDEST_NS)})."
        )
    delay_ns = known_delay.delay_ns if known_delay is not None else None
    parts = (*chosen.parts, ErrorPart(cause="exposure", u_ns=shutter.exposure_u_ns))
    return _sync(view, chosen.contact_ns, SyncSource.SOUND, parts, said, chosen, None, delay_ns)


def _by_both(
    view: View,
    chosen: _Heard,
    bracket: BallBracket,
    shutter: Shutter,
    known_delay: KnownDelay | None,
) -> Sync:
    parts = chosen.parts
    moved_ns = 0
    if known_delay is None:
        parts = (*parts, ErrorPart(cause="delay within the bracket", u_ns=_left(chosen, bracket)))
    else:
        moved_ns = known_delay.delay_ns
    parts = (*parts, ErrorPart(cause="exposure", u_ns=shutter.exposure_u_ns))
    said = "The strike is heard between the last frame with the ball and the first without it."
    if moved_ns:
        said = f"{said[:-1]}, with this camera's own delay of {_ms(moved_ns)}."
    return _sync(view, chosen.contact_ns, SyncSource.SOUND, parts, said, chosen, bracket, moved_ns)


def _left(chosen: _Heard, bracket: BallBracket) -> int:
    """Root mean square distance of contact, evenly likely in the bracket, from the sound's."""
    before = chosen.contact_ns - bracket.last_with_ns
    after = bracket.first_without_ns - chosen.contact_ns
    return round(sqrt((before**3 + after**3) / (3 * max(before + after, 1))))


def _corrected(
    view: View,
    chosen: _Heard,
    bracket: BallBracket,
    shutter: Shutter,
    known_delay: KnownDelay | None,
) -> Sync:
    apart_ns = bracket.middle_ns - chosen.contact_ns
    if known_delay is not None:
        _refuse_against_history(view, chosen, bracket, known_delay)
    elif abs(apart_ns) > _limit(shutter):
        raise TimingRefusedError(
            f"In the {view} recording the strike is heard at {_s(chosen.sound_ns)} but the ball "
            f"leaves at {_s(bracket.middle_ns)}, {_ms(abs(apart_ns))} apart.",
            try_next="The sound may not belong to this picture; place contact by hand.",
            subject=str(view),
        )
    moved_ns = bracket.middle_ns - chosen.sound_ns
    when = "after" if moved_ns > 0 else "before"
    said = (
        f"The ball leaves {_ms(abs(moved_ns))} {when} the strike is heard, as devices do; "
        "the picture decides."
    )
    return _by_picture(view, bracket, shutter, chosen, said)


def _refuse_against_history(
    view: View, chosen: _Heard, bracket: BallBracket, known_delay: KnownDelay
) -> None:
    beyond_ns = max(
        bracket.last_with_ns - chosen.contact_ns, chosen.contact_ns - bracket.first_without_ns
    )
    u_ns = _together(chosen.parts)
    if beyond_ns <= HISTORY_U * u_ns:
        return
    raise TimingRefusedError(
        f"In the {view} recording picture and sound are {_ms(bracket.middle_ns - chosen.sound_ns)} "
        f"apart, but {_ms(known_delay.delay_ns)} in this camera's {known_delay.strikes} earlier "
        "swings.",
        try_next="If the camera or its settings changed, forget its delay; or place by hand.",
        subject=str(view),
    )


def _by_picture(
    view: View, bracket: BallBracket, shutter: Shutter, chosen: _Heard | None, said: str
) -> Sync:
    half_ns = (bracket.first_without_ns - bracket.last_with_ns) / 2
    parts = (
        ErrorPart(cause="between two frames", u_ns=round(half_ns / sqrt(3))),
        ErrorPart(cause="exposure", u_ns=shutter.exposure_u_ns),
    )
    moved_ns = None if chosen is None else bracket.middle_ns - chosen.sound_ns
    at_ns = bracket.middle_ns
    return _sync(view, at_ns, SyncSource.PICTURE, parts, said, chosen, bracket, moved_ns)


def _sync(  # noqa: PLR0913 - one place that fills the record
    view: View,
    contact_ns: int,
    source: SyncSource,
    parts: tuple[ErrorPart, ...],
    said: str,
    chosen: _Heard | None,
    bracket: BallBracket | None,
    moved_ns: int | None,
) -> Sync:
    return Sync(
        view=view,
        swing_minus_media_ns=-contact_ns,
        u_ns=_together(parts),
        source=source,
        parts=parts,
        said=said,
        sound_ns=None if chosen is None else chosen.sound_ns,
        last_with_ns=None if bracket is None else bracket.last_with_ns,
        first_without_ns=None if bracket is None else bracket.first_without_ns,
        picture_minus_sound_ns=moved_ns,
    )


def _together(parts: Sequence[ErrorPart]) -> int:
    return round(hypot(*(part.u_ns for part in parts)))


def _ms(ns: int) -> str:
    return f"{ns / MS:.0f} ms" if abs(ns) >= 10 * MS else f"{ns / MS:.1f} ms"


def _s(ns: int) -> str:
    return f"{ns / (1000 * MS):.3f} s"
