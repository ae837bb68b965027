"""How a swing was filmed, put right from the Book: views exchanged, a picture set upright.

Owns the work beside the window, and that each is one step which can be taken back.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from PyQt6.QtCore import QObject, pyqtSignal
from PyQt6.QtGui import QImage

from capturestation.errors import CancelledError, StationError
from capturestation.media.still import still_jpeg
from capturestation.records import Swing, SwingId, View, Watch
from capturestation.station.exchanging import exchange_step, exchange_views
from capturestation.station.measuring_again import MeasuredAgain
from capturestation.station.odd_views import odd_of
from capturestation.station.turning import turn_step, turn_view
from capturestation.station.undo import Step
from capturestation.swing.oddities import Odd, Oddity
from capturestation.ui.book.wording import time_of
from capturestation.ui.texts import say
from capturestation.ui.work import Job
from capturestation.ui.writing import beside

if TYPE_CHECKING:
    from capturestation.ui.book.place import BookPlace

_BOX_PX = (960, 960)
_OF_PICTURES = (Odd.EXCHANGED, Odd.LIES)
Answer = TypeVar("Answer")


class Mending(QObject):
    """Puts right how swings of the Book were filmed.

    Args:
        place: The Book.
    """

    _stands = pyqtSignal(object, str)

    def __init__(self, place: BookPlace) -> None:
        super().__init__(place)
        self._place = place
        self._swing: Swing | None = None
        self._job: Job | None = None
        # A step that is taken back tells so on another thread.
        self._stands.connect(self._choose)

    def ask(self) -> None:
        """Show what each camera saw of the chosen swing, and what can be put right."""
        place, swing = self._place, self._place.chosen
        if swing is None or self._job is not None:
            return
        self._swing = swing
        page = place.views_page
        called = say("book.swing.called", club=swing.book.club, time=time_of(swing))
        page.begin(called, [one.view for one in swing.facts.recordings])
        place.show_over(page)
        page.back.setFocus()
        for recording in swing.facts.recordings:
            self._ask_picture(swing, recording.view)
        place.workers.run(
            say("book.views.reading"),
            lambda _watch: odd_of(place.library, place.cache, swing),
            lambda odd: self._put_odd(swing, odd),
            self._failed,
        )

    def _ask_picture(self, swing: Swing, view: View) -> None:
        place, sync = self._place, swing.sync(view)
        at_ns = 0 if sync is None else sync.contact_media_ns

        def op(_watch: Watch) -> QImage:
            path = place.library.media_path(swing, view)
            return QImage.fromData(still_jpeg(path, at_ns, box_px=_BOX_PX))

        def done(image: QImage) -> None:
            if self._swing is swing:
                place.views_page.put_picture(view, image)

        place.workers.run(say("book.views.reading"), op, done, self._failed)

    def _put_odd(self, swing: Swing, odd: tuple[Oddity, ...]) -> None:
        if self._swing is swing:
            said = [one.said for one in odd if one.odd in _OF_PICTURES]
            self._place.views_page.put_odd(said)

    def exchange(self) -> None:
        """Call the two views of the swing the other way round."""
        place, swing = self._place, self._swing
        if swing is None:
            return
        library, cache = place.library, place.cache

        def op(_watch: Watch) -> tuple[Swing, MeasuredAgain]:
            before = library.swing(swing.id)
            return before, exchange_views(library, before, cache)

        def done(answer: tuple[Swing, MeasuredAgain]) -> None:
            before, again = answer
            words = say("measures.step.exchange")
            step = exchange_step(library, before, again.swing, words, self._tell(swing.id), cache)
            self._did(step, again.said or say("measures.exchanged"))

        self._run(say("measures.exchanging"), op, done)

    def turn(self, view: View, turn_deg: int) -> None:
        """Set a view's pictures upright; a swing with the turned file takes the old one's place."""
        place, swing = self._place, self._swing
        if swing is None:
            return
        library, cache = place.library, place.cache

        def op(watch: Watch) -> tuple[Swing, Swing]:
            before = library.swing(swing.id)
            return before, turn_view(library, cache, before, view, turn_deg, watch)

        def done(answer: tuple[Swing, Swing]) -> None:
            before, after = answer
            words, tell = say("measures.step.upright"), self._tell(before.id, after.id)
            step = turn_step(library, cache, before, after, words, tell)
            self._did(step, say("measures.set_upright"))

        if self._job is None:
            place.going.emit(swing.id)
        self._run(say("measures.setting_upright"), op, done)

    def _tell(self, *swings: SwingId) -> Callable[[SwingId], None]:
        return lambda stands: self._stands.emit(swings, stands)

    def _choose(self, swings: tuple[SwingId, ...], stands: SwingId) -> None:
        """Where one of these is chosen, that one is from now on."""
        if self._place.swing in swings:
            self._place.wanted = stands

    def _did(self, step: Step, said: str) -> None:
        place = self._place
        place.steps.run(beside(step))
        place.close_over_if(place.views_page)
        place.refresh()
        place.says.emit(said)

    def _run(
        self, words: str, op: Callable[[Watch], Answer], then: Callable[[Answer], None]
    ) -> None:
        if self._job is not None:
            return
        page = self._place.views_page

        def over() -> None:
            self._job = None
            page.wait(is_on=False)

        def done(answer: Answer) -> None:
            over()
            then(answer)

        def failed(error: StationError) -> None:
            over()
            self._failed(error)
            self._place.refresh()

        page.wait(is_on=True)
        self._job = self._place.workers.run(words, op, done, failed)

    def _failed(self, error: StationError) -> None:
        if isinstance(error, CancelledError):
            self._place.says.emit(str(error))
        else:
            self._place.trouble.emit(error)
