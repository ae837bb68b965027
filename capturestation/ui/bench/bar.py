"""The bar of time: where we are, the moments in words, and both moved by hand.

Owns the pointer on the bar. Drag on the line to scrub; drag a word to move its moment; press a
word to go there; its menu says that it does not occur.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PyQt6.QtCore import QPoint, QPointF, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PyQt6.QtWidgets import QApplication, QMenu, QWidget

from capturestation.drawing.bench_bar import (
    BarPlace,
    BarState,
    BarWord,
    bar_height_px,
    bar_place,
    paint_bar,
    placed_words,
)
from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.rect import Rect
from capturestation.records import MarkSource, Moment
from capturestation.station.bench.bar import bar_state, place_words
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.ink import ink_of
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_NOTCH = 120
_HOLD_MS = 600
# A finger has no second button: a word that is held that long shows its menu.


class Bar(QWidget):
    """One bar in time to impact.

    Signals:
        move_moment: A `Moment` and the time in ns that a hand moved it to.
        no_moment: A `Moment` that does not occur in this swing.
        clear_moment: A `Moment` whose hand's mark is taken away.
        asked_contact: Impact's own menu was asked for: it is moved by placing a picture.
    """

    move_moment = pyqtSignal(object, object)
    no_moment = pyqtSignal(object)
    clear_moment = pyqtSignal(object)
    asked_contact = pyqtSignal()

    def __init__(self, state: BenchState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.look = look
        self._held: Moment | None = None
        self._moved_to_ns: int | None = None
        self._off_px = 0.0
        self._pressed_at: QPointF | None = None
        self._scrubs = False
        self._turned = 0
        self._is_low = False
        self._by_key = False
        self._hold = QTimer(self)
        self._hold.setSingleShot(True)
        self._hold.setInterval(_HOLD_MS)
        self._hold.timeout.connect(self._held_long)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(say("bench.bar"))
        self.setMouseTracking(True)
        look.changed.connect(self._look_changed)
        state.changed.tell(self.update)
        state.transport.moved.tell(self._moved)
        state.transport.changed.tell(self.update)
        self._look_changed()

    @property
    def ink(self) -> BenchInk:
        """What it is painted with: with one line of words where there is little height."""
        return replace(ink_of(self.look), word_lines=1 if self._is_low else 2)

    def set_low(self, *, is_low: bool) -> None:
        """Make do with little height."""
        if is_low != self._is_low:
            self._is_low = is_low
            self._look_changed()

    @property
    def shown(self) -> BarState:
        """What it shows now; a moment that is being moved stands where the pointer is."""
        return bar_state(self.state, held=self._held, held_ns=self._moved_to_ns)

    @property
    def place(self) -> BarPlace:
        """Where its parts stand, pixels of the widget."""
        return bar_place(self._rect(), self.shown, self.ink)

    def words(self) -> tuple[BarWord, ...]:
        """The moments' words that there is room for."""
        shown, ink = self.shown, self.ink
        return placed_words(bar_place(self._rect(), shown, ink), shown, ink)

    def sizeHint(self) -> QSize:
        """Room for it as it is usually seen."""
        return QSize(640, bar_height_px(self.ink))

    def minimumSizeHint(self) -> QSize:
        """As high as its rows, as narrow as can be used."""
        return QSize(320, bar_height_px(self.ink))

    def paintEvent(self, event: QPaintEvent | None) -> None:
        """Paint it anew."""
        del event
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.colour("paper"))
        if self.state.now is not None:
            paint_bar(painter, self._rect(), self.shown, self.ink)
        if self.hasFocus() and self._by_key:
            wide = self.look.px("focus")
            painter.setPen(QPen(self.look.colour("focus"), wide))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(wide // 2, wide // 2, -wide, -wide))
        painter.end()

    def focusInEvent(self, event: QFocusEvent | None) -> None:
        """Show that it has the keyboard."""
        super().focusInEvent(event)
        ways = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)
        self._by_key = event is not None and event.reason() in ways
        self.update()

    def word_at(self, at: QPointF) -> BarWord | None:
        """The moment's word under a place of the widget, with the air about it."""
        reach = self.look.px("note") / 2
        for word in self.words():
            rect = word.rect
            inside = rect.left - reach <= at.x() <= rect.right + reach
            if inside and rect.top <= at.y() <= rect.bottom:
                return word
        return None

    def mousePressEvent(self, event: QMouseEvent | None) -> None:
        """Take hold of what is under the pointer."""
        if event is None or event.button() is not Qt.MouseButton.LeftButton:
            return
        if self.state.now is None:
            return
        self._pressed_at, place = event.position(), self.place
        if self._pressed_at.y() < place.words.top:
            self._scrubs = True
            self.state.transport.drag(place.at_ns(self._pressed_at.x()))
            return
        word = self.word_at(self._pressed_at)
        if word is not None:
            self._held = word.moment.moment
            # Where it is crowded a word stands beside its mark: the mark moves as far as the hand.
            self._off_px = event.position().x() - self.place.column(word.moment.at_ns)
            self._hold.start()
            self.update()

    def mouseMoveEvent(self, event: QMouseEvent | None) -> None:
        """Move what is held."""
        if event is None:
            return
        if self._scrubs:
            self.state.transport.drag(self.place.at_ns(event.position().x()))
        elif self._held is not None and self._pressed_at is not None:
            way = (event.position() - self._pressed_at).manhattanLength()
            moved = self._moved_to_ns is not None or way >= QApplication.startDragDistance()
            if moved:
                self._hold.stop()
            if moved and self._held is not Moment.IMPACT:
                self._moved_to_ns = self.place.at_ns(event.position().x() - self._off_px)
                self.state.transport.drag(self._moved_to_ns)
                self.update()
        else:
            over = self.word_at(event.position()) is not None
            shape = Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor
            self.setCursor(shape)

    def mouseReleaseEvent(self, event: QMouseEvent | None) -> None:
        """Let go of it."""
        if event is None:
            return
        self._hold.stop()
        held, to_ns = self._held, self._moved_to_ns
        self._held = self._moved_to_ns = self._pressed_at = None
        self._scrubs = False
        if held is not None and to_ns is not None:
            # What was seen while it was moved is what is marked: the frame that stands there.
            self.move_moment.emit(held, self.state.transport.at_ns)
        elif held is not None and self.state.now is not None:
            self.state.transport.drag(self.state.now.moments_ns[held])
        self.update()

    def wheelEvent(self, event: QWheelEvent | None) -> None:
        """Step through frames, one a notch."""
        if event is None:
            return
        self._turned += event.angleDelta().y() or event.angleDelta().x()
        notches = int(self._turned / _NOTCH)
        self._turned -= notches * _NOTCH
        event.accept()
        if notches:
            self.state.transport.step(-notches)

    def contextMenuEvent(self, event: QContextMenuEvent | None) -> None:
        """Offer what can be done with the word under the pointer."""
        if event is None:
            return
        word = self.word_at(QPointF(event.pos()))
        if word is not None:
            self._show_menu(word.moment.moment, event.globalPos())

    def _held_long(self) -> None:
        """A word was held and not moved."""
        held, at = self._held, self._pressed_at
        self._held = self._pressed_at = None
        if held is not None and at is not None:
            self._show_menu(held, self.mapToGlobal(at.toPoint()))

    def _show_menu(self, moment: Moment, at: QPoint) -> None:
        if moment is Moment.IMPACT:
            self.asked_contact.emit()
        else:
            self.menu_of(moment).popup(at)

    def menu_of(self, moment: Moment) -> QMenu:
        """What can be done with one moment."""
        menu = self._menu()
        here = menu.addAction(say("bench.mark_here", moment=moment))
        absent = menu.addAction(say("bench.not_occur", moment=moment))
        assert here is not None
        assert absent is not None
        here.triggered.connect(lambda: self.move_moment.emit(moment, self.state.transport.at_ns))
        absent.triggered.connect(lambda: self.no_moment.emit(moment))
        now = self.state.now
        mark = None if now is None else now.marks.get(moment)
        if mark is not None and mark.source is MarkSource.HAND:
            clear = menu.addAction(say("bench.clear_mark", moment=moment))
            assert clear is not None
            clear.triggered.connect(lambda: self.clear_moment.emit(moment))
        return menu

    def mark_menu(self) -> QMenu:
        """All moments, each to be marked where we are."""
        menu = self._menu()
        for moment in Moment:
            if moment is not Moment.IMPACT:
                action = menu.addAction(say("bench.mark_here", moment=moment))
                assert action is not None
                action.setData(moment)
                action.triggered.connect(
                    lambda _on=False, m=moment: self.move_moment.emit(m, self.state.transport.at_ns)
                )
        return menu

    def absent_menu(self) -> QMenu:
        """All moments, each to be said not to occur, or to be looked for again."""
        menu = self._menu()
        now = self.state.now
        for moment in Moment:
            if moment is Moment.IMPACT or now is None:
                continue
            mark = now.marks.get(moment)
            is_absent = mark is not None and not mark.occurs
            key = "bench.occurs_again" if is_absent else "bench.not_occur"
            told = self.clear_moment if is_absent else self.no_moment
            action = menu.addAction(say(key, moment=moment))
            assert action is not None
            action.setData(moment)
            action.triggered.connect(lambda _on=False, m=moment, s=told: s.emit(m))
        return menu

    def menu_with(self, entries: Sequence[tuple[str, Callable[[], None]]]) -> QMenu:
        """A menu of these words, each with what it does."""
        menu = self._menu()
        for words, does in entries:
            action = menu.addAction(words)
            assert action is not None
            action.triggered.connect(lambda _on=False, d=does: d())
        return menu

    def popup(self, menu: QMenu) -> None:
        """Show a menu above the bar's middle, its first entry chosen, ready for keys."""
        menu.popup(self.mapToGlobal(QPointF(self.width() / 2, -menu.sizeHint().height())).toPoint())
        actions = menu.actions()
        if actions:
            near = [n for n, action in enumerate(actions) if action.data() == self._nearest()]
            menu.setActiveAction(actions[near[0] if near else 0])

    def _nearest(self) -> str | None:
        """The moment that we stand nearest to: the one that is most likely meant."""
        now = self.state.now
        times = {} if now is None else now.moments_ns
        wanted = [moment for moment in times if moment is not Moment.IMPACT]
        at_ns = self.state.transport.at_ns
        return min(wanted, key=lambda one: abs(times[one] - at_ns), default=None)

    def _menu(self) -> QMenu:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.setFont(self.look.font("body"))
        return menu

    def _rect(self) -> Rect:
        return Rect(left=0, top=0, width=self.width(), height=self.height())

    def _moved(self) -> None:
        if not self.state.transport.is_playing:
            self.setAccessibleDescription(place_words(self.state))
        self.update()

    def _look_changed(self) -> None:
        self.setFixedHeight(bar_height_px(self.ink))
        self.update()
