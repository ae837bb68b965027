"""Whether recordings of a student may be handed on, asked by everything that goes home.

Owns the refusal. What a coach makes for the own eyes is no hand-out, and says so on every picture.
"""

from __future__ import annotations

from capturestation.errors import ConsentRefusedError
from capturestation.library import Library
from capturestation.records import Purpose, Swing
from capturestation.station.people import consent_words, refused_by, today

COACH_ONLY = "for the coach only"
"""Stands on each picture of a clip that must not be handed on."""


def may_be_shared(library: Library, swing: Swing) -> bool:
    """Whether every consent to sharing that the age needs is there, and nobody said no."""
    student = library.student(swing.book.student_id)
    missing = student.missing_consents(Purpose.SHARING, today())
    return not missing and not refused_by(student, Purpose.SHARING)


def refuse_unless_shared(library: Library, swing: Swing, *, or_else: str = "") -> None:
    """Let only pass what may be handed on.

    Args:
        library: Knows what was answered.
        swing: Of whom it is.
        or_else: What else can be done, a sentence.

    Raises:
        ConsentRefusedError: If a consent to sharing is refused, or is needed and missing.
    """
    if may_be_shared(library, swing):
        return
    student = library.student(swing.book.student_id)
    ask = (
        "Ask for it first and write the answer down with the student in the Book; then send again."
    )
    raise ConsentRefusedError(
        f"This clip must not be handed on: {consent_words(student, Purpose.SHARING)}.",
        try_next=f"{ask} {or_else}".strip(),
        subject=student.id,
    )
