"""Two tiny places, so that the shell can be tried without what it will hold.

python -m tests.helpers.two_places [LIBRARY]    the real window with them in it
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from PyQt6.QtCore import QSize
from PyQt6.QtGui import QColor, QPainter
from PyQt6.QtWidgets import QLineEdit, QListWidget, QVBoxLayout, QWidget

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import SwingId, Watch
from capturestation.station.undo import Step, UndoList
from capturestation.ui.app import run_window
from capturestation.ui.look import Look
from capturestation.ui.place import Place, TvPainter
from capturestation.ui.words import button, label
from capturestation.ui.work import Workers

PATCH = QColor(0x40, 0x90, 0xC0)


class Patch:
    """Paints one colour where a picture would be."""

    def paint_tv(self, painter: QPainter, size: QSize) -> None:
        """Fill the middle."""
        painter.fillRect(size.width() // 4, 0, size.width() // 2, size.height(), PATCH)


class _Tiny(Place):
    """Keeps what was asked of it."""

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.done: list[str] = []
        self.kept_before: dict[str, str] = {}
        self.refreshed = 0
        self.layout_ = QVBoxLayout(self)
        self.layout_.addWidget(label(self.key.title(), letters="huge"))

    def act(self, what: str) -> Callable[[], None]:
        """A command that is remembered."""
        return lambda: self.done.append(what)

    def refresh(self) -> None:
        """Count."""
        self.refreshed += 1

    def kept(self) -> dict[str, str]:
        """How often something was done here."""
        return {"done": str(len(self.done))}

    def restore(self, kept: dict[str, str]) -> None:
        """Keep what was kept."""
        self.kept_before = kept


class TinyBook(_Tiny):
    """A field, a list and a word that stars."""

    key = "book"

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.field = QLineEdit()
        self.field.setAccessibleName("find")
        self.list = QListWidget()
        self.list.setAccessibleName("students")
        self.list.addItems(["one", "two", "three"])
        self.star_word = button("Star", self.star)
        for widget in (self.field, self.list, self.star_word):
            self.layout_.addWidget(widget)

    def commands(self) -> dict[str, Callable[[], None]]:
        """Star by key; the remote goes from swing to swing."""
        return {
            "book.star": self.star,
            "book.next_swing": self.act("next"),
            "remote.next": self.act("next by remote"),
        }

    def star(self) -> None:
        """A step that can be taken back."""
        self.steps.run(
            Step(words="best", do=self.act("star"), undo=lambda: _ignore(self.done.pop()))
        )

    def fail(self) -> None:
        """A trouble."""
        self.trouble.emit(NotFoundError("The swing is gone.", try_next="Choose another."))

    def work(self, op: Callable[[Watch], str]) -> None:
        """A job."""
        self.workers.run("Making the clip", op, self.says.emit, self.trouble.emit)

    def take_files(self, paths: Sequence[Path]) -> bool:
        """Take them, and keep what they were."""
        self.done += [path.name for path in paths]
        return True


class TinyBench(_Tiny):
    """Looks at a swing and has a picture for the second screen."""

    key = "bench"

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.looked_at: SwingId | None = None
        self.open_inside = False
        self.layout_.addWidget(button("Play", self.act("play by hand")))

    def commands(self) -> dict[str, Callable[[], None]]:
        """Frames, and the remote."""
        return {
            "bench.next_frame": self.act("next frame"),
            "bench.previous_moment": self.act("previous moment"),
            "bench.play": self.act("play"),
            "remote.next": self.act("next by remote"),
            "remote.play": self.act("play by remote"),
            "remote.view": self.act("view by remote"),
        }

    def look_at(self, swing: SwingId) -> None:
        """Keep it."""
        self.looked_at = swing

    @property
    def swing(self) -> SwingId | None:
        """What is looked at."""
        return self.looked_at

    def leave(self) -> bool:
        """Close what is open inside."""
        was_open, self.open_inside = self.open_inside, False
        return was_open

    def tv(self) -> TvPainter | None:
        """A patch."""
        return Patch()


def _ignore(_value: object) -> None:
    """Take no notice."""


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    sys.exit(run_window(folder, sys.argv[:1], (TinyBook, TinyBench)))
