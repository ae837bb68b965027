"""The stick that stays on the mat: whether the target line still holds.

Owns marking its two ends and the words of the answer; what they tell is the station's.
"""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtGui import QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from capturestation.records import View
from capturestation.station.bay.bay import Bay
from capturestation.station.bay.marks import ALONG, Marks
from capturestation.station.bay.standing import Level
from capturestation.station.line_checking import LineChecked
from capturestation.ui.bay.marking import MarkingPictures
from capturestation.ui.bay.measure_words import end_words
from capturestation.ui.bay.number_field import NumberField
from capturestation.ui.bay.two_halves import give_way, scrolled, two_halves
from capturestation.ui.bay.wording import SHAPES
from capturestation.ui.flow import flowing
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, ground, label

_LEVELS = {"holds": Level.WELL, "turned": Level.BAD}


class LinePage(QWidget):
    """One stick, two ends, and what they say.

    Signals:
        left: Back to measuring.
        asked: Both ends are marked and the offset is known: lay it against the line.
        failed: A `StationError`: what was written can't be.
    """

    left = pyqtSignal()
    asked = pyqtSignal()
    failed = pyqtSignal(object)

    def __init__(self, bay: Bay, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        ground(self, "page")
        self._look = look
        self.marks = Marks(ALONG)
        self.offset_m: float | None = None
        self.pictures = MarkingPictures(bay, look)
        self.pictures.mark(self.marks)
        self.title = label(say("bay.line.title"), letters="title", wraps=True)
        self.text = label(say("bay.line.text"), wraps=True)
        self.next = label(letters="head", wraps=True)
        self.verdict = label(letters="head", wraps=True)
        self.figures = label(wraps=True)
        self.offset = NumberField(say("bay.line.offset"), self._lie, self.failed.emit)
        self.work = button(say("bay.line.work"), self.asked.emit, role="main")
        self.back_one = button(say("bay.measure.take_back"), self._take_back)
        self.back = button(say("bay.line.back"), self.left.emit)
        inside = QWidget()
        ground(inside, "page")
        words = self._words = QVBoxLayout(inside)
        words.setContentsMargins(0, 0, look.px("gap"), 0)
        words.setSpacing(look.px("gap"))
        for line in (self.text, self.next, self.verdict, self.figures, self.offset):
            words.addWidget(line)
        words.addWidget(flowing(4, self.work, self.back_one))
        words.addStretch(1)
        two_halves(self, look, (self.title, self.back), (self.pictures, scrolled(inside)))
        look.changed.connect(self._fit)
        self.marks.changed.tell(self._changed)
        self._changed()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Marks of before may be of a stick that lay elsewhere."""
        super().showEvent(event)
        self.marks.clear()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Where there is little room, what is to be done comes before why."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        give_way(self, self._look, (self._words, self.text, self.figures))

    @property
    def marked(self) -> tuple[View, ...]:
        """The pictures in which both ends are marked."""
        return self.marks.whole(self.pictures.views)

    @property
    def can_work(self) -> bool:
        """Whether there is anything to lay against the line."""
        return bool(self.marked) and self.offset_m is not None

    def _lie(self, offset_m: float) -> None:
        self.offset_m = offset_m
        self._changed()

    def _take_back(self) -> None:
        self.marks.take_back()

    def _changed(self) -> None:
        """What was said is of other marks."""
        self.verdict.setText("")
        self.figures.setText("")
        self.work.setEnabled(self.can_work)
        self.back_one.setEnabled(self.marks.count > 0)
        self.next.setText(self._next_words())

    def _next_words(self) -> str:
        if self.marked:
            return say("bay.line.next.offset" if self.offset_m is None else "bay.line.next.enough")
        # The picture down the line shows best which way a stick points.
        views = sorted(self.pictures.views, key=lambda view: view is not View.DOWN_THE_LINE)
        begun = self.marks.begun(views)
        lacking = self.marks.first_lacking(begun or views)
        if lacking is None:
            return ""
        return end_words(*lacking, target_is_left=self.pictures.target_is_left, is_alone=True)

    def show_checked(self, found: LineChecked) -> None:
        """Say what came out."""
        level = _LEVELS.get(found.verdict, Level.LOOK)
        shape = SHAPES[level]
        self.next.setText("")
        verdict = found.verdict
        if level is Level.LOOK and View.DOWN_THE_LINE not in self.marked:
            verdict += ".down_the_line"
        self.verdict.setText(f"{shape}\N{NO-BREAK SPACE}{say(f'bay.line.verdict.{verdict}')}")
        side = "left" if found.turn_deg > 0 else "right"
        off = "left" if found.offset_off_m > 0 else "right"
        self.figures.setText(
            say(
                "bay.line.figures",
                deg=f"{abs(found.turn_deg):.1f}",
                side=say(f"bay.line.side.{side}"),
                u_deg=f"{found.u_turn_deg:.1f}",
                cm=f"{abs(100 * found.offset_off_m):.0f}",
                off=say(f"bay.line.side.{off}"),
                u_cm=f"{100 * found.u_offset_m:.0f}",
            )
        )
