"""What a coach does with one swing: mark its moments, star it, write down what the ball did."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from capturestation.compare.pairing import refuse_unless_comparable
from capturestation.compare.warp import Curve, carry_marks
from capturestation.errors import BadInputError, MarkRefusedError, NotFoundError, RefusedError
from capturestation.library import Library
from capturestation.media.index import index_frames
from capturestation.records import (
    NS_PER_S,
    BallResult,
    Mark,
    MarkSource,
    MediaTime,
    Moment,
    Part,
    Swing,
    SwingBook,
    SwingKind,
    SyncSource,
    View,
    Watch,
    Zero,
    hand_mark,
    no_such_moment,
)
from capturestation.station import intake
from capturestation.station.people import refuse_control
from capturestation.station.placing import zero_by_hand
from capturestation.swing.marks import effective_marks, with_mark, without_mark

SLOWEST_RATE_HZ = Fraction(30)


def effective(book: SwingBook) -> tuple[Mark, ...]:
    """The marks that count, in the order of the moments."""
    found = effective_marks(book.marks)
    return tuple(found[moment] for moment in Moment if moment in found)


def mark_by_hand(
    library: Library, swing: Swing, moment: Moment, *, at_ns: int, u_ns: int | None = None
) -> Swing:
    """Mark a moment by hand; half a frame is the error that marking gives unless told.

    Raises:
        MarkRefusedError: If it would stand before an earlier moment or after a later one, or is
            impact, which is zero; nothing was changed.
    """
    if moment is Moment.IMPACT:
        raise MarkRefusedError(
            "Impact is the zero of the clock and can't be marked elsewhere.",
            try_next="Place a view on the clock by hand instead.",
            subject=str(moment),
        )
    _refuse_unrecorded(swing, moment, at_ns)
    if u_ns is None:
        rates = [r.rate_hz for r in swing.facts.recordings if r.rate_hz is not None]
        u_ns = round(NS_PER_S / max(rates, default=SLOWEST_RATE_HZ) / 2)
    if u_ns < 0:
        raise BadInputError("An error can't be below zero.", try_next="Give it in seconds.")
    return _with_hand(library, swing, hand_mark(moment, at_ns, u_ns=u_ns))


def frame_time(library: Library, swing: Swing, view: View, number: int) -> int:
    """When a frame of a recording was, swing clock.

    Args:
        library: The library.
        swing: The swing.
        view: Which of its recordings.
        number: The frame as a player counts them: 1 is the first that is shown.

    Raises:
        NotFoundError: If the swing has no such view, or the view no such frame.
        RefusedError: If the view has no place on the clock yet.
    """
    frames = index_frames(library.media_path(swing, view))
    if not 1 <= number <= len(frames):
        raise NotFoundError(
            f"The {view} recording of swing {swing.id} has no frame {number}.",
            try_next=f"Its frames are 1 to {len(frames)}.",
            subject=swing.id,
        )
    sync = swing.sync(view)
    if sync is None:
        raise RefusedError(
            f"The {view} recording of swing {swing.id} has no place on the clock yet.",
            try_next="Place it by hand first.",
            subject=swing.id,
        )
    return sync.to_swing(int(frames.times_ns[number - 1]))


def _refuse_unrecorded(swing: Swing, moment: Moment, at_ns: int) -> None:
    spans = recorded_spans(swing)
    if not spans or any(first <= at_ns <= last for first, last in spans):
        return
    told = " and ".join(
        f"{first / NS_PER_S:+.2f} to {last / NS_PER_S:+.2f} s" for first, last in spans
    )
    raise MarkRefusedError(
        f"{moment} at {at_ns / NS_PER_S:+.3f} s from impact lies in no recording of this swing.",
        try_next=f"The recordings run from {told}.",
        subject=str(moment),
    )


def recorded_spans(swing: Swing) -> tuple[tuple[int, int], ...]:
    """First and last time of each recording that is placed, swing clock, in order of the views."""
    spans = []
    for recording in swing.facts.recordings:
        sync = swing.sync(recording.view)
        if sync is not None:
            start = MediaTime(pts=recording.first_pts, time_base=recording.time_base)
            stop_ns = start.ns + recording.duration_ns
            spans.append((sync.to_swing(start.ns), sync.to_swing(stop_ns)))
    return tuple(spans)


def mark_absent(library: Library, swing: Swing, moment: Moment) -> Swing:
    """Say that a moment does not occur in this swing."""
    if moment is Moment.IMPACT:
        raise MarkRefusedError(
            "Impact is the zero of the clock; a swing without a ball has it at the bottom of the "
            "arc.",
            try_next="Change the swing's kind to rehearsal instead.",
            subject=str(moment),
        )
    return _with_hand(library, swing, no_such_moment(moment))


def clear_mark(library: Library, swing: Swing, moment: Moment) -> Swing:
    """Take a hand's mark away; a found one counts again."""
    return _change_marks(library, swing, lambda marks: without_mark(marks, moment))


