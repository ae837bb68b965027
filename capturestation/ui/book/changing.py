"""What is changed about swings and lessons, each as a step that can be taken back.

Owns the way from a pressed word to a step of the station, and the step's words. Students are
`people.Keeping`'s.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from capturestation.errors import NotFoundError, RefusedError, StationError
from capturestation.records import (
    BallResult,
    Lesson,
    LessonId,
    Swing,
    SwingId,
    SwingKind,
    new_id,
)
from capturestation.station import book_steps, notebook
from capturestation.station.leaf import neighbour
from capturestation.station.notebook import Goal
from capturestation.station.people import today
from capturestation.station.undo import Step
from capturestation.ui.book.panes import Part
from capturestation.ui.book.wording import ball_words, day_words, time_of
from capturestation.ui.texts import say
from capturestation.ui.writing import write_step

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
        self._moving: Swing | None = None
        self._is_saving = False

    def run(
        self,
        make: Callable[[], Step],
        then: Callable[[], None] | None = None,
        failed: Callable[[StationError], None] | None = None,
    ) -> None:
        """Have a step written beside the window, and shown; what goes wrong is told.

        Args:
            make: Makes the step when all that was done before is written; may refuse.
            then: Shows it; the whole Book is shown anew unless given.
            failed: Called where it was not written, after the Book is shown as it is.
        """
        place = self._place

        def refused(error: StationError) -> None:
            place.trouble.emit(error)
            place.refresh()
            if failed is not None:
                failed(error)

        write_step(place.writer, place.steps, make, done=then or place.refresh, failed=refused)

    def _change(
        self,
        swing_id: SwingId | None,
        make: Callable[[Swing], Step],
        failed: Callable[[StationError], None] | None = None,
    ) -> None:
        place = self._place
        if swing_id is None:
            return

        def as_seen() -> Step:
            seen = place.chosen
            is_seen = seen is not None and seen.id == swing_id
            return make(seen if seen is not None and is_seen else place.library.swing(swing_id))

        self.run(as_seen, lambda: place.show_swing_again(swing_id), failed)

    def star(self) -> None:
        """Star the chosen swing, or take its star away."""

        def make(swing: Swing) -> Step:
            key = "book.step.no_best" if swing.book.starred else "book.step.best"
            words = say(key, swing=_called(swing))
            return book_steps.star(self._place.library, swing, words)

        self._change(self._place.swing, make)

    def rate(self, rating: int) -> None:
        """Say how good the ball was, 1 to 5; the same again takes it away."""

        def rated(old: BallResult) -> BallResult:
            return replace(old, rating=None if old.rating == rating else rating)

        self._ball(self._place.choosing.asked_ball or self._place.swing, rated)

    def ball(self, result: BallResult) -> None:
        """Write down what the ball of the page's swing did."""
        self._ball(self._place.choosing.asked_ball, lambda _old: result)

    def _ball(self, swing_id: SwingId | None, change: Callable[[BallResult], BallResult]) -> None:
        def make(swing: Swing) -> Step:
            result = change(swing.book.ball)
            words = ball_words(result) or say("book.swing.ball.none")
            step = say("book.step.ball", ball=words)
            return book_steps.ball(self._place.library, swing, step, result)

        self._change(swing_id, make)

    def note(self, swing: Swing, text: str) -> None:
        """Write notes of a swing in place of those that it had when they were begun.

        What can't be written stands in the line again.
        """
        words = say("book.step.notes")

        def make(_now: Swing) -> Step:
            return book_steps.notes(self._place.library, swing, words, text)

        self._change(swing.id, make, lambda error: self._note_again(swing.id, text, error))

    def _note_again(self, swing_id: SwingId, text: str, error: StationError) -> None:
        place = self._place
        if isinstance(error, NotFoundError):
            return
        is_seen = place.chosen is not None and place.chosen.id == swing_id
        if is_seen and place.chosen is not None and isinstance(error, RefusedError):
            # What another wrote stands first: whoever reads the line puts the two together.
            text = say("book.notes.both", theirs=place.chosen.book.notes, mine=text)
        place.page.bar.unwritten[swing_id] = text
        if is_seen:
            place.commands()["book.notes"]()

    def ask_notes(self) -> None:
        """Open the notes of what is chosen, which lie closed: a swing's line, a lesson's paper."""
        place = self._place
        if place.chosen is None:
            self.change_focus()
            if place.lesson is not None:
                place.lesson_form.notes.open()
            return
        bar, part = place.page.bar, place.part
        back: Callable[[], None] = place.page.list.setFocus
        if not place.is_wide:
            place.show_part(Part.SWING)
            at_bar = part is Part.SWING
            back = bar.words["notes"].setFocus if at_bar else partial(place.show_part, part)
        bar.begin_notes(back)

    def club(self, swing_id: SwingId, name: str) -> None:
        """Call the club by another name."""
        words = say("book.step.club", club=name)
        self._change(
            swing_id, lambda swing: book_steps.club(self._place.library, swing, words, name)
        )

    def kind(self, swing_id: SwingId, kind: SwingKind) -> None:
        """Say that it is of another kind."""
        words = say("book.step.kind", kind=say(f"book.kind.{kind}"))
        self._change(
            swing_id, lambda swing: book_steps.kind(self._place.library, swing, words, kind)
        )

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

        def then() -> None:
            if place.swing == swing.id:
                place.wanted = after.swing.id if after else None
            place.refresh()
            place.says.emit(say("book.deleted"))

        place.going.emit(swing.id)
        self.run(make, then)

    # Lessons.

    def new_lesson(self) -> None:
        """Open today's lesson of the student and write its focus."""
        place = self._place
        student = place.student
        if student is None:
            return
        lesson = place.library.lesson_on(student.id, today())
        if lesson is not None:
            self._begin_lesson(lesson)
            return
        fresh = Lesson(id=LessonId(new_id()), student_id=student.id, on=today())
        words = say("book.step.new_lesson", name=student.name)
        self.run(
            lambda: book_steps.open_lesson(place.library, fresh, words),
            lambda: self._begin_lesson(fresh),
        )

    def _begin_lesson(self, lesson: Lesson) -> None:
        place = self._place
        place.wanted = lesson.id
        place.refresh()
        if place.lesson is not None and place.lesson.id == lesson.id and not place.is_over:
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
        form, lesson = place.lesson_form, place.lesson_form.lesson
        if lesson is None or self._is_saving:
            return
        words = say("book.step.lesson", day=day_words(lesson.on))

        def make() -> Step:
            return book_steps.lesson(place.library, lesson, words, focus=things, notes=notes)

        if (things, notes) == (lesson.focus, lesson.notes):
            place.close_over()
            return

        def then() -> None:
            self._is_saving = False
            is_same = form.lesson is not None and form.lesson.id == lesson.id
            if is_same and form.keep(place.library.lesson(lesson.id), (things, notes)):
                place.close_over_if(form)
            place.refresh()

        def failed(_error: StationError) -> None:
            self._is_saving = False

        self._is_saving = True
        self.run(make, then, failed)

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
        self._moving = place.chosen
        if place.chosen is not None:
            place.move_page.begin(_called(place.chosen))
            self.show_goals()
            place.show_over(place.move_page)
            place.move_page.field.setFocus()

    def show_goals(self) -> None:
        """Show where it can go, by what was typed."""
        place = self._place
        if self._moving is not None:
            text = place.move_page.field.text()
            about = place.finding.lessons(text)
            place.move_page.put(notebook.goals(place.library, self._moving, text, about))

    def move(self, goal: Goal) -> None:
        """Move the swing; one stays on the page that it was on."""
        place = self._place
        swing = self._moving
        if swing is None:
            return
        lines = place.page.model.lines
        after = neighbour(lines, swing.id, 1) or neighbour(lines, swing.id, -1)
        words = say("book.step.move", swing=_called(swing), name=goal.student.name)
        to = goal.student.id if goal.lesson is None else goal.lesson
        said: list[str] = []
        stays = goal.student.id == swing.book.student_id

        def then() -> None:
            if place.swing == swing.id and not stays:
                place.wanted = after.swing.id if after is not None else None
            place.close_over_if(place.move_page)
            place.refresh()
            place.says.emit(" ".join((say("book.moved", name=goal.student.name), *said)))

        self.run(lambda: book_steps.move(place.library, swing, words, to, said.append), then)


def _called(swing: Swing) -> str:
    return say("book.swing.called", club=swing.book.club, time=time_of(swing))
