"""The Bench: a swing, the student's own best beside it, and one line of time.

Owns what stands where on this place, opening swings, and what each key does here. Panels of other
tools are handed in and stand at the right, one at a time, reached by words at the top. Where there
is little room pictures come first: the rest goes to the caption, beside the bar, behind a key.
"""

from __future__ import annotations

import logging
from collections.abc import Callable

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QResizeEvent, QShowEvent
from PyQt6.QtWidgets import QApplication, QHBoxLayout, QVBoxLayout, QWidget

from capturestation.drawing.grid import Side
from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import Moment, Swing, SwingId
from capturestation.station.bench.opening import Opened, Opener
from capturestation.station.bench.reach import Reaches
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.station.bench.steps import Steps, absent, by_hand
from capturestation.station.cache import Cache, cache_of
from capturestation.station.undo import Step, UndoList
from capturestation.ui.bench.bar import Bar
from capturestation.ui.bench.canvas import Canvas
from capturestation.ui.bench.commands import bench_commands
from capturestation.ui.bench.contact import ContactHere
from capturestation.ui.bench.curves import CurvePane
from capturestation.ui.bench.fitting import Fitter
from capturestation.ui.bench.head import Head
from capturestation.ui.bench.notes import Notes
from capturestation.ui.bench.openings import Openings
from capturestation.ui.bench.remote import RemoteSteps
from capturestation.ui.bench.room import Room, most_fields, room_of
from capturestation.ui.bench.saving import Saver
from capturestation.ui.bench.transport import TransportBar
from capturestation.ui.look import Look
from capturestation.ui.place import Place, TvPainter
from capturestation.ui.texts import say
from capturestation.ui.work import Workers

NOTES = "notes"

_log = logging.getLogger(__name__)


