"""Who has not had a lesson for long: proposals to forget, never a deletion.

Recordings of a person are kept no longer than they are needed; whether they are is the coach's to
say. Owns only who is proposed and what is held of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from capturestation.library import Library
from capturestation.records import StudentId
from capturestation.station.forgetting import Holding, holding
from capturestation.station.people import today

USUAL_MONTHS = 24
"""No law names a figure; the coach's own may be shorter or longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Somebody of whom things are held without a lesson for long.

    Args:
        student: Who.
        name: As the coach writes it.
        last: The day of the last lesson or swing; None where there never was one.
        held: What the library holds of them.
    """

    student: StudentId
    name: str
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


def proposals(library: Library, months: int, on: date | None = None) -> tuple[Proposal, ...]:
    """Students without a lesson for so many months, those longest away first.

    Somebody just written down, who has no lesson yet, holds nothing but a name and is proposed
    last; nothing is changed.

    Args:
        library: The library.
        months: How many.
        on: The day from which it is counted back; today unless given.
    """
    before = months_before(on or today(), months)
    found = []
    for student in library.students():
        days = [lesson.on for lesson in library.lessons(student.id)]
        days += [s.facts.struck_at.astimezone().date() for s in library.swings_of(student.id)]
        last = max(days, default=None)
        if last is None or last < before:
            held = holding(library, student.id)
            found.append(Proposal(student=student.id, name=student.name, last=last, held=held))
    return tuple(sorted(found, key=lambda one: (one.last is None, one.last or before, one.student)))
