"""Drawing on the pictures of a swing: what is drawn, with which tool, and where it is kept.

Owns the drawings of the swing that is looked at while it is looked at. A drawing is kept with the
swing, or stays on the view for the next balls of the lesson; every change can be taken back. The
picture shows a change before the library has it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum

from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.sketch_lines import SketchField, angle_deg, stroke
from capturestation.drawing.sketches import nearest
from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import (
    Drawing,
    Lesson,
    LessonId,
    Pen,
    Point,
    Shape,
    Swing,
    SwingId,
    View,
)
from capturestation.station.bench.notice import Notice
from capturestation.station.keeping import Keep
from capturestation.station.sketch_edits import Edit, all_gone, edited, taken_back
from capturestation.station.sketch_hand import Draft, Grip, handle_at, is_click
from capturestation.station.undo import Step, UndoList

GRAB_PX = 22.0
"""A finger hits that close to what it means; at a scale of 1."""


class Kept(StrEnum):
    """Where a drawing is kept."""

    SWING = "with the swing"
    VIEW = "on the view"


Edits = Mapping[Kept, Sequence[Edit]]


class Sketcher:
    """What is drawn on the swing that is looked at; takes what a pointer does.

    Args:
        library: Where drawings are kept.
        steps: Where changes can be taken back.
        keep: Writes a change.

    Attributes:
        changed: Tells that something looks different now.
        tool: The shape that is drawn next; None is the hand that takes up what is drawn.
        is_on: Whether a pointer draws at all.
        pen: The pen that is drawn with.
        kept: Where the next drawing is kept.
        chosen: The drawing that was taken up last.
    """

    def __init__(self, library: Library, steps: UndoList, keep: Keep) -> None:
        self.changed = Notice()
        self.tool: Shape | None = None
        self.is_on = False
        self.pen = Pen.FIRST
        self.kept = Kept.SWING
        self.chosen: Drawing | None = None
        self._library, self._steps, self._keep = library, steps, keep
        self._swing_id: SwingId | None = None
        self._lesson_id: LessonId | None = None
        self._rows: dict[Kept, tuple[Drawing, ...]] = dict.fromkeys(Kept, ())
        self._fields: dict[View, SketchField] = {}
        self._draft: Draft | None = None
        self._grip: Grip | None = None
        self._words_at: Drawing | None = None
        self._rewords: Drawing | None = None

    def look_at(self, swing: Swing | None, lesson: Lesson | None) -> None:
        """Show what is drawn on a swing and on the views of its lesson; None is an empty Bench."""
        self._swing_id = swing.id if swing else None
        self._lesson_id = lesson.id if lesson else None
        self._rows = {
            Kept.SWING: swing.book.drawings if swing else (),
            Kept.VIEW: lesson.drawings if lesson else (),
        }
        self.chosen = None
        self._drop()
        self.changed()

    def looks_at(self, swing_id: SwingId) -> bool:
        """Whether that is the swing whose drawings are shown."""
        return self._swing_id == swing_id

    def set_fields(self, fields: Mapping[View, SketchField]) -> None:
        """Say where today's pictures stand on the canvas, each time that this changes."""
        self._fields = dict(fields)

    def shown(self, view: View) -> tuple[Drawing, ...]:
        """Everything to be painted on a view, the lowest first."""
        row = [d for kept in (Kept.VIEW, Kept.SWING) for d in self._rows[kept] if d.view is view]
        if self._grip is not None:
            row = [self._grip.now if d == self._grip.drawing else d for d in row]
        if self._draft is not None and self._draft.view is view:
            row += [self._draft.preview] if self._draft.preview else []
        return tuple(row)

    def chosen_on(self, view: View) -> Drawing | None:
        """The chosen drawing, as it looks by now, if it is on that view."""
        chosen = self._grip.now if self._grip else self.chosen
        return chosen if chosen is not None and chosen.view is view else None

    @property
    def has_drawings(self) -> bool:
        """Whether there is anything to clear."""
        return any(self._rows.values())

    @property
    def kept_of_chosen(self) -> Kept:
        """Where the chosen drawing is kept; of the next one where none is chosen."""
        return self._row_of(self.chosen) or self.kept

    def use(self, tool: Shape | None) -> None:
        """Draw that shape from now on; None takes up what is drawn."""
        self._drop()
        self.tool, self.is_on = tool, True
        self.changed()

    def rest(self) -> None:
        """Leave the pictures alone; what is drawn stays."""
        self._drop()
        self.is_on, self.chosen = False, None
        self.changed()

    def leave(self) -> bool:
        """Give up what is under way, else the choice, else drawing.

        Returns:
            Whether there was anything to give up.
        """
        if self._draft or self._grip or self.awaits_words:
            self._drop()
        elif self.chosen is not None:
            self.chosen = None
        elif self.is_on:
            self.is_on = False
        else:
            return False
        self.changed()
        return True

    def use_pen(self, pen: Pen) -> None:
        """Draw with that pen; the chosen drawing takes it too."""
        self.pen = pen
        if self.chosen is not None and self.chosen.pen is not pen:
            self._become(self.chosen, replace(self.chosen, pen=pen), "other pen")
        self.changed()

    def next_pen(self) -> None:
        """The pen after this one."""
        pens = list(Pen)
        self.use_pen(pens[(pens.index(self.pen) + 1) % len(pens)])

    def keep_in(self, kept: Kept) -> None:
        """Keep there what is drawn from now on; the chosen drawing goes there too."""
        self.kept = kept
        row = self._row_of(self.chosen)
        if self.chosen is not None and row not in (None, kept):
            assert row is not None
            away = Edit(place=self._rows[row].index(self.chosen), before=self.chosen, after=None)
            come = Edit(place=len(self._rows[kept]), before=None, after=self.chosen)
            self._run(f"keep {kept}", {row: [away], kept: [come]})
        self.changed()

    def remove(self) -> None:
        """Take the chosen drawing away."""
        row = self._row_of(self.chosen)
        if self.chosen is not None and row is not None:
            gone = Edit(place=self._rows[row].index(self.chosen), before=self.chosen, after=None)
            words = f"remove {self.chosen.shape}"
            self.chosen = None
            self._run(words, {row: [gone]})

    def clear(self) -> None:
        """Take all drawings away, those of the view too."""
        self._drop()
        self.chosen = None
        if self.has_drawings:
            self._run("clear the drawings", {kept: all_gone(r) for kept, r in self._rows.items()})

    def press(self, cell: Cell, at: Point) -> bool:
        """The pointer comes down in a field; today's pictures are drawn on.

        Returns:
            Whether it was meant for a drawing.
        """
        side, view = cell
        where = self._fields.get(view)
        if not self.is_on or side is not Side.NOW or where is None or self._swing_id is None:
            return False
        self._words_at = self._rewords = None
        if self._draft is not None and self._draft.view is view:
            self._draft.press(at)
        elif not self._take_up(view, at, where):
            self.chosen = None
            if self.tool is None:
                self.changed()
                return False
            self._draft = Draft(view=view, shape=self.tool, pen=self.pen, tip=at)
            self._draft.press(at)
        self.changed()
        return True

    def move(self, cell: Cell, at: Point) -> bool:
        """The pointer moves, pressed or not."""
        view = cell[1]
        where = self._fields.get(view)
        if self._grip is not None and self._grip.drawing.view is view:
            self._grip.move(at)
        elif self._draft is not None and self._draft.view is view and where is not None:
            self._draft.move(at, where)
        else:
            return False
        self.changed()
        return True

    def release(self, cell: Cell, at: Point) -> bool:
        """The pointer goes up."""
        view = cell[1]
        where = self._fields.get(view)
        if self._grip is not None and self._grip.drawing.view is view:
            grip, self._grip = self._grip, None
            grip.move(at)
            if is_click(grip, at, where):
                # A text that is clicked, not moved, has its words changed.
                self._rewords = grip.drawing if grip.drawing.shape is Shape.TEXT else None
            elif grip.now != grip.drawing:
                self._become(grip.drawing, grip.now, f"move {grip.now.shape}")
        elif self._draft is not None and self._draft.view is view and where is not None:
            self._finish(self._draft, self._draft.release(at, where))
        else:
            return False
        self.changed()
        return True

    @property
    def awaits_words(self) -> bool:
        """Whether a text has its place and needs its words, or is given others."""
        return self._words_at is not None or self._rewords is not None

    @property
    def words(self) -> str:
        """What the text says that is given other words; empty where it is a new one."""
        return "" if self._rewords is None else self._rewords.words

    def write(self, words: str) -> None:
        """Give a text its words; none gives a new one up, and leaves an old one as it was."""
        at, old = self._words_at, self._rewords
        self._words_at = self._rewords = None
        said = words.strip()
        if at is not None and said:
            self._add(replace(at, words=said))
        elif old is not None and said and said != old.words:
            self._become(old, replace(old, words=said), "other words")
        self.changed()

    @property
    def degrees(self) -> float | None:
        """The angle that is drawn or chosen, in the picture; None where there is none."""
        drawing = self._grip.now if self._grip else self.chosen
        if self._draft is not None:
            drawing = self._draft.preview
        if drawing is None or drawing.shape is not Shape.ANGLE:
            return None
        where = self._fields.get(drawing.view)
        return None if where is None else angle_deg(stroke(drawing, where))

    def _take_up(self, view: View, at: Point, where: SketchField) -> bool:
        """Take what is meant: a handle of the chosen one always, a whole drawing by the hand."""
        reach_px = GRAB_PX * where.scale
        chosen = self.chosen_on(view)
        handle = None if chosen is None else handle_at(chosen, where, at, reach_px)
        if handle is None and self.tool is None:
            chosen = nearest(self.shown(view), where, where.to_canvas(at), reach_px)
            self.chosen = chosen
        elif handle is None:
            return False
        if chosen is None:
            return False
        self._grip = Grip(drawing=chosen, handle=handle, start=at, now=chosen)
        return True

    def _finish(self, draft: Draft, points: tuple[Point, ...] | None) -> None:
        if points is None:
            return
        self._draft = None
        if not points:
            return
        words = "…" if draft.shape is Shape.TEXT else ""
        drawing = Drawing(
            view=draft.view, shape=draft.shape, points=points, pen=draft.pen, words=words
        )
        if draft.shape is Shape.TEXT:
            self._words_at = drawing
        else:
            self._add(drawing)

    def _add(self, drawing: Drawing) -> None:
        row = self._rows[self.kept]
        edit = Edit(place=len(row), before=None, after=drawing)
        self._run(f"draw {drawing.shape}", {self.kept: [edit]})
        self.chosen = drawing

    def _become(self, before: Drawing, after: Drawing, words: str) -> None:
        row = self._row_of(before)
        if row is not None:
            place = self._rows[row].index(before)
            self._run(words, {row: [Edit(place=place, before=before, after=after)]})
            self.chosen = after

    def _row_of(self, drawing: Drawing | None) -> Kept | None:
        return next((kept for kept in (Kept.SWING, Kept.VIEW) if drawing in self._rows[kept]), None)

    def _drop(self) -> None:
        self._draft = self._grip = self._words_at = self._rewords = None

    def _run(self, words: str, edits: Edits) -> None:
        assert self._swing_id is not None
        assert self._lesson_id is not None
        ids = self._swing_id, self._lesson_id
        back = {kept: taken_back(some) for kept, some in edits.items()}
        self._steps.run(
            Step(
                words=words,
                do=lambda: self._carry_out(words, ids, edits),
                undo=lambda: self._carry_out(words, ids, back),
                about=self._swing_id,
            )
        )

    def _carry_out(self, words: str, ids: tuple[SwingId, LessonId], edits: Edits) -> None:
        """Show a change where it belongs to what is looked at, and write it."""
        for kept, here, there in zip(Kept, (self._swing_id, self._lesson_id), ids, strict=True):
            if here == there:
                self._rows[kept] = edited(self._rows[kept], edits.get(kept, ()))
        if self._row_of(self.chosen) is None:
            self.chosen = None
        self.changed()
        self._keep(words, lambda: _write(self._library, ids, edits), self._show_kept)

    def _show_kept(self) -> None:
        """A change couldn't be written: show what is there, if the swing itself still is."""
        if self._swing_id is None:
            return
        try:
            swing = self._library.swing(self._swing_id)
            lesson = self._library.lesson(swing.book.lesson_id)
        except NotFoundError:
            self.look_at(None, None)
        else:
            self.look_at(swing, lesson)


def _write(library: Library, ids: tuple[SwingId, LessonId], edits: Edits) -> None:
    swing_id, lesson_id = ids
    of_swing, of_view = edits.get(Kept.SWING, ()), edits.get(Kept.VIEW, ())
    if of_swing:
        library.change_book(
            swing_id, lambda book: replace(book, drawings=edited(book.drawings, of_swing))
        )
    if of_view:
        library.change_lesson(
            lesson_id, lambda lesson: replace(lesson, drawings=edited(lesson.drawings, of_view))
        )