class BenchPlace(Place):
    """Where coach and student look at a swing.

    Signals:
        trouble: A `StationError` to be told calmly.
        says: One calm sentence that passes by itself.
        opens: Never sent: the Bench opens swings itself.
        pictured: What the second screen should show has changed.
        stands: What the caption says while nothing else is said there.
    """

    key = "bench"

    def __init__(
        self,
        library: Library,
        workers: Workers,
        look: Look,
        steps: UndoList,
        parent: QWidget | None = None,
        *,
        cache: Cache | None = None,
    ) -> None:
        super().__init__(library, workers, look, steps, parent)
        self.state = BenchState()
        self.cache = cache or cache_of(library)
        self.opener = Opener(library, self.cache)
        self.openings = Openings(self, self.opener)
        self.fitter = Fitter(self.state, Reaches(library.media_path, self.cache.folder), self)
        self.saver = Saver(self)
        self.does = Steps(self.state, library, self.saver.save, steps)
        self.head = Head(look)
        self.canvas = Canvas(self.state, look)
        self.bar = Bar(self.state, look)
        self.transport = TransportBar(self.state, look, bar=self.bar)
        self.notes = Notes(self.state, look)
        self.head.add_panel(NOTES, self.notes, by_key=True)
        self.room = Room.ROOMY
        self.is_bare = False
        self.focus: tuple[str, ...] = ()
        self.below: CurvePane | None = None
        self.wants_below = False
        self.contact = ContactHere(self)
        self.remote = RemoteSteps(
            self.state.transport,
            self.look_at_neighbour,
            self.openings.has_neighbour,
            self.says.emit,
        )
        self._lay_out()
        self._connect()
        self._look_changed()

    def _lay_out(self) -> None:
        self._rows = QVBoxLayout()
        self._rows.addWidget(self.head)
        self._rows.addWidget(self.canvas, 1)
        self._rows.addWidget(self.transport)
        columns = QHBoxLayout(self)
        columns.addLayout(self._rows, 1)
        columns.addWidget(self.head.drawer)

    def _connect(self) -> None:
        self.look.changed.connect(self._look_changed)
        self.canvas.trouble.connect(self.trouble)
        self.canvas.pictured.connect(self.pictured)
        self.notes.said.connect(lambda _said: self.stands.emit(self.standing()))
        self.head.panel_changed.connect(lambda _name: self._fit())

        self.bar.move_moment.connect(self.move_moment)
        self.bar.no_moment.connect(self.no_moment)
        self.bar.clear_moment.connect(self.clear_moment)
        self.bar.asked_contact.connect(self.contact.ask)
        self.saver.saved.connect(self._saved)
        self.saver.trouble.connect(self._not_saved)

    def add_panel(self, name: str, widget: QWidget) -> None:
        """Take a tool's panel; the word `bench.panel.<name>` at the top opens and closes it."""
        self.head.add_panel(name, widget)

    def add_below(self, pane: CurvePane) -> None:
        """Take what stands below the bar when it is asked for."""
        self.below = pane
        pane.hide()
        self._rows.addWidget(pane)

    def show_below(self, *, is_on: bool) -> None:
        """Show what stands below the bar, or don't."""
        self.wants_below = is_on
        self._fit()

    def show_panel(self, name: str | None) -> None:
        """Open one panel, or none."""
        drawer, focused = self.head.drawer, QApplication.focusWidget()
        had_keyboard = focused is not None and drawer.isAncestorOf(focused)
        self.head.show_panel(name)
        if had_keyboard:
            # Else Qt would hand it to whatever comes next, where the space bar does another thing.
            self.bar.setFocus(Qt.FocusReason.OtherFocusReason)

    def header_words(self) -> QWidget | None:
        """The words that open panels."""
        return self.head.words

    def standing(self) -> str:
        """How exactly the pictures stand together; what the lesson works on, where it is low."""
        return self.notes.line if self.room is Room.ROOMY else self.head.said

    def commands(self) -> dict[str, Callable[[], None]]:
        """What it does for each action of the table of keys."""
        return bench_commands(self)

    @property
    def swing(self) -> SwingId | None:
        """The swing that is looked at."""
        return None if self.state.now is None else self.state.now.swing.id

    @property
    def is_settled(self) -> bool:
        """Whether nothing is being opened, and pictures stand as they will."""
        return not self.openings.is_busy and not self.fitter.is_busy

    @property
    def is_writing(self) -> bool:
        """Whether something that was done is not written yet."""
        return self.saver.is_busy

    def look_at(self, swing: SwingId) -> None:
        """Open a swing; the newest wish wins."""
        self.openings.look_at(swing)

    def look_at_neighbour(self, way: int) -> None:
        """Open the swing struck before (-1) or after (1) in this lesson."""
        self.openings.look_at_neighbour(way)

    def toggle_earlier(self) -> None:
        """Lay the own best beside, or take away what is laid there."""
        if self.state.then is not None:
            self.take_earlier_away()
        else:
            self.openings.open_best()

    def open_earlier(self, swing: SwingId, word: str) -> None:
        """Lay another earlier swing beside, called by that word."""
        self.openings.open_earlier(swing, word)

    def take_earlier_away(self) -> None:
        """Look at today's swing alone."""
        self.openings.take_earlier_away()

    def refresh(self) -> None:
        """Show what the library holds now: something was changed elsewhere."""
        self.openings.refresh()

    def let_go_of(self, whose: str) -> None:
        """Close the files of a swing, or of a student's swings."""
        self.openings.let_go_of(whose)

    def showEvent(self, event: QShowEvent | None) -> None:
        """Show what was changed at another place meanwhile."""
        super().showEvent(event)
        self.refresh()

    def move_moment(self, moment: Moment, at_ns: int) -> None:
        """Mark a moment by hand, as a step that can be taken back."""
        now = self.state.now
        if now is not None:
            words = say("bench.step.mark", moment=moment)
            mark = by_hand(now.swing, moment, at_ns)
            self.run(self.does.mark(now.swing, moment, mark, words))

    def no_moment(self, moment: Moment) -> None:
        """Say that a moment does not occur."""
        now = self.state.now
        if now is not None:
            words = say("bench.step.absent", moment=moment)
            self.run(self.does.mark(now.swing, moment, absent(moment), words))

    def clear_moment(self, moment: Moment) -> None:
        """Take the hand's mark away: what was found counts again."""
        now = self.state.now
        if now is not None:
            words = say("bench.step.clear", moment=moment)
            self.run(self.does.mark(now.swing, moment, None, words))

    def star(self) -> None:
        """Star the swing, or take its star away."""
        now = self.state.now
        if now is not None:
            key = "bench.step.unstar" if now.swing.book.starred else "bench.step.star"
            self.run(self.does.star(now.swing, say(key)))
            self.says.emit(say(key))

    def nudge_time(self, frames: int) -> None:
        """Move the earlier swing by so many of its frames."""
        then = self.state.then
        if then is not None:
            times = next(iter(then.frames.values())).times_ns
            frame_ns = int(times[-1] - times[0]) // max(len(times) - 1, 1)
            self.run(self.does.nudge_time(frames * frame_ns, say("bench.step.nudge")))

    def run(self, step: Step) -> None:
        """Do a step that can be taken back; a refusal is told and changes nothing."""
        try:
            self.steps.run(step)
        except StationError as error:
            self.trouble.emit(error)

    def toggle_bare(self) -> None:
        """Let the pictures fill the whole screen, or show everything again."""
        if self.state.now is not None or self.is_bare:
            self.bare.emit(not self.is_bare)

    def show_bare(self, on: bool) -> None:
        """Show pictures and nothing else, or everything again."""
        self.is_bare = on
        if on:
            self.show_panel(None)
        self._look_changed()

    def leave(self) -> bool:
        """Close the panel, or go back from the whole screen, or from one angle to all."""
        if self.head.shown_panel is not None:
            self.show_panel(None)
            return True
        if self.is_bare:
            self.toggle_bare()
            return True
        if self.state.alone is not None:
            self.state.show_alone(None)
            return True
        return False

    def tv(self) -> TvPainter | None:
        """The pictures."""
        return self.canvas

    def kept(self) -> dict[str, str]:
        """The swing and how it was looked at."""
        kept = {"earlier": "yes" if self.openings.wants_earlier else "no"}
        kept["arrangement"] = str(self.state.arrangement)
        kept["opacity"] = f"{self.state.opacity:.2f}"
        if self.swing is not None:
            kept["swing"] = self.swing
        return kept

    def restore(self, kept: dict[str, str]) -> None:
        """Take up what was kept; what is unknown is left alone."""
        self.openings.wants_earlier = kept.get("earlier") == "yes"
        if kept.get("arrangement") in set(Arrangement):
            self.state.arrange(Arrangement(kept["arrangement"]))
        opacity = kept.get("opacity", "")
        if opacity.replace(".", "", 1).isdecimal():
            self.state.set_opacity(float(opacity))

    def let_go(self) -> None:
        """Let go of all files and threads; before the library is closed."""
        self.transport.timer.stop()
        for error in self.saver.close():
            _log.warning("not written at the end: %s", type(error).__name__)
        self.openings.close()
        self.fitter.close_fitting()
        self.canvas.close_pictures()

    def take_opened(self, opened: Opened) -> None:
        """Show what was opened."""
        if opened.now is not None:
            self.canvas.room.show(Side.NOW, opened.now.frames)
            self.focus = opened.focus
            self.state.open_now(opened.now)
            self.head.set_focus(opened.focus)
            self._fit()
        self.canvas.room.show(Side.THEN, {} if opened.then is None else opened.then.frames)
        self.state.open_then(opened.then)
        if opened.why and opened.then is None:
            self.says.emit(opened.why)

    def _saved(self, swing: Swing) -> None:
        self.state.take_swing(swing)

    def _not_saved(self, error: StationError) -> None:
        self.trouble.emit(error)
        # What is shown may never have been: show what the library holds.
        self.refresh()

    def _look_changed(self) -> None:
        margin, gap = self.look.px("margin"), self.look.px("gap")
        columns = self.layout()
        if columns is not None:
            edge = 0 if self.is_bare else margin
            columns.setContentsMargins(edge, 0 if self.is_bare else gap // 2, edge, 0)
            columns.setSpacing(margin)
        self._rows.setSpacing(gap // 2)
        self._fit()

    def resizeEvent(self, event: QResizeEvent | None) -> None:
        """Make do with the height there is."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        self.room = room_of(self.height(), self.look.px("body"))
        panel, is_tight = self.head.shown_panel, self.room in (Room.TIGHT, Room.BARE)
        self.head.fit_drawer(self.width())
        self.head.setVisible(self.room is Room.ROOMY and bool(self.head.said) and not self.is_bare)
        self.bar.set_low(is_low=self.room is not Room.ROOMY)
        self.transport.set_tight(is_tight=is_tight)
        # Beside a page there is no room for the bar of time; keys and the wheel still move.
        has_room = self.room is not Room.BARE and not (is_tight and panel)
        self.transport.setVisible(has_room and not self.is_bare)
        if self.below is not None:
            self.below.fit_to(self.height())
            self.below.setVisible(self.wants_below and has_room and not self.is_bare)
        self.stands.emit(self.standing())
        self._fit_fields()

    def _fit_fields(self) -> None:
        wide = self.width() - 2 * self.look.px("margin")
        if self.head.shown_panel is not None:
            wide -= self.head.drawer.minimumWidth() + self.look.px("margin")
        self.state.give_room(most_fields(wide, self.look.px("body")))

    def show_exactly(self) -> None:
        """Open the page that says how exactly the pictures stand together, or close it."""
        self.show_panel(None if self.head.shown_panel == NOTES else NOTES)
