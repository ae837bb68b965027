"""What a merge has looked at so far, and how each thing is brought, settled or left out."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from capturestation.errors import NotFoundError
from capturestation.library.library import Library
from capturestation.library.merge_report import (
    Conflict,
    Difference,
    MergeItem,
    MergeReport,
    Outcome,
    Side,
)
from capturestation.library.places import Places, Subject
from capturestation.records import LessonId, StudentId

Found = TypeVar("Found")
Resolve = Callable[[Conflict], Side]


def or_none(ask: Callable[[], Found]) -> Found | None:
    """What is asked for by its id, or None where the library has no such thing."""
    try:
        return ask()
    except NotFoundError:
        return None


class MergeDesk:
    """One merge while it goes on.

    Args:
        into: The library that grows.
        other: Where the other one lies; only read.
        resolve: Says whose version stands in a conflict.
        dry_run: Only say what would be done.
    """

    def __init__(self, into: Library, other: Places, resolve: Resolve, *, dry_run: bool) -> None:
        self.into = into
        self.other = other
        self.dry_run = dry_run
        self._resolve = resolve
        self._items: list[MergeItem] = []
        self._same = 0
        self._coming: dict[str, str] = {}
        # Ids that a dry run would have brought, lessons with their student, so that what leans on
        # them is not said to be missing.

    def report(self) -> MergeReport:
        """What was found and done so far."""
        return MergeReport(items=tuple(self._items), same=self._same, dry_run=self.dry_run)

    def add(
        self,
        subject: Subject,
        key: str,
        outcome: Outcome,
        told: tuple[Difference, ...] = (),
        *,
        said: str = "",
    ) -> None:
        """Write down what became of one thing."""
        item = MergeItem(subject=subject, id=key, outcome=outcome, differences=told, said=said)
        self._items.append(item)

    def bring(
        self,
        subject: Subject,
        key: str,
        act: Callable[[], object],
        *,
        whose: str = "",
        said: str = "",
    ) -> None:
        """Bring in what is not here."""
        if not self.dry_run:
            act()
        self._coming[key] = whose
        self.add(subject, key, Outcome.NEW, said=said)

    def settle(self, subject: Subject, key: str, told: tuple[Difference, ...]) -> Side:
        """Count what is the same, or ask whose version stands and write down both."""
        if not told:
            self._same += 1
            return Side.OURS
        side = self._resolve(Conflict(subject=subject, id=key, differences=told))
        self.add(subject, key, Outcome.THEIRS if side is Side.THEIRS else Outcome.OURS, told)
        return side

    def leave(self, subject: Subject, key: str, above: Subject, above_key: str) -> None:
        """Leave out what leans on something that is not here."""
        gone = self.into.places.tombstone(above_key).exists()
        why = "was deleted here" if gone else "is not there"
        self.add(subject, key, Outcome.LEFT, said=f"its {above} {above_key} {why}")

    def has_student(self, key: StudentId) -> bool:
        """Whether a student is here, or would be by now."""
        return key in self._coming or or_none(lambda: self.into.student(key)) is not None

    def has_lesson(self, key: LessonId, student_id: StudentId) -> bool:
        """Whether a lesson of that student is here, or would be by now."""
        if key in self._coming:
            return self._coming[key] == student_id
        lesson = or_none(lambda: self.into.lesson(key))
        return lesson is not None and lesson.student_id == student_id
