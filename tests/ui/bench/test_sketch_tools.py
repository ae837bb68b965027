"""The panel of drawing does what is pressed and shows what the sketcher is at."""

from __future__ import annotations

import pytest
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.library import Library
from capturestation.records import Pen, Shape, View
from capturestation.station.keeping import at_once
from capturestation.station.sketching import Kept, Sketcher
from capturestation.station.undo import UndoList
from capturestation.ui.bench.sketch_tools import TOOLS, SketchPanel, pen_sample
from capturestation.ui.look import Look, Theme
from tests.helpers.sketches import LINE, at, whole_field
from tests.helpers.station_library import Filled

LEFT = Qt.MouseButton.LeftButton
CELL = (Side.NOW, View.FACE_ON)


@pytest.fixture
def sketcher(library: Library, filled: Filled, steps: UndoList) -> Sketcher:
    made = Sketcher(library, steps, at_once)
    made.look_at(filled.today, library.lesson(filled.today.book.lesson_id))
    made.set_fields({View.FACE_ON: whole_field()})
    return made


@pytest.fixture
def panel(qtbot: QtBot, sketcher: Sketcher, steps: UndoList) -> SketchPanel:
    made = SketchPanel(sketcher, steps, Look())
    qtbot.addWidget(made)
    made.show()
    return made


def draw_line(sketcher: Sketcher) -> None:
    sketcher.use(Shape.LINE)
    sketcher.press(CELL, at(0.1, 0.1))
    sketcher.release(CELL, at(0.4, 0.1))


@pytest.mark.parametrize("tool", [tool for tool, _ in TOOLS])
def test_a_pressed_tool_is_in_the_hand_and_pressed_again_it_is_laid_down(
    panel: SketchPanel, sketcher: Sketcher, qtbot: QtBot, tool: Shape | None
) -> None:
    pressed = panel.tools.button_of(tool)
    qtbot.mouseClick(pressed, LEFT)
    first = (sketcher.is_on, sketcher.tool, pressed.isChecked())
    qtbot.mouseClick(pressed, LEFT)

    assert first == (True, tool, True)
    assert (sketcher.is_on, pressed.isChecked()) == (False, False)


def test_a_tool_taken_up_elsewhere_is_shown_and_how_it_works_is_said(
    panel: SketchPanel, sketcher: Sketcher
) -> None:
    sketcher.use(Shape.ELLIPSE)

    assert panel.tools.button_of(Shape.ELLIPSE).isChecked()
    assert panel.said.text() == "Drag across what it should hold."


def test_a_pen_is_chosen_and_shown(panel: SketchPanel, sketcher: Sketcher, qtbot: QtBot) -> None:
    qtbot.mouseClick(panel.pens.button_of(Pen.THIRD), LEFT)
    chosen = sketcher.pen
    sketcher.use_pen(Pen.FOURTH)

    assert chosen is Pen.THIRD
    assert panel.pens.button_of(Pen.FOURTH).isChecked()


def test_where_a_drawing_is_kept_is_chosen_and_shown(
    panel: SketchPanel, sketcher: Sketcher, qtbot: QtBot
) -> None:
    draw_line(sketcher)
    assert panel.kept.button_of(Kept.SWING).isChecked()

    qtbot.mouseClick(panel.kept.button_of(Kept.VIEW), LEFT)

    assert sketcher.kept_of_chosen is Kept.VIEW
    assert panel.kept.button_of(Kept.VIEW).isChecked()


def test_remove_clear_and_take_back_can_be_pressed_when_there_is_something(
    panel: SketchPanel, sketcher: Sketcher, qtbot: QtBot
) -> None:
    def can() -> list[bool]:
        return [b.isEnabled() for b in (panel.remove, panel.clear, panel.undo)]

    before = can()
    draw_line(sketcher)

    assert before == [False, False, False]
    assert can() == [True, True, True]
    assert panel.undo.text() == "Take back: draw line"
    qtbot.mouseClick(panel.remove, LEFT)
    assert sketcher.shown(View.FACE_ON) == ()
    qtbot.mouseClick(panel.undo, LEFT)
    assert sketcher.shown(View.FACE_ON) == (LINE,)
    qtbot.mouseClick(panel.clear, LEFT)
    assert sketcher.shown(View.FACE_ON) == ()


def test_a_text_gets_its_words_by_the_keyboard(
    panel: SketchPanel, sketcher: Sketcher, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.tools.button_of(Shape.TEXT), LEFT)
    hidden = panel.words.isVisible()
    sketcher.press(CELL, at(0.2, 0.2))
    sketcher.release(CELL, at(0.2, 0.2))
    asked = panel.words.isVisible()
    qtbot.keyClicks(panel.words, "hold it")
    qtbot.keyClick(panel.words, Qt.Key.Key_Return)

    assert (hidden, asked, panel.words.isVisible()) == (False, True, False)
    assert sketcher.shown(View.FACE_ON)[-1].words == "hold it"


def test_degrees_are_written_while_an_angle_is_drawn(
    panel: SketchPanel, sketcher: Sketcher
) -> None:
    sketcher.use(Shape.ANGLE)
    for x, y in ((0.5, 0.2), (0.5, 0.5), (0.7, 0.5)):
        sketcher.press(CELL, at(x, y))
        sketcher.release(CELL, at(x, y))

    assert panel.said.text() == "90° in the picture"


def test_pens_are_painted_anew_in_another_look(qtbot: QtBot, panel: SketchPanel) -> None:
    before = panel.pens.button_of(Pen.FIRST).iconSize()

    panel.look.enlarge(2.0)
    panel.look.choose(Theme.DARK)

    assert panel.pens.button_of(Pen.FIRST).iconSize().width() == 2 * before.width()


def test_each_pen_s_sample_is_another_picture() -> None:
    samples = [pen_sample(pen, 44, 24) for pen in Pen]

    assert all(a != b for n, a in enumerate(samples) for b in samples[:n])
