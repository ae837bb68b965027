"""Who is hitting, and whether he or she may be filmed.

Owns the question that stands before every camera: nobody is filmed against a no, and nobody who may
be under 18 without both consents for coaching. What a country asks beyond that, its own rules say.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from capturestation.errors import ConsentRefusedError
from capturestation.library import Library
from capturestation.records import Lesson, LessonId, Student, SwingKind
from capturestation.station.people import refuse_without_consent, today
from capturestation.station.taking_in import Ticket


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who is hitting, in which lesson, with what.

    Args:
        student: As the book knows her now.
        lesson: The open lesson.
        club: As the coach says it.
        kind: Kind of swing that is wished.
    """

    student: Student
    lesson: Lesson
    club: str
    kind: SwingKind = SwingKind.FULL

    def ticket(self) -> Ticket:
        """What lies beside each of her balls."""
        return Ticket(lesson=self.lesson.id, club=self.club, kind=self.kind)

    @property
    def may_be_filmed(self) -> bool:
        """Whether nothing stands against it today."""
        try:
            refuse_without_consent(self.student, today())
        except ConsentRefusedError:
            return False
        return True

    def read_again(self, library: Library) -> Person:
        """The same as the library knows her now.

        Raises:
            NotFoundError: If student or lesson are gone.
        """
        return replace(
            self,
            student=library.student(self.student.id),
            lesson=library.lesson(self.lesson.id),
        )


def person_of(library: Library, lesson: LessonId, club: str) -> Person:
    """Who has that lesson.

    Raises:
        NotFoundError: If it is gone.
    """
    found = library.lesson(lesson)
    return Person(student=library.student(found.student_id), lesson=found, club=club)
