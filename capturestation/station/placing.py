"""Put all recordings of a swing on its clock.

Owns the order of what is tried: by hand where a hand was given, by strike and ball, and where no
ball was struck by the bottom of the arc. What one view learns, the others are checked by.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from functools import partial

from capturestation.errors import TimingRefusedError
from capturestation.library import Library
from capturestation.records import SwingKind, Sync, SyncSource, View, Watch, Zero
from capturestation.station.delays import known_delay
from capturestation.station.pacing import Paced, paced
from capturestation.station.sources import Source
from capturestation.station.together import at_once
from capturestation.station.zero import Placed, place
from capturestation.swing.arc import place_at_arc
from capturestation.timing.air import Microphone
from capturestation.timing.delay import KnownDelay
from capturestation.timing.pair import agree, sound_lag
from capturestation.timing.sync import by_hand, played_slower

WITHOUT_BALL = frozenset({SwingKind.DRILL, SwingKind.REHEARSAL})
_LIKE = 0.5
# Two microphones that heard one strike are more alike than that.


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a person knows of how the recordings stand.

    Args:
        kind: Kind of swing; drills and rehearsals may be without a ball.
        microphones: Where each camera's microphone is.
        contacts_ns: Contact by hand, media clock, for the views where it is known.
        media_per_swing: How many times slower a view's file plays; where not named, its tags tell,
            then its own swing and sound.
        zero: What zero is to be; None lets kind and ball decide.
        unheard: No strike had it kept: it may be a miss, whatever its kind.
        around_ns: For the views where it is known, between which times the swing was, media clock.
    """

    kind: SwingKind
    microphones: Mapping[View, Microphone]
    contacts_ns: Mapping[View, int] = field(default_factory=dict)
    media_per_swing: Mapping[View, Fraction] = field(default_factory=dict)
    zero: Zero | None = None
    unheard: bool = False
    around_ns: Mapping[View, tuple[int, int]] = field(default_factory=dict)

    @property
    def may_miss(self) -> bool:
        """Whether there may be no ball that was struck."""
        return self.unheard or self.kind in WITHOUT_BALL

    def slower(self, source: Source) -> Fraction | None:
        """How many times slower a file plays: as a person says, else as its tags do."""
        tagged = source.facts.played_slower
        return self.media_per_swing.get(source.view, None if tagged == 1 else tagged)

    def paced(self, source: Source, watch: Watch) -> Paced:
        """A file's motion and how fast it plays, as it gives away itself where nobody tells."""
        at_full_speed = self.kind not in WITHOUT_BALL
        return paced(source, self.slower(source), watch, at_full_speed=at_full_speed)


def place_all(
    library: Library, sources: tuple[Source, ...], wish: Wish, when: datetime, watch: Watch
) -> tuple[tuple[Placed, ...], Zero]:
    """Place every recording, several at once.

    Args:
        library: Holds what the cameras' earlier swings say of their delays.
        sources: The recordings.
        wish: What a person knows.
        when: When the swing was struck.
        watch: Told how far it is.

    Returns:
        Each recording's place, in the order of the sources, and what zero is.

    Raises:
        NotReadableError: If a frame or a sound can't be decoded.
        CancelledError: If the watch stops it.
        TimingRefusedError: If a recording can't be placed; says the way out.
    """
    words = "finding the strike and the ball"
    if wish.zero is not Zero.ARC_BOTTOM:
        delays = {s.view: known_delay(library, s.recording(), when) for s in sources}
        pieces = [partial(_place_one, source, wish, delays[source.view]) for source in sources]
        try:
            placed = at_once(pieces, watch, words)
        except TimingRefusedError:
            if wish.zero is Zero.CONTACT or not wish.may_miss:
                raise
        else:
            by_hand_only = all(one.sync.source is SyncSource.HAND for one in placed)
            zero = wish.zero or (zero_by_hand(wish.kind) if by_hand_only else Zero.CONTACT)
            if by_hand_only or not wish.may_miss or any(map(_is_contact, placed)):
                return _checked(placed), zero
    pieces = [partial(_place_at_arc, source, wish) for source in sources]
    return at_once(pieces, watch, "finding the bottom of the arc"), Zero.ARC_BOTTOM


