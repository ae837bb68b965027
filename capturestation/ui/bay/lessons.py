"""A lesson in the Bay: who has it, with which club, and its end.

Owns the way from a student to "who is hitting", and from the last ball to "keep these, drop the
rest".
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from capturestation.errors import NotFoundError, StationError
from capturestation.records import (
    Lesson,
    LessonId,
    Student,
    StudentId,
    SwingId,
    SwingKind,
    Watch,
    new_id,
)
from capturestation.station import book_steps, notebook
from capturestation.station.bay.ending import Ending, drop
from capturestation.station.bay.person import Person
from capturestation.station.people import today
from capturestation.ui.texts import say
from capturestation.ui.writing import beside, write_step

if TYPE_CHECKING:
    from capturestation.ui.bay.place import BayPlace

_CLUB, _KIND, _FIRST_CLUB = "club", "kind", "first club"


class Lessons:
    """The Bay's lessons.

    Args:
        place: The Bay.
    """

    def __init__(self, place: BayPlace) -> None:
        self._place = place
        self._coming: tuple[Student, Lesson] | None = None
        self._opening: StudentId | None = None
        # Whose lesson is being opened; whoever was chosen last is taken.

    # Who.

    def ask_who(self) -> None:
        """Ask who is hitting."""
        self._place.who.begin()
        self._place.show_over(self._place.who)
        self._place.who.index.field.setFocus()

    def take_student(self, student: StudentId) -> None:
        """She hits: today's lesson of hers is opened where it isn't yet."""
        place = self._place
        try:
            known = place.library.student(student)
            lesson = place.library.lesson_on(known.id, today())
        except StationError as error:
            place.trouble.emit(error)
            return
        if lesson is not None:
            self._take(known, lesson)
        else:
            self._take_first(known)

    def _take_first(self, student: Student) -> None:
        """It is her first ball today: her lesson is opened."""
        place = self._place
        # Nobody is filmed meanwhile: whoever had the bay before is not there any more.
        place.bay.choose(None)
        if self._opening == student.id:
            return
        self._opening = student.id
        fresh = Lesson(id=LessonId(new_id()), student_id=student.id, on=today())
        words = say("book.step.new_lesson", name=student.name)
        write_step(
            place.writer,
            place.steps,
            lambda: book_steps.open_lesson(place.library, fresh, words),
            done=lambda: self._opened(student, fresh),
            failed=self._not_opened,
        )

    def _opened(self, student: Student, lesson: Lesson) -> None:
        wanted, self._opening = self._opening, None
        if wanted == student.id:
            self._take(student, lesson)

    def _not_opened(self, error: StationError) -> None:
        self._opening = None
        self._place.trouble.emit(error)

    def _take(self, student: Student, lesson: Lesson) -> None:
        place = self._place
        person = Person(student=student, lesson=lesson, club=place.club)
        if not person.may_be_filmed:
            place.bay.choose(person)
            place.close_over()
            return
        self._coming = (student, lesson)
        clubs = notebook.clubs_of(place.library, student.id, lesson.id)
        # Nobody is filmed while this is asked: whoever had the bay before is not there any more.
        place.bay.choose(None)
        self._ask(_FIRST_CLUB, say("bay.club.title", name=student.name), clubs, place.club)

    def ask_club(self) -> None:
        """The next balls are hit with another club."""
        person = self._place.bay.person
        if person is not None:
            clubs = notebook.clubs_of(self._place.library, person.student.id, person.lesson.id)
            title = say("bay.club.title", name=person.student.name)
            self._ask(_CLUB, title, clubs, person.club)

    def _ask(self, asks: str, title: str, clubs: list[str], now: str) -> None:
        page = self._place.word_page
        page.ask(asks, title, [(club, club) for club in clubs], now, is_open=True)
        self._place.show_over(page)
        page.give_keyboard()

    def ask_kind(self) -> None:
        """The next balls are of another kind, such as rehearsals or putts."""
        person = self._place.bay.person
        if person is not None:
            words = [(str(kind), say(f"book.kind.{kind}")) for kind in SwingKind]
            page = self._place.word_page
            page.ask(_KIND, say("bay.kind.title"), words, str(person.kind), is_open=False)
            self._place.show_over(page)
            page.give_keyboard()

    def put_word(self, word: str) -> None:
        """A word was chosen on the page."""
        place = self._place
        asked = place.word_page.asks
        place.close_over()
        if asked == _KIND:
            place.bay.wish(kind=SwingKind(word))
            return
        place.club = word
        if asked == _CLUB:
            place.bay.wish(club=word)
        elif self._coming is not None:
            student, lesson = self._coming
            self._coming = None
            place.bay.choose(Person(student=student, lesson=lesson, club=word))

    def know_again(self) -> None:
        """What stands in the book of who is hitting may be another by now."""
        person = self._place.bay.person
        if person is None:
            return
        try:
            now = person.read_again(self._place.library)
        except NotFoundError:
            self._place.bay.choose(None)
            return
        except StationError as error:
            self._place.trouble.emit(error)
            return
        if now != person:
            self._place.bay.know_again(replace(now, club=person.club, kind=person.kind))

    # The end.

    def end(self) -> None:
        """End the lesson: finish what is struck, then ask what is kept."""
        if self._place.bay.person is None:
            self._place.says.emit(say("bay.says.no_lesson"))
            return
        self._place.bay.end_lesson()
        if self._place.is_writing:
            self._place.says.emit(say("bay.says.ending"))
        self.go_on_ending()

    def go_on_ending(self) -> None:
        """Ask what is kept once nothing comes any more."""
        place = self._place
        if place.wants_end and not place.bay.is_ending:
            # A ball starred a moment ago is starred there.
            place.taking.when_done(lambda: place.writer.add(self._ask_what_stays))

    def _ask_what_stays(self) -> None:
        place, person = self._place, self._place.bay.person
        if not place.wants_end or person is None:
            return
        place.wants_end = False
        place.replay.stop()
        try:
            ending = Ending(place.library, person.lesson.id)
        except StationError as error:
            place.trouble.emit(error)
            return
        place.end_page.show_lesson(person.student.name, ending)
        place.show_over(place.end_page)
        place.end_page.give_keyboard()

    def keep_all(self) -> None:
        """Nothing is dropped."""
        count = len(self._place.end_page.lines)
        self._over(say("bay.says.over_all", count=count))

    def _over(self, words: str) -> None:
        place = self._place
        place.bay.choose(None)
        place.close_over()
        place.says.emit(words)

    def drop(self, swings: tuple[SwingId, ...]) -> None:
        """Drop these; all of them come back with one step."""
        place = self._place
        kept = len(place.end_page.lines) - len(swings)
        words = say("bay.step.drop", count=len(swings))
        step = beside(drop(place.library, place.cache, swings, words, place.says.emit))
        for swing in swings:
            place.going.emit(swing)

        def op(watch: Watch) -> None:
            del watch
            step.doing.run()

        def done(_nothing: None) -> None:
            step.doing.take_note()
            place.steps.run(step)
            self._over(say("bay.says.over", kept=kept, dropped=len(swings)))

        place.workers.run(say("bay.job.dropping"), op, done, place.trouble.emit)
