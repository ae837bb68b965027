"""Balls that the recording process left in the inbox, into the lesson that they belong to.

Owns the ticket that says whose a ball is, and the order: read, place on the clock, find the
moments, adopt. It may run at once, later, twice, or after a crash: a folder is in the inbox or in
the library, never in both, and what can't be taken in stays where it is with the reason.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from math import hypot, sqrt
from pathlib import Path

from capturestation.errors import (
    BadInputError,
    CancelledError,
    LibraryError,
    NotFoundError,
    StationError,
    TimingRefusedError,
)
from capturestation.folders import FACTS_FILE, PARTIAL, read_document, read_swing_facts
from capturestation.library import Library
from capturestation.records import (
    NS_PER_S,
    ErrorPart,
    LessonId,
    Part,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    SwingKind,
    Sync,
    SyncSource,
    Watch,
    Zero,
    from_plain,
    to_plain,
)
from capturestation.records.capture import CaptureNote, SourceNote, Trigger
from capturestation.station.intake import with_moments
from capturestation.station.motion import motion_of
from capturestation.station.moved import moved_views
from capturestation.station.people import refuse_without_consent
from capturestation.station.placing import Wish, place_all
from capturestation.station.sources import Source, read_sources
from capturestation.station.zero import Placed
from capturestation.timing.air import Microphone

CAPTURE_FILE = "capture.json"
MEASURED_U_M = 0.1
"""A coach measures from ball to microphone with a tape, along the floor."""
_AROUND_NS = {
    Trigger.KEY: (-3 * NS_PER_S, 3 * NS_PER_S // 2),
    Trigger.MOTION: (-NS_PER_S // 2, NS_PER_S // 2),
}
"""Where the swing was: a finger comes within seconds of it, the eye within a tenth of one."""
_UNKNOWN_DELAY_NS = round(60e6 / sqrt(3))
# Pictures come up to 60 ms after what they show, evenly spread.


_CAUSES = {
    Trigger.SOUND: "strike in the sound",
    Trigger.KEY: "the key",
    Trigger.MOTION: "the fastest motion",
}
_BY = {
    Trigger.SOUND: SyncSource.SOUND,
    Trigger.KEY: SyncSource.HAND,
    Trigger.MOTION: SyncSource.PICTURE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """Whose the next balls are.

    Args:
        lesson: The open lesson.
        club: As the coach says it.
        kind: Kind of swing.
    """

    lesson: LessonId
    club: str
    kind: SwingKind = SwingKind.FULL


def ticket_text(ticket: Ticket) -> str:
    """What the recording process puts beside each ball without looking at it."""
    return json.dumps(to_plain(ticket), ensure_ascii=False)


def ticket_of(text: str) -> Ticket:
    """What `ticket_text` wrote.

    Raises:
        BadInputError: If it is none.
    """
    try:
        return from_plain(Ticket, json.loads(text))
    except ValueError as error:
        raise BadInputError(
            "It is not known whose ball this is.",
            try_next="Name the lesson and the club that it belongs to.",
        ) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftThere:
    """A ball that stays in the inbox, and why."""

    folder: Path
    why: StationError


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What became of the balls in an inbox."""

    swings: tuple[Swing, ...]
    left: tuple[LeftThere, ...]


def waiting(library: Library) -> tuple[Path, ...]:
    """Finished balls in the inbox, in the order in which they were struck."""
    folders = [
        folder
        for folder in library.inbox.iterdir()
        if folder.suffix != PARTIAL and (folder / FACTS_FILE).is_file()
    ]
    return tuple(sorted(folders, key=_struck_at))


def _struck_at(folder: Path) -> float:
    try:
        return read_swing_facts(folder).struck_at.timestamp()
    except LibraryError:
        return 0.0


def take_in_all(library: Library, watch: Watch) -> TakenIn:
    """Take in every finished ball whose ticket says where it belongs.

    Raises:
        CancelledError: If the watch stops it; what is taken in by then stays taken in.
    """
    folders = waiting(library)
    swings, left = [], []
    for number, folder in enumerate(folders):
        part = Part(watch, number / len(folders), (number + 1) / len(folders))
        try:
            swings.append(take_in(library, folder, part))
        except CancelledError:
            raise
        except StationError as error:
            # One that is gone, another window has taken in meanwhile.
            if folder.exists():
                left.append(LeftThere(folder=folder, why=error))
    return TakenIn(swings=tuple(swings), left=tuple(left))