def zero_by_hand(kind: SwingKind) -> Zero:
    """What a hand means by contact: in a rehearsal there is no ball to meet."""
    return Zero.ARC_BOTTOM if kind is SwingKind.REHEARSAL else Zero.CONTACT


def hand_placed(source: Source, contact_ns: int, u_ns: int | None, slower: Fraction) -> Sync:
    """Place a recording where a person says that contact is.

    Raises:
        TimingRefusedError: If that lies outside the file.
    """
    first_ns, end_ns = int(source.index.times_ns[0]), source.end_ns
    if not first_ns <= contact_ns <= end_ns:
        raise TimingRefusedError(
            f"Contact at {contact_ns / 1e9:.3f} s lies outside {source.path.name}, which runs from "
            f"{first_ns / 1e9:.3f} s to {end_ns / 1e9:.3f} s.",
            try_next="Give the time of contact in seconds of that file.",
            subject=str(source.path),
        )
    own_u_ns = source.frame_ns // 2 if u_ns is None else u_ns
    sync = by_hand(source.view, round(contact_ns / slower), round(own_u_ns / slower))
    return sync if slower == 1 else played_slower(sync, slower)


def _place_one(source: Source, wish: Wish, known: KnownDelay | None, watch: Watch) -> Placed:
    pace, contact_ns = wish.paced(source, watch), wish.contacts_ns.get(source.view)
    if contact_ns is not None:
        return _by_hand(source, contact_ns, pace)
    return place(source, wish.microphones[source.view], pace, known_delay=known)


def _by_hand(source: Source, contact_ns: int, pace: Paced) -> Placed:
    sync = hand_placed(source, contact_ns, None, pace.media_per_swing)
    return Placed(sync=replace(sync, said=f"{sync.said} {pace.said}".strip()), motion=pace.motion)


def _place_at_arc(source: Source, wish: Wish, watch: Watch) -> Placed:
    pace, contact_ns = wish.paced(source, watch), wish.contacts_ns.get(source.view)
    if contact_ns is not None:
        return _by_hand(source, contact_ns, pace)
    motion = pace.motion
    if source.view in wish.around_ns:
        motion = motion.between(*wish.around_ns[source.view])
    real = motion.placed(replace(_UNPLACED, media_per_swing=pace.media_per_swing))
    return Placed(sync=pace.on(place_at_arc(source.view, real)), motion=pace.motion)


def _is_contact(placed: Placed) -> bool:
    """A neighbour's strike alone doesn't make a rehearsal a swing at a ball."""
    return placed.sync.last_with_ns is not None


def _checked(placed: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """Lay the second sound on the first, and say whether both ways agree on the strike."""
    heard = [one for one in placed if one.sound is not None and one.onset is not None]
    if len(heard) < 2:
        return placed
    a, b = heard[:2]
    assert a.sound is not None
    assert b.sound is not None
    assert a.onset is not None
    assert b.onset is not None
    if a.sound.rate_hz != b.sound.rate_hz:
        return placed
    at = (a.sound.start_ns, a.onset), (b.sound.start_ns, b.onset)
    lag = sound_lag(a.sound.samples, b.sound.samples, a.sound.rate_hz, *at)
    apart_ns = abs(b.onset.arrival_ns - a.onset.arrival_ns - lag.b_minus_a_ns)
    if agree(a.onset, b.onset, lag):
        words = f"Both sounds laid on each other agree within {apart_ns / 1e6:.1f} ms."
    elif lag.likeness >= _LIKE:
        words = f"Both sounds laid on each other differ by {apart_ns / 1e6:.1f} ms from that."
    else:
        words = "The two cameras' sounds are not alike: one may have heard another strike."
    said = f"{b.sync.said} {words}"
    return tuple(replace(p, sync=replace(p.sync, said=said)) if p is b else p for p in placed)


_UNPLACED = by_hand(View.FACE_ON, 0, 0)
