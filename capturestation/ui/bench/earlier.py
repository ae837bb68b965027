"""The panel of the earlier swing: which one, how it stands, and by what it is laid together.

Owns the list and the words. What they change is the state's; which spots are pointed out is the
spots' own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from PyQt6.QtCore import QModelIndex, Qt, pyqtSignal
from PyQt6.QtGui import QShowEvent
from PyQt6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QListView,
    QPushButton,
    QSlider,
    QWidget,
)

from capturestation.drawing.grid import Side
from capturestation.errors import StationError
from capturestation.records import NS_PER_S, PLACE_SPOTS, STANCE_SPOTS, Moment, Spot, View
from capturestation.station.bench.earlier import Earlier
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.station.bench.steps import Steps
from capturestation.station.laying import Nudge
from capturestation.station.spots import Spots
from capturestation.station.undo import Step
from capturestation.ui.bench.earlier_list import EarlierModel
from capturestation.ui.bench.nudge_pad import NudgePad
from capturestation.ui.bench.wordings import Words, column_of, stretch, with_key
from capturestation.ui.chooser import Chooser
from capturestation.ui.look import Look
from capturestation.ui.style import slider_sheet
from capturestation.ui.texts import say
from capturestation.ui.words import button, label

NUDGE_SHARE = 0.002
"""Of the picture's width for one press: two or three pixels of a large picture."""
LARGER = 1.01
_LIST_ROWS = 4
_SHORT = 12
# Signs of the longest choice that a drawer has room for; the list itself shows all.
_NOT_AT_ONE = "all"


