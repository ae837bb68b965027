"""What is changed in the book as steps that can be taken back.

Owns what a step remembers: only the fields it changed, so that what another window changed since
is not taken back with it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from capturestation.library import Library, Trashed
from capturestation.records import BallResult, Lesson, Swing, SwingBook, SwingKind
from capturestation.station import deleting, marking, moving, people
from capturestation.station.cache import Cache
from capturestation.station.undo import Step


def star(library: Library, swing: Swing) -> Step:
    """Star a swing, or take its star away."""
    starred = not swing.book.starred
    words = f"a best: {swing.book.club}" if starred else f"no best: {swing.book.club}"
    return Step(
        words=words,
        do=lambda: _ignore(marking.set_star(library, swing, starred=starred)),
        undo=lambda: _ignore(marking.set_star(library, swing, starred=not starred)),
    )


def club(library: Library, swing: Swing, name: str) -> Step:
    """Call a swing's club by another name."""
    return _changed(library, swing, f"club {name}", club=name)


def kind(library: Library, swing: Swing, to: SwingKind) -> Step:
    """Say that a swing is of another kind."""
    return _changed(library, swing, f"kind {to}", kind=to)


def notes(library: Library, swing: Swing, text: str) -> Step:
    """Write other notes."""
    return _changed(library, swing, "notes", notes=text)


def _changed(
    library: Library,
    swing: Swing,
    words: str,
    *,
    club: str | None = None,
    kind: SwingKind | None = None,
    notes: str | None = None,
) -> Step:
    old = swing.book

    def change(to_club: str | None, to_kind: SwingKind | None, to_notes: str | None) -> None:
        now = library.swing(swing.id)
        marking.change_swing(
            library, now, club=to_club, kind=to_kind, notes=to_notes, ball=now.book.ball
        )

    def undo() -> None:
        change(
            None if club is None else old.club,
            None if kind is None else old.kind,
            None if notes is None else old.notes,
        )

    return Step(words=words, do=lambda: change(club, kind, notes), undo=undo)


def ball(library: Library, swing: Swing, to: BallResult) -> Step:
    """Write down what the ball did."""
    old = swing.book.ball

    def put(result: BallResult) -> Callable[[SwingBook], SwingBook]:
        return lambda book: replace(book, ball=result)

    return Step(
        words="what the ball did",
        do=lambda: _ignore(library.change_book(swing.id, put(to))),
        undo=lambda: _ignore(library.change_book(swing.id, put(old))),
    )


def delete(library: Library, cache: Cache, swing: Swing) -> Step:
    """Put a swing into the trash; taken back, it comes from there with all that was known."""
    thrown: list[Trashed] = []

    def undo() -> None:
        deleting.bring_back(library, thrown.pop())

    return Step(
        words=f"delete {swing.book.club} of {swing.facts.struck_at:%H:%M}",
        do=lambda: thrown.append(deleting.throw_away(library, cache, library.swing(swing.id))),
        undo=undo,
    )


def move_to_student(
    library: Library, swing: Swing, who: str, tell: Callable[[tuple[str, ...]], None]
) -> Step:
    """Give a swing to another student.

    Args:
        library: The library.
        swing: Which.
        who: Id of the other student.
        tell: Gets what there is to know of it, a sentence each.
    """
    done: list[moving.Moved] = []

    def do() -> None:
        done.append(moving.move_to_student(library, library.swing(swing.id), who))
        tell(done[-1].said)

    return Step(
        words="move the swing",
        do=do,
        undo=lambda: _ignore(moving.undo_move(library, done.pop())),
    )


def lesson(library: Library, old: Lesson, things: tuple[str, ...], notes: str) -> Step:
    """Set what a lesson works on, and the coach's notes of it."""

    def put(focus: tuple[str, ...], text: str) -> None:
        people.set_focus(library, old.id, focus)
        library.save_lesson(replace(library.lesson(old.id), notes=text))

    return Step(
        words="focus of the lesson",
        do=lambda: put(things, notes),
        undo=lambda: put(old.focus, old.notes),
    )


def _ignore(_answer: object) -> None:
    """Steps give nothing back."""
