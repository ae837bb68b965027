"""Frame back, play, frame on: large words below the bar of time, or at both its ends.

Owns the buttons of movement and the clock that plays. What they do is the transport's.
"""

from __future__ import annotations

import time
from typing import TypeAlias

from PyQt6.QtCore import QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QResizeEvent
from PyQt6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QWidget

from capturestation.station.bench.bar import span_of
from capturestation.station.bench.state import BenchState
from capturestation.station.bench.transport import FASTEST, SLOWEST
from capturestation.ui.bench.projection import TICK_NS
from capturestation.ui.look import Look, SizeName
from capturestation.ui.texts import say
from capturestation.ui.words import restyle, take_keys

_TICK_MS = round(TICK_NS / 1e6)
_WAYS: tuple[tuple[SizeName, bool, bool], ...] = (
    ("body", True, False),
    ("body", False, False),
    ("body", False, True),
    ("note", False, True),
)
# Letters, whether slower and faster have words of their own, and whether frame back and frame on
# are said shortly; the roomiest first.
LEAST_TARGET_PX = 44
"""What a finger hits, however large letters are."""
_Places: TypeAlias = tuple[tuple[tuple[int, int], ...], tuple[int, int, int, int], tuple[int, ...]]
_ROW: _Places = (
    ((1, 0), (1, 1), (1, 2), (1, 4), (1, 5), (1, 6), (1, 8), (1, 9)),
    (0, 0, 1, 10),
    (3, 7),
)
_ENDS: _Places = (
    ((1, 0), (0, 0), (1, 1), (0, 3), (0, 3), (0, 3), (0, 1), (1, 3)),
    (0, 2, 2, 1),
    (2,),
)
# Rows and columns of the words in their order, the bar's with its spans, columns that take the
# rest. Slower and faster aren't seen where the words stand at both ends.


