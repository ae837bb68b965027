"""Where a recording stands on the swing's clock: sound and picture weighed against each other.

Owns the rule of which of them decides, the errors that go with it, and the sentence that tells the
coach. Refuses to guess where the two contradict each other. `Sync.swing_minus_media_ns` turns a
frame's stamp into the time at which the ball's row of it was exposed: picture to picture is what a
coach sees, so a camera's constant delay between picture and sound is taken out where it is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import hypot, sqrt

from capturestation.errors import TimingRefusedError
from capturestation.records import ErrorPart, Sync, SyncSource, View
from capturestation.timing.air import Microphone
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay
from capturestation.timing.heard import HISTORY_U, MS, WIDEST_NS, Heard, Shutter, as_heard, choose
from capturestation.timing.launch import Launch
from capturestation.timing.strike import Onset


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """The ball leaving as the picture shows it."""

    bracket: BallBracket
    launch: Launch | None
    shutter: Shutter

    @property
    def at_ns(self) -> int:
        """Contact by the picture."""
        return self.bracket.middle_ns if self.launch is None else self.launch.contact_ns

    @property
    def parts(self) -> tuple[ErrorPart, ...]:
        """What is uncertain about it."""
        if self.launch is not None:
            return (ErrorPart(cause="the ball's flight", u_ns=self.launch.u_ns),)
        half_ns = (self.bracket.first_without_ns - self.bracket.last_with_ns) / 2
        return (
            ErrorPart(cause="between two frames", u_ns=round(half_ns / sqrt(3))),
            ErrorPart(cause="exposure", u_ns=self.shutter.exposure_u_ns),
        )


def place_zero(  # noqa: PLR0913 - all that is known of one recording
    *,
    view: View,
    onsets: Sequence[Onset],
    bracket: BallBracket | None,
    shutter: Shutter,
    microphone: Microphone,
    known_delay: KnownDelay | None = None,
    launch: Launch | None = None,
) -> Sync:
    """Put one recording on the swing's clock.

    The picture is what counts, the sound the finer clock. With the camera's own delay known, the
    sound decides where it lies between the last frame with the ball and the first without it. With
    no delay known, the ball's first flight decides where it was seen; else the sound between those
    two frames. Outside but not far, the device's sound is late or early and the picture decides.
    Further off, the sound doesn't belong to the picture.

    Args:
        view: Whose recording.
        onsets: Bursts of its sound, best first.
        bracket: The ball leaving its picture; None if that wasn't seen.
        shutter: How the camera takes pictures.
        microphone: Where the sound was taken.
        known_delay: This camera's own picture against sound, from earlier swings.
        launch: Contact by the ball's flight; None if that wasn't seen.

    Returns:
        The place, with `parts` that add up in quadrature to `u_ns`.

    Raises:
        TimingRefusedError: If sound and picture contradict each other or this camera's history, or
            if there is neither a strike nor a ball leaving.
    """
    heard = [as_heard(onset, shutter, microphone, known_delay, bracket) for onset in onsets]
    chosen = choose(heard, bracket, shutter, known_delay)
    if bracket is None:
        return _by_sound_alone(view, chosen, shutter, known_delay)
    seen = _Seen(bracket=bracket, launch=launch, shutter=shutter)
    if chosen is None:
        said = "No strike is heard; the ball leaving the picture decides."
        return _by_picture(view, seen, None, said)
    if chosen.inside(bracket):
        return _by_both(view, chosen, seen, known_delay)
    return _corrected(view, chosen, seen, known_delay)


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


def played_slower(sync: Sync, media_per_swing: Fraction) -> Sync:
    """The place of a file that plays slower, from the place that it has if played at full speed.

    Its sound is no clock: it was stretched, replaced or left away.

    Args:
        sync: Placed by picture or hand, with the file's stamps divided by `media_per_swing`.
        media_per_swing: Seconds of the file for one of the swing, 1 or more.
    """
    times = (sync.last_with_ns, sync.first_without_ns, sync.contact_seen_ns, sync.contact_seen_u_ns)
    last, first, seen, u = (None if t is None else round(t * media_per_swing) for t in times)
    slow = f"The file plays {float(media_per_swing):g} times slower; its sound is no clock"
    by_ball = sync.source is SyncSource.PICTURE and sync.last_with_ns is not None
    said = f"{slow}, and zero is the ball leaving." if by_ball else f"{slow}. {sync.said}"
    return replace(
        sync,
        said=said,
        sound_ns=None,
        picture_minus_sound_ns=None,
        last_with_ns=last,
        first_without_ns=first,
        contact_seen_ns=seen,
        contact_seen_u_ns=u,
        media_per_swing=media_per_swing,
    )


def _by_sound_alone(
    view: View, chosen: Heard | None, shutter: Shutter, known_delay: KnownDelay | None
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
    parts = chosen.parts
    if known_delay is None:
        parts = (*parts, ErrorPart(cause="exposure", u_ns=shutter.exposure_u_ns))
    return _sync(view, chosen.contact_ns, SyncSource.SOUND, parts, said, chosen, None, delay_ns)


def _by_both(view: View, chosen: Heard, seen: _Seen, known_delay: KnownDelay | None) -> Sync:
    said = "The strike is heard between the last frame with the ball and the first without it."
    if known_delay is not None:
        # A stamp is the middle of its exposure, and what exposure does to the brackets is in the
        # history's own error.
        delay_ns = known_delay.delay_ns
        if delay_ns:
            said = f"{said[:-1]}, with this camera's own delay of {_ms(delay_ns)}."
        at_ns = chosen.contact_ns
        return _sync(view, at_ns, SyncSource.SOUND, chosen.parts, said, chosen, seen, delay_ns)
    if seen.launch is not None:
        said = f"{said[:-1]}; the ball's flight says when."
        return _by_picture(view, seen, chosen, said)
    left = ErrorPart(cause="delay within the bracket", u_ns=_left(chosen, seen.bracket))
    exposure = ErrorPart(cause="exposure", u_ns=seen.shutter.exposure_u_ns)
    parts = (*chosen.parts, left, exposure)
    return _sync(view, chosen.contact_ns, SyncSource.SOUND, parts, said, chosen, seen, 0)


def _left(chosen: Heard, bracket: BallBracket) -> int:
    """Root mean square distance of contact, evenly likely in the bracket, from the sound's."""
    before = chosen.contact_ns - bracket.last_with_ns
    after = bracket.first_without_ns - chosen.contact_ns
    return round(sqrt((before**3 + after**3) / (3 * max(before + after, 1))))


