"""A measure over time, below the bar: there when it is asked for.

Owns its place under the bar's own line of time. What stays while we move is painted once; a move
paints one line over it.
"""

from __future__ import annotations

from PyQt6.QtCore import QPoint, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PyQt6.QtWidgets import QSizePolicy, QWidget

from capturestation.drawing.measure_curve import (
    CurveLine,
    CurvePicture,
    CurvePlace,
    curve_place,
    paint_curve,
    paint_here,
    span_of,
)
from capturestation.drawing.rect import Rect
from capturestation.station.bench.bar import span_of as bar_span
from capturestation.station.bench.measures import BenchMeasures
from capturestation.ui.bench.bar import Bar
from capturestation.ui.bench.ink import ink_of
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_MINUS = "\N{MINUS SIGN}"
_READING = "measures.curve.reading"
_LETTERS_HIGH = 5.5
_MOST_OF_PAGE = 0.135
# Of the height of the place: pictures come first.


class CurvePane(QWidget):
    """One measure over time.

    Signals:
        pressed: It was pressed: the next measure is wanted.

    Args:
        measures: What is known.
        bar: Each time stands below where it stands on it.
        look: Sizes and colours.
    """

    pressed = pyqtSignal()

    def __init__(
        self, measures: BenchMeasures, bar: Bar, look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.measures, self.bar, self.look = measures, bar, look
        self._still: QPixmap | None = None
        self._picture: CurvePicture | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(say("measures.curve"))
        look.changed.connect(self.show_anew)
        measures.changed.tell(self.show_anew)
        measures.state.changed.tell(self.show_anew)
        measures.state.opened.tell(self.show_anew)
        measures.state.transport.moved.tell(self._moved)

    def fit_to(self, page_px: int) -> None:
        """Take its height on a page that is so high."""
        wanted = round(_LETTERS_HIGH * self.look.px("body"))
        self.setFixedHeight(min(wanted, round(_MOST_OF_PAGE * page_px)))

    def sizeHint(self) -> QSize:
        """As wide as there is."""
        return QSize(640, self.height())

    def show_anew(self) -> None:
        """Something else is to be seen than where we are."""
        self._still = None
        if self.isVisible():
            self.update()

    @property
    def picture(self) -> CurvePicture:
        """What stands there now."""
        start_ns, stop_ns = bar_span(self.measures.state)
        known = self._picture
        if self._still is not None and known is not None and known.start_ns == start_ns:
            return known
        self._picture = self._made(start_ns, stop_ns)
        self._still = None
        return self._picture

    def _made(self, start_ns: int, stop_ns: int) -> CurvePicture:
        measures, now = self.measures, self.measures.state.now
        measure = measures.measure
        lines = tuple(
            CurveLine(side=side, times_ns=one.times_ns, values=one.values)
            for side, one in measures.curves().items()
        )
        low, high = span_of(lines, start_ns, stop_ns)
        units = {one.unit for one in measures.curves().values()}
        unit = {"deg": "°", "cm": " cm", "% of height": " %"}.get("".join(units), "")
        is_read = measures.is_read(with_tracks=True)
        why = say("measures.curve.none", measure=measure.name) if is_read else say(_READING)
        told = say(
            "measures.curve.told",
            low=f"{low:.0f}{unit}".replace("-", _MINUS),
            high=f"{high:.0f}{unit}".replace("-", _MINUS),
            more=measure.more,
            less=measure.less,
        )
        self.setAccessibleDescription(f"{measure.name}: {told}" if lines else why)
        return CurvePicture(
            name=measure.name,
            told=told,
            start_ns=start_ns,
            stop_ns=stop_ns,
            moments_ns=() if now is None else tuple(now.moments_ns.values()),
            lines=lines,
            why_none=why,
        )

    @property
    def place(self) -> CurvePlace:
        """Where its parts stand, pixels of the widget."""
        line = self.bar.place.line
        window = self.window()
        shift = 0
        if window is not None:
            zero = QPoint(0, 0)
            shift = self.bar.mapTo(window, zero).x() - self.mapTo(window, zero).x()
        rect = Rect(left=0, top=0, width=self.width(), height=self.height())
        return curve_place(rect, line.left + shift, line.width, ink_of(self.look))

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """Paint what stays, and where we are."""
        del event
        picture, place, ink = self.picture, self.place, ink_of(self.look)
        painter = QPainter(self)
        if self._still is None:
            self._still = self._painted(picture, place)
        painter.drawPixmap(0, 0, self._still)
        if picture.lines:
            paint_here(painter, place, picture, self.measures.state.transport.at_ns, ink)
        painter.end()

    def _painted(self, picture: CurvePicture, place: CurvePlace) -> QPixmap:
        ratio = self.devicePixelRatioF()
        still = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
        still.setDevicePixelRatio(ratio)
        still.fill(self.look.colour("paper"))
        painter = QPainter(still)
        paint_curve(painter, place, picture, ink_of(self.look))
        painter.end()
        return still

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Paint it in the new size."""
        super().resizeEvent(event)
        self.show_anew()

    def mousePressEvent(self, event: QMouseEvent | None) -> None:
        """Show another measure."""
        if event is not None and event.button() is Qt.MouseButton.LeftButton:
            self.pressed.emit()

    def _moved(self) -> None:
        if self.isVisible():
            self.update()