class TransportBar(QWidget):
    """The words that move us in time, and the bar of time that they belong to.

    Args:
        state: What is moved.
        look: Sizes and colours.
        bar: The bar of time; it stands with the words.

    Signals:
        ticked: It played on; the host clock in ns.
    """

    ticked = pyqtSignal(object)

    def __init__(
        self,
        state: BenchState,
        look: Look,
        parent: QWidget | None = None,
        *,
        bar: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.state = state
        self.look = look
        self.bar = bar
        self._is_tight = False
        transport = state.transport
        self.frame_back = self._button("bench.frame_back", lambda: transport.step(-1))
        self.play = self._button("bench.play", transport.play_or_stop)
        self.frame_on = self._button("bench.frame_on", lambda: transport.step(1))
        self.slower = self._button("bench.slower", transport.slower)
        self.speed = self._button("bench.speed_word", self.next_speed)
        self.faster = self._button("bench.faster", transport.faster)
        self.loop = self._button("bench.loop", self.toggle_loop)
        self.loop.setCheckable(True)
        self.angles = self._button("bench.angles", state.next_angle)
        self.timer = QTimer(self)
        self.timer.setTimerType(Qt.TimerType.PreciseTimer)
        self.timer.setInterval(_TICK_MS)
        self.timer.timeout.connect(self._tick)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._lay_out()
        look.changed.connect(self._look_changed)
        transport.changed.tell(self._show)
        state.changed.tell(self._show)
        state.opened.tell(self._show)
        self._look_changed()
        self._show()

    def minimumSizeHint(self) -> QSize:
        """Narrow: words that find no room are left out."""
        return QSize(320, self._grid.minimumSize().height())

    def set_tight(self, *, is_tight: bool) -> None:
        """Stand at both ends of the bar, on two lines, or below it."""
        if is_tight != self._is_tight:
            self._is_tight = is_tight
            self._lay_out()
            self._look_changed()
            self._show()

    def toggle_loop(self) -> None:
        """Loop between the two moments about this place, or play through again."""
        transport = self.state.transport
        if transport.loop is not None:
            transport.end_loop()
            return
        before = [at for at in transport.moments_ns if at <= transport.at_ns]
        after = [at for at in transport.moments_ns if at > transport.at_ns]
        start, stop = span_of(self.state)
        transport.set_loop(max(before, default=start), min(after, default=stop))

    def next_speed(self) -> None:
        """Half as fast; from the slowest to real speed."""
        transport = self.state.transport
        transport.set_speed(FASTEST if transport.speed == SLOWEST else transport.speed / 2)

    def words(self) -> tuple[QPushButton, ...]:
        """Its buttons from left to right."""
        return (
            self.frame_back,
            self.play,
            self.frame_on,
            self.slower,
            self.speed,
            self.faster,
            self.loop,
            self.angles,
        )

    def _button(self, key: str, does: object) -> QPushButton:
        button = QPushButton(say(key))
        button.setAccessibleName(say(key))
        take_keys(button)
        button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
        assert callable(does)
        button.clicked.connect(lambda _on=False: does())
        return button

    def _lay_out(self) -> None:
        grid = self._grid
        while grid.count():
            grid.takeAt(0)
        for column in range(grid.columnCount()):
            grid.setColumnStretch(column, 0)
        places, bar, stretches = _ENDS if self._is_tight else _ROW
        for button, (row, column) in zip(self.words(), places, strict=True):
            grid.addWidget(button, row, column)
        if self.bar is not None:
            grid.addWidget(self.bar, *bar)
        for column in stretches:
            grid.setColumnStretch(column, 1)

    def _look_changed(self) -> None:
        # At both ends they are half as high as the bar; letters of any size fit that.
        half = 0 if self.bar is None else self.bar.minimumSizeHint().height() // 2
        gap = self.look.px("gap")
        least = max(half - gap // 2, LEAST_TARGET_PX) if self._is_tight else self.look.px("target")
        for button in self.words():
            button.setFont(self.look.font("body"))
            button.setProperty("room", "line" if self._is_tight else "")
            restyle(button)
            button.setMinimumHeight(least)
        self._grid.setHorizontalSpacing(gap)
        self._grid.setVerticalSpacing(0 if self._is_tight else gap)

    def _show(self) -> None:
        transport = self.state.transport
        for button in self.words():
            button.setEnabled(self.state.now is not None)
        key = "bench.stop" if transport.is_playing else "bench.play"
        self.play.setText(say(key))
        self.play.setAccessibleName(say(key))
        whole = transport.speed == 1
        self.speed.setText(
            say("bench.real_speed") if whole else say("bench.speed", speed=transport.speed)
        )
        self.speed.setAccessibleName(self.speed.text())
        self.loop.setChecked(transport.loop is not None)
        self.angles.setText(self._angle_words())
        self.angles.setAccessibleName(self.angles.text())
        self.angles.setVisible(self.state.now is not None and self.has_choice)
        if transport.is_playing and not self.timer.isActive():
            self.timer.start()
        elif not transport.is_playing:
            self.timer.stop()

        self._fit()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Leave out what can be reached in another way where there is no room for all."""
        super().resizeEvent(event)
        self._fit()

    def _angle_words(self) -> str:
        alone = self.state.alone
        if alone is None and self.state.has_room_for_one:
            return str(self.state.views[0]).capitalize()
        return say("bench.angles") if alone is None else say("bench.angle_alone", view=alone)

    def _fit(self) -> None:
        """Where it is narrow words become fewer, then shorter, then smaller."""
        gaps = (self._grid.columnCount() - 1) * self.look.px("gap")
        for size, has_both, is_short in _WAYS[2:3] if self._is_tight else _WAYS:
            self._say_frames(is_short=is_short)
            for button in self.words():
                button.setFont(self.look.font(size))
            needs = sum(b.sizeHint().width() for b in self._seen(has_both=has_both))
            if needs + gaps <= self.width():
                break
        # Once, at the end: shown and hidden in one go, the layout would keep its room.
        for button in (self.slower, self.faster):
            button.setVisible(has_both)

    def _seen(self, *, has_both: bool) -> list[QPushButton]:
        """The words that take room."""
        both = (self.slower, self.faster)
        return [
            button
            for button in self.words()
            if (has_both if button in both else not button.isHidden())
        ]

    def _say_frames(self, *, is_short: bool) -> None:
        for button, key in ((self.frame_back, "frame_back"), (self.frame_on, "frame_on")):
            button.setText(say(f"bench.{key}.short" if is_short else f"bench.{key}"))

    @property
    def has_choice(self) -> bool:
        """Whether there is more than one angle to choose from."""
        both = [seen.frames.keys() for seen in (self.state.now, self.state.then) if seen]
        return len(set().union(*both)) > 1 if both else False

    def _tick(self) -> None:
        now_ns = time.perf_counter_ns()
        self.state.transport.tick(now_ns)
        self.ticked.emit(now_ns)
