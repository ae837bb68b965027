"""Take files in as a swing: read, place on the clock, find the moments, keep.

Owns the order of these steps. A failure or a stop leaves neither a folder nor a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from capturestation import __version__
from capturestation.errors import BadInputError, NotFoundError, TimingRefusedError
from capturestation.library import Library
from capturestation.records import (
    BallResult,
    Lesson,
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
    new_id,
)
from capturestation.station.people import lesson_for, refuse_without_consent
from capturestation.station.sources import Source, read_sources, struck_at
from capturestation.station.zero import Placed, motion_of, place
from capturestation.swing.marks import with_found
from capturestation.swing.moments import find_moments
from capturestation.swing.tempo import tempo
from capturestation.swing.tracks import MotionTrack
from capturestation.timing.air import Microphone
from capturestation.timing.sync import by_hand


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
    starred: bool = False
    ball: BallResult = field(default_factory=BallResult)
    notes: str = ""

    def microphone(self, view: View) -> Microphone:
        """The microphone of a view."""
        usual = Microphone(temperature_c=self.temperature_c)
        return self.microphones.get(view, usual)


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
        raise BadInputError("A swing needs a club.", try_next="Name it, such as --club '7 iron'.")
    sources = read_sources(request.files, request.cameras, Part(watch, 0.0, 0.1))
    when = request.struck_at or struck_at(sources)
    refuse_without_consent(student, when.date())
    _refuse_kept_already(library, sources)
    placed = _place_all(sources, request, Part(watch, 0.1, 0.8))
    facts = SwingFacts(
        id=SwingId(new_id()),
        struck_at=when,
        recordings=tuple(source.recording() for source in sources),
        made_by=f"capturestation {__version__}",
    )
    lesson = _lesson(library, student, request, when)
    book = SwingBook(
        id=facts.id,
        student_id=student.id,
        lesson_id=lesson.id,
        club=request.club.strip(),
        kind=request.kind,
        ball=request.ball,
        starred=request.starred,
        notes=request.notes,
        syncs=tuple(p.sync for p in placed),
    )
    tracks = tuple(p.motion.shifted(p.sync.swing_minus_media_ns) for p in placed)
    book = with_moments(book, tracks)
    media = {source.view: source.path for source in sources}
    return library.keep_swing(facts, book, media, Part(watch, 0.8, 1.0))


def _refuse_kept_already(library: Library, sources: tuple[Source, ...]) -> None:
    for source in sources:
        kept = library.swing_with_hash(source.sha256)
        if kept is not None:
            raise BadInputError(
                f"{source.path} is in the library already, in swing {kept.id} of "
                f"{kept.facts.struck_at:%Y-%m-%d %H:%M}.",
                try_next=f"Look at it with `swings show {kept.id}`.",
                subject=str(source.path),
            )


def _lesson(library: Library, student: Student, request: IntakeRequest, when: datetime) -> Lesson:
    if request.lesson is None:
        return lesson_for(library, student, when.date())
    lesson = library.find_lesson(request.lesson)
    if lesson.student_id != student.id:
        raise BadInputError(
            f"Lesson {lesson.id} is not a lesson of {student.name}.",
            try_next="Choose one of `lessons list`, or leave --lesson away.",
            subject=lesson.id,
        )
    return lesson


def _place_all(
    sources: tuple[Source, ...], request: IntakeRequest, watch: Watch
) -> tuple[Placed, ...]:
    """Both files at once: decoding leaves the other core free."""
    watch.report(0.0, "finding the strike and the ball")
    with ThreadPoolExecutor(max_workers=len(sources), thread_name_prefix="intake") as pool:
        jobs = [pool.submit(_place_one, source, request) for source in sources]
        placed = []
        for done, job in enumerate(jobs, start=1):
            placed.append(job.result())
            watch.report(done / len(jobs), "finding the strike and the ball")
    return tuple(placed)


def _place_one(source: Source, request: IntakeRequest) -> Placed:
    contact_ns = request.contacts_ns.get(source.view)
    if contact_ns is None:
        return place(source, request.microphone(source.view))
    sync = _sync_by_hand(source, contact_ns, None)
    return Placed(sync=sync, motion=motion_of(source))


def _sync_by_hand(source: Source, contact_ns: int, u_ns: int | None) -> Sync:
    first_ns, end_ns = int(source.index.times_ns[0]), source.end_ns
    if not first_ns <= contact_ns <= end_ns:
        raise TimingRefusedError(
            f"Contact at {contact_ns / 1e9:.3f} s lies outside {source.path.name}, which runs from "
            f"{first_ns / 1e9:.3f} s to {end_ns / 1e9:.3f} s.",
            try_next="Give the time of contact in seconds of that file.",
            subject=str(source.path),
        )
    return by_hand(source.view, contact_ns, source.frame_ns // 2 if u_ns is None else u_ns)


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
    tracks = motion_tracks(library, swing, watch)
    return library.save_book(with_moments(swing.book, tuple(tracks.values())))


def motion_tracks(library: Library, swing: Swing, watch: Watch) -> dict[View, MotionTrack]:
    """The motion in each view of a kept swing, on its clock."""
    sources = sources_of(library, swing, Part(watch, 0.0, 0.1))
    tracks = {}
    for done, source in enumerate(sources, start=1):
        watch.report(0.1 + 0.8 * done / len(sources), f"reading the motion of {source.view}")
        sync = swing.sync(source.view)
        if sync is not None:
            tracks[source.view] = motion_of(source).shifted(sync.swing_minus_media_ns)
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
    sync = _sync_by_hand(sources[view], contact_ns, u_ns)
    others = tuple(s for s in swing.book.syncs if s.view is not view)
    changed = Swing(facts=swing.facts, book=replace(swing.book, syncs=(*others, sync)))
    tracks = motion_tracks(library, changed, Part(watch, 0.1, 1.0))
    return library.save_book(with_moments(changed.book, tuple(tracks.values())))
