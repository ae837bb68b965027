"""Frame back, play, frame on: large words below the bar.

Owns the buttons of movement and the clock that plays. What they do is the transport's.
"""

from __future__ import annotations

import time

from PyQt6.QtCore import Qt, QTimer, pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from capturestation.station.bench.bar import span_of
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.projection import TICK_NS
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_TICK_MS = round(TICK_NS / 1e6)


class TransportBar(QWidget):
    """The words that move us in time.

    Signals:
        ticked: It played on; the host clock in ns.
    """

    ticked = pyqtSignal(object)

    def __init__(self, state: BenchState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.look = look
        transport = state.transport
        self.frame_back = self._button("bench.frame_back", lambda: transport.step(-1))
        self.play = self._button("bench.play", transport.play_or_stop)
        self.frame_on = self._button("bench.frame_on", lambda: transport.step(1))
        self.slower = self._button("bench.slower", transport.slower)
        self.speed = QLabel()
        self.speed.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.faster = self._button("bench.faster", transport.faster)
        self.loop = self._button("bench.loop", self.toggle_loop)
        self.loop.setCheckable(True)
        self.angles = self._button("bench.angles", state.next_angle)
        self.timer = QTimer(self)
        self.timer.setTimerType(Qt.TimerType.PreciseTimer)
        self.timer.setInterval(_TICK_MS)
        self.timer.timeout.connect(self._tick)
        self._lay_out()
        look.changed.connect(self._look_changed)
        transport.changed.tell(self._show)
        state.changed.tell(self._show)
        state.opened.tell(self._show)
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

    def words(self) -> tuple[QPushButton, ...]:
        """Its buttons from left to right."""
        return (
            self.frame_back,
            self.play,
            self.frame_on,
            self.slower,
            self.faster,
            self.loop,
            self.angles,
        )

    def _button(self, key: str, does: object) -> QPushButton:
        button = QPushButton(say(key))
        button.setAccessibleName(say(key))
        button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
        assert callable(does)
        button.clicked.connect(lambda _on=False: does())
        return button

    def _lay_out(self) -> None:
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for widget in (self.frame_back, self.play, self.frame_on):
            row.addWidget(widget)
        row.addStretch(1)
        for other in (self.slower, self.speed, self.faster):
            row.addWidget(other)
        row.addStretch(1)
        row.addWidget(self.loop)
        row.addWidget(self.angles)

    def _look_changed(self) -> None:
        for button in self.words():
            button.setFont(self.look.font("body"))
            button.setMinimumHeight(self.look.px("target"))
        self.speed.setFont(self.look.font("body"))
        row = self.layout()
        if row is not None:
            row.setSpacing(self.look.px("gap"))

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
        self.loop.setChecked(transport.loop is not None)
        alone = self.state.alone
        self.angles.setText(
            say("bench.angles") if alone is None else say("bench.angle_alone", view=alone)
        )
        self.angles.setVisible(self.state.now is not None and self.has_choice)
        if transport.is_playing and not self.timer.isActive():
            self.timer.start()
        elif not transport.is_playing:
            self.timer.stop()

    @property
    def has_choice(self) -> bool:
        """Whether there is more than one angle to choose from."""
        both = [seen.frames.keys() for seen in (self.state.now, self.state.then) if seen]
        return len(set().union(*both)) > 1 if both else False

    def _tick(self) -> None:
        now_ns = time.perf_counter_ns()
        self.state.transport.tick(now_ns)
        self.ticked.emit(now_ns)
