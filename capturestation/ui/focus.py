"""Where the keyboard goes when a page is shown."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QWidget


def give_keyboard(page: QWidget) -> None:
    """Give the keyboard to what had it on that page last, else to the first that takes it."""
    target = page.focusWidget()
    if target is None or not _takes(target, page):
        target = _first(page)
    if target is not None:
        target.setFocus(Qt.FocusReason.OtherFocusReason)


def _first(page: QWidget) -> QWidget | None:
    if page.focusPolicy() & Qt.FocusPolicy.TabFocus:
        return page
    widget = page.nextInFocusChain()
    while widget is not None and widget is not page:
        if page.isAncestorOf(widget) and _takes(widget, page):
            return widget
        widget = widget.nextInFocusChain()
    return None


def _takes(widget: QWidget, page: QWidget) -> bool:
    tabbed = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
    return tabbed and widget.isEnabled() and widget.isVisibleTo(page)
