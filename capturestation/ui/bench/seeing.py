"""What is measured of the swings on a Bench: read beside the window, shown, asked for.

Owns the jobs: reading what a panel or a curve shows, measuring anew once a hand has marked, having
swings analysed by a process of its own, fetching the body model. Nothing of it waits for a picture,
and no picture for it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QObject, QTimer
from PyQt6.QtGui import QPainter

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.stick import paint_sticks
from capturestation.errors import CancelledError, StationError
from capturestation.records import Mark, Moment, Swing, SwingId, Watch
from capturestation.station.analysing_apart import analyse_apart
from capturestation.station.bench.measures import BenchMeasures, ReadMeasures, read_measures
from capturestation.station.exchanging import exchange_step, exchange_views
from capturestation.station.measuring_again import MeasuredAgain, measure_again
from capturestation.station.models import BodyModel, body_model, fetch_body_model
from capturestation.station.turning import turn_step, turn_view
from capturestation.swing.oddities import Oddity
from capturestation.ui.bench.curves import CurvePane
from capturestation.ui.bench.measures import SETTLE_MS, MeasuresPanel, focus_words
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.texts import say
from capturestation.ui.work import Job, Workers

MEASURES = "measures"
_READ_MS, _AGAIN_MS = 120, 700
# After what changed last: a hand that marks marks again.

_log = logging.getLogger(__name__)


class Seeing(QObject):
    """The measures of a Bench.

    Args:
        place: The Bench.
    """

    def __init__(self, place: BenchPlace) -> None:
        super().__init__(place)
        self.place = place
        self.measures = BenchMeasures(place.state)
        self.panel = MeasuresPanel(self.measures, place.look)
        self.curve = CurvePane(self.measures, place.bar, place.look)
        self._workers = Workers(self)
        self._job: Job | None = None
        self._marks: dict[SwingId, tuple[Mark, ...]] = {}
        self._unmeasured: set[SwingId] = set()
        self._reads = self._timer(_READ_MS, self._read)
        self._agains = self._timer(_AGAIN_MS, self._measure_again)
        self._settle = self._timer(SETTLE_MS, self._show_focus)
        place.add_panel(MEASURES, self.panel)
        place.add_below(self.curve)
        self._connect()
        self._workers.run(say("bench.opening"), lambda _: body_model(), self._take_model, _nobody)
        self._opened()

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for the actions of the table of keys."""
        return {
            "measures.panel": self.toggle_panel,
            "measures.curve": self.toggle_curve,
            "measures.next_curve": self.next_curve,
            "measures.sticks": self.toggle_sticks,
            "measures.analyse": self.analyse,
        }

    def toggle_panel(self) -> None:
        """Open the panel, or close it."""
        shown = self.place.head.shown_panel == MEASURES
        self.place.show_panel(None if shown else MEASURES)

    def toggle_curve(self) -> None:
        """Show the curve below the bar, or take it away."""
        self.place.show_below(is_on=not self.place.wants_below)
        self.panel.show_curve(is_on=self.place.wants_below)
        self._want_read()

    def next_curve(self) -> None:
        """Show the next measure's curve."""
        if not self.place.wants_below:
            self.toggle_curve()
        else:
            self.measures.choose_next()

    def toggle_sticks(self) -> None:
        """Draw the golfer as sticks, or don't."""
        self.measures.draw_sticks(is_on=not self.measures.has_sticks)
        self._want_read()

    def analyse(self) -> None:
        """Have today's swing analysed, and the one beside it where it wasn't yet."""
        now = self.measures.swings.get(Side.NOW)
        if now is None or self._job is not None:
            return
        then = self.measures.swings.get(Side.THEN)
        wanted = [now.id]
        if then is not None and not self.measures.is_analysed(Side.THEN):
            wanted.append(then.id)
        library, cache = self.place.library, self.place.cache

        def op(watch: Watch) -> tuple[tuple[str, ...], tuple[Swing, ...]]:
            said = analyse_apart(library.folder, cache, wanted, watch)
            return said, tuple(library.swing(swing) for swing in wanted)

        self._run(say("measures.analysing"), op, self._analysed)

    def exchange(self) -> None:
        """Call the two views of today's swing the other way round, as a step."""
        now, place = self.measures.swings.get(Side.NOW), self.place
        if now is None or self._job is not None:
            return
        library, cache = place.library, place.cache

        def op(_watch: Watch) -> tuple[Swing, MeasuredAgain]:
            before = library.swing(now.id)
            return before, exchange_views(library, before, cache)

        def done(answer: object) -> None:
            assert isinstance(answer, tuple)
            before, again = answer
            words = say("measures.step.exchange")
            place.run(exchange_step(library, before, again.swing, words, self._named, cache))
            place.says.emit(again.said or say("measures.exchanged"))

        self._run(say("measures.exchanging"), op, done)

    def set_upright(self, lying: Oddity) -> None:
        """Set a view upright whose camera stood on its side, as a step."""
        now, place, view = self.measures.swings.get(Side.NOW), self.place, lying.view
        if now is None or view is None or self._job is not None:
            return
        library, cache, swing = place.library, place.cache, now.id
        place.let_go_of(swing)
        place.going.emit(swing)

        def op(watch: Watch) -> tuple[Swing, Swing]:
            before = library.swing(swing)
            return before, turn_view(library, cache, before, view, lying.turn_deg, watch)

        def done(answer: object) -> None:
            assert isinstance(answer, tuple)
            before, after = answer
            words = say("measures.step.upright")
            place.run(turn_step(library, cache, before, after, words, place.look_at))
            place.says.emit(say("measures.set_upright"))

        self._run(say("measures.setting_upright"), op, done, lambda: place.look_at(swing))

    def _named(self, swing: SwingId) -> None:
        """Its pictures have other names now: open it anew, if it is still looked at."""
        if swing == self.place.swing:
            self.place.look_at(swing)

    def fetch(self) -> None:
        """Have the body model fetched."""
        if self._job is None:
            self._run(say("measures.fetching"), fetch_body_model, self._fetched)

    def paint(self, painter: QPainter, cell: Cell, at: FieldPlace) -> None:
        """Paint sticks over one field's picture, where they are asked for."""
        if self.measures.has_sticks:
            at_ns = self.place.canvas.projection.shown_ns(cell)
            joints = None if at_ns is None else self.measures.joints_px(cell, at_ns)
            if joints is not None:
                paint_sticks(painter, joints, at)

    def close_seeing(self) -> None:
        """Measure what waits for it, end all threads; before the library is closed."""
        for timer in (self._reads, self._agains, self._settle):
            timer.stop()
        if self._job is not None:
            self._job.stop()
        self._workers.close()
        for swing in tuple(self._unmeasured):
            try:
                self._measured(swing)
            except StationError as error:
                _log.warning("not measured at the end: %s", type(error).__name__)

    def _timer(self, wait_ms: int, then: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(wait_ms)
        timer.timeout.connect(then)
        return timer

    def _connect(self) -> None:
        place, state = self.place, self.place.state
        state.opened.tell(self._opened)
        state.changed.tell(self._changed)
        state.transport.moved.tell(self._moved)
        self.measures.changed.tell(place.canvas.update)
        place.saver.saved.connect(self._saved)
        place.head.panel_changed.connect(lambda _name: self._want_read())
        self.panel.wants_moment.connect(self._go_to)
        self.panel.wants_model.connect(self.fetch)
        self.panel.wants_analysis.connect(self.analyse)
        self.panel.wants_curve.connect(self.toggle_curve)
        self.panel.wants_sticks.connect(self.toggle_sticks)
        self.panel.wants_exchange.connect(self.exchange)
        self.panel.wants_upright.connect(self.set_upright)
        self.curve.pressed.connect(self.next_curve)

    def _opened(self) -> None:
        """Another swing lies there."""
        for swing in self.measures.swings.values():
            self._marks.setdefault(swing.id, swing.book.marks)
        self.measures.work_on(self.place.focus)
        self._changed()

    def _changed(self) -> None:
        self._moved()
        self._want_read()

    def _moved(self) -> None:
        """Values follow once nothing moves, or so often: never with each picture."""
        if not self._settle.isActive():
            self._settle.start()

    def _show_focus(self) -> None:
        if self.place.head.set_value(*focus_words(self.measures)):
            self.place.stands.emit(self.place.standing())

    def _go_to(self, moment: Moment) -> None:
        now = self.place.state.now
        if now is not None and moment in now.moments_ns:
            self.place.state.transport.drag(now.moments_ns[moment])

    @property
    def _wants_tracks(self) -> bool:
        return self.place.wants_below or self.measures.has_sticks

    def _want_read(self) -> None:
        is_wanted = self._wants_tracks or self.place.head.shown_panel == MEASURES
        if is_wanted and not self.measures.is_read(with_tracks=self._wants_tracks):
            self._reads.start()

    def _read(self) -> None:
        swings, tracks = self.measures.swings, self._wants_tracks
        library, cache = self.place.library, self.place.cache
        if not swings or self.measures.is_read(with_tracks=tracks):
            return

        def op(_watch: Watch) -> ReadMeasures:
            return read_measures(library, cache, swings, with_tracks=tracks)

        self._workers.run(say("bench.opening"), op, self._take_read, self.place.trouble.emit)

    def _take_read(self, read: ReadMeasures) -> None:
        self.measures.take(read)
        # Something else may lie there by now, or more be wanted.
        self._want_read()

    def _saved(self, swing: Swing) -> None:
        """What a hand has marked is measured there."""
        known = self._marks.get(swing.id)
        self._marks[swing.id] = swing.book.marks
        if known is not None and known != swing.book.marks:
            self._unmeasured.add(swing.id)
            self._agains.start()

    def _measure_again(self) -> None:
        for swing in tuple(self._unmeasured):
            self._unmeasured.discard(swing)
            self._workers.run(
                say("measures.again"),
                partial(self._measured, swing),
                self._take_measured,
                self.place.trouble.emit,
            )

    def _measured(self, swing_id: SwingId, _watch: Watch | None = None) -> Swing | None:
        """Measure from kept tracks; takes its time."""
        library = self.place.library
        found = measure_again(library, library.swing(swing_id), self.place.cache)
        return found.swing if found.done else None

    def _take_measured(self, swing: Swing | None) -> None:
        if swing is not None and not self.place.saver.is_busy:
            self.place.state.take_swing(swing)

    def _run(
        self,
        words: str,
        op: Callable[[Watch], object],
        done: Callable[[object], None],
        undone: Callable[[], None] = lambda: None,
    ) -> None:
        """Run a long job that the caption tells of and stops; `undone` follows where it fails."""

        def end(then: Callable[[], None]) -> None:
            self._job = None
            self.panel.show_busy(is_so=False)
            then()

        self._job = self.place.workers.run(
            words,
            op,
            lambda answer: end(partial(done, answer)),
            lambda error: end(partial(self._failed, error, undone)),
        )
        self.panel.show_busy(is_so=True)

    def _failed(self, error: StationError, undone: Callable[[], None]) -> None:
        undone()
        if isinstance(error, CancelledError):
            self.place.says.emit(str(error))
        else:
            self.place.trouble.emit(error)

    def _analysed(self, answer: object) -> None:
        assert isinstance(answer, tuple)
        said, swings = answer
        for swing in swings:
            self._marks[swing.id] = swing.book.marks
            self.place.state.take_swing(swing)
        self.place.says.emit(" ".join((say("measures.analysed"), *said)))

    def _fetched(self, model: object) -> None:
        assert isinstance(model, BodyModel)
        self._take_model(model)
        self.place.says.emit(say("measures.fetched"))

    def _take_model(self, model: BodyModel) -> None:
        self.panel.show_model(is_there=model.is_there)


def _nobody(_error: StationError) -> None:
    """It is asked again when it is needed."""
