"""Finding a lesson by what one remembers of it: a day, a focus, a club, whose it was.

Owns a list of all lessons' words, so that each letter that is typed finds at once. The list is
read again when told; the words of a day come from outside, since they are said in a language.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from capturestation.library import Library
from capturestation.library.rows import fold
from capturestation.records import LessonId

MOST_FOUND = 12
"""More than are read; another word finds the others."""
DayWords = Callable[[date], str]


@dataclass(frozen=True, slots=True)
class _Entry:
    lesson_id: LessonId
    name: tuple[str, ...]
    words: tuple[str, ...]


class Finder:
    """All lessons by their words, as they stood when it was made.

    Args:
        library: The library; read once.
        day_words: All words by which a day may be looked for.
    """

    def __init__(self, library: Library, day_words: DayWords) -> None:
        days: dict[date, tuple[str, ...]] = {}
        self._entries = []
        for one in library.lesson_words():
            if one.on not in days:
                days[one.on] = _words(day_words(one.on))
            words = (*days[one.on], *_words(one.text))
            self._entries.append(_Entry(one.id, tuple(one.name.split()), words))

    def find(self, text: str, most: int = MOST_FOUND) -> tuple[LessonId, ...]:
        """Lessons in which each word of a text starts a word, newest first.

        Case and accents don't matter. A text that the student's name says alone finds none: it
        means the student.

        Args:
            text: What was typed so far.
            most: No more than so many.
        """
        parts = fold(text).split()
        found: list[LessonId] = []
        for entry in self._entries if parts else ():
            if _fits(parts, (*entry.name, *entry.words)) and not _fits(parts, entry.name):
                found.append(entry.lesson_id)
                if len(found) == most:
                    break
        return tuple(found)


def _words(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(fold(text).split()))


def _fits(parts: list[str], words: tuple[str, ...]) -> bool:
    return all(any(word.startswith(part) for word in words) for part in parts)
