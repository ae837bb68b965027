"""A student's page: lessons by day, newest first, and below each its swings.

Owns what stands on the page and in which order, and how much of it was read: a page of many years
is read as far as somebody looks. Refuses to know how it is shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from capturestation.library import Library
from capturestation.records import Lesson, LessonId, StudentId, Swing, SwingId
from capturestation.station.notebook import LessonLine, lesson_lines, swings_of_lesson

READ_AT_ONCE = 30
"""Lines; a screen full of prints and some, read in a few milliseconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """A swing as a small picture on the page.

    Args:
        swing: The swing.
        lesson: The lesson that it was struck in.
    """

    swing: Swing
    lesson: Lesson


LeafLine: TypeAlias = LessonLine | Print


class Leaf:
    """What stands on a student's page, as far as it was read.

    Args:
        library: The library.
        student_id: Whose page.
    """

    def __init__(self, library: Library, student_id: StudentId) -> None:
        self.student_id = student_id
        self._library = library
        self._lessons = lesson_lines(library, student_id)
        self._read = 0
        self._lines: tuple[LeafLine, ...] = ()
        self.read_more()

    @property
    def lines(self) -> tuple[LeafLine, ...]:
        """What was read: each lesson followed by its swings, all newest first."""
        return self._lines

    @property
    def lessons(self) -> tuple[LessonLine, ...]:
        """All lessons of the student, read or not, newest first."""
        return self._lessons

    @property
    def has_more(self) -> bool:
        """Whether older lessons wait to be read."""
        return self._read < len(self._lessons)

    def read_more(self, least: int = READ_AT_ONCE) -> tuple[LeafLine, ...]:
        """Read older lessons until at least so many lines came, and give what came."""
        fresh: list[LeafLine] = []
        while self.has_more and len(fresh) < least:
            line = self._lessons[self._read]
            swings = swings_of_lesson(self._library, line.lesson.id) if line.swings else ()
            fresh += [line, *(Print(swing=swing, lesson=line.lesson) for swing in swings)]
            self._read += 1
        self._lines += tuple(fresh)
        return tuple(fresh)

    def read_to(self, lesson_id: LessonId) -> tuple[LeafLine, ...]:
        """Read as far as that lesson, and give what came; nothing where it is on no such page."""
        places = [n for n, line in enumerate(self._lessons) if line.lesson.id == lesson_id]
        fresh: tuple[LeafLine, ...] = ()
        while places and self._read <= places[0]:
            fresh += self.read_more(1)
        return fresh

    def read_again(self) -> None:
        """Read anew what was read: it was changed, here or by another window."""
        looked_at, length = self._lessons[: self._read], len(self._lines)
        self._lessons = lesson_lines(self._library, self.student_id)
        self._read, self._lines = 0, ()
        self.read_more(max(length, READ_AT_ONCE))
        if looked_at:
            self.read_to(looked_at[-1].lesson.id)

    def read_swing(self, swing_id: SwingId) -> None:
        """Read one swing anew where it stands; all, where it stands elsewhere by now.

        Raises:
            NotFoundError: If it is gone.
        """
        swing = self._library.swing(swing_id)
        for place, line in enumerate(self._lines):
            if isinstance(line, Print) and line.swing.id == swing_id:
                if line.lesson.id != swing.book.lesson_id:
                    break
                fresh = Print(swing=swing, lesson=line.lesson)
                self._lines = (*self._lines[:place], fresh, *self._lines[place + 1 :])
                return
        self.read_again()


def key_of(line: LeafLine) -> str:
    """The id of the lesson or the swing that a line stands for."""
    return line.swing.id if isinstance(line, Print) else line.lesson.id


def newest_of(lines: Sequence[LeafLine], lesson_id: LessonId) -> Print | None:
    """The newest swing of that lesson on the page; None where it holds none."""
    prints = (line for line in lines if isinstance(line, Print))
    return next((line for line in prints if line.lesson.id == lesson_id), None)


def neighbour(lines: Sequence[LeafLine], swing_id: SwingId | None, step: int) -> Print | None:
    """The swing so many prints further on the page, over lessons; None beyond the ends.

    Args:
        lines: What stands on the page.
        swing_id: From which; None, or one that isn't there, finds the first.
        step: 1 for the next, -1 for the one before.
    """
    prints = [line for line in lines if isinstance(line, Print)]
    ids = [line.swing.id for line in prints]
    if swing_id not in ids:
        return prints[0] if prints else None
    place = ids.index(swing_id) + step
    return prints[place] if 0 <= place < len(prints) else None
