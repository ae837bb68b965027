"""Words and keys for what lies on the mat, and their painting on the Bench's pictures.

Owns reading where the cameras stood beside the window. What is shown is the station's.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QObject, pyqtSignal
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QVBoxLayout, QWidget

from capturestation.compare.overlay import Placing
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.ground_lines import Ground, paint_ground
from capturestation.drawing.sketch_lines import SketchField
from capturestation.records import Swing, View
from capturestation.station.bench.grounds import BenchGrounds
from capturestation.station.spots import Spots
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.wordings import Words, with_key
from capturestation.ui.texts import say
from capturestation.ui.words import label
from capturestation.ui.work import Workers

ACTIONS = {ground: f"ground.{ground.name.lower()}" for ground in Ground}
AS_FILMED = "ground.as_filmed"


class Grounds(QObject):
    """What of the mat is drawn on a Bench's pictures.

    Signals:
        filmed: Whether the earlier picture stays as it was filmed.

    Args:
        place: The Bench.
        spots: What is pointed out in both swings.
        workers: Read beside the window.
    """

    filmed = pyqtSignal(bool)

    def __init__(self, place: BenchPlace, spots: Spots, workers: Workers) -> None:
        super().__init__(place)
        self.place, self.spots, self._workers = place, spots, workers
        self.state = BenchGrounds(place.library)
        self.words = GroundWords(self.toggle)
        self.state.changed.tell(self._changed)

    def commands(self) -> dict[str, Callable[[], None]]:
        """What they do for the actions of the table of keys."""
        shows = {action: partial(self.toggle, ground) for ground, action in ACTIONS.items()}
        return {**shows, AS_FILMED: self.turn_as_filmed}

    def look_at(self) -> None:
        """Other swings lie there: read where their cameras stood."""
        swings = self._swings()
        if self.state.knows(swings):
            self.state.follow(swings)
            return
        self.state.take({})
        if swings:
            self._workers.run(
                say("bench.opening"),
                lambda _watch: self.state.read(swings),
                self.state.take,
                self.place.trouble.emit,
            )

    def follow(self) -> None:
        """Something was pointed out."""
        self.state.follow(self._swings())

    def toggle(self, ground: Ground) -> None:
        """Draw it, or don't; where it can't be drawn, say why."""
        self.state.toggle(ground)
        if ground in self.state.shown:
            why = self.state.why_not(ground, self.place.state.views)
            if why:
                self.place.says.emit(why)

    def turn_as_filmed(self) -> None:
        """As filmed, or redrawn as today's camera sees it."""
        self.state.film(as_filmed=not self.state.is_as_filmed)
        key = "as_filmed" if self.state.is_as_filmed else "redrawn"
        self.place.says.emit(say(f"bench.says.{key}"))

    def placing(self, view: View) -> Placing | None:
        """How the earlier picture of a view is laid; None as it was filmed.

        Where it can't be redrawn as today's camera sees it, what was pointed out lays it.
        """
        if self.state.is_as_filmed:
            return None
        return self.state.placing(view) or self.spots.placing(view)

    def paint(self, painter: QPainter, cell: Cell, field: SketchField) -> None:
        """Paint over one field's picture."""
        lines = self.state.lines(*cell)
        if lines:
            paint_ground(painter, lines, field)

    def _swings(self) -> dict[Side, Swing]:
        there = {side: self.spots.swing_of(side) for side in Side}
        return {side: swing for side, swing in there.items() if swing is not None}

    def _changed(self) -> None:
        self.words.show_shown(self.state.shown)
        self.filmed.emit(self.state.is_as_filmed)
        self.place.canvas.update()
        self.place.pictured.emit()


class GroundWords(QWidget):
    """What can be drawn on the mat, each on or off.

    Args:
        pressed: What a press does.
    """

    def __init__(self, pressed: Callable[[Ground], None]) -> None:
        super().__init__()
        self.words = Words(
            [(ground, with_key(say(action), action)) for ground, action in ACTIONS.items()],
            pressed,
            name=say("ground"),
            columns=1,
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(label(say("ground"), soft=True))
        column.addWidget(self.words)

    def show_shown(self, shown: frozenset[Ground]) -> None:
        """Show which are drawn."""
        for ground in ACTIONS:
            self.words.button_of(ground).setChecked(ground in shown)