def _corrected(view: View, chosen: Heard, seen: _Seen, known_delay: KnownDelay | None) -> Sync:
    apart_ns = seen.at_ns - chosen.contact_ns
    if known_delay is not None:
        _refuse_against_history(view, chosen, seen, known_delay)
    elif abs(apart_ns) > seen.shutter.widest_ns:
        raise TimingRefusedError(
            f"In the {view} recording the strike is heard at {_s(chosen.sound_ns)} but the ball "
            f"leaves at {_s(seen.at_ns)}, {_ms(abs(apart_ns))} apart.",
            try_next="The sound may not belong to this picture (slow motion, an edited file): say "
            "how much slower it plays, or place contact by hand.",
            subject=str(view),
        )
    moved_ns = seen.at_ns - chosen.sound_ns
    when = "after" if moved_ns > 0 else "before"
    said = (
        f"The ball leaves {_ms(abs(moved_ns))} {when} the strike is heard, as devices do; "
        "the picture decides."
    )
    return _by_picture(view, seen, chosen, said)


def _refuse_against_history(
    view: View, chosen: Heard, seen: _Seen, known_delay: KnownDelay
) -> None:
    early_ns = seen.bracket.last_with_ns - chosen.contact_ns
    late_ns = chosen.contact_ns - seen.bracket.first_without_ns
    if max(early_ns, late_ns) <= HISTORY_U * _together(chosen.parts):
        return
    raise TimingRefusedError(
        f"In the {view} recording picture and sound are {_ms(seen.at_ns - chosen.sound_ns)} "
        f"apart, but {_ms(known_delay.delay_ns)} in this camera's {known_delay.strikes} earlier "
        "swings.",
        try_next="If the camera or its settings changed, give it a new name; or place contact by "
        "hand.",
        subject=str(view),
    )


def _by_picture(view: View, seen: _Seen, chosen: Heard | None, said: str) -> Sync:
    moved_ns = None if chosen is None else seen.at_ns - chosen.sound_ns
    return _sync(view, seen.at_ns, SyncSource.PICTURE, seen.parts, said, chosen, seen, moved_ns)


def _sync(  # noqa: PLR0913 - one place that fills the record
    view: View,
    contact_ns: int,
    source: SyncSource,
    parts: tuple[ErrorPart, ...],
    said: str,
    chosen: Heard | None,
    seen: _Seen | None,
    moved_ns: int | None,
) -> Sync:
    launch = None if seen is None else seen.launch
    return Sync(
        view=view,
        swing_minus_media_ns=-contact_ns,
        u_ns=_together(parts),
        source=source,
        parts=parts,
        said=said,
        sound_ns=None if chosen is None else chosen.sound_ns,
        last_with_ns=None if seen is None else seen.bracket.last_with_ns,
        first_without_ns=None if seen is None else seen.bracket.first_without_ns,
        picture_minus_sound_ns=moved_ns,
        contact_seen_ns=None if launch is None else launch.contact_ns,
        contact_seen_u_ns=None if launch is None else launch.u_ns,
    )


def _together(parts: Sequence[ErrorPart]) -> int:
    return round(hypot(*(part.u_ns for part in parts)))


def _ms(ns: int) -> str:
    return f"{ns / MS:.0f} ms" if abs(ns) >= 10 * MS else f"{ns / MS:.1f} ms"


def _s(ns: int) -> str:
    return f"{ns / (1000 * MS):.3f} s"