class EarlierPanel(QWidget):
    """Words for the earlier swing.

    Signals:
        wants_best: The own best is to be laid beside.
        wants: A `SwingId` is to be laid beside, and what it is called.
        wants_none: Nothing is to stand beside.
        wants_hint: The spots of the ball before are to be taken over.
        refused: A `StationError`: what was asked for can't be.

    Args:
        state: How the two stand.
        spots: What is pointed out in both.
        does: Makes steps that can be taken back.
        run: Does a step.
        look: Sizes and colours.
    """

    wants_best = pyqtSignal()
    wants = pyqtSignal(str, str)
    wants_none = pyqtSignal()
    wants_hint = pyqtSignal()
    refused = pyqtSignal(object)

    def __init__(
        self,
        state: BenchState,
        spots: Spots,
        does: Steps,
        run: Callable[[Step], None],
        look: Look,
    ) -> None:
        super().__init__()
        self.state, self.spots, self.look = state, spots, look
        self._does, self._run = does, run
        self.best = button(say("sketch.earlier.best"), self.wants_best.emit)
        self.first = button(say("sketch.earlier.first"), self._want_first)
        self.none = button(say("sketch.earlier.none"), self.wants_none.emit)
        self.list = QListView()
        self.model = EarlierModel(self.list)
        self.list.setModel(self.model)
        self.list.setAccessibleName(say("sketch.earlier.list"))
        self.list.activated.connect(self._want_line)
        self.list.clicked.connect(self._want_line)
        self.arrangement = Words(
            [(kind, say(f"sketch.earlier.{kind}")) for kind in Arrangement],
            state.arrange,
            name=say("sketch.earlier.how"),
        )
        self.opacity = QSlider(Qt.Orientation.Horizontal)
        self.opacity.setRange(10, 90)
        self.opacity.setAccessibleName(say("sketch.earlier.opacity"))
        self.opacity.valueChanged.connect(lambda percent: state.set_opacity(percent / 100))
        self.match = Chooser(look)
        self.match.setAccessibleName(say("sketch.earlier.match"))
        self.match.activated.connect(self._match)
        self.point = self._pointing("point", "sketch.spots", PLACE_SPOTS)
        self.stance = self._pointing("stance", "sketch.stance", STANCE_SPOTS)
        self.hint = button(say("sketch.spots.hint"), self.wants_hint.emit)
        self.as_filmed = QPushButton(with_key(say("ground.as_filmed"), "ground.as_filmed"))
        self.placed = label(wraps=True)
        self.time = label(soft=True, wraps=True)
        self._lay_out()
        self._connect()

    def _pointing(self, word: str, action: str, among: tuple[Spot, ...]) -> QPushButton:
        words = with_key(say(f"sketch.spots.{word}"), action)
        made = button(words, lambda: self.spots.want_next(among))
        made.setCheckable(True)
        return made

    def set_earlier(self, rows: tuple[Earlier, ...]) -> None:
        """Offer these swings."""
        self.model.set_rows(rows)
        self.show_state()

    def offer_hint(self, *, there: bool) -> None:
        """Offer to take the spots of the ball before over, or don't."""
        self.hint.setVisible(there)

    def show_as_filmed(self, is_so: bool) -> None:
        """Show whether the earlier picture stays as it was filmed."""
        self.as_filmed.setChecked(is_so)

    def show_state(self) -> None:
        """Show how the two stand now."""
        state, then = self.state, self.state.then
        self.best.setEnabled(state.now is not None)
        self.first.setEnabled(self.model.first_of_today() is not None)
        self.none.setEnabled(then is not None)
        self.arrangement.show_chosen(state.arrangement)
        is_over = then is not None and state.arrangement is Arrangement.OVER
        for widget in (self.opacity, self.as_filmed):
            widget.setVisible(is_over)
        self.point.setVisible(then is not None)
        self.pad.show_for(has_then=then is not None, is_over=is_over)
        self.opacity.setValue(round(100 * state.opacity))
        self.list.setCurrentIndex(self.model.index_of(then.swing.id if then else None))
        self._show_match()
        self._show_spots()
        ms = round(state.nudge_ns * 1000 / NS_PER_S)
        key = "later" if ms > 0 else "earlier" if ms < 0 else "as_matched"
        self.time.setText(say(f"sketch.earlier.time.{key}", ms=abs(ms)))
        self.time.setVisible(then is not None)

    def reset(self) -> None:
        """As it was placed and matched, in one step."""
        before = {view: self.state.nudge(view) for view in self.state.views}
        time_ns = self.state.nudge_ns

        def put(nudges: Mapping[View, Nudge], at_ns: int) -> None:
            self._put(nudges)
            self.state.set_nudge_ns(at_ns)

        plain = dict.fromkeys(before, Nudge())
        if before != plain or time_ns:
            words = say("sketch.step.reset")
            self._run(
                Step(words=words, do=lambda: put(plain, 0), undo=lambda: put(before, time_ns))
            )

    def nudge(self, across: int, down: int) -> None:
        """Move the earlier picture by so many presses, in every view that is shown."""
        self._nudge(across, down, 0)

    def _nudge(self, across: int, down: int, larger: int) -> None:
        """One step for all views that are shown."""
        if self.state.then is None:
            return
        before = {view: self.state.nudge(view) for view in self.state.views}
        after = {
            view: replace(
                old,
                dx=old.dx + across * NUDGE_SHARE,
                dy=old.dy + down * NUDGE_SHARE,
                scale=old.scale * LARGER**larger,
            )
            for view, old in before.items()
        }
        self._run(
            Step(
                words=say("sketch.step.nudge"),
                do=lambda: self._put(after),
                undo=lambda: self._put(before),
            )
        )

    def _put(self, nudges: Mapping[View, Nudge]) -> None:
        for view, nudge in nudges.items():
            self.state.set_nudge(view, nudge)

    def _nudge_time(self, frames: int) -> None:
        then = self.state.then
        if then is not None:
            times = next(iter(then.frames.values())).times_ns
            frame_ns = int(times[-1] - times[0]) // max(len(times) - 1, 1)
            self._run(self._does.nudge_time(frames * frame_ns, say("sketch.step.nudge_time")))

    def _want_first(self) -> None:
        first = self.model.first_of_today()
        if first is not None:
            self.wants.emit(first.id, say("sketch.earlier.first.word"))

    def _want_line(self, index: QModelIndex) -> None:
        earlier = self.model.at(index)
        then = self.state.then
        if then is None or then.swing.id != earlier.id:
            self.wants.emit(earlier.id, earlier.word)

    def _match(self, row: int) -> None:
        chosen = self.match.itemData(row)
        try:
            self.state.match(None if chosen == _NOT_AT_ONE else Moment(chosen))
        except StationError as error:
            self.refused.emit(error)
            self._show_match()

    def _show_match(self) -> None:
        now, then = self.state.now, self.state.then
        shared = [m for m in now.moments_ns if then and m in then.moments_ns] if now else []
        wanted = [_NOT_AT_ONE, *map(str, shared)]
        if [self.match.itemData(row) for row in range(self.match.count())] != wanted:
            self.match.clear()
            self.match.addItem(say("sketch.earlier.match.all"), _NOT_AT_ONE)
            for moment in shared:
                words = say("sketch.earlier.match.one", moment=moment)
                self.match.addItem(words, str(moment))
        at_one = self.state.match_at
        self.match.setCurrentIndex(self.match.findData(str(at_one) if at_one else _NOT_AT_ONE))
        self.match.setVisible(then is not None)

    def _show_spots(self) -> None:
        wanted = self.spots.wanted
        self.point.setChecked(wanted is not None and wanted[1] in PLACE_SPOTS)
        self.stance.setChecked(wanted is not None and wanted[1] in STANCE_SPOTS)
        if wanted is not None:
            side, spot = wanted
            whose = say("sketch.spots.today" if side is Side.NOW else "sketch.spots.earlier")
            self.placed.setText(say("sketch.spots.wanted", spot=spot, whose=whose))
            self.placed.show()
            return
        said: list[str] = []
        if self.state.arrangement is Arrangement.OVER:
            laid = [(view, self.state.laid(view)) for view in self.state.views]
            said = [say("bench.placed", view=v, said=one.said) for v, one in laid if one]
        self.placed.setText("\n".join(said))
        self.placed.setVisible(bool(said))

    def _connect(self) -> None:
        self.look.changed.connect(self._look_changed)
        for notice in (self.state.changed, self.state.opened, self.spots.changed):
            notice.tell(self._state_changed)
        self._look_changed()
        self.offer_hint(there=False)
        self.show_state()

    def showEvent(self, event: QShowEvent | None) -> None:
        """Show what was not followed while nobody saw it."""
        super().showEvent(event)
        self.show_state()

    def _state_changed(self) -> None:
        """While pictures are moved this comes with every step of the hand."""
        if self.isVisible():
            self.show_state()

    def _look_changed(self) -> None:
        row_px = self.look.px("target")
        self.model.set_row_px(row_px)
        self.list.setMinimumHeight(_LIST_ROWS * row_px)
        self.opacity.setStyleSheet(slider_sheet(self.look))
        self.match.setMinimumHeight(row_px)

    def _lay_out(self) -> None:
        column = column_of(self)
        self.pad = NudgePad(self._nudge, self._nudge_time, self.reset)
        self.as_filmed.setCheckable(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.match.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.match.setMinimumContentsLength(_SHORT)
        top = QGridLayout()
        top.addWidget(stretch(self.best), 0, 0)
        top.addWidget(stretch(self.none), 0, 1)
        top.addWidget(stretch(self.first), 1, 0, 1, 2)
        column.addLayout(top)
        for widget in (
            self.list,
            self.arrangement,
            self.opacity,
            stretch(self.as_filmed),
            self.match,
            self.placed,
            stretch(self.point),
            stretch(self.stance),
            stretch(self.hint),
            self.time,
            self.pad,
        ):
            column.addWidget(widget)
        column.addStretch(1)
