"""The panel of drawing: what is drawn next, with which pen, and where it is kept.

Owns the words of drawing. What they do is the sketcher's.
"""

from __future__ import annotations

from PyQt6.QtCore import QSize, Qt
from PyQt6.QtGui import QIcon, QImage, QPainter, QPixmap
from PyQt6.QtWidgets import QGridLayout, QLineEdit, QWidget

from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField
from capturestation.drawing.sketches import paint_sketches
from capturestation.records import Drawing, Pen, Point, Shape, View
from capturestation.station.sketching import Kept, Sketcher
from capturestation.station.undo import UndoList
from capturestation.ui.bench.wordings import Words, column_of, stretch, with_key
from capturestation.ui.look import Look
from capturestation.ui.texts import say
from capturestation.ui.words import button, label, put_words

TOOLS: tuple[tuple[Shape | None, str], ...] = (
    (None, "sketch.hand"),
    (Shape.LINE, "sketch.line"),
    (Shape.ANGLE, "sketch.angle"),
    (Shape.ELLIPSE, "sketch.ellipse"),
    (Shape.FREE, "sketch.free"),
    (Shape.TEXT, "sketch.text"),
    (Shape.PLUMB, "sketch.plumb"),
)
"""Each tool with the action that takes it up, whose words have the same key."""
_SAMPLE = (44, 24)
# A pen's stroke beside its word, at the least size of letters.


class SketchPanel(QWidget):
    """Words for drawing on today's pictures.

    Args:
        sketcher: What is drawn.
        steps: What can be taken back.
        look: Sizes and colours.
    """

    def __init__(
        self, sketcher: Sketcher, steps: UndoList, look: Look, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.sketcher, self.steps, self.look = sketcher, steps, look
        self.tools = Words(
            [(tool, with_key(say(key), key)) for tool, key in TOOLS],
            self._take_up,
            name=say("sketch.tools"),
        )
        self.pens = Words(
            [(pen, say(f"sketch.pen.{pen}")) for pen in Pen],
            sketcher.use_pen,
            name=say("sketch.pens"),
        )
        self.kept = Words(
            [
                (Kept.SWING, say("sketch.kept.swing")),
                (Kept.VIEW, with_key(say("sketch.kept.view"), "sketch.hold")),
            ],
            sketcher.keep_in,
            name=say("sketch.kept"),
        )
        self.remove = button(with_key(say("sketch.remove"), "sketch.remove"), sketcher.remove)
        self.clear = button(say("sketch.clear"), sketcher.clear)
        self.undo = button("", steps.undo)
        self.words = QLineEdit()
        self.words.setPlaceholderText(say("sketch.words"))
        self.words.setAccessibleName(say("sketch.words"))
        self.words.returnPressed.connect(self._write)
        self.said = label(wraps=True)
        self._lay_out()
        look.changed.connect(self._paint_pens)
        sketcher.changed.tell(self.show_state)
        self._paint_pens()
        self.show_state()

    def add(self, words: QWidget) -> None:
        """Have further words below those of drawing."""
        self._column.insertWidget(self._column.count() - 1, words)

    def show_state(self) -> None:
        """Show what the sketcher is at."""
        sketcher = self.sketcher
        self.tools.show_chosen(sketcher.tool if sketcher.is_on else "")
        self.pens.show_chosen(sketcher.chosen.pen if sketcher.chosen else sketcher.pen)
        self.kept.show_chosen(sketcher.kept_of_chosen)
        self.remove.setEnabled(sketcher.chosen is not None)
        self.clear.setEnabled(sketcher.has_drawings)
        self.show_steps()
        self.said.setText(self._said())
        if sketcher.awaits_words != self.words.isVisibleTo(self):
            self.words.setVisible(sketcher.awaits_words)
            if sketcher.awaits_words:
                self.words.setText(sketcher.words)
                self.words.selectAll()
                self.words.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_steps(self) -> None:
        """Show what would be taken back next."""
        words = self.steps.undo_words
        self.undo.setEnabled(bool(words))
        put_words(self.undo, say("sketch.undo", words=words) if words else say("sketch.no_undo"))

    def _said(self) -> str:
        sketcher = self.sketcher
        if sketcher.awaits_words:
            return say("sketch.how.words")
        if sketcher.degrees is not None:
            return say("sketch.degrees", degrees=f"{sketcher.degrees:.0f}")
        if not sketcher.is_on:
            return say("sketch.how")
        tool = "hand" if sketcher.tool is None else sketcher.tool.name.lower()
        return say(f"sketch.how.{tool}")

    def _take_up(self, tool: Shape | None) -> None:
        """Take a tool up; pressing the one in the hand lays it down."""
        if self.sketcher.is_on and self.sketcher.tool is tool:
            self.sketcher.rest()
        else:
            self.sketcher.use(tool)

    def _write(self) -> None:
        self.sketcher.write(self.words.text())

    def _paint_pens(self) -> None:
        scale = self.look.px("note") / 16
        width, height = (round(side * scale) for side in _SAMPLE)
        for pen in Pen:
            pressed = self.pens.button_of(pen)
            pressed.setIcon(QIcon(QPixmap.fromImage(pen_sample(pen, width, height))))
            pressed.setIconSize(QSize(width, height))

    def _lay_out(self) -> None:
        column = self._column = column_of(self)
        column.addWidget(self.said)
        column.addWidget(self.words)
        column.addWidget(self.tools)
        for key, row in (("sketch.pens", self.pens), ("sketch.kept", self.kept)):
            column.addWidget(label(say(key), soft=True))
            column.addWidget(row)
        last = QGridLayout()
        last.addWidget(stretch(self.remove), 0, 0)
        last.addWidget(stretch(self.clear), 0, 1)
        last.addWidget(stretch(self.undo), 1, 0, 1, 2)
        column.addLayout(last)
        column.addStretch(1)
        self.words.hide()


def pen_sample(pen: Pen, width: int, height: int) -> QImage:
    """A pen's stroke, as it is on a picture."""
    image = QImage(width, height, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    ends = (Point(x=0.1, y=0.5), Point(x=0.9, y=0.5))
    line = Drawing(view=View.FACE_ON, shape=Shape.LINE, points=ends, pen=pen)
    field = SketchField(
        to_canvas=lambda at: (at.x * width, at.y * height),
        bounds=Rect(left=0, top=0, width=width, height=height),
        scale=height / 20,
    )
    painter = QPainter(image)
    paint_sketches(painter, [line], field)
    painter.end()
    return image
