"""What is changed in the Book, each as a step that can be taken back.

Owns the way from a pressed word to a step of the station. What can't be taken back is asked first,
twice where a person's recordings go.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from capturestation.errors import BadInputError, StationError
from capturestation.records import BallResult, Student, Swing, SwingKind, Watch
from capturestation.station import book_steps, forgetting, notebook, people
from capturestation.station.forgetting import Forgotten
from capturestation.station.undo import Step
from capturestation.ui.asking import Choice
from capturestation.ui.book.student_form import Written
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_MOST_OFFERED = 7
_MB = 1e6


class Changing:
    """The Book's changes.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place
        self._student: Student | None = None

    def _run(self, make: Callable[[], Step]) -> bool:
        """Do a step; what goes wrong is told, and False."""
        place = self._place
        try:
            place.steps.run(make())
        except StationError as error:
            place.trouble.emit(error)
            return False
        finally:
            place.refresh()
        return True

    def _on_chosen(self, make: Callable[[Swing], Step]) -> None:
        swing = self._place.chosen
        if swing is not None:
            self._run(lambda: make(swing))

    def star(self) -> None:
        """Star the chosen swing, or take its star away."""
        self._on_chosen(lambda swing: book_steps.star(self._place.library, swing))

    def rate(self, rating: int) -> None:
        """Say how good the ball was, 1 to 5; the same again takes it away."""
        self._on_chosen(
            lambda swing: book_steps.ball(
                self._place.library,
                swing,
                replace(
                    swing.book.ball,
                    rating=None if swing.book.ball.rating == rating else rating,
                ),
            )
        )

    def ball(self, result: BallResult) -> None:
        """Write down what the ball did."""
        self._on_chosen(lambda swing: book_steps.ball(self._place.library, swing, result))

    def note(self, text: str) -> None:
        """Write notes."""
        self._on_chosen(lambda swing: book_steps.notes(self._place.library, swing, text))

    def next_club(self) -> None:
        """The next club of those that this lesson was given with, then of the usual ones."""

        def make(swing: Swing) -> Step:
            book = swing.book
            clubs = notebook.clubs_of(self._place.library, book.student_id, book.lesson_id)
            place = clubs.index(book.club) if book.club in clubs else -1
            return book_steps.club(self._place.library, swing, clubs[(place + 1) % len(clubs)])

        self._on_chosen(make)

    def next_kind(self) -> None:
        """The next kind of swing."""
        kinds = list(SwingKind)

        def make(swing: Swing) -> Step:
            after = kinds[(kinds.index(swing.book.kind) + 1) % len(kinds)]
            return book_steps.kind(self._place.library, swing, after)

        self._on_chosen(make)

    def delete(self) -> None:
        """Put the chosen swing into the trash; the one after it is chosen then."""
        place = self._place
        swing = place.chosen
        if swing is None:
            return
        lines = place.page.swings.lines
        after = notebook.neighbour(lines, swing.id, 1) or notebook.neighbour(lines, swing.id, -1)
        place.chosen = after
        if self._run(lambda: book_steps.delete(place.library, place.cache, swing)):
            place.says.emit(say("book.deleted"))

    # Students.

    def new_student(self) -> None:
        """Open the page for a new student."""
        self._open_form(None)

    def change_student(self) -> None:
        """Open the page of the chosen student."""
        if self._place.student is not None:
            self._open_form(self._place.library.student(self._place.student.id))

    def _open_form(self, student: Student | None) -> None:
        self._student = student
        self._place.student_form.begin(student)
        self._place.show_over(self._place.student_form)
        self._place.student_form.name.setFocus()

    def save_student(self, written: Written) -> None:
        """Keep what was written; what is wrong with it is told and stays on the page."""
        place = self._place
        try:
            student = self._saved(written)
        except StationError as error:
            place.trouble.emit(error)
            return
        place.student = student
        place.index.field.clear()
        place.leave()
        place.refresh()

    def _saved(self, written: Written) -> Student:
        library, year = self._place.library, _year(written.birth_year)
        if self._student is None:
            made = people.add_student(
                library,
                name=written.name,
                hand=written.hand,
                birth_year=year,
                notes=written.notes,
            )
            self._student = made
        else:
            people.check_student(written.name, year)
        changed = library.change_student(
            self._student.id,
            lambda now: replace(
                now,
                name=written.name.strip(),
                hand=written.hand,
                birth_year=year,
                limits_today=written.limits_today,
                notes=written.notes,
            ),
        )
        for answer in written.answers:
            changed = library.set_consent(changed.id, answer)
        return changed

    # Lessons.

    def new_lesson(self) -> None:
        """Open today's lesson of the student and write its focus."""
        place = self._place
        if place.student is None:
            return
        try:
            found = place.library.lesson_on(place.student.id, people.today())
            lesson = found or people.add_lesson(place.library, place.student.id)
        except StationError as error:
            place.trouble.emit(error)
            return
        place.lesson = lesson
        place.refresh()
        self.change_focus()

    def change_focus(self) -> None:
        """Open the page of the chosen lesson."""
        if self._place.lesson is not None:
            self._place.lesson_form.begin(self._place.lesson)
            self._place.show_over(self._place.lesson_form)
            self._place.lesson_form.things[0].setFocus()

    def save_lesson(self, things: tuple[str, ...], notes: str) -> None:
        """Keep the focus and the notes of the lesson."""
        lesson = self._place.lesson
        if lesson is not None and self._run(
            lambda: book_steps.lesson(self._place.library, lesson, things, notes)
        ):
            self._place.leave()

    # Moving.

    def ask_move(self) -> None:
        """Ask to whom the swing belongs."""
        place = self._place
        swing = place.chosen
        if swing is None:
            return
        lines = notebook.student_lines(place.library, place.index.field.text()).lines
        others = [one.student for one in lines if one.student.id != swing.book.student_id]
        if not others:
            lines = notebook.student_lines(place.library).lines
            others = [one.student for one in lines if one.student.id != swing.book.student_id]
        choices = [
            Choice(words=one.name, chosen=partial(self._move, swing, one))
            for one in others[:_MOST_OFFERED]
        ]
        stay = Choice(words=say("book.move.stay"), chosen=lambda: _drop(place.leave()))
        text = say("book.move.text" if len(others) <= _MOST_OFFERED else "book.move.many")
        place.question.ask(say("book.move.title"), text, [*choices, stay])
        place.show_over(place.question)

    def _move(self, swing: Swing, to: Student) -> None:
        place = self._place
        place.leave()

        def tell(said: tuple[str, ...]) -> None:
            place.says.emit(" ".join((say("book.moved", name=to.name), *said)))

        self._run(lambda: book_steps.move_to_student(place.library, swing, to.id, tell))

    # Forgetting a student.

    def ask_forget(self) -> None:
        """Ask once whether a student is to be forgotten with everything."""
        place, student = self._place, self._place.student
        if student is None:
            return
        held = forgetting.holding(place.library, student.id)
        text = say(
            "book.forget.text",
            swings=held.swings + held.trashed,
            lessons=held.lessons,
            files=held.files,
            size=round(held.size_bytes / _MB),
        )
        place.question.ask(
            say("book.forget.title", name=student.name),
            text,
            [
                Choice(words=say("book.forget.stay"), chosen=lambda: _drop(place.leave())),
                Choice(words=say("book.forget.go_on"), chosen=lambda: self._ask_again(student)),
            ],
            note=forgetting.ELSEWHERE,
        )
        place.show_over(place.question)

    def _ask_again(self, student: Student) -> None:
        place = self._place
        place.question.ask(
            say("book.forget.again", name=student.name),
            say("book.forget.again.text"),
            [
                Choice(words=say("book.forget.stay"), chosen=lambda: _drop(place.leave())),
                Choice(
                    words=say("book.forget.do", name=student.name),
                    chosen=lambda: self._forget(student),
                ),
            ],
        )

    def _forget(self, student: Student) -> None:
        place = self._place
        place.leave()
        place.steps.forget()

        def op(watch: Watch) -> Forgotten:
            return forgetting.forget(place.library, place.cache, student.id, watch)

        def failed(error: StationError) -> None:
            place.refresh()
            place.trouble.emit(error)

        place.workers.run(say("book.forget.working"), op, self._forgotten, failed)

    def _forgotten(self, gone: Forgotten) -> None:
        place = self._place
        place.student = place.lesson = place.chosen = None
        place.refresh()
        words = say("book.forgotten", swings=gone.went.swings, files=gone.went.files)
        left = [f"{one.path}: {one.said}" for one in gone.left]
        place.says.emit(" ".join([words, *left, *gone.said]))


def _year(text: str) -> int | None:
    if not text:
        return None
    if not text.isdecimal():
        raise BadInputError(
            f"{text!r} is no year.", try_next="Write the year of birth in four digits, or nothing."
        )
    return int(text)


def _drop(_answer: object) -> None:
    """A pressed word gives nothing back."""
