"""Of whom things are kept without need, as far as can be seen: proposals, never a deletion.

Recordings of a person are kept no longer than they are needed; whether they are is the coach's to
say. Owns only who is proposed, when it is time to look, and what is held of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from types import MappingProxyType

from capturestation.library import Library
from capturestation.records import Purpose, Student, StudentId
from capturestation.station.forgetting import Holding, holding
from capturestation.station.people import refused_by, today

USUAL_MONTHS = 24
"""No law names a figure; the coach's own may be shorter or longer."""
KEPT_MONTHS = 12
"""Whoever is to be kept is proposed again after a year: needs change."""


class Reason(StrEnum):
    """Why somebody is proposed."""

    REFUSED = "refused"
    AWAY = "away"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the coach set.

    Args:
        months: Without a lesson for so long.
        kept: On which day it was said of somebody to keep what there is.
    """

    months: int = USUAL_MONTHS
    kept: Mapping[StudentId, date] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Somebody of whom things are held, perhaps without need.

    Args:
        student: Who.
        name: As the coach writes it.
        reason: Why; a no to filming weighs more than time.
        last: The day of the last lesson or swing; None where there never was one.
        held: What the library holds of them.
    """

    student: StudentId
    name: str
    reason: Reason
    last: date | None
    held: Holding


def months_before(day: date, months: int) -> date:
    """That many months earlier, on the same day or the month's last.

    Example:
        >>> months_before(date(2026, 3, 31), 1), months_before(date(2026, 1, 15), 24)
        (datetime.date(2026, 2, 28), datetime.date(2024, 1, 15))
    """
    whole = day.year * 12 + day.month - 1 - months
    year, month = divmod(whole, 12)
    for last in (day.day, 30, 29, 28):
        if last <= day.day:
            try:
                return date(year, month + 1, last)
            except ValueError:
                continue
    msg = f"{months} months before {day} is no day of the calendar"
    raise ValueError(msg)


def month_end(on: date) -> date:
    """The last day of a month that is this day or was before it.

    Example:
        >>> month_end(date(2026, 11, 30)), month_end(date(2026, 11, 29))
        (datetime.date(2026, 11, 30), datetime.date(2026, 10, 31))
    """
    tomorrow = on + timedelta(days=1)
    return on if tomorrow.day == 1 else on.replace(day=1) - timedelta(days=1)


def is_due(on: date, looked: date | None) -> bool:
    """Whether a month has ended since somebody looked.

    Example:
        >>> is_due(date(2026, 12, 3), date(2026, 11, 29)), is_due(date(2026, 12, 3), None)
        (True, True)
        >>> is_due(date(2026, 12, 3), date(2026, 11, 30))
        False
    """
    return looked is None or looked < month_end(on)


def waiting(library: Library, wish: Wish, on: date | None = None) -> tuple[StudentId, ...]:
    """Who will be proposed, as far as lessons tell: quick, for a word in passing."""
    return tuple(student.id for student, _ in _candidates(library, wish, on or today()))


def proposals(library: Library, wish: Wish, on: date | None = None) -> tuple[Proposal, ...]:
    """Those who said no to filming, then those without a lesson for long; nothing is changed.

    Somebody just written down, who has no lesson yet, holds nothing but a name and is proposed
    last.

    Args:
        library: The library.
        wish: What the coach set.
        on: The day from which it is counted back; today unless given.
    """
    on = on or today()
    before = months_before(on, wish.months)
    found = []
    for student, reason in _candidates(library, wish, on):
        days = [lesson.on for lesson in library.lessons(student.id)]
        days += [s.facts.struck_at.astimezone().date() for s in library.swings_of(student.id)]
        last = max(days, default=None)
        if reason is Reason.AWAY and last is not None and last >= before:
            continue
        held = holding(library, student.id)
        found.append(
            Proposal(student=student.id, name=student.name, reason=reason, last=last, held=held)
        )
    return tuple(sorted(found, key=_order))


def _order(one: Proposal) -> tuple[bool, bool, date, StudentId]:
    return one.reason is Reason.AWAY, one.last is None, one.last or date.min, one.student


def _candidates(library: Library, wish: Wish, on: date) -> list[tuple[Student, Reason]]:
    before, asked = months_before(on, wish.months), months_before(on, KEPT_MONTHS)
    last = library.last_days()
    found = []
    for student in library.students():
        if wish.kept.get(student.id, date.min) > asked:
            continue
        day = last.get(student.id)
        if day is not None and refused_by(student, Purpose.COACHING):
            found.append((student, Reason.REFUSED))
        elif day is None or day < before:
            found.append((student, Reason.AWAY))
    return found
