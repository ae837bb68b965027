"""A lesson in a few lines: swings, spread, the typical one, near to and far from the best.

Owns that only swings of one kind and club group are laid together, drills and rehearsals never.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from capturestation.compare.lesson import Away, away_from, most_typical, noise_of
from capturestation.compare.pairing import is_same_club, own_best
from capturestation.compare.weeks import LessonPoint, Taken, lesson_point
from capturestation.errors import ComparisonRefusedError
from capturestation.library import Library
from capturestation.records import (
    BallResult,
    ClubGroup,
    Lesson,
    Measured,
    Swing,
    SwingId,
    SwingKind,
)
from capturestation.station.weeks import NEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A lesson's swings of one club group and kind.

    Args:
        club: The club of its first swing.
        group: Its group.
        kind: The kind.
        swings: All of them, in the order struck, with what the ball did.
        points: Each measure's mean with error and spread.
        typical: The one nearest to the middle of all; None of too few.
        best: What they are held against; None where there is no own best.
        nearest: The nearest to it; None where too little was measured.
        farthest: The farthest from it.
    """

    club: str
    group: ClubGroup
    kind: SwingKind
    swings: tuple[tuple[SwingId, BallResult], ...]
    points: tuple[tuple[str, LessonPoint], ...]
    typical: Away | None
    best: SwingId | None
    nearest: Away | None
    farthest: Away | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """A lesson's groups.

    Args:
        lesson: Which.
        groups: Its swings by club group and kind.
        left_out: How many drills and rehearsals.
    """

    lesson: Lesson
    groups: tuple[Group, ...]
    left_out: int


def summary_of(library: Library, lesson: str) -> Summary:
    """Sum a lesson up.

    Args:
        library: The library.
        lesson: Its id, or the first signs of it.

    Raises:
        NotFoundError: If there is no such lesson.
    """
    found = library.find_lesson(lesson)
    swings = library.swings(found.id)
    counted = [swing for swing in swings if swing.book.kind not in NEVER]
    groups: list[list[Swing]] = []
    for swing in counted:
        alike = next((group for group in groups if _is_alike(group[0], swing)), None)
        if alike is None:
            groups.append([swing])
        else:
            alike.append(swing)
    return Summary(
        lesson=found,
        groups=tuple(_group(library, group) for group in groups),
        left_out=len(swings) - len(counted),
    )


def _is_alike(one: Swing, other: Swing) -> bool:
    return one.book.kind is other.book.kind and is_same_club(one.book.club, other.book.club)


def _measures(swing: Swing) -> dict[str, Measured]:
    return {r.name: r.measured for r in swing.book.results if r.measured is not None}


def _group(library: Library, swings: Sequence[Swing]) -> Group:
    first, last = swings[0], swings[-1]
    measures = {swing.id: _measures(swing) for swing in swings}
    best = _best(library, last)
    away: tuple[Away, ...] = ()
    if best is not None:
        others = {key: found for key, found in measures.items() if key != best.id}
        away = away_from(_measures(best), others, noise_of(measures))
    return Group(
        club=first.book.club,
        group=first.club_group,
        kind=first.book.kind,
        swings=tuple((swing.id, swing.book.ball) for swing in swings),
        points=tuple(_points(swings)),
        typical=most_typical(measures),
        best=best.id if best else None,
        nearest=away[0] if away else None,
        farthest=away[-1] if len(away) > 1 else None,
    )


def _best(library: Library, swing: Swing) -> Swing | None:
    """The latest starred swing alike; the last one itself where that is it."""
    if swing.book.starred:
        return swing
    try:
        choice = own_best(swing, library.may_stand_beside(swing))
    except ComparisonRefusedError:
        return None
    return choice.swing if choice.swing.book.starred else None


def _points(swings: Sequence[Swing]) -> list[tuple[str, LessonPoint]]:
    by_name: dict[str, list[Taken]] = {}
    for swing in swings:
        for name, measured in _measures(swing).items():
            one = Taken(swing=swing.id, measured=measured, is_best=swing.book.starred)
            by_name.setdefault(name, []).append(one)
    book = swings[0].book
    return [
        (name, lesson_point(book.lesson_id, swings[0].facts.struck_at.date(), taken, None))
        for name, taken in by_name.items()
        if len({one.measured.unit for one in taken}) == 1
    ]
