"""The page on which a lesson's one or two things to work on are written.

Owns the fields; hands over what was written.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from capturestation.records import Lesson
from capturestation.ui.book.private import Private
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.book.wording import day_title
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_NOTE_ROWS = 4


class LessonForm(Sheet):
    """One or two things, and the coach's own notes.

    Signals:
        saved: The things, a tuple of texts, and the notes.
        left: Nothing is to be kept.
    """

    saved = pyqtSignal(object, str)
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent)
        self.lesson: Lesson | None = None
        self._begun: tuple[tuple[str, ...], str] = ((), "")
        self.title = label(letters="title", wraps=True)
        self.things = (QLineEdit(), QLineEdit())
        self.notes = Private(look, "book.lesson.notes", _NOTE_ROWS)
        self._earlier = QWidget()
        self._earlier_box = QVBoxLayout(self._earlier)
        self._earlier_box.setContentsMargins(0, 0, 0, 0)
        self.save_word = button(say("book.save"), self._save, role="main")
        column = self.rows
        column.addWidget(self.title)
        column.addWidget(label(say("book.lesson.hint"), soft=True, wraps=True))
        for key, field in zip(("first", "second"), self.things, strict=True):
            self._row(column, f"book.lesson.{key}", field)
            field.returnPressed.connect(self._save)
        column.addWidget(self._earlier)
        column.addWidget(self.notes)
        gap = look.px("gap")
        column.addWidget(flowing(gap, self.save_word, button(say("book.cancel"), self.left.emit)))
        column.addStretch(1)

    @staticmethod
    def _row(column: QVBoxLayout, key: str, field: QWidget) -> None:
        words = label(say(key))
        words.setBuddy(field)
        field.setAccessibleName(say(key))
        column.addWidget(words)
        column.addWidget(field)

    def begin(self, lesson: Lesson, earlier: Sequence[str] = ()) -> None:
        """Open the page for a lesson.

        Args:
            lesson: Which.
            earlier: What was worked on in other lessons, offered as words to press.
        """
        self.lesson = lesson
        self.title.setText(say("book.lesson.title", day=day_title(lesson.on)))
        texts = [*lesson.focus, "", ""]
        for field, text in zip(self.things, texts, strict=False):
            field.setText(text)
        self.notes.begin(lesson.notes)
        self._offer([one for one in earlier if one not in lesson.focus])
        self._begun = self.written
        self.things[0].setFocus()

    def _offer(self, earlier: Sequence[str]) -> None:
        while self._earlier_box.count():
            item = self._earlier_box.takeAt(0)
            old = item.widget() if item else None
            if old is not None:
                old.hide()
                old.deleteLater()
        if earlier:
            words = [button(one, partial(self.take, one), role="quiet") for one in earlier]
            told = label(say("book.lesson.earlier"), soft=True)
            self._earlier_box.addWidget(told)
            self._earlier_box.addWidget(flowing(self.look.px("gap"), *words))
        self._earlier.setVisible(bool(earlier))

    def take(self, thing: str) -> None:
        """Work on something again: into the first free line, else in the second's place."""
        field = next((one for one in self.things if not one.text().strip()), self.things[1])
        field.setText(thing)

    @property
    def written(self) -> tuple[tuple[str, ...], str]:
        """The things and the notes as they stand there."""
        things = tuple(field.text().strip() for field in self.things if field.text().strip())
        return things, self.notes.text

    @property
    def is_changed(self) -> bool:
        """Whether something was written that isn't kept."""
        return self.written != self._begun

    def keep(self, lesson: Lesson, written: tuple[tuple[str, ...], str]) -> bool:
        """The lesson is kept as it was written; whether nothing else was written since."""
        self.lesson, self._begun = lesson, written
        return not self.is_changed

    def begin_again(self) -> None:
        """What stands there now is kept, or is to be lost."""
        self._begun = self.written

    def _save(self) -> None:
        self.saved.emit(*self.written)
