"""The lesson's end: keep these balls, drop the rest, and what that means for the disk.

Owns which are proposed and how all that is dropped comes back with one step. A dropped ball lies in
the trash for as long as any other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from capturestation.errors import StationError
from capturestation.library import Library, Trashed
from capturestation.records import LessonId, Swing, SwingId
from capturestation.station import deleting
from capturestation.station.cache import Cache
from capturestation.station.undo import Step


@dataclass(frozen=True, slots=True, kw_only=True)
class EndLine:
    """One ball of the lesson.

    Args:
        swing: As the library knows it.
        size_bytes: Of its recordings.
        keeps: Whether it stays.
    """

    swing: Swing
    size_bytes: int
    keeps: bool


class Ending:
    """What is to be kept of one lesson.

    Args:
        library: Holds the lesson.
        lesson: Which.
        only: Balls that are offered, such as those of this sitting; None offers all of the lesson.
    """

    def __init__(
        self, library: Library, lesson: LessonId, only: Iterable[SwingId] | None = None
    ) -> None:
        self.lesson = lesson
        wanted = None if only is None else set(only)
        self._lines = {
            swing.id: EndLine(swing=swing, size_bytes=_size_bytes(swing), keeps=swing.book.starred)
            for swing in library.swings(lesson)
            if wanted is None or swing.id in wanted
        }

    @property
    def lines(self) -> tuple[EndLine, ...]:
        """In the order in which they were struck."""
        return tuple(self._lines.values())

    @property
    def kept(self) -> tuple[EndLine, ...]:
        """Those that stay."""
        return tuple(line for line in self.lines if line.keeps)

    @property
    def dropped(self) -> tuple[EndLine, ...]:
        """The rest."""
        return tuple(line for line in self.lines if not line.keeps)

    def turn(self, swing: SwingId) -> None:
        """Keep it, or don't."""
        self.keep(swing, not self._lines[swing].keeps)

    def keep(self, swing: SwingId, keeps: bool) -> None:
        """Say whether it stays."""
        old = self._lines[swing]
        self._lines[swing] = EndLine(swing=old.swing, size_bytes=old.size_bytes, keeps=keeps)

    def keep_all(self) -> None:
        """Nothing is dropped."""
        for line in self.lines:
            self.keep(line.swing.id, True)

    @property
    def kept_bytes(self) -> int:
        """What stays takes so much."""
        return sum(line.size_bytes for line in self.kept)

    @property
    def dropped_bytes(self) -> int:
        """So much is free once the trash lets go of the rest."""
        return sum(line.size_bytes for line in self.dropped)


def _size_bytes(swing: Swing) -> int:
    return sum(recording.size_bytes for recording in swing.facts.recordings)


def drop(
    library: Library,
    cache: Cache,
    swings: Iterable[SwingId],
    words: str,
    tell: Callable[[str], None],
) -> Step:
    """Put balls into the trash as one step; taken back, all of them come from there.

    A step that can't be done to its end is taken back as far as it went. Done once more it does
    nothing: it may be done beside the window before it is remembered there.

    Args:
        library: Holds them.
        cache: What was made of them to look at goes too.
        swings: Which.
        words: What the step is called.
        tell: Gets what there is to know of those that came back.
    """
    ids = tuple(swings)
    thrown: list[Trashed] = []

    def do() -> None:
        if thrown:
            return
        try:
            for swing_id in ids:
                swing = library.swing(swing_id)
                thrown.append(deleting.throw_away(library, cache, swing))
        except StationError:
            undo()
            raise

    def undo() -> None:
        while thrown:
            said = deleting.bring_back(library, thrown[-1]).said
            thrown.pop()
            if said:
                tell(said)

    return Step(words=words, do=do, undo=undo)
