"""The Book as a place of the window: what is chosen, and the pages that lie over it.

Owns leafing: find, student, lesson, swing. What is changed is done by `changing`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PyQt6.QtGui import QDragEnterEvent, QDropEvent, QResizeEvent
from PyQt6.QtWidgets import QFileDialog, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from capturestation.library import Library
from capturestation.records import Lesson, LessonId, Student, StudentId, Swing, SwingId
from capturestation.station import notebook
from capturestation.station.cache import Cache, cache_of
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.station.people import consent_words
from capturestation.station.pictures import PictureMaker
from capturestation.station.undo import UndoList
from capturestation.ui.asking import AskPage
from capturestation.ui.book.ball_page import BallPage
from capturestation.ui.book.changing import Changing
from capturestation.ui.book.files_page import FilesPage
from capturestation.ui.book.lesson_form import LessonForm
from capturestation.ui.book.panes import IndexPane, Part, StudentPane
from capturestation.ui.book.path import WIDE_LETTERS, PathWords
from capturestation.ui.book.pictures import Pictures
from capturestation.ui.book.student_form import StudentForm
from capturestation.ui.book.taking import Taking
from capturestation.ui.book.wording import RATINGS, day_words
from capturestation.ui.look import Look
from capturestation.ui.place import Place
from capturestation.ui.texts import say
from capturestation.ui.work import Workers


class BookPlace(Place):
    """Students, lessons, swings.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence.
        opens: A `SwingId` to look at on the Bench.
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
        super().__init__(library, workers, look, steps, parent)
        self.cache = cache or cache_of(library)
        self._maker = PictureMaker(library, self.cache)
        self.pictures = Pictures(self._maker, self)
        self.student: Student | None = None
        self.lesson: Lesson | None = None
        self.chosen: Swing | None = None
        self.index = IndexPane(look)
        self.page = StudentPane(look, self.pictures)
        self.path = PathWords(look)
        self.part = Part.SWINGS
        self.ball_page = BallPage(look)
        self.student_form = StudentForm(look)
        self.lesson_form = LessonForm(look)
        self.files = FilesPage(look)
        self.question = AskPage(look)
        self.changing = Changing(self)
        self.taking = Taking(self)
        self._lay_out()
        self._connect()
        self.setAcceptDrops(True)
        self.refresh()

    def _lay_out(self) -> None:
        self._book = QWidget()
        rows = QVBoxLayout(self._book)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addWidget(self.path)
        sheets = QHBoxLayout()
        sheets.setSpacing(self.look.px("margin"))
        sheets.addWidget(self.index, 2)
        sheets.addWidget(self.page, 7)
        rows.addLayout(sheets, 1)
        self.pages = QStackedWidget()
        over = (self.student_form, self.lesson_form, self.ball_page, self.files, self.question)
        for page in (self._book, *over):
            self.pages.addWidget(page)
        column = QVBoxLayout(self)
        margin, gap = self.look.px("margin"), self.look.px("gap")
        column.setContentsMargins(margin, gap, margin, gap)
        column.addWidget(self.pages)

    def _connect(self) -> None:
        self.index.typed.connect(lambda _text: self._show_students())
        self.index.new_wanted.connect(self.changing.new_student)
        self.index.list.chosen.connect(self._choose_student)
        self.index.list.entered.connect(lambda _line: self.show_part(Part.LESSONS))
        self.page.lesson_list.chosen.connect(self._choose_lesson)
        self.page.lesson_list.entered.connect(lambda _line: self.show_part(Part.SWINGS))
        self.page.swing_list.chosen.connect(self._choose_swing)
        self.page.swing_list.entered.connect(lambda _swing: self.open_chosen())
        self.page.asked.connect(self._asked)
        self.ball_page.noted.connect(self.changing.ball)
        self.path.wanted.connect(self.show_part)
        self.look.changed.connect(self._fit)
        self.page.bar.noted.connect(self.changing.note)
        for form in (self.student_form, self.lesson_form, self.ball_page, self.files):
            form.left.connect(self.leave)
        self.student_form.saved.connect(self.changing.save_student)
        self.lesson_form.saved.connect(self.changing.save_lesson)
        self.files.told.connect(self.taking.take)

    def _asked(self, action: str) -> None:
        self.commands()[action]()

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys, and for the words on its page."""
        does = self.changing
        rated: dict[str, Callable[[], None]] = {
            f"book.rate_{n}": partial(does.rate, n) for n in RATINGS
        }
        return rated | {
            "book.find": self.look_for,
            "book.open": self.open_chosen,
            "book.previous_swing": lambda: self.step(-1),
            "book.next_swing": lambda: self.step(1),
            "book.star": does.star,
            "book.ball": self.show_ball,
            "book.club": does.next_club,
            "book.kind": does.next_kind,
            "book.notes": self.page.bar.notes.setFocus,
            "book.move": does.ask_move,
            "book.delete": does.delete,
            "book.add_files": self.ask_files,
            "book.new_student": does.new_student,
            "book.new_lesson": does.new_lesson,
            "book.change": does.change_student,
            "book.focus": does.change_focus,
            "book.forget": does.ask_forget,
            "remote.previous": lambda: self.step(-1),
            "remote.next": lambda: self.step(1),
            "remote.play": self.open_chosen,
        }

    # Leafing.

    def refresh(self) -> None:
        """Show what the library holds now; what was chosen stays chosen where it is still there."""
        self._show_students()

    def _show_students(self) -> None:
        kept = self.student.id if self.student else None
        self.index.put(notebook.student_lines(self.library, self.index.field.text()))
        if kept is None or not self.index.list.choose(kept):
            self.index.list.choose(None)
        if not self.index.model.lines:
            self._choose_student(None)

    def _choose_student(self, line: StudentLine | None) -> None:
        self.student = line.student if line else None
        facts = self._facts(line.student) if line else ""
        self.page.put_student(self.student, facts)
        lines = notebook.lesson_lines(self.library, line.student.id) if line else ()
        wanted = line.lesson if line and line.lesson else self.lesson
        self.page.put_lessons(lines)
        if wanted is None or not self.page.lesson_list.choose(wanted.id):
            self.page.lesson_list.choose(None)
        if not lines:
            self._choose_lesson(None)

    def _facts(self, student: Student) -> str:
        parts = [say(f"book.hand.{student.hand}")]
        parts += [say("book.born", year=student.birth_year)] if student.birth_year else []
        return ". ".join([", ".join(parts), consent_words(student)]) + "."

    def _choose_lesson(self, line: LessonLine | None) -> None:
        self.lesson = line.lesson if line else None
        swings = notebook.swings_of_lesson(self.library, line.lesson.id) if line else ()
        kept = self.chosen.id if self.chosen else None
        self.page.put_swings(self.lesson, swings)
        if kept is None or not self.page.swing_list.choose(kept):
            self.page.swing_list.choose(None)
        if not swings:
            self._choose_swing(None)

    def _choose_swing(self, swing: Swing | None) -> None:
        self.chosen = swing
        self.page.bar.show_swing(swing)
        if swing is not None:
            self.ball_page.show_ball(swing.book.ball)
        self.path.write(
            self.student.name if self.student else "",
            day_words(self.lesson.on) if self.lesson else "",
        )

    @property
    def swing(self) -> SwingId | None:
        """The swing that is chosen."""
        return self.chosen.id if self.chosen else None

    def look_at(self, swing: SwingId) -> None:
        """Leaf to that swing."""
        found = self.library.swing(swing)
        self.index.field.clear()
        self.lesson = self.library.lesson(found.book.lesson_id)
        self.chosen = found
        self.student = self.library.student(found.book.student_id)
        self._show_students()
        self._choose_student(self.index.model.at(self.index.list.currentIndex()))

    def open_chosen(self) -> None:
        """Look at the chosen swing on the Bench."""
        if self.chosen is not None:
            self.opens.emit(self.chosen.id)

    def step(self, way: int) -> None:
        """The swing before or after in the lesson."""
        found = notebook.neighbour(self.page.swings.lines, self.swing, way)
        if found is not None:
            self.page.swing_list.choose(found.id)

    def look_for(self) -> None:
        """Type to find."""
        self.show_part(Part.STUDENTS)
        self.index.field.setFocus()
        self.index.field.selectAll()

    # Parts of it, and pages over it.

    @property
    def is_wide(self) -> bool:
        """Whether index, lessons and prints have room side by side."""
        return self.width() >= WIDE_LETTERS * self.look.px("body")

    def show_part(self, part: Part) -> None:
        """Show that part where there is no room for all, and put the keyboard there."""
        self.part = part
        self._fit()
        lists: dict[Part, QWidget] = {
            Part.STUDENTS: self.index.list,
            Part.LESSONS: self.page.lesson_list,
            Part.SWINGS: self.page.swing_list,
        }
        lists[part].setFocus()

    def _fit(self) -> None:
        wide = self.is_wide
        self.path.setVisible(not wide)
        self.path.mark(self.part)
        self.index.setVisible(wide or self.part is Part.STUDENTS)
        self.page.setVisible(wide or self.part is not Part.STUDENTS)
        self.page.show_part(None if wide else self.part)

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Show what there is room for."""
        super().resizeEvent(event)
        self._fit()

    def show_ball(self) -> None:
        """Write down what the ball did."""
        if self.chosen is not None:
            self.show_over(self.ball_page)
            self.ball_page.words["start", "straight"].setFocus()

    def show_over(self, page: QWidget) -> None:
        """Lay a page over the Book."""
        self.pages.setCurrentWidget(page)

    def leave(self) -> bool:
        """Back to the Book from a page that lies over it."""
        if self.pages.currentWidget() is self._book:
            return False
        self.pages.setCurrentWidget(self._book)
        self.page.swing_list.setFocus()
        return True

    # Files.

    def dragEnterEvent(self, event: QDragEnterEvent | None) -> None:
        """Take files, nothing else."""
        mime = event.mimeData() if event else None
        if event is not None and mime is not None and mime.hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent | None) -> None:
        """Ask what the dropped files are."""
        mime = event.mimeData() if event else None
        if event is None or mime is None:
            return
        event.acceptProposedAction()
        self.taking.offer([Path(u.toLocalFile()) for u in mime.urls() if u.isLocalFile()])

    def ask_files(self) -> None:
        """Choose files where dropping is not at hand."""
        chosen, _ = QFileDialog.getOpenFileNames(self, say("book.add_files"))
        if chosen:
            self.taking.offer([Path(name) for name in chosen])

    def kept(self) -> dict[str, str]:
        """What was chosen."""
        kept: dict[str, str] = {}
        if self.student is not None:
            kept["student"] = self.student.id
        if self.lesson is not None:
            kept["lesson"] = self.lesson.id
        return kept

    def restore(self, kept: dict[str, str]) -> None:
        """Leaf to where one was."""
        student, lesson = kept.get("student"), kept.get("lesson")
        if student is not None and self.index.list.choose(StudentId(student)) and lesson:
            self.page.lesson_list.choose(LessonId(lesson))

    def let_go(self) -> None:
        """End the thread that makes pictures; before the library is closed."""
        self._maker.close()
