"""The window, which tells on demand what is seen; nothing else of it is another than usual.

python -m tests.helpers.observed_window LIBRARY    a line in, a line of JSON out: `Seen`
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from PyQt6.QtCore import QPoint, QRect, QSocketNotifier, Qt
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QLabel,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QWidget,
)
from PyQt6.sip import voidptr

from capturestation.drawing.app import forget_cv2_qt
from capturestation.drawing.grid import Side
from capturestation.records import Point
from capturestation.records.plain import to_plain
from capturestation.ui.app import run_window
from capturestation.ui.bench.whole import Bench
from capturestation.ui.window import Window
from tests.helpers.heartbeat import Heartbeat
from tests.helpers.seen_window import Picture, Seen, SeenBench, Spread, Thing, Told


class Observer:
    """Answers each line that comes in.

    Args:
        heartbeat: Counts how long the window was away.
    """

    def __init__(self, heartbeat: Heartbeat) -> None:
        self._heartbeat = heartbeat
        self._notifier = QSocketNotifier(voidptr(sys.stdin.fileno()), QSocketNotifier.Type.Read)
        self._notifier.activated.connect(self._answer)

    def _answer(self) -> None:
        self._heartbeat.beat()
        asked = sys.stdin.readline()
        if not asked:
            self._notifier.setEnabled(False)
            return
        if asked.strip() == "forget":
            self._heartbeat.forget()
        told = json.dumps(to_plain(seen(self._heartbeat)))
        sys.stdout.write(told + "\n")
        sys.stdout.flush()
        self._heartbeat.forgive()


def seen(heartbeat: Heartbeat) -> Seen:
    """All that is seen now."""
    shown = [w for w in QApplication.topLevelWidgets() if w.isVisible()]
    window = next((w for w in shown if isinstance(w, Window)), None)
    things = [told for top in shown for told in _things(top)]
    place = window.place if window else None
    bench = window.places.get("bench") if window else None
    return Seen(
        place=place.key if place else "",
        chosen=str(place.swing or "") if place else "",
        is_busy=bool(window and window.workers.jobs),
        things=tuple(things),
        bench=_bench(bench) if isinstance(bench, Bench) else None,
        stalls=heartbeat.stalls,
    )


def _things(top: QWidget) -> list[Thing]:
    focused = QApplication.focusWidget()
    told = []
    for widget in [top, *top.findChildren(QWidget)]:
        where = widget.visibleRegion().boundingRect() if widget.isVisible() else QRect()
        name, text = widget.accessibleName(), _text(widget)
        if where.isEmpty() or not (name or text or widget is focused):
            continue
        told.append(
            Thing(
                name=name or text or type(widget).__name__,
                text=text,
                where=_spread(widget, where),
                is_on=widget.isEnabled(),
                is_chosen=isinstance(widget, QAbstractButton) and widget.isChecked(),
                has_keyboard=widget is focused,
            )
        )
        told += _rows(widget) if isinstance(widget, QAbstractItemView) else []
    return told + (_lines(top) if isinstance(top, QMenu) else [])


def _lines(menu: QMenu) -> list[Thing]:
    return [
        Thing(
            name=action.text(),
            text=action.text(),
            where=_spread(menu, menu.actionGeometry(action)),
            is_on=action.isEnabled(),
            is_chosen=action is menu.activeAction(),
            has_keyboard=False,
        )
        for action in menu.actions()
    ]


def _rows(view: QAbstractItemView) -> list[Thing]:
    model, page = view.model(), view.viewport()
    if model is None or page is None:
        return []
    told = []
    for number in range(model.rowCount()):
        index = model.index(number, 0)
        where = view.visualRect(index) & page.rect()
        name = index.data(Qt.ItemDataRole.AccessibleTextRole) or index.data()
        if not where.isEmpty():
            told.append(
                Thing(
                    name=str(name),
                    text=str(index.data()),
                    where=_spread(page, where),
                    is_on=view.isEnabled(),
                    is_chosen=index == view.currentIndex(),
                    has_keyboard=False,
                )
            )
    return told


def _text(widget: QWidget) -> str:
    if isinstance(widget, (QAbstractButton, QLabel, QLineEdit)):
        return widget.text()
    return widget.toPlainText() if isinstance(widget, QPlainTextEdit) else ""


def _spread(widget: QWidget, inside: QRect) -> Spread:
    corner = widget.mapToGlobal(inside.topLeft())
    return Spread(left=corner.x(), top=corner.y(), width=inside.width(), height=inside.height())


def _bench(bench: Bench) -> SeenBench:
    state, bar = bench.state, bench.bar
    words = {word.moment.moment: word.rect for word in bar.words()} if state.now else {}
    shown, line = bar.shown, bar.place.line
    moments = []
    for moment, at_ns in (state.now.moments_ns if state.now else {}).items():
        box = words.get(moment)
        where = None
        if box is not None:
            where = _spread(bar, QRect(box.left, box.top, box.width, box.height))
        moments.append(Told(moment=moment, at_ns=at_ns, word=where))
    views = state.views
    return SeenBench(
        now=state.now.swing.id if state.now else "",
        then=state.then.swing.id if state.then else "",
        at_ns=state.transport.at_ns,
        is_playing=state.transport.is_playing,
        alone=state.alone,
        line=_spread(bar, QRect(line.left, line.top, line.width, line.height)),
        start_ns=shown.start_ns,
        stop_ns=shown.stop_ns,
        moments=tuple(moments),
        pictures=_pictures(bench),
        drawings=sum(len(bench.tools.sketcher.shown(view)) for view in views),
        is_settled=bench.canvas.projection.is_complete
        and not (bench.saver.is_busy or bench.tools.keeper.is_busy),
    )


def _pictures(bench: Bench) -> tuple[Picture, ...]:
    told = []
    for field in bench.canvas.fields:
        left, top = field.place.to_screen(Point(x=0, y=0))
        right, bottom = field.place.to_screen(Point(x=1, y=1))
        inside = QRect(QPoint(round(left), round(top)), QPoint(round(right), round(bottom)))
        shown = bench.state.shown(field.cell)
        told.append(
            Picture(
                side="now" if field.cell[0] is Side.NOW else "then",
                view=field.cell[1],
                where=_spread(bench.canvas, inside),
                frame=-1 if shown is None else shown.ordinal,
            )
        )
    return tuple(told)


def main() -> int:
    """Open the window and answer until it is closed."""
    forget_cv2_qt()
    app = QApplication(sys.argv[:1])
    heartbeat = Heartbeat()
    observer = Observer(heartbeat)
    try:
        return run_window(Path(sys.argv[1]), sys.argv[:1])
    finally:
        heartbeat.close()
        del observer, app


if __name__ == "__main__":
    sys.exit(main())
