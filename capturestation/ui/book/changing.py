"""What is changed about swings and lessons, each as a step that can be taken back.

Owns the way from a pressed word to a step of the station, and the step's words. Students are
`people.Keeping`'s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from capturestation.errors import StationError
from capturestation.records import (
    BallResult,
    Lesson,
    LessonId,
    Swing,
    SwingKind,
    new_id,
)
from capturestation.station import book_steps, notebook
from capturestation.station.leaf import neighbour
from capturestation.station.notebook import Goal
from capturestation.station.people import today
from capturestation.station.undo import Step
from capturestation.ui.book.wording import ball_words, day_words, time_of
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_MOST_EARLIER = 5


class Changing:
    """The Book's changes of swings and lessons.

    Args:
        place: The Book.
    """

    def __init__(self, place: BookPlace) -> None:
        self._place = place

    def run(self, make: Callable[[], Step], then: Callable[[], None] | None = None) -> bool:
        """Do a step and show what it did; what goes wrong is told, and False.

        Args:
            make: Makes the step; may refuse.
            then: Shows it; the whole Book is shown anew unless given.
        """
        place = self._place
        try:
            place.steps.run(make())
            (then or place.refresh)()
        except StationError as error:
            place.trouble.emit(error)
            place.wanted = None
            place.refresh()
            return False
        return True

    def _change(self, make: Callable[[Swing], Step]) -> None:
        swing = self._place.chosen
        if swing is not None:
            self.run(lambda: make(swing), lambda: self._place.show_swing_again(swing.id))

    def star(self) -> None:
        """Star the chosen swing, or take its star away."""

        def make(swing: Swing) -> Step:
            key = "book.step.no_best" if swing.book.starred else "book.step.best"
            words = say(key, swing=_called(swing))
            return book_steps.star(self._place.library, swing, words)

        self._change(make)

    def rate(self, rating: int) -> None:
        """Say how good the ball was, 1 to 5; the same again takes it away."""
        swing = self._place.chosen
        if swing is not None:
            old = swing.book.ball
            self.ball(replace(old, rating=None if old.rating == rating else rating))

    def ball(self, result: BallResult) -> None:
        """Write down what the ball did."""
        words = ball_words(result) or say("book.swing.ball.none")
        step = say("book.step.ball", ball=words)
        self._change(lambda swing: book_steps.ball(self._place.library, swing, step, result))

    def note(self, text: str) -> None:
        """Write notes."""
        words = say("book.step.notes")
        self._change(lambda swing: book_steps.notes(self._place.library, swing, words, text))

    def club(self, name: str) -> None:
        """Call the club by another name."""
        words = say("book.step.club", club=name)
        self._change(lambda swing: book_steps.club(self._place.library, swing, words, name))

    def kind(self, kind: SwingKind) -> None:
        """Say that it is of another kind."""
        words = say("book.step.kind", kind=say(f"book.kind.{kind}"))
        self._change(lambda swing: book_steps.kind(self._place.library, swing, words, kind))

    def delete(self) -> None:
        """Put the chosen swing into the trash; the one after it is chosen then."""
        place = self._place
        swing = place.chosen
        if swing is None:
            self.delete_lesson()
            return
        lines = place.page.model.lines
        after = neighbour(lines, swing.id, 1) or neighbour(lines, swing.id, -1)
        words = say("book.step.delete", swing=_called(swing))

        def make() -> Step:
            return book_steps.delete(place.library, place.cache, swing, words, place.says.emit)

        place.wanted = after.swing.id if after else None
        place.going.emit(swing.id)
        if self.run(make):
            place.says.emit(say("book.deleted"))

    # Lessons.

    def new_lesson(self) -> None:
        """Open today's lesson of the student and write its focus."""
        place = self._place
        student = place.student
        if student is None:
            return
        lesson = place.library.lesson_on(student.id, today())
        if lesson is None:
            lesson = Lesson(id=LessonId(new_id()), student_id=student.id, on=today())
            words = say("book.step.new_lesson", name=student.name)
            fresh = lesson
            if not self.run(lambda: book_steps.open_lesson(place.library, fresh, words)):
                return
        place.show_lesson(lesson)
        self.change_focus()

    def change_focus(self) -> None:
        """Open the page of the lesson that is chosen, or of the chosen swing's."""
        place = self._place
        lesson = place.lesson
        if lesson is not None:
            others = [one.lesson for one in notebook.lesson_lines(place.library, lesson.student_id)]
            earlier = dict.fromkeys(thing for one in others for thing in one.focus)
            place.lesson_form.begin(lesson, list(earlier)[:_MOST_EARLIER])
            place.show_over(place.lesson_form)
            place.lesson_form.things[0].setFocus()

    def save_lesson(self, things: tuple[str, ...], notes: str) -> None:
        """Keep the focus and the notes of the lesson."""
        place = self._place
        lesson = place.lesson_form.lesson
        if lesson is None:
            return
        words = say("book.step.lesson", day=day_words(lesson.on))

        def make() -> Step:
            return book_steps.lesson(place.library, lesson, words, focus=things, notes=notes)

        if (things, notes) == (lesson.focus, lesson.notes) or self.run(make):
            place.close_over()

    def delete_lesson(self) -> None:
        """Take the chosen lesson away if it is empty."""
        place = self._place
        lesson = place.lesson
        if lesson is not None and place.chosen is None:
            words = say("book.step.delete_lesson", day=day_words(lesson.on))
            self.run(lambda: book_steps.delete_lesson(place.library, lesson, words))

    # Moving.

    def ask_move(self) -> None:
        """Ask to whom the swing belongs."""
        place = self._place
        if place.chosen is not None:
            place.move_page.begin(_called(place.chosen))
            self.show_goals()
            place.show_over(place.move_page)
            place.move_page.field.setFocus()

    def show_goals(self) -> None:
        """Show where it can go, by what was typed."""
        place = self._place
        if place.chosen is not None:
            text = place.move_page.field.text()
            about = place.finding.lessons(text)
            place.move_page.put(notebook.goals(place.library, place.chosen, text, about))

    def move(self, goal: Goal) -> None:
        """Move the swing; one stays on the page that it was on."""
        place = self._place
        swing = place.chosen
        if swing is None:
            return
        lines = place.page.model.lines
        after = neighbour(lines, swing.id, 1) or neighbour(lines, swing.id, -1)
        words = say("book.step.move", swing=_called(swing), name=goal.student.name)
        to = goal.student.id if goal.lesson is None else goal.lesson
        said: list[str] = []
        same = goal.student.id == swing.book.student_id
        place.wanted = swing.id if same or after is None else after.swing.id
        if self.run(lambda: book_steps.move(place.library, swing, words, to, said.append)):
            place.close_over()
            place.says.emit(" ".join((say("book.moved", name=goal.student.name), *said)))


def _called(swing: Swing) -> str:
    return say("book.swing.called", club=swing.book.club, time=time_of(swing))