def take_in(library: Library, folder: Path, watch: Watch, *, ticket: Ticket | None = None) -> Swing:
    """Take one finished ball into its lesson.

    Args:
        library: Its inbox holds the folder.
        folder: The ball.
        watch: Told how far it is.
        ticket: Where it belongs; None asks the ticket that lies with it.

    Raises:
        BadInputError: If it is not known whose it is, or it is in the library already.
        NotFoundError: If its lesson is not there any more.
        ConsentRefusedError: If the student may not be filmed.
        LibraryError: If the folder is damaged.
        NotReadableError: If a recording is.
        OutputError: If it can't be moved. In each case the folder stays where it was.
        CancelledError: If the watch stops it; the folder stays.
    """
    facts = read_swing_facts(folder)
    _refuse_known(library, facts.id)
    note = read_document(folder / CAPTURE_FILE, "capture", CaptureNote)
    ticket = ticket or ticket_of(note.ticket)
    lesson = library.lesson(ticket.lesson)
    refuse_without_consent(library.student(lesson.student_id), facts.struck_at.date())
    files = {r.view: folder / r.file for r in facts.recordings}
    cameras = {r.view: r.camera for r in facts.recordings}
    sources = read_sources(files, cameras, Part(watch, 0.0, 0.1))
    placed, zero = _placed(library, sources, facts, (note, ticket.kind), Part(watch, 0.1, 0.8))
    book = SwingBook(
        id=facts.id,
        student_id=lesson.student_id,
        lesson_id=lesson.id,
        club=ticket.club,
        kind=ticket.kind,
        zero=zero,
        syncs=tuple(one.sync for one in placed),
    )
    book = with_moments(book, tuple(one.motion.placed(one.sync) for one in placed))
    book = replace(book, moved=moved_views(library, facts.recordings, files, facts.struck_at))
    return library.adopt_folder(folder, book, Part(watch, 0.8, 1.0))


def _refuse_known(library: Library, swing_id: SwingId) -> None:
    try:
        library.swing(swing_id)
    except NotFoundError:
        places = library.places
        if not places.tombstone(swing_id).exists() and not places.trashed(swing_id).exists():
            return
    raise BadInputError(
        f"The ball {swing_id} is, or was, in the library already.",
        try_next="Take its folder out of the inbox.",
        subject=swing_id,
    )


def _placed(
    library: Library,
    sources: tuple[Source, ...],
    facts: SwingFacts,
    said: tuple[CaptureNote, SwingKind],
    watch: Watch,
) -> tuple[tuple[Placed, ...], Zero]:
    """On the clock by sound, ball or arc; where these say nothing, by what the recording heard."""
    note, kind = said
    notes = {source.view: source for source in note.sources}
    microphones = {source.view: _microphone(notes[source.view]) for source in sources}
    around_ns = {source.view: _around_ns(notes[source.view], note) for source in sources}
    wish = Wish(
        kind=kind,
        microphones=microphones,
        unheard=note.trigger is not Trigger.SOUND,
        around_ns={view: span for view, span in around_ns.items() if span is not None},
    )
    try:
        return place_all(library, sources, wish, facts.struck_at, Part(watch, 0.0, 0.8))
    except TimingRefusedError as refused:
        why = f"{refused.what} It stands where it was heard while it was recorded."
        if note.trigger is Trigger.KEY:
            why = f"{refused.what} It stands where the key was pressed: set its zero by hand."
        elif note.trigger is Trigger.MOTION:
            why = f"{refused.what} It stands where most moved: set its zero by hand."
        placed = tuple(
            Placed(
                sync=_by_recording(notes[source.view], note, why),
                motion=motion_of(source, Part(watch, 0.8, 1.0)),
            )
            for source in sources
        )
        return placed, Zero.ARC_BOTTOM if wish.may_miss else Zero.CONTACT


def _around_ns(source: SourceNote, note: CaptureNote) -> tuple[int, int] | None:
    """Between which times of a recording a swing was that nobody heard; None if it was heard."""
    if note.trigger is Trigger.SOUND:
        return None
    early_ns, late_ns = _AROUND_NS[note.trigger]
    return source.impact_media_ns + early_ns, source.impact_media_ns + late_ns


def _microphone(note: SourceNote) -> Microphone:
    """Where it hung, if anybody measured that."""
    if note.microphone_m is None:
        return Microphone()
    return Microphone(distance_m=note.microphone_m, u_distance_m=MEASURED_U_M)


def _by_recording(source: SourceNote, note: CaptureNote, said: str) -> Sync:
    parts = (
        ErrorPart(cause=_CAUSES[note.trigger], u_ns=note.u_ns),
        ErrorPart(cause="a delay never measured", u_ns=_UNKNOWN_DELAY_NS),
    )
    return Sync(
        view=source.view,
        swing_minus_media_ns=-source.impact_media_ns,
        u_ns=round(hypot(*(part.u_ns for part in parts))),
        source=_BY[note.trigger],
        parts=parts,
        said=said,
    )
