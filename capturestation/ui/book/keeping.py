"""What is changed about students: written down, changed, asked for consent, forgotten.

Owns the way from a page to a step of the station. Forgetting can't be taken back: it is asked
twice, done beside the window and told what went.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from capturestation.errors import BadInputError, StationError
from capturestation.records import Student, StudentId, Watch, new_id
from capturestation.station import book_steps, forgetting, people
from capturestation.station.forgetting import Forgotten
from capturestation.station.undo import Step
from capturestation.ui.asking import Choice
from capturestation.ui.book.student_form import Written
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_MB = 1e6


class Keeping:
    """The Book's changes of students.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place
        self._student: Student | None = None
        self._is_saving = False
        self._opened = 0
        self._back: Callable[[], None] | None = None
        self.by = ""
        """Who wrote answers about consent down last: mostly it is the same coach."""

    def new_student(self) -> None:
        """Open the page for a new student, with what was looked for as the name."""
        place = self._place
        self._student = None
        found = bool(place.index.model.lines)
        name = "" if found else " ".join(place.index.field.text().split())
        place.student_form.begin(None, name=name, by=self.by)
        self._show_form()

    def change_student(self) -> None:
        """Open the page of the chosen student."""
        place = self._place
        if place.student is not None:
            person = place.library.person(place.student.id)
            self._student = person.student
            place.student_form.begin(person.student, history=person.history, by=self.by)
            self._show_form()

    def _show_form(self) -> None:
        self._opened += 1
        self._place.show_over(self._place.student_form)
        self._place.student_form.name.setFocus()

    def save(self, written: Written) -> None:
        """Keep what was written; what is wrong with it is told and stays on the page."""
        place, old, form = self._place, self._student, self._place.student_form
        key, opened = StudentId(new_id()) if old is None else old.id, self._opened
        if self._is_saving or not self._says_who(written):
            return

        def then() -> None:
            self._is_saving = False
            if written.answers:
                self.by = written.answers[0].by
            if place.pages.currentWidget() is not form or self._opened != opened:
                place.refresh()
                return
            if old is None:
                place.index.field.clear()
            self._student = place.library.student(key)
            if form.keep(written):
                place.close_over()
            place.show_student(key)

        def failed(_error: StationError) -> None:
            self._is_saving = False

        self._is_saving = True
        place.changing.run(lambda: self._step(written, old, key), then, failed)

    def _says_who(self, written: Written) -> bool:
        """Whether new answers say who wrote them down; else it is asked for."""
        try:
            people.check_answers(written.answers)
        except BadInputError as error:
            self._place.trouble.emit(error)
            self._place.student_form.consents.by.setFocus()
            return False
        return True

    def _step(self, written: Written, old: Student | None, key: StudentId) -> Step:
        library = self._place.library
        year = _year(written.birth_year)
        people.check_student(written.name, year)
        new = Student(
            id=key,
            name=written.name.strip(),
            hand=written.hand,
            birth_year=year,
            consents=written.answers if old is None else old.consents,
            limits_today=written.limits_today,
            notes=written.notes,
        )
        if old is None:
            words = say("book.step.new_student", name=new.name)
            return book_steps.new_student(library, new, words)
        words = say("book.step.student", name=new.name)
        return book_steps.student(library, old, words, new, written.answers)

    # Forgetting.

    def ask_forget_written(self) -> None:
        """The student on the page is to be forgotten."""
        if self._student is not None:
            self.ask_forget(self._student)

    def give_out(self) -> None:
        """All of the student on the page is wanted as one file."""
        if self._student is not None:
            self._place.away.give_out(self._student)

    def ask_forget(self, student: Student, back: Callable[[], None] | None = None) -> None:
        """Say what is held of a student and ask once.

        Args:
            student: Who.
            back: Where it goes on afterwards; None for the student's page, or the Book.
        """
        place = self._place
        self._back = back

        def told(held: forgetting.Holding) -> None:
            self._ask_first(student, held)

        place.workers.run(
            say("book.forget.looking"),
            lambda _watch: forgetting.holding(place.library, student.id),
            told,
            place.trouble.emit,
        )

    def _ask_first(self, student: Student, held: forgetting.Holding) -> None:
        place = self._place
        text = say(
            "book.forget.text",
            swings=held.swings + held.trashed + held.waiting,
            lessons=held.lessons,
            files=held.files,
            size=max(round(held.size_bytes / _MB), 1),
        )
        place.show_over(place.question)
        place.question.ask(
            say("book.forget.title", name=student.name),
            text,
            [
                Choice(words=say("book.forget.stay"), chosen=self.stay),
                Choice(words=say("book.forget.go_on"), chosen=lambda: self._ask_again(student)),
            ],
            note=forgetting.ELSEWHERE,
        )

    def stay(self) -> None:
        """Nothing is forgotten; what was written on the page and isn't kept yet stands there."""
        if self._back is not None:
            self._back()
        elif self._place.student_form.is_changed:
            self._show_form()
        else:
            self._place.close_over()

    def _ask_again(self, student: Student) -> None:
        self._student = student
        self._place.forget_page.begin(student.name)
        self._place.show_over(self._place.forget_page)
        self._place.forget_page.field.setFocus()

    def forget(self) -> None:
        """Forget the student whose name was written; beside the window."""
        place, student = self._place, self._student
        if student is None:
            return
        place.close_over()

        def op(watch: Watch) -> Forgotten:
            return forgetting.forget(place.library, place.cache, student.id, watch)

        def failed(error: StationError) -> None:
            place.refresh()
            place.trouble.emit(error)

        place.going.emit(student.id)
        place.workers.run(say("book.forget.working"), op, self._forgotten, failed)

    def _forgotten(self, gone: Forgotten) -> None:
        place = self._place
        # Steps name the student, and what they are about is gone.
        place.steps.forget()
        place.student = None
        place.refresh()
        left = [say("book.forgotten.left", path=one.path, said=one.said) for one in gone.left]
        title = "book.forgotten.title" if gone.is_gone else "book.forgotten.not_all"
        text = say(
            "book.forgotten",
            swings=gone.went.swings + gone.went.trashed + gone.went.waiting,
            lessons=gone.went.lessons,
            answers=gone.went.answers,
            files=gone.went.files,
            made=gone.made.files,
        )
        place.show_over(place.question)
        place.question.ask(
            say(title),
            "\n\n".join((text, *left)),
            [Choice(words=say("book.forgotten.good"), chosen=self._back or place.close_over)],
            note="\n".join(gone.said),
        )
        place.says.emit(say(title))


def _year(text: str) -> int | None:
    if not text:
        return None
    if not text.isdecimal():
        raise BadInputError(
            say("book.student.no_year", text=text), try_next=say("book.student.no_year.next")
        )
    return int(text)
