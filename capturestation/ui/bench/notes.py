"""How exactly the pictures stand together: how far apart, laid by what, what is missing."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QShowEvent
from PyQt6.QtWidgets import QLabel, QWidget

from capturestation.compare.timemap import TimeMap
from capturestation.drawing.grid import Side
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.ui.look import Look
from capturestation.ui.texts import say

_AT_A_GLANCE = 3


class Notes(QLabel):
    """A sentence a paragraph; where there is room they stand in the page's caption too.

    Signals:
        said: All of it in one line: it is another now.
    """

    said = pyqtSignal(str)

    def __init__(self, state: BenchState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.state = state
        self.look = look
        self._notes: tuple[str, ...] = ()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setAccessibleName(say("bench.notes"))
        look.changed.connect(self._look_changed)
        state.changed.tell(self.show_notes)
        state.transport.moved.tell(self.show_notes)
        self._look_changed()
        self.show_notes()

    @property
    def line(self) -> str:
        """All of it in one line."""
        return "  ".join(self._notes)

    def show_notes(self) -> None:
        """Say what is so now."""
        notes = notes_of(self.state)
        if notes != self._notes:
            self._notes = notes
            if self.isVisible():
                self._write()
            self.said.emit(self.line)

    def showEvent(self, event: QShowEvent | None) -> None:
        """Write it when it is looked at: it changes with every frame."""
        super().showEvent(event)
        self._write()

    def _write(self) -> None:
        self.setText("\n\n".join(self._notes) or say("bench.no_notes"))

    def _look_changed(self) -> None:
        self.setFont(self.look.font("body"))


def notes_of(state: BenchState) -> tuple[str, ...]:
    """What the coach should be able to read at any time, a sentence each."""
    now, then = state.now, state.then
    if now is None:
        return ()
    # By what the pictures lie over one another comes first: a line may be too short for all.
    notes = _placed(state)
    if then is not None and state.time_map is not None:
        notes.append(_laid_together(state.time_map))
        notes += [
            say("bench.left_out", moment=gone.moment, why=gone.why)
            for gone in state.time_map.left_out
        ]
        if state.nudge_ns:
            notes.append(say("bench.nudged", ms=f"{state.nudge_ns / 1e6:+.1f}"))
    for seen, side in ((now, Side.NOW), (then, Side.THEN)):
        apart = state.apart_ns(side)
        if seen is not None and apart is not None:
            notes.append(say("bench.apart", whose=seen.word, ms=f"{apart / 1e6:.1f}"))
    notes += now.said
    notes += () if then is None else then.said
    return tuple(notes)


def _laid_together(laid: TimeMap) -> str:
    """All names only while they can be taken in at a glance."""
    count = len(laid.moments)
    return laid.said if count <= _AT_A_GLANCE else say("bench.laid_at_many", count=count)


def _placed(state: BenchState) -> list[str]:
    """By what the earlier pictures are laid over; once where both say the same."""
    if state.arrangement is not Arrangement.OVER or state.then is None or state.now is None:
        return []
    both = [v for v in state.views if v in state.now.frames and v in state.then.frames]
    said = {}
    for view in both:
        laid = state.laid(view)
        said[view] = say("bench.not_placed") if laid is None else laid.said
    if len(set(said.values())) == 1:
        return [next(iter(said.values()))]
    return [say("bench.placed", view=view, said=words) for view, words in said.items()]
