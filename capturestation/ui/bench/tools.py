"""The Bench's tools together: drawing, the earlier swing, and sending.

Owns that each of them knows what lies on the Bench, that the pointer goes to the right one, and
what their keys do.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PyQt6.QtCore import QObject
from PyQt6.QtGui import QPainter

from capturestation.drawing.bench_place import FieldPlace
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.sketches import paint_sketches
from capturestation.drawing.spot_marks import paint_spots
from capturestation.errors import StationError
from capturestation.records import (
    PLACE_SPOTS,
    STANCE_SPOTS,
    Lesson,
    Point,
    Shape,
    Spot,
    SpotMark,
    Swing,
    SwingId,
)
from capturestation.station.bench.earlier import Earlier, earlier_swings
from capturestation.station.bench.state import Arrangement
from capturestation.station.laying import Over
from capturestation.station.sending import Beside, Sending
from capturestation.station.sketching import Kept, Sketcher
from capturestation.station.spots import Spots, find_balls, proposed_for
from capturestation.ui.bench.clip_folder import ClipFolder
from capturestation.ui.bench.earlier import EarlierPanel
from capturestation.ui.bench.grounds import Grounds
from capturestation.ui.bench.keeper import Keeper
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.send import Choose, SendPanel
from capturestation.ui.bench.sketch_tools import SketchPanel
from capturestation.ui.texts import say
from capturestation.ui.work import Workers

SKETCH, EARLIER, SEND = "sketch", "earlier", "send"
_SCALE_PX = 19.0
# Letters of a drawing are as much larger than usual as the window's own.
_FIELD_PX, _LEAST = 420, 0.5
# Of a field that usual strokes suit, and how much thinner they are in small ones.


class BenchTools(QObject):
    """What is done with the pictures of a Bench.

    Args:
        place: The Bench; its panels, its pointer and its pictures get the tools.
        choose: Asks for a folder.
    """

    def __init__(self, place: BenchPlace, choose: Choose | None = None) -> None:
        super().__init__(place)
        self.place = place
        self.keeper = Keeper(self)
        # Looking for balls and listing swings never wait behind a clip.
        self._workers = Workers(self)
        library, steps, look = place.library, place.steps, place.look
        self.sketcher = Sketcher(library, steps, self.keeper)
        self.spots = Spots(library, steps, self.keeper)
        self.sending = Sending(library)
        self.sketch = SketchPanel(self.sketcher, steps, look)
        self.earlier = EarlierPanel(place.state, self.spots, place.does, place.run, look)
        self.grounds = Grounds(place, self.spots, self._workers)
        self.sketch.add(self.grounds.words)
        clips = ClipFolder(library, place.cache)
        self.send = SendPanel(
            self.sending, clips, place.workers, look, first=self.keeper.when_kept, choose=choose
        )
        words, nobody = say("bench.opening"), place.trouble.emit
        self._workers.run(words, lambda _watch: clips.sweep(), lambda _none: None, nobody)
        self._hint: tuple[SpotMark, ...] = ()
        self._was_over = False
        self._looked: set[SwingId] = set()
        for name, panel in ((SKETCH, self.sketch), (EARLIER, self.earlier), (SEND, self.send)):
            place.add_panel(name, panel)
        place.canvas.tool = self
        place.canvas.after_pictures = self.paint
        self._connect()
        self._opened()

    def commands(self) -> dict[str, Callable[[], None]]:
        """What they do for the actions of the table of keys."""
        shapes = {f"sketch.{shape.name.lower()}": shape for shape in Shape}
        draws = {key: partial(self._draw, shape) for key, shape in shapes.items()}
        return {
            **draws,
            **self.grounds.commands(),
            "sketch.tools": partial(self._toggle, SKETCH),
            "sketch.hand": partial(self._draw, None),
            "sketch.hold": self._hold,
            "sketch.remove": self.sketcher.remove,
            "sketch.pen": self.sketcher.next_pen,
            "sketch.clear": self.sketcher.clear,
            "sketch.spots": partial(self._point_out, PLACE_SPOTS),
            "sketch.stance": partial(self._point_out, STANCE_SPOTS),
            "sketch.nudge_left": partial(self.earlier.nudge, -1, 0),
            "sketch.nudge_right": partial(self.earlier.nudge, 1, 0),
            "sketch.nudge_up": partial(self.earlier.nudge, 0, -1),
            "sketch.nudge_down": partial(self.earlier.nudge, 0, 1),
            "sketch.nudge_reset": self.earlier.reset,
            "send.send": self._send,
        }

    def leave(self) -> bool:
        """Give up what is under way.

        Returns:
            Whether there was anything.
        """
        if self.spots.wanted is not None:
            self.spots.want(None)
            return True
        return self.sketcher.leave()

    def close_tools(self) -> tuple[StationError, ...]:
        """Write what waits and end all threads; before the library is closed.

        Returns:
            What could not be written any more.
        """
        self._workers.close()
        self.send.close_sending()
        return self.keeper.close()

    def press(self, cell: Cell, at: Point) -> bool:
        """The pointer goes down in a field."""
        self._take_fields()
        return self.spots.press(cell, at) or self.sketcher.press(cell, at)

    def move(self, cell: Cell, at: Point) -> bool:
        """It moves."""
        self._take_fields()
        return self.spots.move(cell, at) or self.sketcher.move(cell, at)

    def release(self, cell: Cell, at: Point) -> bool:
        """It goes up."""
        self._take_fields()
        return self.spots.release(cell, at) or self.sketcher.release(cell, at)

    def paint(self, painter: QPainter, cell: Cell, at: FieldPlace) -> None:
        """Paint over one field's picture: drawings on today's, spots while they are pointed out."""
        side, view = cell
        field = self.field_of(at)
        self.grounds.paint(painter, cell, field)
        if side is Side.NOW:
            drawn = self.sketcher.shown(view)
            paint_sketches(painter, drawn, field, chosen=self.sketcher.chosen_on(view))
        if self.spots.wanted is not None:
            paint_spots(painter, self.spots.of(side, view), field)

    def field_of(self, at: FieldPlace) -> SketchField:
        """Where a picture stands, and how large strokes on it are."""
        scale = self.place.look.px("body") / _SCALE_PX * self.place.canvas.devicePixelRatioF()
        # In a small field they would hide the golfer.
        scale = max(min(scale, at.rect.height / _FIELD_PX), _LEAST)
        return SketchField(to_canvas=at.to_screen, bounds=at.rect, scale=scale)

    def _connect(self) -> None:
        place, state = self.place, self.place.state
        state.opened.tell(self._opened)
        state.changed.tell(self._changed)
        self.sketcher.changed.tell(self._drawn)
        self.spots.changed.tell(self._pointed)
        self.grounds.state.changed.tell(self._pointed)
        self.keeper.trouble.connect(place.trouble)
        self.send.said.connect(place.says)
        self.earlier.refused.connect(place.trouble)
        self.earlier.wants_none.connect(place.take_earlier_away)
        self.earlier.wants_best.connect(self._want_best)
        self.earlier.wants.connect(lambda swing, word: place.open_earlier(SwingId(swing), word))
        self.earlier.as_filmed.clicked.connect(self.grounds.turn_as_filmed)
        self.grounds.filmed.connect(self.earlier.show_as_filmed)
        self.earlier.wants_hint.connect(lambda: self.spots.accept(Side.NOW, self._hint))
        place.head.panel_changed.connect(self._panel_changed)

    def _opened(self) -> None:
        """Another swing lies there: read what belongs to it."""
        now, then = self._swing(Side.NOW), self._swing(Side.THEN)
        self.spots.look_at(now, then)
        self.grounds.look_at()
        self._ask_for_clip()
        self._load(now)

    def _load(self, now: Swing | None) -> None:
        if now is None:
            self.sketcher.look_at(None, None)
            self.earlier.set_earlier(())
            return
        library = self.place.library

        def read() -> tuple[Swing, Lesson, tuple[Earlier, ...], tuple[SpotMark, ...]]:
            swing = library.swing(now.id)
            lesson = library.lesson(swing.book.lesson_id)
            hint = proposed_for(swing, library.swings(lesson.id))
            return swing, lesson, earlier_swings(library, swing), hint

        def show(
            found: tuple[Swing, Lesson, tuple[Earlier, ...], tuple[SpotMark, ...]],
        ) -> None:
            swing, lesson, rows, self._hint = found
            current = self._swing(Side.NOW)
            if current is not None and current.id == swing.id:
                self.sketcher.look_at(swing, lesson)
                self.earlier.set_earlier(rows)
                self.earlier.offer_hint(there=bool(self._hint))

        if not self.sketcher.looks_at(now.id):
            self.sketcher.look_at(None, None)
            self._workers.run(
                say("bench.opening"), lambda _watch: read(), show, self.place.trouble.emit
            )

    def _find_balls(self) -> None:
        """Find where the balls lie, once for each swing: that lays the two over one another.

        Nobody asked for it, so where it can't be done nothing is said: the hand still can.
        """
        library = self.place.library
        for swing in (self._swing(Side.NOW), self._swing(Side.THEN)):
            if swing is None or swing.id in self._looked:
                continue
            self._looked.add(swing.id)
            if not any(mark.spot is Spot.BALL for mark in swing.book.spots):
                self._workers.run(
                    say("sketch.spots.looking"),
                    partial(find_balls, library, swing),
                    self._ball_found,
                    lambda _error: None,
                )

    def _ball_found(self, swing: Swing) -> None:
        self.place.state.take_swing(swing)
        self.spots.take_swing(swing)

    def _swing(self, side: Side) -> Swing | None:
        seen = self.place.state.seen(side)
        return None if seen is None else seen.swing

    def _changed(self) -> None:
        state = self.place.state
        self.spots.views = state.views
        self._ask_for_clip()
        if state.then is not None and state.arrangement is Arrangement.OVER:
            self._find_balls()

    def _take_fields(self) -> None:
        """Today's pictures as they stand on the canvas this moment."""
        fields = {
            field.cell[1]: self.field_of(field.place)
            for field in self.place.canvas.fields
            if field.cell[0] is Side.NOW
        }
        self.sketcher.set_fields(fields)

    def _ask_for_clip(self) -> None:
        state, then = self.place.state, self._swing(Side.THEN)
        beside = None
        if then is not None:
            beside = Beside(
                swing=then,
                at_one=state.match_at,
                later_ns=state.nudge_ns,
                over=Over(
                    opacity=state.opacity,
                    as_filmed=self.grounds.state.is_as_filmed,
                    nudges={view: state.nudge(view) for view in state.views},
                ),
                is_over=state.arrangement is Arrangement.OVER,
            )
        self.sending.look_at(self._swing(Side.NOW), beside, state.alone)

    def _drawn(self) -> None:
        self.place.canvas.update()
        self.place.pictured.emit()

    def _pointed(self) -> None:
        """Spots are elsewhere: lay the pictures over one another anew."""
        state = self.place.state
        self.grounds.follow()
        for view in state.views:
            state.lay(view, self.grounds.placing(view))
        self._show_both()
        self.place.canvas.update()

    def _show_both(self) -> None:
        """The earlier picture is pointed at beside today's, and laid over again after that."""
        state, is_pointing = self.place.state, self.spots.wanted is not None
        if is_pointing and state.arrangement is Arrangement.OVER:
            self._was_over = True
            state.arrange(Arrangement.BESIDE)
        elif not is_pointing and self._was_over:
            self._was_over = False
            state.arrange(Arrangement.OVER)

    def _want_best(self) -> None:
        if self.place.state.then is not None:
            self.place.take_earlier_away()
        self.place.toggle_earlier()

    def _toggle(self, name: str) -> None:
        shown = self.place.head.shown_panel == name
        self.place.show_panel(None if shown else name)

    def _draw(self, shape: Shape | None) -> None:
        if self.place.head.shown_panel != SKETCH:
            self.place.show_panel(SKETCH)
        self.sketcher.use(shape)

    def _hold(self) -> None:
        others = {Kept.SWING: Kept.VIEW, Kept.VIEW: Kept.SWING}
        self.sketcher.keep_in(others[self.sketcher.kept_of_chosen])

    def _point_out(self, among: tuple[Spot, ...]) -> None:
        if self.place.head.shown_panel != EARLIER:
            self.place.show_panel(EARLIER)
        self.spots.want_next(among)

    def _send(self) -> None:
        """The first press opens the panel, the second sends."""
        if self.place.head.shown_panel != SEND:
            self.place.show_panel(SEND)
            self.send.go.setFocus()
        else:
            self.send.send()

    def _panel_changed(self, name: str) -> None:
        if name != SKETCH:
            self.sketcher.rest()
        if name != EARLIER:
            self.spots.want(None)

    @property
    def folder(self) -> Path | None:
        """Where clips were saved last; kept with how the window stood."""
        return self.sending.folder
