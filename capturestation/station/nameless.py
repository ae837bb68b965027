"""A child's full name stays off everything that is handed on.

Owns how it is looked for in what a coach wrote. Called before anything is made.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from capturestation.errors import BadInputError
from capturestation.library import Library
from capturestation.records import Swing
from capturestation.station.people import today

_LEAST_SIGNS = 3


def is_child(library: Library, swing: Swing) -> bool:
    """Whether the swing's student may be under 18 today."""
    return library.student(swing.book.student_id).may_be_minor(today())


def refuse_child_named(library: Library, swing: Swing, texts: Iterable[str]) -> None:
    """Refuse to hand on words with a child's family or full name; the first name alone may stay.

    Args:
        library: Knows whose swing it is.
        swing: Which is handed on.
        texts: All that would stand on it.

    Raises:
        BadInputError: Says which words hold it.
    """
    student = library.student(swing.book.student_id)
    if not student.may_be_minor(today()):
        return
    parts = [part for part in re.findall(r"\w+", student.name) if len(part) >= _LEAST_SIGNS]
    for text in texts:
        words = {word.casefold() for word in re.findall(r"\w+", text)}
        if any(part.casefold() in words for part in parts[1:]):
            raise BadInputError(
                f'"{text}" holds the name of somebody who may be under 18.',
                try_next="Leave the family name out: it must not go along with pictures.",
                subject=student.id,
            )
