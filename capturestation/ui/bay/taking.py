"""Kept balls go into the lesson, and the coach stars and rates the last one meanwhile.

Owns that balls are taken in one after the other beside the window, and that what was said of a ball
before it was in the lesson is written once it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from capturestation.errors import CancelledError, NotFoundError, StationError
from capturestation.records import Swing, SwingId, View, Watch
from capturestation.station import book_steps
from capturestation.station.bay.balls import Ball, Stage
from capturestation.station.delays import CameraDelay, camera_delays
from capturestation.station.taking_in import TakenIn, take_in_all, waiting
from capturestation.station.undo import Step
from capturestation.ui.bay.strip import delay_words
from capturestation.ui.texts import say
from capturestation.ui.writing import write_step

if TYPE_CHECKING:
    from capturestation.ui.bay.place import BayPlace


class Taking:
    """The Bay's way from the inbox into the lesson.

    Args:
        place: The Bay.
    """

    def __init__(self, place: BayPlace) -> None:
        self._place = place
        self._is_busy = False
        self._once_more = False
        self._then: list[Callable[[], None]] = []
        self.told_moved: set[View] = set()
        """Cameras of which it was said that they were moved since the bay was measured."""

    @property
    def is_busy(self) -> bool:
        """Whether balls are on their way."""
        return self._is_busy

    def when_done(self, then: Callable[[], None]) -> None:
        """Call this once no ball is on its way any more; at once where none is."""
        if self._is_busy:
            self._then.append(then)
        else:
            then()

    def begin(self) -> None:
        """Take in what an earlier end of the program left in the inbox."""
        if waiting(self._place.library):
            self.take_waiting()

    def take_waiting(self) -> None:
        """Take in every ball that is kept; what is kept meanwhile follows."""
        if self._is_busy:
            self._once_more = True
            return
        self._is_busy = True
        place = self._place

        def op(watch: Watch) -> TakenIn:
            return take_in_all(place.library, watch)

        place.workers.run(say("bay.job.taking"), op, self._taken, self._failed)

    def _taken(self, taken: TakenIn) -> None:
        balls = self._place.bay.balls
        known = {ball.id: ball for ball in balls.all}
        for swing in taken.swings:
            balls.taken(swing)
            wished = known.get(swing.id)
            if wished is not None:
                self._write_wish(wished, swing)
        for left in taken.left:
            balls.left(left.folder.name, str(left.why))
            self._place.trouble.emit(left.why)
        self._tell_moved(taken)
        strays = [swing for swing in taken.swings if swing.id not in known]
        if strays:
            self._place.says.emit(say("bay.says.waiting", count=len(strays)))
        self._place.bay.balled()
        self._end()
        self.learn_delays()

    def _tell_moved(self, taken: TakenIn) -> None:
        """A camera no longer stands as the bay was measured: said once, until it is measured."""
        for view in {view for swing in taken.swings for view in swing.book.moved}:
            if view not in self.told_moved:
                self.told_moved.add(view)
                what = say("bay.trouble.moved", view=say(f"bay.view.{view}"))
                self._place.trouble.emit(StationError(what, try_next=say("bay.do.check.moved")))

    def _failed(self, error: StationError) -> None:
        if isinstance(error, CancelledError):
            self._once_more = False  # Whoever stopped it means the rest too; it waits in the inbox.
        else:
            self._place.trouble.emit(error)
        self._end()

    def _end(self) -> None:
        self._is_busy = False
        if self._once_more:
            self._once_more = False
            self.take_waiting()
            return
        then, self._then = self._then, []
        for one in then:
            one()

    def _write_wish(self, wished: Ball, swing: Swing) -> None:
        """Write what the coach said of it while it was on its way."""
        library = self._place.library
        if wished.starred != swing.book.starred:
            words = say("bay.step.star")
            self._write(swing.id, lambda now: book_steps.star(library, now, words))
        if wished.rating != swing.book.ball.rating:
            said = say("bay.step.rate", rating=wished.rating)

            def rated(now: Swing) -> Step:
                ball = replace(now.book.ball, rating=wished.rating)
                return book_steps.ball(library, now, said, ball)

            self._write(swing.id, rated)

    def _write(self, swing_id: SwingId, make: Callable[[Swing], Step]) -> None:
        """Write a step beside the window, made of the swing as it stands in its turn."""
        place = self._place

        def failed(error: StationError) -> None:
            if isinstance(error, NotFoundError):
                place.bay.balls.gone(swing_id)
                place.bay.balled()
            else:
                place.trouble.emit(error)

        def done() -> None:
            try:
                place.bay.balls.told(place.library.swing(swing_id))
            except StationError as error:
                failed(error)
            place.bay.balled()

        write_step(
            place.writer,
            place.steps,
            lambda: make(place.library.swing(swing_id)),
            done=done,
            failed=failed,
        )

    # What the coach says of the last ball.

    def star(self) -> None:
        """Star the last ball, or take its star away."""
        ball = self._place.bay.balls.last
        if ball is None:
            self._place.says.emit(say("bay.last.none"))
        elif ball.stage is not Stage.TAKEN:
            self._place.bay.balls.star(ball.id)
            self._place.bay.balled()
        else:
            library, words = self._place.library, say("bay.step.star")
            self._write(SwingId(ball.id), lambda now: book_steps.star(library, now, words))

    def rate(self, rating: int) -> None:
        """Say how good the last ball was; the same again takes it away."""
        ball = self._place.bay.balls.last
        if ball is None:
            self._place.says.emit(say("bay.last.none"))
        elif ball.stage is not Stage.TAKEN:
            self._place.bay.balls.rate(ball.id, rating)
            self._place.bay.balled()
        else:
            words = say("bay.step.rate", rating=rating)

            def rated(now: Swing) -> Step:
                old = now.book.ball
                new = replace(old, rating=None if old.rating == rating else rating)
                return book_steps.ball(self._place.library, now, words, new)

            self._write(SwingId(ball.id), rated)

    def open(self) -> None:
        """Look at the last ball on the Bench."""
        ball = self._place.bay.balls.last
        if ball is not None and ball.swing_id is not None:
            self._place.opens.emit(ball.swing_id)
        else:
            self._place.says.emit(say("bay.says.not_yet"))

    def read_again(self) -> None:
        """A step was taken back or done again: what the library says of each ball counts."""
        place = self._place
        person = place.bay.person
        if person is None:
            return
        now = {swing.id: swing for swing in place.library.swings(person.lesson.id)}
        for ball in place.bay.balls.all:
            if ball.swing_id in now:
                place.bay.balls.told(now[ball.swing_id])
            elif ball.swing_id is not None:
                place.bay.balls.gone(ball.id)
                place.let_go_of(ball.id)
        place.bay.balled()

    # What is learned of the cameras.

    def learn_delays(self) -> None:
        """What the cameras' strikes say of their own delays."""
        place = self._place

        def op(watch: Watch) -> tuple[CameraDelay, ...]:
            del watch
            return camera_delays(place.library)

        place.workers.run(say("bay.job.delays"), op, self._learned, place.trouble.emit)

    def _learned(self, delays: tuple[CameraDelay, ...]) -> None:
        names = {source.camera for source in self._place.bay.setting.sources()}
        said = tuple(
            (
                one.camera,
                f"{one.known.delay_ns / 1e6:.1f}".replace("-", "\N{MINUS SIGN}"),
                f"{2 * one.known.u_ns / 1e6:.1f}",
            )
            for one in delays
            if one.known is not None and one.camera in names
        )
        self._place.strip.tell_delays(delay_words(said))
