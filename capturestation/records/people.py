"""Students, what they allowed, and their lessons; frozen, plain, held by every layer."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NewType

from capturestation.records.drawings import Drawing

StudentId = NewType("StudentId", str)
LessonId = NewType("LessonId", str)
SwingId = NewType("SwingId", str)

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"
# 32 signs that are hard to misread aloud: no i, l, o, u.
_ID_LENGTH = 12
# 60 bits: among 100,000 swings two collide once in two hundred million libraries.
FOCUS_LIMIT = 2
GROWN_UP_AT = 18


def new_id() -> str:
    """A fresh id of twelve signs that carries no name, time or order."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(_ID_LENGTH))


class Hand(StrEnum):
    """Which way a golfer stands."""

    RIGHT = "right"
    LEFT = "left"


class Purpose(StrEnum):
    """What a recording may be used for."""

    COACHING = "coaching"
    SHARING = "sharing"
    PUBLICITY = "publicity"


class Giver(StrEnum):
    """Who says yes or no."""

    STUDENT = "student"
    PARENT = "parent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent:
    """One answer: for what, whose, yes or no, since when, and who wrote it down."""

    purpose: Purpose
    giver: Giver
    given: bool
    on: date
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Student:
    """A person who takes lessons.

    Args:
        id: Carries no name, so it may stand in paths.
        name: As the coach writes it.
        hand: Right or left.
        birth_year: Decides whose consent is needed; None is treated as under 18.
        consents: The latest answer for each purpose and giver.
        limits_today: What the body won't do today; private, never on a hand-out.
        notes: The coach's own; private.
    """

    id: StudentId
    name: str
    hand: Hand = Hand.RIGHT
    birth_year: int | None = None
    consents: tuple[Consent, ...] = ()
    limits_today: str = ""
    notes: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            msg = "a student needs a name"
            raise ValueError(msg)
        keys = [(c.purpose, c.giver) for c in self.consents]
        if len(keys) != len(set(keys)):
            msg = f"two answers for one purpose and giver: {keys}"
            raise ValueError(msg)

    def may_be_minor(self, on: date) -> bool:
        """True unless 18 for certain: only the year of birth is kept, so 18 this year counts."""
        return self.birth_year is None or on.year - self.birth_year <= GROWN_UP_AT

    def needed_givers(self, on: date) -> tuple[Giver, ...]:
        """Whose yes is needed on that day: the student's, and under 18 a parent's too."""
        return (Giver.STUDENT, Giver.PARENT) if self.may_be_minor(on) else (Giver.STUDENT,)

    def missing_consents(self, purpose: Purpose, on: date) -> tuple[Giver, ...]:
        """Who has not said yes to `purpose` though their yes is needed on that day."""
        yes = {c.giver for c in self.consents if c.purpose is purpose and c.given}
        return tuple(giver for giver in self.needed_givers(on) if giver not in yes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One lesson of one student on one day, with one or two things to work on.

    Args:
        id: Carries no name.
        student_id: Whose.
        on: The day.
        focus: One or two things to work on.
        notes: The coach's own; private.
        drawings: What stays on a view for all balls of this lesson.
    """

    id: LessonId
    student_id: StudentId
    on: date
    focus: tuple[str, ...] = ()
    notes: str = ""
    drawings: tuple[Drawing, ...] = ()

    def __post_init__(self) -> None:
        if len(self.focus) > FOCUS_LIMIT:
            msg = f"a lesson works on one or two things, got {len(self.focus)}"
            raise ValueError(msg)