def _with_hand(library: Library, swing: Swing, mark: Mark) -> Swing:
    return _change_marks(library, swing, lambda marks: with_mark(marks, mark))


def _change_marks(
    library: Library, swing: Swing, change: Callable[[tuple[Mark, ...]], tuple[Mark, ...]]
) -> Swing:
    """Change the marks as they stand now: another window may have set one since."""

    def changed(book: SwingBook) -> SwingBook:
        marks = change(book.marks)
        return book if marks == book.marks else intake.with_tempo(replace(book, marks=marks))

    return library.change_book(swing.id, changed)


def find_again(library: Library, swing: Swing, watch: Watch) -> Swing:
    """Find the moments again from the files; marks by hand stay."""
    return intake.find_again(library, swing, watch)


def carry_over(library: Library, swing: Swing, other: Swing, watch: Watch) -> Swing:
    """Propose here the moments that were marked by hand in another swing of the student.

    Raises:
        ComparisonRefusedError: If the two are unlike.
        RefusedError: If they share no view, or the other has no mark by hand.
    """
    refuse_unless_comparable(swing, other)
    by_hands = {m.moment: m for m in other.book.marks if m.source is MarkSource.HAND and m.occurs}
    now = intake.motion_tracks(library, swing, Part(watch, 0.0, 0.5))
    then = intake.motion_tracks(library, other, Part(watch, 0.5, 1.0))
    shared = [view for view in now if view in then]
    if not by_hands or not shared:
        raise RefusedError(
            f"Swing {other.id} has no mark by hand in a view that swing {swing.id} has too.",
            try_next="Mark its moments once, then carry them over.",
            subject=other.id,
        )
    view = shared[0]
    carried = carry_marks(
        Curve(times_ns=now[view].times_ns, energy=now[view].energy),
        Curve(times_ns=then[view].times_ns, energy=then[view].energy),
        by_hands,
        _anchors(swing, other),
    )

    def with_carried(marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
        taken = {mark.moment for mark in marks}
        return (*marks, *(mark for mark in carried if mark.moment not in taken))

    return _change_marks(library, swing, with_carried)


def _anchors(swing: Swing, other: Swing) -> list[tuple[int, int]]:
    """Times that both swings know already, kept only where they rise on both sides."""
    now, then = effective_marks(swing.book.marks), effective_marks(other.book.marks)
    pairs: list[tuple[int, int]] = []
    for moment in Moment:
        a = 0 if moment is Moment.IMPACT else now[moment].at_ns if moment in now else None
        b = 0 if moment is Moment.IMPACT else then[moment].at_ns if moment in then else None
        if a is None or b is None:
            continue
        if not pairs or (a > pairs[-1][0] and b > pairs[-1][1]):
            pairs.append((a, b))
    return pairs if (0, 0) in pairs else []


def set_star(library: Library, swing: Swing, *, starred: bool) -> Swing:
    """Star a swing as a best, or take the star away."""
    return library.change_book(swing.id, lambda book: replace(book, starred=starred))


def zero_as_kind(book: SwingBook, kind: SwingKind) -> Zero:
    """A kind says what a hand meant by contact; what was found stays what it is."""
    by_hand = all(sync.source is SyncSource.HAND for sync in book.syncs)
    return zero_by_hand(kind) if by_hand else book.zero


def change_swing(
    library: Library,
    swing: Swing,
    *,
    club: str | None,
    kind: SwingKind | None,
    notes: str | None,
    ball: BallResult,
) -> Swing:
    """Change what is given; what is None stays."""
    if club is not None and not club.strip():
        raise BadInputError("A swing needs a club.", try_next="Name it, such as 7 iron.")
    refuse_control(club or "")

    def changed(old: SwingBook) -> SwingBook:
        return replace(
            old,
            club=old.club if club is None else club.strip(),
            kind=old.kind if kind is None else kind,
            zero=old.zero if kind is None else zero_as_kind(old, kind),
            notes=old.notes if notes is None else notes,
            ball=ball,
        )

    return library.change_book(swing.id, changed)
