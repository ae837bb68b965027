"""The Book as a place of the window: what is chosen, and the pages that lie over it.

Owns leafing: find, student, lesson, swing. What is changed is done by `changing` and `keeping`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PyQt6.QtCore import QTimer
from PyQt6.QtGui import QHideEvent, QShowEvent
from PyQt6.QtWidgets import QWidget

from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import (
    Lesson,
    LessonId,
    Student,
    StudentId,
    Swing,
    SwingId,
)
from capturestation.station import notebook
from capturestation.station.cache import Cache, cache_of
from capturestation.station.leaf import Leaf, LeafLine, Print, neighbour, newest_of
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.station.undo import UndoList
from capturestation.ui.book.ball_page import BallPage
from capturestation.ui.book.changing import Changing
from capturestation.ui.book.choosing import Choosing
from capturestation.ui.book.keeping import Keeping
from capturestation.ui.book.long_away import LongAway
from capturestation.ui.book.mending import Mending
from capturestation.ui.book.move_page import MovePage
from capturestation.ui.book.overs import Overs
from capturestation.ui.book.panes import Part
from capturestation.ui.book.taking import Taking
from capturestation.ui.book.weekly import Weekly
from capturestation.ui.book.weeks_page import WeeksPage
from capturestation.ui.book.word_page import WordPage
from capturestation.ui.book.wording import RATINGS
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.work import Workers

LOOK_MS = 2_000
"""How often it is looked whether another window changed the library; a look takes microseconds."""


class BookPlace(Overs):
    """Students, lessons, swings.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence.
        opens: A `SwingId` to look at on the Bench.
        hits: A `StudentId` who is to be recorded in the Bay.
        pictured: Never sent: the Book has no pictures for the second screen.
    """

    key = "book"

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
        *,
        cache: Cache | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent, cache=cache or cache_of(library))
        self.student: Student | None = None
        self.lesson: Lesson | None = None
        self.chosen: Swing | None = None
        self.wanted: str | None = None
        self._leaf: Leaf | None = None
        self._was_hidden = False
        self._changes = library.changes_elsewhere()
        self.changing = Changing(self)
        self.choosing = Choosing(self)
        self.keeping = Keeping(self)
        self.mending = Mending(self)
        self.away = LongAway(self)
        self.taking = Taking(self)
        self.weekly = Weekly(self)
        self._looks = QTimer(self)
        self._looks.setInterval(LOOK_MS)
        self._looks.timeout.connect(self.look_again)
        self._connect()
        try:
            self._show_students()
        except StationError as error:
            # Whoever made this listens to it from then on.
            kept = error
            QTimer.singleShot(0, lambda: self.trouble.emit(kept))

    def _connect(self) -> None:
        self.index.begun.connect(self.finding.read_soon)
        self.index.typed.connect(lambda _text: self._show_students())
        self.index.new_wanted.connect(self.keeping.new_student)
        self.index.away_wanted.connect(self.away.show)
        self.index.list.chosen.connect(self._choose_student)
        self.index.list.entered.connect(lambda _line: self.show_part(Part.LEAF))
        self.page.list.chosen.connect(self._choose_line)
        self.page.list.entered.connect(self._enter_line)
        self.page.asked.connect(lambda action: self.commands()[action]())
        self.page.bar.noted.connect(self.changing.note)
        self.page.model.failed.connect(self.trouble)
        self.finding.ready.connect(self._found)
        self.finding.failed.connect(self.trouble)

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys, and for the words on its page.

        A key that changes the chosen swing does nothing while a page lies over it.
        """
        does, keeps = self.changing, self.keeping
        acts: dict[str, Callable[[], None]] = {
            "book.open": self.open_chosen,
            "book.previous_swing": partial(self.step, -1),
            "book.next_swing": partial(self.step, 1),
            "book.star": does.star,
            "book.ball": self.choosing.ask_ball,
            "book.notes": does.ask_notes,
            "book.move": does.ask_move,
            "book.views": self.mending.ask,
            "book.delete": does.delete,
            "book.delete_lesson": does.delete_lesson,
            "book.focus": does.change_focus,
            "book.change": keeps.change_student,
            "book.new_student": keeps.new_student,
            "book.new_lesson": does.new_lesson,
            "book.add_files": self.taking.ask,
            "book.find": self.look_for,
            "book.to_bay": self.send_to_bay,
            "book.away": self.away.show,
            "remote.previous": partial(self.step, -1),
            "remote.next": partial(self.step, 1),
            "remote.play": self.open_chosen,
            "remote.view": self.next_student,
        }
        rates = {f"book.rate_{n}": partial(does.rate, n) for n in RATINGS}
        asks = {"book.club": self.choosing.ask_club, "book.kind": self.choosing.ask_kind}
        weeks = {"book.weeks": self.weekly.ask}
        heard: dict[str, Callable[[], None]] = {}
        pages = ((None, acts), (BallPage, rates), (WordPage, asks), (WeeksPage, weeks))
        for page, named in pages:
            heard |= {name: partial(self._unless_over, act, page) for name, act in named.items()}
        return heard

    def _unless_over(self, act: Callable[[], None], but: type[QWidget] | None) -> None:
        over = self.pages.currentWidget() if self.is_over else None
        if over is None or (but is not None and isinstance(over, but)):
            act()

    # Leafing.

    def refresh(self) -> None:
        """Show what the library holds now; what was chosen stays chosen where it is still there.

        What can't be read, such as a row that other hands damaged, is told.
        """
        self.finding.forget()
        self.wanted = self.wanted or self._key()
        try:
            if self._leaf is not None:
                self._leaf.read_again()
            self._show_students()
        except StationError as error:
            self.wanted = None
            self.trouble.emit(error)

    def look_again(self) -> None:
        """Show what another window, or program, changed; nothing while a page lies over."""
        try:
            now = self.library.changes_elsewhere()
        except StationError as error:
            self._looks.stop()
            self.trouble.emit(error)
            return
        if now != self._changes and not self.is_over:
            self._changes = now
            self.refresh()

    def _key(self) -> str | None:
        """The id of what is chosen on the page."""
        if self.chosen is not None:
            return self.chosen.id
        return self.lesson.id if self.lesson is not None else None

    def _found(self) -> None:
        if self.index.field.text().strip():
            self._show_students()
        if isinstance(self.pages.currentWidget(), MovePage):
            self.changing.show_goals()

    def _show_students(self) -> None:
        text, kept = self.index.field.text(), self.student.id if self.student else None
        lines = notebook.student_lines(self.library, text, self.finding.lessons(text))
        self.index.put(lines)
        if kept is None or not self.index.list.choose(kept):
            self.index.list.choose(None)
        if not lines.lines:
            self._choose_student(None)

    def _choose_student(self, line: StudentLine | None) -> None:
        self.student = line.student if line else None
        if line is None:
            self._leaf = None
        elif self._leaf is None or self._leaf.student_id != line.student.id:
            self._leaf = Leaf(self.library, line.student.id)
        else:
            self.wanted = self.wanted or self._key()
        if line is not None and line.lesson is not None:
            self.wanted = line.lesson.id
        self._show_leaf()

    def _show_leaf(self) -> None:
        leaf, wanted = self._leaf, self.wanted
        newest = leaf.lessons[0].lesson if leaf is not None and leaf.lessons else None
        self.wanted = None
        self.page.put_student(self.student, newest)
        is_first = not (self.index.model.lines or self.index.field.text())
        self.page.put_leaf(leaf, is_first=is_first)
        if is_first:
            self.part = Part.STUDENTS
            self._fit()
        if leaf is not None and wanted is not None and self.page.model.row_of(wanted) < 0:
            leaf.read_to(self._lesson_of(wanted))
            self.page.put_leaf(leaf)
        if wanted is not None and self.page.list.choose(wanted):
            return
        first = neighbour(self.page.model.lines, None, 1)
        if not self.page.list.choose(first.swing.id if first else None):
            self._choose_line(None)

    def _lesson_of(self, key: str) -> LessonId:
        """The lesson of that id, or of the swing of that id."""
        if self.library.unknown_swings([key]):
            return LessonId(key)
        return self.library.swing(SwingId(key)).book.lesson_id

    def _choose_line(self, line: LeafLine | None) -> None:
        self.chosen = line.swing if isinstance(line, Print) else None
        self.lesson = line.lesson if line is not None else None
        self.page.bar.show_line(line)
        over = self.pages.currentWidget()
        asked = self.choosing.asked_ball
        if self.chosen is not None and isinstance(over, BallPage) and self.chosen.id == asked:
            over.show_ball(self.chosen.book.ball)
        self.write_path(self.student, line)

    def _enter_line(self, line: LeafLine | None) -> None:
        if isinstance(line, LessonLine):
            self.changing.change_focus()
        else:
            self.open_chosen()

    def show_swing_again(self, swing_id: SwingId) -> None:
        """Show one swing as it is now."""
        self.finding.forget()
        if self._leaf is None:
            return
        self.wanted = self.wanted or self._key()
        try:
            self._leaf.read_swing(swing_id)
            self._show_leaf()
        except StationError as error:
            self.wanted = None
            self.trouble.emit(error)

    def show_lesson(self, lesson: Lesson) -> None:
        """Leaf to that lesson of the student."""
        self.wanted = lesson.id
        self._show_leaf()

    def show_student(self, student_id: StudentId) -> None:
        """Leaf to that student."""
        self.student = self.library.student(student_id)
        self._show_students()

    @property
    def swing(self) -> SwingId | None:
        """The swing that is chosen."""
        return self.chosen.id if self.chosen else None

    def look_at(self, swing: SwingId) -> None:
        """Leaf to that swing."""
        found = self.library.swing(swing)
        self.index.field.clear()
        self.student = self.library.student(found.book.student_id)
        self.wanted = swing
        self.refresh()

    def open_chosen(self) -> None:
        """Look at the chosen swing on the Bench, or at the newest one of the chosen lesson."""
        swing, lesson = self.chosen, self.lesson
        if swing is None and lesson is not None:
            newest = newest_of(self.page.model.lines, lesson.id)
            swing = newest.swing if newest is not None else None
        if swing is not None:
            self.opens.emit(swing.id)
        else:
            self.says.emit(say("book.open.none" if lesson is not None else "book.open.nothing"))

    def send_to_bay(self) -> None:
        """The student whose page it is is going to hit."""
        if self.student is not None:
            self.hits.emit(self.student.id)

    def step(self, way: int) -> None:
        """The swing before or after on the page, over lessons."""
        from_id = self.swing
        if from_id is None and self.lesson is not None:
            # From a lesson's heading one steps to its first swing.
            row = self.page.model.row_of(self.lesson.id)
            beside = self.page.model.lines[row + 1 :] if way > 0 else ()
            found = neighbour(beside, None, 1)
        else:
            found = neighbour(self.page.model.lines, from_id, way)
        if found is not None:
            self.page.list.choose(found.swing.id)

    def next_student(self) -> None:
        """The student below in the index, and after the last the first."""
        lines = self.index.model.lines
        if lines:
            row = (self.index.list.currentIndex().row() + 1) % len(lines)
            self.index.list.choose(self.index.model.key(lines[row]))

    def look_for(self) -> None:
        """Type to find."""
        self.show_part(Part.STUDENTS)
        self.index.field.setFocus()
        self.index.field.selectAll()

    # Files.

    def take_files(self, paths: Sequence[Path]) -> bool:
        """Ask what the dropped files are, unless something is being written down."""
        if self.is_over and self.unkept:
            self.says.emit(say("book.keep_first"))
        else:
            self.taking.offer(list(paths))
        return True

    # Coming and going.

    def showEvent(self, event: QShowEvent | None) -> None:
        """Show what was changed at another place meanwhile, and look for what others change."""
        super().showEvent(event)
        if self._was_hidden and not self.is_over:
            self.refresh()
        self.away.remind()
        self._looks.start()

    def hideEvent(self, event: QHideEvent | None) -> None:
        """Look no longer."""
        super().hideEvent(event)
        self._was_hidden = True
        self._looks.stop()

    def kept(self) -> dict[str, str]:
        """What was chosen."""
        kept = {"club": self.taking.club, "by": self.keeping.by, **self.away.memory()}
        if self.student is not None:
            kept["student"] = self.student.id
        if (key := self._key()) is not None:
            kept["line"] = key
        return kept

    def restore(self, kept: dict[str, str]) -> None:
        """Leaf to where one was."""
        self.taking.club = kept.get("club", "")
        self.keeping.by = kept.get("by", "")
        self.away.remember(kept)
        student = kept.get("student", "")
        if self.index.model.row_of(student) >= 0:
            self.wanted = kept.get("line")
            self.index.list.choose(student)

    def let_go(self) -> None:
        """End its threads and its looking."""
        self._looks.stop()
        super().let_go()
