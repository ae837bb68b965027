"""A student's weeks to look at: which groups of swings there are, and each measure in sentences.

Owns the order in which groups and measures are offered, and the words beside a chart. Called by the
Book and by whoever makes what goes home.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from capturestation.compare.differences import value_words
from capturestation.compare.pairing import is_same_club
from capturestation.compare.weeks import SPREAD_UNKNOWN, Course
from capturestation.drawing.theme import date_words
from capturestation.library import Library
from capturestation.records import StudentId, SwingKind
from capturestation.station.home_words import plain_words
from capturestation.station.weeks import NEVER
from capturestation.swing.focus import spoken_of
from capturestation.swing.measures import sides_of

ONE_LESSON = "One measured lesson so far: what changed is told from the second one on."
NO_BEST = "No earlier lesson has a swing marked as own best."
BEST_IS_LAST = "The own best is of the last lesson itself."
_WORD = re.compile(r"[a-z]+")
_WHOLE = 10.0
# From there on tenths say nothing of a spread.


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Swings of a student that are compared with each other.

    Args:
        club: The newest club of the group.
        kind: Of which kind.
        swings: How many.
    """

    club: str
    kind: SwingKind
    swings: int


def groups_of(library: Library, student: StudentId) -> tuple[Group, ...]:
    """Groups of a student's swings, the one struck last first."""
    found: list[tuple[str, SwingKind, int]] = []
    for swing in reversed(library.swings_of(student)):
        club, kind = swing.book.club, swing.book.kind
        if kind in NEVER:
            continue
        for at, (other, of_kind, count) in enumerate(found):
            if kind is of_kind and is_same_club(club, other):
                found[at] = (other, kind, count + 1)
                break
        else:
            found.append((club, kind, 1))
    return tuple(Group(club=club, kind=kind, swings=count) for club, kind, count in found)


def in_focus_first(courses: Iterable[Course], focus: Iterable[str]) -> tuple[Course, ...]:
    """What the lesson works on first, the rest as it was; those over more lessons lead.

    Args:
        courses: In the order in which a coach looks.
        focus: The lesson's.
    """
    spoken = spoken_of(focus)
    return tuple(
        sorted(
            courses,
            key=lambda one: (one.name.partition(", ")[0] not in spoken, len(one.points) < 2),
        )
    )


def of_focus(courses: Iterable[Course], focus: Iterable[str]) -> Course | None:
    """The one measure over two lessons or more that a lesson's focus speaks of.

    Of several moments the one that the focus names counts first.

    Args:
        courses: In the order in which a coach looks.
        focus: The lesson's.
    """
    lines = tuple(focus)
    spoken = spoken_of(lines)
    said = frozenset(_WORD.findall(" ".join(lines).lower()))
    found = [
        one for one in courses if one.name.partition(", ")[0] in spoken and len(one.points) > 1
    ]

    def is_elsewhere(one: Course) -> bool:
        return not said >= frozenset(_WORD.findall(one.name.partition(", ")[2]))

    return min(found, key=is_elsewhere, default=None)


def told(one: Course) -> tuple[str, ...]:
    """A measure over the lessons in sentences: where it stands, and what changed since when."""
    last = one.points[-1]
    count = len(last.taken)
    value = plain_words(value_words(last.mean, sides_of(one.name)))
    lines = [f"{date_words(last.on)}: {value}, of {count} swing{'s' if count > 1 else ''}."]
    if one.since_first is not None:
        first = date_words(one.points[0].on)
        lines.append(f"Since the first lesson, {first}: {plain_words(one.since_first.words)}.")
    else:
        lines.append(ONE_LESSON)
    with_best = [point for point in one.points[:-1] if point.best is not None]
    if one.since_best is not None:
        best = date_words(with_best[-1].on)
        lines.append(f"Since the own best, {best}: {plain_words(one.since_best.words)}.")
    else:
        lines.append(BEST_IS_LAST if last.best is not None else NO_BEST)
    return (*lines, _spread_words(one))


def _spread_words(one: Course) -> str:
    if one.spread is None:
        return SPREAD_UNKNOWN
    size = f"{one.spread:.0f}" if one.spread >= _WHOLE else f"{one.spread:.2g}"
    unit = "" if one.unit == "ratio" else f" {one.unit}"
    return f"Own spread from swing to swing: {plain_words(size + unit)}, one standard deviation."
