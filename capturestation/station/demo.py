"""The whole way on the invented session that comes with the program.

Owns nothing of its own: it calls the use cases in the order in which a coach would. It works in a
folder beside the results and moves them in at the end, so a stop leaves nothing behind.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from capturestation import __version__
from capturestation.errors import OutputError
from capturestation.folders import atomic_write_text
from capturestation.folders.files import explained_writing
from capturestation.library import Library
from capturestation.records import (
    Lesson,
    Moment,
    Part,
    Plain,
    Student,
    Swing,
    View,
    Watch,
    to_plain,
)
from capturestation.station import clips, comparing, marking, people
from capturestation.station.analysing import NO_MODEL, Analyst
from capturestation.station.cache import Cache
from capturestation.station.demo_calibration import calibrate_invented
from capturestation.station.demo_recording import RecordedLesson
from capturestation.station.finding import LATEST
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.station.models import body_model
from capturestation.station.taking_in import MEASURED_U_M
from capturestation.timing.air import Microphone
from sample_sessions.session import SampleLesson, SampleSession, SampleSwing, load_session

CLIP = "comparison.mp4"
SUMMARY = "summary.json"
LIBRARY = "library"
FORMAT = "capturestation demo"
MARKED_BY_HAND = (
    Moment.TAKEAWAY,
    Moment.LEAD_ARM_LEVEL_BACK,
    Moment.LEAD_ARM_LEVEL_DOWN,
    Moment.SHAFT_LEVEL_DOWN,
    Moment.SHAFT_LEVEL_THROUGH,
    Moment.TRAIL_ARM_LEVEL_THROUGH,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoReport:
    """What the demo did."""

    comparison: comparing.Comparison
    clip: clips.MadeClip
    summary: Path
    told: dict[str, Plain]
    named: tuple[str, ...] = ()

    def plain(self) -> dict[str, Plain]:
        """What `summary.json` holds."""
        return self.told


def run_demo(
    out: Path, *, replace: bool, watch: Watch, session: SampleSession | None = None
) -> DemoReport:
    """Walk the whole way: files in, one comparison clip out.

    Args:
        out: Folder for the clip, the summary and the library; made if needed.
        replace: Whether an earlier demo there may be written over.
        watch: Is told how far it is, and may stop it.
        session: The invented session; None takes the one that comes with the program.

    Raises:
        OutputError: If an earlier demo is there and must stay, or `out` can't be written.
        CancelledError: If stopped; nothing was left.
    """
    session = session or load_session()
    _refuse_taken(out, replace=replace)
    with _workplace(out) as folder:
        with Library.open(folder / LIBRARY) as library:
            swings = record_session(library, Part(watch, 0.0, 0.4), session)
            cache = Cache(folder / "tracks")
            named = _named(library, cache, first_of_today(swings), Part(watch, 0.4, 0.6))
            comparison = comparing.compare(library, LATEST, None)
            made = clips.clip_of(
                library,
                LATEST,
                None,
                clips.ClipWish(),
                folder / CLIP,
                Part(watch, 0.6, 1.0),
            )
            told = _told(library, swings, comparison, made)
            told["first_of_today_against_best"] = list(named)
        text = json.dumps(told, ensure_ascii=False, indent=1)
        atomic_write_text(folder / SUMMARY, text + "\n")
        _move_in(folder, out)
    made = replace_path(made, out / CLIP)
    return DemoReport(
        comparison=comparison, clip=made, summary=out / SUMMARY, told=told, named=named
    )


def first_of_today(swings: list[Swing]) -> Swing:
    """The first ball of the last lesson: hurried, with something put in on purpose."""
    lesson = swings[-1].book.lesson_id
    return next(swing for swing in swings if swing.book.lesson_id == lesson)


def _named(library: Library, cache: Cache, swing: Swing, watch: Watch) -> tuple[str, ...]:
    """Take the measures of a swing and of the own best, and say what clearly changed.

    Without the body model that is said instead, and all else goes on.
    """
    _, choice = comparing.pick(library, swing.id, None)
    # These golfers are rendered, as were those by whom errors were found: nothing to widen for.
    analyst = Analyst(library=library, cache=cache, model=body_model(), wider=1.0)
    analyst.analyse((choice.swing, swing), watch)
    if not analyst.model.is_there:
        return (NO_MODEL,)
    found = comparing.compare(library, swing.id, choice.swing.id)
    focus = library.lesson(swing.book.lesson_id).focus
    return tuple(
        f"{row.name}: {row.words}" for row in comparing.clear_changes(found.changes, focus)
    )


def replace_path(made: clips.MadeClip, path: Path) -> clips.MadeClip:
    """The same clip at its final place."""
    return replace(made, report=replace(made.report, path=path))


def _refuse_taken(out: Path, *, replace: bool) -> None:
    there = [name for name in (CLIP, SUMMARY, LIBRARY) if (out / name).exists()]
    if there and replace and not _is_demo(out):
        raise OutputError(
            f"{out} holds {', '.join(there)}, which no demo made.",
            try_next="Choose an empty folder; what is there stays.",
            subject=str(out),
        )
    if there and not replace:
        raise OutputError(
            f"{out} holds {', '.join(there)} already.",
            try_next="Choose another folder, or ask for it to be replaced.",
            subject=str(out),
        )


def _is_demo(out: Path) -> bool:
    """Whether an earlier demo made what is there: a coach's own library must never be replaced."""
    try:
        told = json.loads((out / SUMMARY).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(told, dict) and told.get("format") == FORMAT


@contextmanager
def _workplace(out: Path) -> Iterator[Path]:
    """A folder inside `out` that is gone afterwards, and `out` too if it was made for this."""
    made = not out.exists()
    with explained_writing(out):
        out.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=".demo-", dir=out))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if made and not any(out.iterdir()):
            out.rmdir()


