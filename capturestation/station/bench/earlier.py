"""Which earlier swings today's may be laid beside, and what each is called.

Owns the list to choose from: the same student's own, of one kind and club group, the newest first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from capturestation.compare.pairing import is_comparable
from capturestation.drawing.theme import date_words
from capturestation.library import Library
from capturestation.records import Swing, SwingId


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An earlier swing that may stand beside.

    Args:
        id: Which.
        day: When it was struck, as written on pictures.
        at: At what time of that day.
        club: With what.
        is_best: Whether it has a star.
        is_of_today: Whether it is of the same lesson.
    """

    id: SwingId
    day: str
    at: str
    club: str
    is_best: bool
    is_of_today: bool

    @property
    def word(self) -> str:
        """What it is called on a picture."""
        return "own best" if self.is_best else "earlier today" if self.is_of_today else "earlier"


def may_stand_beside(now: Swing, others: Iterable[Swing]) -> tuple[Earlier, ...]:
    """The swings that may stand beside today's, the newest first; later ones are not earlier."""
    alike = [
        other
        for other in others
        if is_comparable(now, other) and other.facts.struck_at <= now.facts.struck_at
    ]
    alike.sort(key=lambda swing: (swing.facts.struck_at, swing.id), reverse=True)
    return tuple(_row(now, other) for other in alike)


def earlier_swings(library: Library, now: Swing) -> tuple[Earlier, ...]:
    """The same from the library; takes its time, so it is called beside the window."""
    return may_stand_beside(now, library.swings_of(now.book.student_id))


def _row(now: Swing, other: Swing) -> Earlier:
    struck = other.facts.struck_at.astimezone()
    return Earlier(
        id=other.id,
        day=date_words(other.facts.struck_at.date()),
        at=f"{struck:%H:%M}",
        club=other.book.club,
        is_best=other.book.starred,
        is_of_today=other.book.lesson_id == now.book.lesson_id,
    )
