"""A student's measures over weeks: gathered by club group and kind, as text, CSV and charts.

Owns which swings count: of one student, kind and club group, never drills or rehearsals.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from capturestation.compare.differences import NO_CHANGE
from capturestation.compare.pairing import is_same_club
from capturestation.compare.weeks import Course, Taken, course
from capturestation.drawing.app import ensure_app
from capturestation.drawing.weeks_chart import chart_png, chart_svg
from capturestation.errors import BadInputError, NotFoundError
from capturestation.folders import atomic_write_bytes, atomic_write_text
from capturestation.folders.gathering import gathered
from capturestation.library import Library
from capturestation.records import LessonId, Plain, Swing, SwingKind, Watch, to_plain
from capturestation.station.comparing import same_set_up
from capturestation.station.home_words import capital, measure_words
from capturestation.station.places import refuse_inside
from capturestation.swing.measures import ways_of

NEVER = (SwingKind.DRILL, SwingKind.REHEARSAL)
"""What is tried in these is meant to be different."""
TABLE = "over-weeks.csv"
_NOT_IN_A_NAME = re.compile(r"[^\w]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Weeks:
    """What was gathered.

    Args:
        club: The club by which the group is told.
        kind: The kind of swing.
        swings: How many counted.
        courses: One a measure, in the order in which a coach looks.
    """

    club: str
    kind: SwingKind
    swings: int
    courses: tuple[Course, ...]

    def plain(self) -> Plain:
        """As JSON values."""
        return to_plain(self)


def weeks_of(
    library: Library, who: str, *, club: str | None = None, kind: SwingKind | None = None
) -> Weeks:
    """Gather a student's measures over the lessons.

    Args:
        library: The library.
        who: Id or name.
        club: One of the group; the one of the last swing unless given.
        kind: The kind; the one of the last swing that counts unless given.

    Raises:
        NotFoundError: If there is no such student, or no such swing of the student's.
        BadInputError: If the kind is never compared.
    """
    if kind in NEVER:
        raise BadInputError(
            f"A {kind} is never compared with another swing.",
            try_next="Choose full, part, pitch or putt.",
            subject=str(kind),
        )
    student = library.find_student(who)
    counted = [swing for swing in library.swings_of(student.id) if swing.book.kind not in NEVER]
    asked = [
        swing
        for swing in counted
        if (kind is None or swing.book.kind is kind)
        and (club is None or is_same_club(swing.book.club, club))
    ]
    if not asked:
        raise NotFoundError(
            f"{student.name} has no such swing yet.",
            try_next="Take one in first, or name another club or kind.",
            subject=student.id,
        )
    last = asked[-1]
    alike = [
        swing
        for swing in asked
        if swing.book.kind is last.book.kind and is_same_club(swing.book.club, last.book.club)
    ]
    return Weeks(
        club=last.book.club,
        kind=last.book.kind,
        swings=len(alike),
        courses=tuple(_courses(library, alike)),
    )


def _courses(library: Library, swings: Sequence[Swing]) -> Iterable[Course]:
    by_lesson: dict[LessonId, list[Swing]] = {}
    for swing in swings:
        by_lesson.setdefault(swing.book.lesson_id, []).append(swing)
    days = {lesson: library.lesson(lesson).on for lesson in by_lesson}
    order = sorted(by_lesson, key=lambda lesson: (days[lesson], lesson))
    alike = all(same_set_up(library, swings[-1], swing) for swing in swings[:-1])
    names = dict.fromkeys(
        result.name for swing in reversed(swings) for result in swing.book.results
    )
    for name in names:
        lessons = [(lesson, days[lesson], _taken(name, by_lesson[lesson])) for lesson in order]
        having = [one for one in lessons if one[2]]
        if having:
            same = alike and len(_methods(name, swings)) == 1
            yield course(name, having, ways=ways_of(name), same_set_up=same)


def _methods(name: str, swings: Iterable[Swing]) -> set[str]:
    """How the values of a measure were made: in space and by pictures they err otherwise."""
    return {
        result.method
        for swing in swings
        for result in swing.book.results
        if result.name == name and result.measured is not None
    }


def _taken(name: str, swings: Iterable[Swing]) -> list[Taken]:
    return [
        Taken(swing=swing.id, measured=result.measured, is_best=swing.book.starred)
        for swing in swings
        for result in swing.book.results
        if result.name == name and result.measured is not None
    ]


def weeks_csv(weeks: Weeks) -> str:
    """A row a measure and lesson; no name of anybody stands in it."""
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(
        ("measure", "unit", "day", "swings", "mean", "u_random", "u_systematic", "spread", "best")
    )
    for one in weeks.courses:
        for point in one.points:
            mean, best = point.mean, point.best
            writer.writerow(
                (
                    one.name,
                    one.unit,
                    point.on.isoformat(),
                    len(point.taken),
                    f"{mean.value:.6g}",
                    f"{mean.u_random:.6g}",
                    f"{mean.u_systematic:.6g}",
                    "" if point.spread is None else f"{point.spread:.6g}",
                    "" if best is None else f"{best.value:.6g}",
                )
            )
    return held.getvalue()


def write_weeks(weeks: Weeks, folder: Path, library: Library, watch: Watch) -> tuple[Path, ...]:
    """Write the table, and a chart of each measure that has two lessons or more.

    Raises:
        OutputError: If the folder lies in the library or can't be written.
        CancelledError: If stopped. Whatever the reason, nothing is left behind.
    """
    refuse_inside(library, folder)
    ensure_app()
    names = [TABLE]
    with gathered(folder) as place:
        atomic_write_text(place / TABLE, weeks_csv(weeks))
        drawn = [one for one in weeks.courses if len(one.points) > 1]
        for number, one in enumerate(drawn):
            watch.report(number / len(drawn), "drawing charts")
            stem, heading = file_stem(one.name), capital(measure_words(one.name))
            charts = ((".png", chart_png(one, heading)), (".svg", chart_svg(one, heading)))
            for ending, made in charts:
                names.append(f"{stem}{ending}")
                atomic_write_bytes(place / names[-1], made)
    return tuple(folder / name for name in names)


def file_stem(name: str) -> str:
    """A measure's name as part of a file's name."""
    return _NOT_IN_A_NAME.sub("-", name)


def since_words(one: Course) -> tuple[str, str]:
    """What changed since the first lesson and since the best one."""
    first, best = one.since_first, one.since_best
    return (
        first.words if first else "",
        "" if best is None else best.words if best.is_clear else NO_CHANGE,
    )
