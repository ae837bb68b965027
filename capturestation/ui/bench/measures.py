"""The panel of what is measured: values at the moment shown, what changed, and what else is asked.

Owns the words and lists. Values are read while nothing moves; while a hand scrubs the panel waits.
"""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QModelIndex, QTimer, pyqtSignal
from PyQt6.QtGui import QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QGridLayout, QPushButton, QWidget

from capturestation.drawing.grid import Side
from capturestation.records import Moment
from capturestation.station.bench.measures import BenchMeasures
from capturestation.swing.oddities import Odd
from capturestation.ui.bench.measure_lines import Changes, Values, list_of, rows_px
from capturestation.ui.bench.wordings import column_of, stretch, with_key
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

SETTLE_MS = 80
"""A hand that scrubs is not held up: values follow so soon after it."""
_VALUE_ROWS, _CHANGE_ROWS = 5, 2
# Of the changes so many are seen whole; for the others there is the wheel.


class MeasuresPanel(QWidget):
    """What is measured.

    Signals:
        wants_moment: A `Moment` to go to.
        wants_model: The body model is to be fetched.
        wants_analysis: Today's swing, and the one beside it, are to be analysed.
        wants_curve: The curve below the bar is to be there, or not.
        wants_sticks: The stick figure is to be there, or not.
        wants_exchange: The two views of today's swing are to be exchanged.
        wants_upright: The `Oddity` of a view that is to be set upright.
        wants_golfer: A box round the golfer is to be drawn, or not any more.
        wants_nobody: Nobody is said to be the golfer any more.

    Args:
        measures: What is known.
        look: Sizes and colours.
    """

    wants_moment = pyqtSignal(object)
    wants_model = pyqtSignal()
    wants_analysis = pyqtSignal()
    wants_curve = pyqtSignal()
    wants_sticks = pyqtSignal()
    wants_exchange = pyqtSignal()
    wants_upright = pyqtSignal(object)
    wants_golfer = pyqtSignal()
    wants_nobody = pyqtSignal()

    def __init__(self, measures: BenchMeasures, look: Look) -> None:
        super().__init__()
        self.measures, self.look = measures, look
        self._has_model, self._busy = True, False
        self.where = label(wraps=True)
        self.values_model, self.changes_model = Values(), Changes()
        self.values = list_of(self.values_model, look, say("measures.values"))
        self.since = label(soft=True, wraps=True)
        self.changes = list_of(self.changes_model, look, say("measures.changes"))
        self.told = label(soft=True, wraps=True)
        self.odd = label(wraps=True)
        self.exchange = button(say("measures.exchange"), self.wants_exchange.emit)
        self.upright = button(say("measures.upright"), self._set_upright)
        self.golfer = _switch("measures.golfer", self.wants_golfer.emit)
        self.nobody = button(say("measures.golfer.forget"), self.wants_nobody.emit)
        self._is_golfer_said = False
        self.fetch = button(say("measures.fetch"), self.wants_model.emit)
        self.analyse = button(
            with_key(say("measures.analyse"), "measures.analyse"), self.wants_analysis.emit
        )
        self.curve = _switch("measures.curve", self.wants_curve.emit)
        self.sticks = _switch("measures.sticks", self.wants_sticks.emit)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(self.show_values)
        self._lay_out()
        self._connect()

    def show_model(self, *, is_there: bool) -> None:
        """Say whether the body model is there."""
        self._has_model = is_there
        self._show_asked()

    def show_busy(self, *, is_so: bool) -> None:
        """Say whether something of this is under way; its share stands in the caption."""
        self._busy = is_so
        self._show_asked()

    def show_curve(self, *, is_on: bool) -> None:
        """Say whether the curve is there."""
        self.curve.setChecked(is_on)

    def show_golfer(self, *, is_drawn: bool, is_said: bool) -> None:
        """Say whether a box round the golfer is drawn now, and whether there is one."""
        self.golfer.setChecked(is_drawn)
        self._is_golfer_said = is_said
        self._show_odd()

    def show_values(self) -> None:
        """Write the values of the moment that is shown."""
        moment, measures = self.measures.moment(), self.measures
        key = "measures.at" if measures.is_on_moment else "measures.near"
        self.where.setText("" if moment is None else say(key, moment=moment))
        self.values_model.put(measures.lines())
        self.values.setVisible(moment is not None)
        row = self.values_model.row_of(measures.measure.name)
        if row >= 0 and not self.values.hasFocus():
            self.values.setCurrentIndex(self.values_model.index(row))

    def show_state(self) -> None:
        """Write all anew."""
        self.show_values()
        then = self.measures.state.then
        found = self.measures.changes()
        self.changes_model.put(found)
        self.changes.setVisible(bool(found))
        self._make_room()
        key = "none" if self.measures.has_compared else "unread"
        key = "since" if found else key
        words = "" if then is None else say(f"measures.changes.{key}", word=then.word)
        self.since.setText(words)
        self.since.setVisible(then is not None)
        self.sticks.setChecked(self.measures.has_sticks)
        self._show_asked()

    def _show_asked(self) -> None:
        now, is_analysed = self.measures.state.now, self.measures.is_analysed()
        self.fetch.setVisible(not self._has_model)
        self.fetch.setEnabled(not self._busy)
        self.analyse.setVisible(now is not None)
        self.analyse.setEnabled(not self._busy)
        again = "measures.analyse.again" if is_analysed else "measures.analyse"
        put_words(self.analyse, with_key(say(again), "measures.analyse"))
        told = "" if is_analysed else say("measures.not_analysed")
        if not self._has_model:
            told = say("measures.no_model")
        self.told.setText(told if now is not None else say("bench.empty"))
        self.told.setVisible(bool(self.told.text()))
        self._show_odd()

    def _show_odd(self) -> None:
        """Say what is odd about how it was filmed, and offer to put it right."""
        odd = self.measures.odd()
        self.odd.setText("\n".join(one.said for one in odd))
        self.odd.setVisible(bool(odd))
        self.exchange.setVisible(any(one.odd is Odd.EXCHANGED for one in odd))
        self.exchange.setEnabled(not self._busy)
        self.upright.setVisible(any(one.turn_deg for one in odd))
        self.upright.setEnabled(not self._busy)
        who = any(one.odd in (Odd.UNSEEN, Odd.TWO_PEOPLE) for one in odd)
        self.golfer.setVisible(who or self._is_golfer_said or self.golfer.isChecked())
        self.nobody.setVisible(self._is_golfer_said)

    def _set_upright(self) -> None:
        lying = next((one for one in self.measures.odd() if one.turn_deg), None)
        if lying is not None:
            self.wants_upright.emit(lying)

    def _connect(self) -> None:
        state = self.measures.state
        self.changes.activated.connect(self._go_to)
        self.changes.clicked.connect(self._go_to)
        self.values.clicked.connect(self._choose)
        self.values.activated.connect(self._choose)
        for notice in (self.measures.changed, state.changed, state.opened):
            notice.tell(self._changed)
        state.transport.moved.tell(self._moved)
        self.look.changed.connect(self._look_changed)
        self._look_changed()
        self.show_state()

    def _go_to(self, index: QModelIndex) -> None:
        line = self.changes_model.at(index)
        if line is not None:
            self.measures.choose(line.name)
            self.wants_moment.emit(Moment(line.moment))

    def _choose(self, index: QModelIndex) -> None:
        line = self.values_model.at(index)
        if line is not None:
            self.measures.choose(line.name)

    def showEvent(self, event: QShowEvent | None) -> None:
        """Show what was not followed while nobody saw it."""
        super().showEvent(event)
        self.show_state()

    def _changed(self) -> None:
        if self.isVisible():
            self.show_state()

    def _moved(self) -> None:
        if self.isVisible() and not self._settle.isActive():
            self._settle.start()

    def _look_changed(self) -> None:
        row_px = self.look.px("target")
        self.values.setMinimumHeight(_VALUE_ROWS * row_px)
        self._make_room()

    def _make_room(self) -> None:
        self.changes.setMinimumHeight(rows_px(self.changes, _CHANGE_ROWS))

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Narrower words need more lines."""
        super().resizeEvent(event)
        self._make_room()

    def _lay_out(self) -> None:
        column = column_of(self)
        asked = QGridLayout()
        asked.addWidget(self.curve, 0, 0)
        asked.addWidget(self.sticks, 1, 0)
        column.addWidget(self.odd)
        column.addWidget(stretch(self.exchange))
        column.addWidget(stretch(self.upright))
        column.addWidget(self.golfer)
        column.addWidget(stretch(self.nobody))
        for widget in (self.where, self.values, self.since, self.changes, self.told):
            column.addWidget(widget)
        column.setStretchFactor(self.values, 3)
        column.setStretchFactor(self.changes, 2)
        column.addWidget(stretch(self.fetch))
        column.addWidget(stretch(self.analyse))
        column.addLayout(asked)
        column.addStretch(1)


def _switch(action: str, pressed: Callable[[], None]) -> QPushButton:
    """Words that say whether something is there, and bring it or take it away."""
    made = stretch(button(with_key(say(action), action), pressed))
    made.setCheckable(True)
    return made


def focus_words(measures: BenchMeasures) -> tuple[str, str]:
    """What the lesson works on as it is at the moment shown, with the earlier swing's and without.

    Both are empty where we stand on no moment, or it wasn't measured there.
    """
    then = measures.state.seen(Side.THEN)
    for line in measures.lines() if measures.is_on_moment else ():
        if line.is_focus and not line.is_missing:
            words = say("measures.focus", name=line.name, words=line.words)
            if then is None or not line.then_words:
                return words, words
            earlier = f"{then.word} {line.then_words}"
            return say("measures.focus.both", words=words, earlier=earlier), words
    return "", ""
