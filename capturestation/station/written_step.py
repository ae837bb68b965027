"""Something that is written in a swing's book already, as a step that can be taken back.

Owns that only the fields it changed are put back, and none where they were changed again since.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace

from capturestation.errors import RefusedError
from capturestation.library import Library
from capturestation.records import Swing, SwingBook, SwingId
from capturestation.station.undo import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What a swing's book held before and after, and what is said where it holds yet another.

    Args:
        before: As it was.
        after: As it is now.
        fields: Of the book, which were changed.
        stays: What is refused, a sentence.
        try_next: What to do then.
    """

    before: Swing
    after: Swing
    fields: Sequence[str]
    stays: str
    try_next: str


def written_step(
    library: Library,
    kept: Kept,
    words: str,
    tell: Callable[[SwingId], None],
    beside: Callable[[], AbstractContextManager[object]] = nullcontext,
) -> Step:
    """A step that is done; done again or taken back it refuses where the fields differ by now.

    Args:
        library: Where the swing is.
        kept: What there was and is.
        words: What it is, for undo.
        tell: Gets the swing each time.
        beside: What else changes whenever the book does; entered round the writing.
    """
    swing_id, done = kept.before.id, False

    def put(was: SwingBook, to: SwingBook) -> None:
        def change(now: SwingBook) -> SwingBook:
            if any(getattr(now, name) != getattr(was, name) for name in kept.fields):
                raise RefusedError(kept.stays, try_next=kept.try_next, subject=swing_id)
            return replace(now, **{name: getattr(to, name) for name in kept.fields})

        with beside():
            library.change_book(swing_id, change)

    def do() -> None:
        nonlocal done
        if done:
            put(kept.before.book, kept.after.book)
        done = True
        tell(swing_id)

    def undo() -> None:
        put(kept.after.book, kept.before.book)
        tell(swing_id)

    return Step(words=words, do=do, undo=undo, about=swing_id)
