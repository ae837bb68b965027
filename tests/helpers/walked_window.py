"""Walks all that is seen of a window and says what overlaps, sticks out or is cut short."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from PyQt6.QtCore import QPoint, QRect
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

_CONTROLS: tuple[type[QWidget], ...] = (QAbstractButton, QLabel, QComboBox, QLineEdit)


def seen(window: QWidget, *more: type[QWidget]) -> list[QWidget]:
    """What stands on a page by itself: words, controls and widgets of these kinds."""
    kinds = (*_CONTROLS, *more)
    return [
        widget
        for widget in window.findChildren(QWidget)
        if isinstance(widget, kinds)
        and widget.isVisible()
        and not any(isinstance(above, kinds) for above in _above(widget, window))
    ]


def place_in(window: QWidget, widget: QWidget) -> QRect:
    """Where a widget stands in its window."""
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def overlapping(window: QWidget, *more: type[QWidget]) -> list[str]:
    """Pairs that lie over one another; what a page has scrolled out of sight doesn't count."""
    places = [(widget, _in_sight(window, widget)) for widget in seen(window, *more)]
    return [
        f"{_name(a)} lies over {_name(b)}: {at} and {other}"
        for (a, at), (b, other) in combinations(places, 2)
        if at.intersects(other)
    ]


def sticking_out(window: QWidget, *more: type[QWidget]) -> list[str]:
    """What stands partly outside its window, or a page's left and right edges."""
    found = []
    for widget in seen(window, *more):
        place, page = place_in(window, widget), _page(window, widget)
        edges = window.rect() if page is None else _wide(place_in(window, page), place)
        if not edges.contains(place):
            found.append(f"{_name(widget)} at {place} sticks out of {edges}")
    return found


def cut_short(window: QWidget) -> list[str]:
    """Words that their own widget has no room for; an ellipsis whose tip says all is no cut."""
    return [
        f"{_name(widget)} needs {needs} and has {widget.size()}"
        for widget in seen(window)
        for needs in [widget.minimumSizeHint()]
        if _is_too_small(widget)
    ]


def _is_too_small(widget: QWidget) -> bool:
    if isinstance(widget, QLabel):
        if widget.wordWrap():
            return widget.heightForWidth(widget.width()) > widget.height()
        shown, metrics = widget.text(), widget.fontMetrics()
        if shown.endswith("…"):
            return not widget.toolTip()
        return metrics.horizontalAdvance(shown) > widget.width() or (
            bool(shown) and metrics.height() > widget.height() + 2
        )
    if isinstance(widget, (QPushButton, QCheckBox)):
        words, metrics = widget.text().replace("&&", "&"), widget.fontMetrics()
        needs = max(metrics.horizontalAdvance(line) for line in words.split("\n"))
        return needs > widget.width() - 4 or metrics.height() > widget.height()
    return False


def _above(widget: QWidget, window: QWidget) -> Iterator[QWidget]:
    above = widget.parentWidget()
    while above is not None and above is not window:
        yield above
        above = above.parentWidget()


def _page(window: QWidget, widget: QWidget) -> QWidget | None:
    for above in _above(widget, window):
        if isinstance(above, QAbstractScrollArea):
            return above.viewport()
    return None


def _in_sight(window: QWidget, widget: QWidget) -> QRect:
    place, page = place_in(window, widget), _page(window, widget)
    return place if page is None else place.intersected(place_in(window, page))


def _wide(page: QRect, place: QRect) -> QRect:
    """A page reaches as far down as it is scrolled."""
    return QRect(page.left(), place.top(), page.width(), place.height())


def _name(widget: QWidget) -> str:
    text = widget.text() if isinstance(widget, (QLabel, QAbstractButton)) else ""
    return f"{type(widget).__name__} “{text or widget.accessibleName()}”"
