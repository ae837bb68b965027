"""The page over the Book on which a measure is seen over the lessons.

Owns which group of swings and which measure are looked at. Reads nothing: whoever opens it gives it
what was gathered, and is asked for another group.
"""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import QSize, Qt, pyqtSignal
from PyQt6.QtGui import QColor, QPainter, QPaintEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from capturestation.compare.weeks import Course
from capturestation.drawing.theme import Colour
from capturestation.drawing.weeks_chart import LEGEND, ChartInk, ChartSize, paint_chart
from capturestation.station.home_words import capital, measure_words
from capturestation.station.weeks_told import Group, told
from capturestation.ui.book.sheet import Sheet
from capturestation.ui.chooser import Chooser
from capturestation.ui.flow import flowing
from capturestation.ui.look import ColourName, Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

_HIGH = 12
# The chart's least height in letters: it stays readable, and the page scrolls where it has no room.


class ChartPane(QWidget):
    """One measure over the lessons, painted in the window's colours.

    Args:
        look: Sizes and colours.
    """

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self.course: Course | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        look.changed.connect(self._look_changed)
        self._look_changed()

    def show_course(self, course: Course | None, heading: str, words: Sequence[str]) -> None:
        """Show a measure.

        Args:
            course: Which; None for none.
            heading: What it is, for whoever can't see it.
            words: What the chart says.
        """
        self.course = course
        self.setAccessibleName(heading)
        self.setAccessibleDescription(" ".join(words))
        self.update()

    def sizeHint(self) -> QSize:
        """As large as its least size; it takes what room there is."""
        return self.minimumSize()

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """Paint the chart."""
        del event
        if self.course is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        size = ChartSize(width=self.width(), height=self.height(), letters=self.look.px("note"))
        names: tuple[ColourName, ...] = ("ink", "soft", "edge", "now", "then")
        ink, soft, rule, mean, best = (_as_colour(self.look.colour(name)) for name in names)
        colours = ChartInk(ink=ink, soft=soft, rule=rule, mean=mean, best=best)
        paint_chart(painter, self.course, size, colours)
        painter.end()

    def _look_changed(self) -> None:
        px = self.look.px("note")
        self.setMinimumHeight(_HIGH * px)
        self.update()


class WeeksPage(Sheet):
    """A chart with what it says, and what may be looked at.

    Signals:
        wanted: The `Group` that shall be gathered.
        saves: Charts and table are to be written.
        left: Back to the book.
    """

    wanted = pyqtSignal(object)
    saves = pyqtSignal()
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(look, parent, is_wide=True)
        self.courses: tuple[Course, ...] = ()
        self._groups: tuple[Group, ...] = ()
        self._measure = ""
        self.title = label(letters="title", wraps=True)
        self.groups = self._chooser(say("book.weeks.groups"))
        self.measures = self._chooser(say("book.weeks.measures"))
        self.chart = ChartPane(look)
        self.words = label(wraps=True)
        self.legend = label(LEGEND, soft=True, wraps=True)
        self.empty = label(soft=True, wraps=True)
        self.save = button(say("book.weeks.save"), self.saves.emit)
        back = button(say("book.back"), self.left.emit)
        self.groups.activated.connect(self._choose_group)
        self.measures.currentIndexChanged.connect(self._choose_measure)
        self.rows.addWidget(self.title)
        self.rows.addWidget(flowing(look.px("gap"), self.groups, self.measures))
        self.rows.addWidget(self.empty)
        self.rows.addWidget(self.chart, 1)
        self.rows.addWidget(self.words)
        self.rows.addWidget(self.legend)
        self.rows.addWidget(flowing(look.px("gap"), self.save, back))
        look.changed.connect(self._size_choosers)
        self._size_choosers()

    def wait_for(self, title: str) -> None:
        """Open the page for a student whose weeks are being gathered.

        Args:
            title: Whose they are.
        """
        self.title.setText(title)
        self._put_groups((), None)
        self._put_courses(())
        self.empty.setText(say("book.weeks.reading"))

    def put(self, groups: tuple[Group, ...], at: Group | None, courses: Sequence[Course]) -> None:
        """Show what was gathered; the measure that was looked at stays where it is there.

        Args:
            groups: What there is to choose from.
            at: The group that was gathered.
            courses: Its measures.
        """
        self._put_groups(groups, at)
        self._put_courses(tuple(courses))
        key = "book.weeks.none" if not groups else "book.weeks.unmeasured"
        self.empty.setText("" if courses else say(key))
        self.empty.setVisible(not courses)

    def give_keyboard(self) -> None:
        """Give the keyboard to the choice of measures: up and down go from one to the next."""
        self.measures.setFocus(Qt.FocusReason.OtherFocusReason)

    def next_measure(self) -> None:
        """The next measure, and after the last the first."""
        if self.courses:
            self.measures.setCurrentIndex((self.measures.currentIndex() + 1) % len(self.courses))

    def _put_groups(self, groups: tuple[Group, ...], at: Group | None) -> None:
        self._groups = groups
        self.groups.clear()
        for group in groups:
            words = say(
                "book.weeks.group",
                club=group.club or say("book.weeks.no_club"),
                kind=say(f"book.kind.{group.kind}"),
                count=group.swings,
            )
            self.groups.addItem(words)
        if at is not None:
            self.groups.setCurrentIndex(groups.index(at))
        self.groups.setVisible(len(groups) > 1)

    def _put_courses(self, courses: tuple[Course, ...]) -> None:
        kept, self.courses = self._measure, courses
        names = [one.name for one in courses]
        self.measures.blockSignals(True)
        self.measures.clear()
        self.measures.addItems([capital(measure_words(name)) for name in names])
        self.measures.setCurrentIndex(names.index(kept) if kept in names else 0)
        self.measures.blockSignals(False)
        for widget in (self.measures, self.chart, self.words, self.legend, self.save):
            widget.setVisible(bool(courses))
        self.empty.setVisible(not courses)
        self._show()

    def _choose_group(self, row: int) -> None:
        self.wanted.emit(self._groups[row])

    def _choose_measure(self, row: int) -> None:
        if 0 <= row < len(self.courses):
            self._measure = self.courses[row].name
            self._show()

    def _show(self) -> None:
        row = self.measures.currentIndex()
        course = self.courses[row] if 0 <= row < len(self.courses) else None
        lines = told(course) if course is not None else ()
        self.words.setText("\n".join(lines))
        self.chart.show_course(course, self.measures.currentText(), lines)

    def _chooser(self, name: str) -> Chooser:
        made = Chooser(self.look)
        made.setAccessibleName(name)
        made.setSizeAdjustPolicy(Chooser.SizeAdjustPolicy.AdjustToContents)
        return made

    def _size_choosers(self) -> None:
        for chooser in (self.groups, self.measures):
            chooser.setMinimumHeight(self.look.px("target"))


def _as_colour(colour: QColor) -> Colour:
    return colour.red(), colour.green(), colour.blue()