def _move_in(folder: Path, out: Path) -> None:
    with explained_writing(out):
        for name in (LIBRARY, CLIP, SUMMARY):
            target = out / name
            if target.is_dir():
                shutil.rmtree(target)
            (folder / name).replace(target)


def fill_with_session(
    library: Library, watch: Watch, session: SampleSession | None = None
) -> list[Swing]:
    """Take an invented session in: its student, her lessons and swings, the coach's marks.

    Args:
        library: An empty one.
        watch: Is told how far it is, and may stop it.
        session: None takes the one that comes with the program.

    Raises:
        CancelledError: If stopped; what was taken in by then stays.
    """
    session = session or load_session()
    student = _student(library, session)
    calibrate_invented(library, session)
    count = len(session.swings)
    swings: list[Swing] = []
    for lesson in session.lessons:
        kept = _lesson(library, student, lesson)
        part = Part(watch, len(swings) / count, (len(swings) + len(lesson.swings)) / count)
        swings += _from_files(library, session, (student, kept), lesson, part)
    return swings


def record_session(
    library: Library, watch: Watch, session: SampleSession | None = None
) -> list[Swing]:
    """Take the earlier lessons in from their files; record the last one meanwhile.

    A ball of it that the recording did not keep is taken in from its files as well.

    Args:
        library: An empty one.
        watch: Is told how far it is, and may stop it.
        session: None takes the one that comes with the program.

    Raises:
        CancelledError: If stopped; what was taken in by then stays.
    """
    session = session or load_session()
    student = _student(library, session)
    calibrate_invented(library, session)
    *earlier, last = session.lessons
    today = _lesson(library, student, last)
    swings: list[Swing] = []
    with RecordedLesson(library, session, today, last.swings) as recorded:
        for number, lesson in enumerate(earlier):
            kept = _lesson(library, student, lesson)
            part = Part(watch, number / len(earlier) / 2, (number + 1) / len(earlier) / 2)
            swings += _from_files(library, session, (student, kept), lesson, part)
        recorded.listen(Part(watch, 0.5, 0.6))
        found = recorded.taken_in(Part(watch, 0.6, 0.9))
    for place, sample in enumerate(last.swings):
        swing = found.get(place)
        if swing is None:
            request = _request(session, student.id, today.id, sample)
            swing = add_swing(library, request, Part(watch, 0.9, 1.0))
        swings.append(_marked_by_the_coach(library, swing, sample))
    return swings


def _student(library: Library, session: SampleSession) -> Student:
    hero = session.student
    student = people.add_student(
        library, name=hero.name, hand=hero.hand, birth_year=hero.birth_year, notes=hero.notes
    )
    for answer in hero.consents:
        people.answer_consent(library, student.id, answer)
    return student


def _lesson(library: Library, student: Student, lesson: SampleLesson) -> Lesson:
    return people.add_lesson(
        library, student.id, on=lesson.on, focus=lesson.focus, notes=lesson.notes
    )


def _from_files(
    library: Library,
    session: SampleSession,
    whose: tuple[Student, Lesson],
    lesson: SampleLesson,
    watch: Watch,
) -> list[Swing]:
    swings = []
    count = len(lesson.swings)
    for number, swing in enumerate(lesson.swings):
        words = f"lesson of {lesson.on:%d %b}:"
        part = Part(watch, number / count, (number + 1) / count, words)
        request = _request(session, whose[0].id, whose[1].id, swing)
        swings.append(_marked_by_the_coach(library, add_swing(library, request, part), swing))
    return swings


def _marked_by_the_coach(library: Library, swing: Swing, sample: SampleSwing) -> Swing:
    """The marks that an invented coach sets by hand: the truth to the millisecond.

    Arms and shaft decide these moments, which motion alone does not show. A coach sees between two
    frames how far the shaft has gone; the error stays half a frame.
    """
    for true in sample.truth(View.FACE_ON).swing.moments:
        if true.moment in MARKED_BY_HAND and true.at_ns is not None:
            at_ns = round(true.at_ns, -6)
            swing = marking.mark_by_hand(library, swing, true.moment, at_ns=at_ns)
    return swing


def _request(
    session: SampleSession, student: str, lesson: str, swing: SampleSwing
) -> IntakeRequest:
    views = session.camera_names
    microphones = {
        view: Microphone(distance_m=swing.mic_distance_m(view), u_distance_m=MEASURED_U_M)
        for view in views
    }
    return IntakeRequest(
        student=student,
        files={view: swing.clip(view) for view in views},
        club=swing.club,
        kind=swing.kind,
        lesson=lesson,
        struck_at=swing.struck_at,
        microphones=microphones,
        cameras=views,
        starred=swing.starred,
        ball=swing.ball,
        notes=swing.notes,
    )


def _told(
    library: Library,
    swings: list[Swing],
    comparison: comparing.Comparison,
    made: clips.MadeClip,
) -> dict[str, Plain]:
    clip = clips.plain(made)
    clip["path"] = CLIP
    return {
        "format": FORMAT,
        "made_by": f"capturestation {__version__}",
        "note": "An invented golfer, rendered: it shows the way from files to clip, not golf. "
        f"Marked by hand by an invented coach: {', '.join(MARKED_BY_HAND)}.",
        "student": to_plain(library.student(swings[0].book.student_id)),
        "lessons": to_plain(library.lessons(swings[0].book.student_id)),
        "swings": [to_plain(swing) for swing in swings],
        "comparison": comparing.plain(comparison),
        "clip": clip,
    }
