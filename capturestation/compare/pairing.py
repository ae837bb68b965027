"""Which earlier swing today's may be laid beside.

Owns the refusal of unlike swings and the choice of the own best. Called by every comparison
before anything is drawn or measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from capturestation.errors import ComparisonRefusedError
from capturestation.records import ClubGroup, Swing, club_group


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The earlier swing that was chosen.

    Args:
        swing: The swing.
        label: What to call it on a picture: "own best" or "first of today".
        why: Why this one, in one sentence for the coach.
    """

    swing: Swing
    label: str
    why: str


def refuse_unless_comparable(now: Swing, then: Swing) -> None:
    """Let pass only two swings of one student, one kind and one club group.

    Raises:
        ComparisonRefusedError: If the two are unlike; says both sides and what to try.
    """
    if now.id == then.id:
        raise ComparisonRefusedError(
            "This swing would be compared with itself.",
            try_next="Choose another swing of this student.",
            subject=now.id,
        )
    if now.book.student_id != then.book.student_id:
        raise ComparisonRefusedError(
            "The two swings belong to two different students.",
            try_next="A student is only compared with himself: choose an earlier swing of his own.",
            subject=then.id,
        )
    if now.book.kind is not then.book.kind:
        raise _unlike(then, str(now.book.kind), str(then.book.kind), "kind")
    if not is_same_club(now.book.club, then.book.club):
        sides = (_club_words(now), _club_words(then))
        raise _unlike(then, *sides, "club group")


def _unlike(then: Swing, this: str, that: str, what: str) -> ComparisonRefusedError:
    return ComparisonRefusedError(
        f"The two swings differ in {what}: {this} and {that}.",
        try_next=f"Choose an earlier swing of the same {what}, or correct it on one of the two.",
        subject=then.id,
    )


def _club_words(swing: Swing) -> str:
    return f"{swing.book.club or 'no club named'} ({swing.club_group})"


def is_same_club(this: str, that: str) -> bool:
    """Whether two clubs, by their everyday names, swing alike.

    Unknown clubs have nothing in common but being unknown, so their names must agree.

    Example:
        >>> is_same_club("7 iron", "8i"), is_same_club("stick", "Stick "), is_same_club("a", "b")
        (True, True, False)
    """
    group = club_group(this)
    if group is not club_group(that):
        return False
    return group is not ClubGroup.OTHER or this.strip().casefold() == that.strip().casefold()


def is_comparable(now: Swing, then: Swing) -> bool:
    """Whether these are two swings of one student, one kind and one club group."""
    return (
        now.id != then.id
        and now.book.student_id == then.book.student_id
        and now.book.kind is then.book.kind
        and is_same_club(now.book.club, then.book.club)
    )


def own_best(now: Swing, others: Sequence[Swing]) -> Choice:
    """Choose what today's swing is laid beside.

    The latest starred swing of the same kind and club group; without a star the first such
    swing of the same lesson, so that a first lesson has something to show too.

    Args:
        now: Today's swing.
        others: Any swings, in any order; unlike ones and `now` itself are passed over.

    Raises:
        ComparisonRefusedError: If there is neither a star nor an earlier swing of this lesson.
    """
    alike = sorted(
        (swing for swing in others if is_comparable(now, swing)),
        key=lambda swing: (swing.facts.struck_at, swing.id),
    )
    what = f"{now.book.kind} swing, {now.club_group}"
    star = "other starred" if now.book.starred else "starred"
    stars = [swing for swing in alike if swing.book.starred]
    if stars:
        why = f"The latest starred {what}."
        return Choice(swing=stars[-1], label="own best", why=why)
    today = [
        swing
        for swing in alike
        if swing.book.lesson_id == now.book.lesson_id
        and swing.facts.struck_at <= now.facts.struck_at
    ]
    if today:
        why = f"No {star} {what} yet, so the first one of this lesson."
        return Choice(swing=today[0], label="first of today", why=why)
    other = "other best" if now.book.starred else "best"
    raise ComparisonRefusedError(
        f"No {other} of this club and kind yet.",
        try_next="Star one, or choose a swing yourself.",
        subject=now.id,
    )
