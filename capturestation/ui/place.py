"""What every place of the window is to the shell: words at the top lead to it, keys reach it.

Owns the seam between the shell and its places (Book, Bench, Bay). Refuses to know what one shows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar, Protocol

from PyQt6.QtCore import QSize, pyqtSignal
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QWidget

from capturestation.library import Library
from capturestation.records import StudentId, SwingId
from capturestation.station.undo import UndoList
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from capturestation.ui.writing import Writer

BENCH = "bench"
"""Key of the place where swings are looked at."""
BAY = "bay"
"""Key of the place where they are recorded."""


class TvPainter(Protocol):
    """Paints what the bay's second screen shows: pictures and drawings, never a name or a note."""

    def paint_tv(self, painter: QPainter, size: QSize) -> None:
        """Paint the pictures as they stand now, whole, into `size` from (0, 0)."""


class Place(QWidget):
    """One place of the window.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence that passes by itself.
        opens: A `SwingId` that is to be looked at on the Bench.
        hits: A `StudentId` who is to be recorded in the Bay.
        pictured: What the second screen should show has changed.
        stands: What the caption says while nothing else is said there.
        going: Id of a swing or a student whose files are about to move or go.
        bare: Its pictures are to fill the whole screen, or no longer: True or False.
    """

    key: ClassVar[str] = ""
    """Its word for keys, texts and what is remembered: book, bench."""

    trouble = pyqtSignal(object)
    says = pyqtSignal(str)
    opens = pyqtSignal(object)
    hits = pyqtSignal(object)
    pictured = pyqtSignal()
    stands = pyqtSignal(str)
    going = pyqtSignal(str)
    bare = pyqtSignal(bool)

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.library = library
        self.workers = workers
        self.look = look
        self.steps = steps

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys; asked once, after it is made."""
        return {}

    def look_at(self, swing: SwingId) -> None:
        """Show that swing; a place without swings does nothing."""

    def take_student(self, student: StudentId) -> None:
        """That student is going to hit; a place that records nobody does nothing."""

    @property
    def swing(self) -> SwingId | None:
        """The swing that is looked at or chosen here; None where there is none."""
        return None

    def take_files(self, paths: Sequence[Path]) -> bool:
        """Files were dropped on the window, wherever on it.

        Args:
            paths: The files.

        Returns:
            Whether this is the place for them; it has begun to ask what they are then.
        """
        del paths
        return False

    def leave(self) -> bool:
        """Close what lies over the place, such as one angle over the whole window.

        Returns:
            Whether there was anything to close.
        """
        return False

    def show_bare(self, on: bool) -> None:
        """Show pictures and nothing else, or everything again; the shell makes the room."""

    @property
    def is_writing(self) -> bool:
        """Whether something that was done is not written yet: the window waits before it closes."""
        return False

    @property
    def writer(self) -> Writer:
        """Writes steps beside the window: one for all places, so that they keep their order."""
        return self.workers.writer

    @property
    def unkept(self) -> str:
        """What was written on a page of it and isn't kept, in words; empty where nothing is."""
        return ""

    @property
    def holds_steps(self) -> bool:
        """Whether its steps stay as they are for now: something is written down over them."""
        return False

    def keep_typed(self) -> None:
        """Keep what is kept without being asked, such as notes in their line; the window closes."""

    def let_go_of(self, whose: str) -> None:
        """Close the files of a swing or of a student's swings: they are about to move or go.

        Args:
            whose: Id of the swing or of the student.
        """

    def refresh(self) -> None:
        """Show what the library holds now: something was taken back or done again."""

    def header_words(self) -> QWidget | None:
        """Words of its own, which stand at the right of the header while this place is seen."""
        return None

    def standing(self) -> str:
        """What the caption says while nothing else is said there; `stands` tells another."""
        return ""

    def tv(self) -> TvPainter | None:
        """What the second screen shows while this place is seen; None where it has no pictures."""
        return None

    def kept(self) -> dict[str, str]:
        """Small things that should be as they were when the program starts again."""
        return {}

    def restore(self, kept: dict[str, str]) -> None:
        """Take up what `kept` gave, or an empty or older one; what is unknown is left alone."""

    def let_go(self) -> None:
        """End threads and close files of its own; called once, before the library is closed."""
