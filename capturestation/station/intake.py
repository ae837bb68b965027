"""Take files in as a swing: read, place on the clock, find the moments, keep.

Owns the order of these steps. A failure or a stop leaves neither a folder nor a row.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from pathlib import Path

from capturestation import __version__
from capturestation.errors import (
    BadInputError,
    NotFoundError,
    StationError,
)
from capturestation.library import Library
from capturestation.records import (
    BallResult,
    Lesson,
    MarkSource,
    Part,
    Student,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    Sync,
    View,
    Watch,
    Zero,
    new_id,
)
from capturestation.station.motion import motion_of
from capturestation.station.moved import moved_views
from capturestation.station.people import add_lesson, refuse_control, refuse_without_consent
from capturestation.station.placing import Wish, hand_placed, place_all
from capturestation.station.sources import Source, read_sources, struck_at
from capturestation.station.zero import Placed
from capturestation.swing.marks import shifted, with_found
from capturestation.swing.moments import find_moments
from capturestation.swing.tempo import tempo
from capturestation.swing.tracks import MotionTrack
from capturestation.timing.air import Microphone


@dataclass(frozen=True, slots=True, kw_only=True)
class IntakeRequest:
    """What is known of a swing that comes as files.

    Args:
        student: Id or name.
        files: One file for each view.
        club: As the coach says it.
        kind: Kind of swing.
        lesson: Lesson id; None takes the student's lesson of that day, opened if needed.
        struck_at: When it was struck; None asks the files.
        microphones: Where each camera's microphone is; else at the usual distance.
        temperature_c: Of the air, for the speed of sound.
        cameras: Each camera's name, where known.
        contacts_ns: Contact by hand, media clock, for the views where it is known.
        media_per_swing: How many times slower a file plays, for the views where it is known.
        zero: What zero is to be; None lets kind and ball decide.
        starred: Whether it is a best.
        ball: What the ball did.
        notes: The coach's own.
    """

    student: str
    files: Mapping[View, Path]
    club: str
    kind: SwingKind = SwingKind.FULL
    lesson: str | None = None
    struck_at: datetime | None = None
    microphones: Mapping[View, Microphone] = field(default_factory=dict)
    temperature_c: float = 20.0
    cameras: Mapping[View, str] = field(default_factory=dict)
    contacts_ns: Mapping[View, int] = field(default_factory=dict)
    media_per_swing: Mapping[View, Fraction] = field(default_factory=dict)
    zero: Zero | None = None
    starred: bool = False
    ball: BallResult = field(default_factory=BallResult)
    notes: str = ""

    def microphone(self, view: View) -> Microphone:
        """The microphone of a view."""
        usual = Microphone(temperature_c=self.temperature_c)
        return self.microphones.get(view, usual)

    def wish(self) -> Wish:
        """What it says of how the recordings stand."""
        return Wish(
            kind=self.kind,
            microphones={view: self.microphone(view) for view in self.files},
            contacts_ns=self.contacts_ns,
            media_per_swing=self.media_per_swing,
            zero=self.zero,
        )


def add_swing(library: Library, request: IntakeRequest, watch: Watch) -> Swing:
    """Take files in as one swing; the files handed in stay untouched.

    Raises:
        NotReadableError: If a file is no usable video.
        BadInputError: If two files are the same or show one view, or one is kept already.
        ConsentRefusedError: If the student may be under 18 and a consent is missing.
        TimingRefusedError: If a file can't be placed on the clock; contact by hand is the way out.
        OutputError: If the library's disk is full or can't be written.
    """
    student = library.find_student(request.student)
    if not request.club.strip():
        raise BadInputError("A swing needs a club.", try_next="Name it, such as 7 iron.")
    refuse_control(request.club)
    sources = read_sources(request.files, request.cameras, Part(watch, 0.0, 0.1))
    when = request.struck_at or struck_at(sources)
    refuse_without_consent(student, when.date())
    _refuse_kept_already(library, sources)
    placed, zero = place_all(library, sources, request.wish(), when, Part(watch, 0.1, 0.8))
    facts = SwingFacts(
        id=SwingId(new_id()),
        struck_at=when,
        recordings=tuple(source.recording() for source in sources),
        made_by=f"capturestation {__version__}",
    )
    media = {source.view: source.path for source in sources}
    with _lesson(library, student, request, when) as lesson:
        book = _book(request, facts.id, lesson, placed, zero)
        book = replace(book, moved=moved_views(library, facts.recordings, media, when))
        return library.keep_swing(facts, book, media, Part(watch, 0.8, 1.0))


def _book(
    request: IntakeRequest,
    swing_id: SwingId,
    lesson: Lesson,
    placed: tuple[Placed, ...],
    zero: Zero,
) -> SwingBook:
    book = SwingBook(
        id=swing_id,
        student_id=lesson.student_id,
        lesson_id=lesson.id,
        club=request.club.strip(),
        kind=request.kind,
        zero=zero,
        ball=request.ball,
        starred=request.starred,
        notes=request.notes,
        syncs=tuple(p.sync for p in placed),
    )
    tracks = tuple(p.motion.placed(p.sync) for p in placed)
    return with_moments(book, tracks)


def _refuse_kept_already(library: Library, sources: tuple[Source, ...]) -> None:
    for source in sources:
        kept = library.swing_with_hash(source.sha256)
        if kept is not None:
            raise BadInputError(
                f"{source.path} is in the library already, in swing {kept.id} of "
                f"{kept.facts.struck_at:%Y-%m-%d %H:%M}.",
                try_next=f"It is swing {kept.id}.",
                subject=str(source.path),
            )


@contextmanager
def _lesson(
    library: Library, student: Student, request: IntakeRequest, when: datetime
) -> Iterator[Lesson]:
    """The lesson that the swing belongs to; one opened for it goes again if the swing fails."""
    if request.lesson is not None:
        yield named_lesson(library, student, request.lesson)
        return
    found = library.lesson_on(student.id, when.date())
    lesson = found or add_lesson(library, student.id, on=when.date())
    try:
        yield lesson
    except BaseException:
        if found is None:
            # What can't be taken back either is an empty lesson; the first cause matters more.
            with suppress(StationError):
                library.withdraw_lesson(lesson.id)
        raise


def named_lesson(library: Library, student: Student, text: str) -> Lesson:
    """The lesson of that id, or the first signs of one.

    Raises:
        NotFoundError: If there is none.
        BadInputError: If it is another student's.
    """
    lesson = library.find_lesson(text)
    if lesson.student_id != student.id:
        raise BadInputError(
            f"Lesson {lesson.id} is not a lesson of {student.name}.",
            try_next="Choose one of the student's lessons, or name none.",
            subject=lesson.id,
        )
    return lesson


def with_moments(book: SwingBook, tracks: tuple[MotionTrack, ...]) -> SwingBook:
    """The book with its moments found anew; marks by hand stay, and tempo follows the marks."""
    u_ns = max(sync.u_ns for sync in book.syncs)
    found = find_moments(tracks, zero_u_ns=u_ns)
    return with_tempo(replace(book, marks=with_found(book.marks, found)))


def with_tempo(book: SwingBook) -> SwingBook:
    """The book with the tempo that its marks give."""
    fresh = tempo(book.marks)
    names = {result.name for result in fresh}
    others = tuple(result for result in book.results if result.name not in names)
    return replace(book, results=(*others, *fresh))


def sources_of(library: Library, swing: Swing, watch: Watch) -> tuple[Source, ...]:
    """The kept files of a swing, read again."""
    files = {r.view: library.media_path(swing, r.view) for r in swing.facts.recordings}
    cameras = {r.view: r.camera for r in swing.facts.recordings}
    return read_sources(files, cameras, watch)


def find_again(library: Library, swing: Swing, watch: Watch) -> Swing:
    """Find the moments of a kept swing again; marks by hand stay."""
    tracks = tuple(motion_tracks(library, swing, watch).values())
    return library.change_book(swing.id, lambda book: with_moments(book, tracks))


def motion_tracks(library: Library, swing: Swing, watch: Watch) -> dict[View, MotionTrack]:
    """The motion in each view of a kept swing, on its clock."""
    sources = sources_of(library, swing, Part(watch, 0.0, 0.1))
    tracks = {}
    for done, source in enumerate(sources):
        sync = swing.sync(source.view)
        if sync is not None:
            each = 0.9 / len(sources)
            part = Part(watch, 0.1 + each * done, 0.1 + each * (done + 1))
            motion = motion_of(source, part, sync.media_per_swing)
            tracks[source.view] = motion.placed(sync)
    return tracks


def place_by_hand(
    library: Library,
    swing: Swing,
    view: View,
    contact_ns: int,
    u_ns: int | None,
    watch: Watch,
) -> Swing:
    """Place one view by hand and find the moments again.

    Raises:
        NotFoundError: If the swing has no such view.
        TimingRefusedError: If contact lies outside the file; nothing was changed.
    """
    sources = {s.view: s for s in sources_of(library, swing, Part(watch, 0.0, 0.1))}
    if view not in sources:
        raise NotFoundError(
            f"Swing {swing.id} has no {view} recording.",
            try_next=f"It has: {', '.join(sources)}.",
            subject=swing.id,
        )
    before = swing.sync(view)
    slower = Fraction(1) if before is None else before.media_per_swing
    sync = _beside_the_ball(hand_placed(sources[view], contact_ns, u_ns, slower), before)
    moved = Swing(facts=swing.facts, book=_placed_anew(swing.book, sync))
    tracks = tuple(motion_tracks(library, moved, Part(watch, 0.1, 1.0)).values())
    return library.change_book(
        swing.id, lambda book: with_moments(_placed_anew(book, sync), tracks)
    )


def _beside_the_ball(sync: Sync, before: Sync | None) -> Sync:
    """A place by hand that remembers where the ball was seen leaving, and says if that is apart."""
    if before is None or before.last_with_ns is None or before.first_without_ns is None:
        return sync
    at_ns = sync.contact_media_ns
    apart_ns = max(before.last_with_ns - at_ns, at_ns - before.first_without_ns)
    said = sync.said
    if apart_ns > 2 * sync.u_ns:
        when = "later" if before.last_with_ns > at_ns else "earlier"
        said += f" But the ball is seen leaving this picture {apart_ns / 1e6:.0f} ms {when}: look."
    return replace(
        sync,
        said=said,
        last_with_ns=before.last_with_ns,
        first_without_ns=before.first_without_ns,
    )


def _placed_anew(book: SwingBook, sync: Sync) -> SwingBook:
    """The book with one view at its new place; a hand's marks stay on the pictures of that view.

    A coach marks a picture. Where other views stay where they are, a mark can't stay on the
    pictures of all of them; it then stays at its time, since the views were to be brought together.
    """
    syncs = {one.view: one for one in book.syncs}
    before = syncs.get(sync.view)
    alone = before is not None and len(syncs) == 1
    syncs[sync.view] = sync
    ordered = tuple(syncs[one] for one in View if one in syncs)
    if before is None or not alone:
        return replace(book, syncs=ordered)
    shift_ns = sync.swing_minus_media_ns - before.swing_minus_media_ns
    marks = tuple(
        shifted(mark, shift_ns) if mark.source is MarkSource.HAND else mark for mark in book.marks
    )
    return replace(book, syncs=ordered, marks=marks)
