"""The bay's second screen: pictures and drawings only, never a name or a note.

Owns where the pictures go when screens come and go, and that they can be blanked by a key. What is
painted is the place's own (`TvPainter`). It never takes the keyboard.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from PyQt6.QtCore import QObject, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QCloseEvent, QColor, QGuiApplication, QPainter, QPaintEvent, QScreen
from PyQt6.QtWidgets import QWidget

from capturestation.ui.place import TvPainter
from capturestation.ui.texts import say

GROUND = QColor(0x16, 0x13, 0x10)
"""Round the pictures: dark in either theme, as a bright edge tires the eye in a dim bay."""
_FIRST_SIZE_PX = (960, 540)

Screen = TypeVar("Screen")


def other_screen(own: Screen | None, screens: Sequence[Screen]) -> Screen | None:
    """The screen for the pictures: one that the window is not on; None where there is no other."""
    return next((screen for screen in screens if screen != own), None)


class TvWindow(QWidget):
    """A window that shows what it is given, or nothing.

    Signals:
        closed: Somebody closed it by hand.
    """

    closed = pyqtSignal()

    def __init__(self) -> None:
        flags = Qt.WindowType.Window | Qt.WindowType.WindowDoesNotAcceptFocus
        super().__init__(None, flags)
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setWindowTitle(say("shell.tv.title"))
        self.setAccessibleName(say("shell.tv.name"))
        self.resize(*_FIRST_SIZE_PX)
        self.is_blank = False
        self._source: TvPainter | None = None

    def show_from(self, source: TvPainter | None) -> None:
        """Take the pictures from there from now on; None shows none."""
        self._source = source
        self.update()

    def blank(self, on: bool) -> None:
        """Show nothing, or the pictures again."""
        self.is_blank = on
        self.update()

    def paintEvent(self, _event: QPaintEvent | None) -> None:
        """Paint the pictures on a dark ground."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), GROUND)
        if self._source is not None and not self.is_blank:
            self._source.paint_tv(painter, self.size())
        painter.end()

    def closeEvent(self, event: QCloseEvent | None) -> None:
        """Tell that it was closed by hand."""
        super().closeEvent(event)
        self.closed.emit()


class Tv(QObject):
    """The second screen as a whole: shown or not, and where.

    Signals:
        says: One calm sentence about what it does now.
        changed: It is shown or not, blank or not.
    """

    says = pyqtSignal(str)
    changed = pyqtSignal()

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._tv = TvWindow()
        self._tv.closed.connect(self.hide)
        self._is_on = False
        app = QGuiApplication.instance()
        assert isinstance(app, QGuiApplication)
        app.screenAdded.connect(self._screens_changed)
        app.screenRemoved.connect(self._screens_changed)

    @property
    def is_on(self) -> bool:
        """Whether the pictures are wanted."""
        return self._is_on

    @property
    def is_blank(self) -> bool:
        """Whether they are blanked."""
        return self._tv.is_blank

    @property
    def fills_a_screen(self) -> bool:
        """Whether they fill a screen of their own."""
        return self._is_on and self._tv.isFullScreen()

    def show_from(self, source: TvPainter | None) -> None:
        """Take the pictures from there from now on."""
        self._tv.show_from(source)

    def refresh(self) -> None:
        """Paint them again: they have changed."""
        if self._is_on:
            self._tv.update()

    def toggle(self) -> None:
        """Show them, or put them away."""
        if self._is_on:
            self.hide()
        else:
            self.show()

    def show(self) -> None:
        """Show them on the other screen, or in a window of their own where there is none."""
        self._is_on = True
        self.says.emit(say("shell.tv.shown" if self._put() else "shell.tv.window"))
        self.changed.emit()

    def hide(self) -> None:
        """Put them away."""
        if self._is_on:
            self._is_on = False
            self._tv.hide()
            self.says.emit(say("shell.tv.closed"))
            self.changed.emit()

    def toggle_blank(self) -> None:
        """Blank the second screen, or show the pictures again; nothing where it is off."""
        if self._is_on:
            self._tv.blank(not self._tv.is_blank)
            self.says.emit(say("shell.tv.blank" if self._tv.is_blank else "shell.tv.not_blank"))
            self.changed.emit()

    def close(self) -> None:
        """End it with the window."""
        self._is_on = False
        self._tv.hide()
        self._tv.deleteLater()

    def _put(self) -> bool:
        screen = other_screen(self._window.screen(), QGuiApplication.screens())
        # Not by Qt's own words for it: they would ask for the keyboard too.
        if screen is None:
            self._tv.setWindowState(Qt.WindowState.WindowNoState)
        else:
            self._tv.setScreen(screen)
            self._tv.setGeometry(screen.geometry())
            self._tv.setWindowState(Qt.WindowState.WindowFullScreen)
        self._tv.show()
        return screen is not None

    def _screens_changed(self, _screen: QScreen) -> None:
        # The screen is still listed while its going is told.
        QTimer.singleShot(0, self._follow_screens)

    def _follow_screens(self) -> None:
        if not self._is_on:
            return
        filled = self._tv.isFullScreen()
        there = other_screen(self._window.screen(), QGuiApplication.screens()) is not None
        if there and not filled:
            self._put()
            self.says.emit(say("shell.tv.shown"))
        elif filled and not there:
            self._is_on = False
            self._tv.hide()
            self.says.emit(say("shell.tv.gone"))
            self.changed.emit()
