"""Measuring where the cameras stand: what to hold where, what is seen now, what is missing still.

Owns asking for corners a few times a second beside the window, and the words of each step. What is
taken, and what is worked out of it, is the station's.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QTimer, pyqtSignal
from PyQt6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from capturestation.errors import StationError
from capturestation.records import FrameArray, View
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.measuring import Measuring
from capturestation.station.bay.measuring_state import Means, Sights, Step
from capturestation.station.bay.standing import Level
from capturestation.station.beforehand import Outlook
from capturestation.ui.bay.check_page import grey_of
from capturestation.ui.bay.marking import MarkingPictures
from capturestation.ui.bay.measure_words import (
    expected_words,
    next_words,
    result_lines,
    step_words,
    taken_words,
)
from capturestation.ui.bay.number_field import NumberField
from capturestation.ui.bay.two_halves import give_way, scrolled, two_halves
from capturestation.ui.bay.wording import SHAPES
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label, put_words
from capturestation.ui.work import Workers

LOOK_MS = 250
"""Live pictures come four times a second while the bay is set up."""


class MeasurePage(QWidget):
    """One step after another, each with what is seen now.

    Signals:
        left: Back to the lesson; what was taken stays.
        work_wanted: What was taken is to be worked out.
        keep_wanted: Keep what was worked out; True for angles in the picture only.
        boards_wanted: The boards are to be printed.
        line_wanted: The stick that stays is to be looked at.
        failed: A `StationError`: what was written can't be.
    """

    left = pyqtSignal()
    work_wanted = pyqtSignal()
    keep_wanted = pyqtSignal(bool)
    boards_wanted = pyqtSignal()
    line_wanted = pyqtSignal()
    failed = pyqtSignal(object)

    def __init__(
        self, bay: Bay, measuring: Measuring, look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._bay, self._look = bay, look
        self.measuring = measuring
        self.is_working = False
        self._is_searching = False
        # Corners are looked for all the time: that never waits behind another job.
        self._workers = Workers(self)
        self._expects: object = None
        self._asked: tuple[object, Callable[[], Outlook]] | None = None
        # Which errors to expect; corners and they are worked out one after the other.
        self.outlook: Outlook | None = None
        self.pictures = MarkingPictures(bay, look)
        self.pictures.measured = measuring
        self.title = label(letters="title", wraps=True)
        self.text = label(wraps=True)
        self.verdict = label(letters="head", wraps=True)
        self.next = label(letters="head", wraps=True)
        self.result = label(wraps=True)
        self.taken = label(soft=True, wraps=True)
        self.expect = label(soft=True, wraps=True)
        self._make_words()
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look_now)
        self._lay_out(look)
        look.changed.connect(self._fit)
        measuring.changed.tell(self.show_state)
        self.show_state()

    def _make_words(self) -> None:
        """What can be pressed or entered."""
        measuring, failed = self.measuring, self.failed.emit
        self.work = button(say("bay.measure.work"), self.work_wanted.emit, role="main")
        self.keep = button(
            say("bay.measure.keep"), lambda: self.keep_wanted.emit(False), role="main"
        )
        self.angles = button(say("bay.measure.angles"), lambda: self.keep_wanted.emit(True))
        self.back_one = button(say("bay.measure.take_back"), self._take_back)
        self.means = {
            means: button(say(f"bay.measure.means.{means}"), partial(measuring.use_means, means))
            for means in Means
        }
        self.turn = button("", self._turn_target)
        self.lying = button(say("bay.measure.lying"), self._lay_board)
        for made in (*self.means.values(), self.lying):
            made.setCheckable(True)
        self.anew = button(say("bay.measure.lens_anew"), self._lens_anew)
        self.boards = button(say("bay.measure.boards"), self.boards_wanted.emit)
        self.line = button(say("bay.measure.line"), self.line_wanted.emit)
        self.wide = NumberField(say("bay.measure.wide"), self._know_view, failed)
        self.square = NumberField(say("bay.measure.square"), measuring.use_square, failed)
        self.length = NumberField(say("bay.measure.length"), measuring.use_length, failed)
        self.back = button(say("bay.check.back"), self.left.emit)

    def _lay_out(self, look: Look) -> None:
        inside = QWidget()
        ground(inside, "page")
        words = self._words = QVBoxLayout(inside)
        words.setContentsMargins(0, 0, look.px("gap"), 0)
        words.setSpacing(look.px("gap"))
        shown = (self.text, self.verdict, self.next, self.result, self.taken, self.expect)
        for line in shown:
            words.addWidget(line)
        words.addWidget(flowing(4, self.work, self.keep, self.angles, self.back_one))
        for field in (self.wide, self.square, self.length):
            words.addWidget(field)
        words.addWidget(flowing(4, *self.means.values(), self.turn, self.lying))
        words.addWidget(flowing(4, self.anew, self.boards, self.line))
        words.addStretch(1)
        two_halves(self, look, (self.title, self.back), (self.pictures, scrolled(inside)))

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Where there is little room, what is seen now comes before what is to be done."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        give_way(self, self._look, (self._words, self.text, self.taken))

    def begin(self) -> None:
        """Look from now on."""
        self.show_state()
        self._timer.start()

    def end(self) -> None:
        """Look no longer; what was taken stays."""
        self._timer.stop()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Whoever comes back from another place goes on."""
        super().showEvent(event)
        self._timer.start()

    def hideEvent(self, event: QHideEvent | None) -> None:
        """Nobody looks: neither does it."""
        super().hideEvent(event)
        self._timer.stop()

    def close_page(self) -> None:
        """End its thread."""
        self._timer.stop()
        self._workers.close()

    def greys(self) -> dict[View, FrameArray]:
        """The newest live pictures, as stored."""
        found = {}
        for view in self.pictures.views:
            image = self.pictures.live_image(view)
            if image is not None and not image.isNull():
                found[view] = grey_of(image)
        return found

    def look_now(self) -> None:
        """Have the newest pictures searched, unless the last ones still are."""
        greys = {view: grey for view, grey in self.greys().items() if view in self.measuring.wanted}
        if self._is_searching or self.is_working or not greys:
            return
        self._is_searching = True
        search, wanted = self.measuring.search(greys), self.measuring.wanted

        def take(sights: Sights) -> None:
            self._is_searching = False
            # What was looked for one step before tells nothing of this one.
            if self.measuring.wanted == wanted:
                self.measuring.take(sights)
            self._ask_what_to_expect()

        def failed(_error: StationError) -> None:
            self._is_searching = False

        self._workers.run(say("bay.measure.looking"), lambda _watch: search(), take, failed)

    def show_work(self, *, is_working: bool) -> None:
        """Something is worked out, or not any more."""
        self.is_working = is_working
        self.show_state()

    def show_state(self) -> None:
        """Write everything anew."""
        measuring = self.measuring
        is_result = measuring.step is Step.RESULT
        title, text = step_words(measuring)
        self.title.setText(title)
        self.text.setText(text)
        shape = SHAPES[Level.WELL if measuring.seen_is_well else Level.LOOK]
        self.verdict.setText(
            f"{shape}\N{NO-BREAK SPACE}{say(f'bay.measure.seen.{measuring.seen_words}')}"
        )
        self.verdict.setVisible(bool(measuring.wanted))
        self.result.setText("\n".join(result_lines(measuring)) if is_result else "")
        self.result.setVisible(is_result)
        self.next.setText("" if is_result else next_words(measuring))
        self.taken.setText(taken_words(measuring))
        for line in (self.next, self.taken, self.work):
            line.setVisible(not is_result)
        self.work.setEnabled(measuring.can_work and not self.is_working)
        put_words(self.work, say("bay.measure.working" if self.is_working else "bay.measure.work"))
        for word in (self.keep, self.angles):
            word.setVisible(is_result)
        self.back_one.setEnabled(measuring.taken > 0 and not self.is_working)
        self._show_choices()
        self._ask_what_to_expect()
        self.pictures.target_is_left = measuring.target_is_left
        self.pictures.mark(measuring.sticks.marks if measuring.step is Step.STICKS else None)
        self.pictures.update()

    def _show_choices(self) -> None:
        """What can be chosen or entered at this step."""
        measuring, step = self.measuring, self.measuring.step
        is_board = measuring.means is Means.BOARD
        for means, made in self.means.items():
            made.setChecked(measuring.means is means)
            made.setEnabled(not self.is_working)
        self.turn.setVisible(step is not Step.LENS)
        way = "left" if measuring.target_is_left else "right"
        put_words(self.turn, say(f"bay.measure.target.{way}"))
        self.lying.setVisible(step is Step.PLACES)
        self.lying.setChecked(measuring.is_lying)
        self.anew.setVisible(step is not Step.LENS)
        self.boards.setVisible(step is Step.LENS or is_board)
        self.wide.setVisible(step is Step.LENS)
        self.square.setVisible(step in (Step.LINE, Step.PLACES))
        if not self.square.hasFocus():
            self.square.show_number(
                say("bay.measure.square.now", mm=f"{measuring.board.square_mm:g}")
            )
        self.length.setVisible(step is Step.STICKS)
        if not self.length.hasFocus():
            self.length.show_number(
                say("bay.measure.length.now", metres=f"{measuring.sticks.length_m:g}")
            )

    def _ask_what_to_expect(self) -> None:
        """Have worked out which errors are to be expected, where that is other than it was."""
        measuring = self.measuring
        op = measuring.expecting()
        about = (op is None, len(measuring.places), measuring.board, measuring.target_is_left)
        if about != self._expects:
            self._expects = about
            self._show_outlook(None)
            self._asked = None if op is None else (about, op)
        if self._asked is not None and not self._is_searching:
            asked, wanted = self._asked
            self._asked, self._is_searching = None, True
            done = partial(self._take_outlook, asked)
            self._workers.run(
                say("bay.measure.looking"), lambda _watch: wanted(), done, self._not_told
            )

    def _take_outlook(self, about: object, outlook: Outlook) -> None:
        """What was asked one step before tells nothing of this one."""
        self._is_searching = False
        if about == self._expects:
            self._show_outlook(outlook)
        self._ask_what_to_expect()

    def _not_told(self, _error: StationError) -> None:
        """Which errors to expect is only not said."""
        self._is_searching = False

    def _show_outlook(self, outlook: Outlook | None) -> None:
        self.outlook = outlook
        words = "" if outlook is None else expected_words(outlook)
        self.expect.setText(words)
        self.expect.setVisible(bool(words))

    def _know_view(self, hfov_deg: float) -> None:
        self.measuring.know_view(hfov_deg)
        self.wide.show_number("")

    def _take_back(self) -> None:
        self.measuring.take_back()

    def _turn_target(self) -> None:
        self.measuring.turn_target(is_left=not self.measuring.target_is_left)

    def _lay_board(self) -> None:
        self.measuring.lay_board(is_lying=not self.measuring.is_lying)

    def _lens_anew(self) -> None:
        for aim in self.measuring.aims:
            self.measuring.measure_lens(aim.view)
