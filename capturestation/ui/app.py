"""The window as a program: a screen, the look, how it stood, and until it is closed.

Owns the start and the end. Called by the script's entry only.
"""

from __future__ import annotations

import logging
import signal
import socket
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from logging.handlers import RotatingFileHandler
from pathlib import Path

from PyQt6.QtCore import QSocketNotifier, QTimer
from PyQt6.QtGui import QFontDatabase, QIcon, QPixmap
from PyQt6.QtWidgets import QApplication
from PyQt6.sip import voidptr

from capturestation.drawing.app import forget_cv2_qt, refuse_without_fonts
from capturestation.drawing.icon import icon_image
from capturestation.errors import OutputError
from capturestation.folders import make_folder
from capturestation.station.desk import Desk, desk_file, read_desk
from capturestation.station.desktop_entry import NAME
from capturestation.station.opening import chosen_library
from capturestation.ui.bugs import BugHook
from capturestation.ui.display import need_display
from capturestation.ui.look import Look, Theme
from capturestation.ui.places import place_kinds
from capturestation.ui.standing import first_standing, stand
from capturestation.ui.style import dress
from capturestation.ui.texts import say
from capturestation.ui.window import PlaceKind, Window

_LOG_BYTES = 256 << 10
_LOG_FILE = "window.log"
_ICON_PX = (16, 32, 64, 256)
_log = logging.getLogger(__name__)


def run_window(
    library: Path | None, argv: Sequence[str], kinds: Sequence[PlaceKind] | None = None
) -> int:
    """Open the window and stay until it is closed.

    Args:
        library: The library's folder; None for the last one, else the usual one.
        argv: The command line, for Qt's own options.
        kinds: The places; None for all that there are.

    Returns:
        The exit code.

    Raises:
        RefusedError: If there is no screen to open it on, or a part of the system is missing.
        StationError: If no font is installed.
    """
    app = _application(argv)
    state = desk_file()
    read = read_desk(state)
    desk = _first(app) if read.is_first else read.desk
    look = Look(_theme(desk.theme), desk.scale)
    dress(app, look)
    with _logged(state.parent), BugHook() as hook:
        window = Window(desk, state, look, place_kinds() if kinds is None else kinds)
        hook.found.connect(window.tell_fault)
        hook.refused.connect(window.tell_trouble)
        hook.stop_asked.connect(window.close)
        if read.trouble is not None:
            window.tell_trouble(read.trouble)
        stand(window, desk)
        window.open(chosen_library(library, desk.library))
        with _closed_by_signals(window):
            code = app.exec()
        window.deleteLater()
    return code


def _application(argv: Sequence[str]) -> QApplication:
    running = QApplication.instance()
    if not isinstance(running, QApplication):
        forget_cv2_qt()
        need_display()
        running = QApplication(list(argv))
    running.setApplicationName(say("shell.name"))
    # Under this name a desktop finds its entry, and so the icon.
    running.setDesktopFileName(NAME)
    running.setWindowIcon(window_icon())
    refuse_without_fonts(QFontDatabase.families())
    return running


def window_icon() -> QIcon:
    """The station's sign, in sizes for a window's corner and for a list of windows."""
    icon = QIcon()
    for px in _ICON_PX:
        icon.addPixmap(QPixmap.fromImage(icon_image(px)))
    return icon


def _first(app: QApplication) -> Desk:
    screen = app.primaryScreen()
    return first_standing(screen.availableGeometry().width() if screen else 0)


def _theme(word: str) -> Theme:
    return Theme(word) if word in set(Theme) else Theme.LIGHT


@contextmanager
def _logged(folder: Path) -> Iterator[None]:
    """Note what went wrong beside the window's state; nothing that is noted holds a name."""
    root = logging.getLogger("capturestation")
    try:
        make_folder(folder)
        handler = RotatingFileHandler(
            folder / _LOG_FILE, maxBytes=_LOG_BYTES, backupCount=1, encoding="utf-8", delay=True
        )
    except OutputError as error:
        _log.warning("nothing is noted: %s", type(error).__name__)
        yield
        return
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root.addHandler(handler)
    try:
        yield
    finally:
        root.removeHandler(handler)
        handler.close()


@contextmanager
def _closed_by_signals(window: Window) -> Iterator[None]:
    """Close the window, asking as ever, when the system or the stop key ends the program.

    Python hears a signal only when it runs, and in Qt's loop it sleeps: a byte through a socket
    wakes it.
    """
    heard = (signal.SIGINT, signal.SIGTERM)
    before = {number: signal.getsignal(number) for number in heard}
    awake, asleep = socket.socketpair()
    for end in (awake, asleep):
        end.setblocking(False)
    notifier = QSocketNotifier(voidptr(asleep.fileno()), QSocketNotifier.Type.Read, window)
    notifier.activated.connect(lambda: asleep.recv(64))
    old_fd = signal.set_wakeup_fd(awake.fileno())
    for number in heard:
        signal.signal(number, lambda _number, _frame: QTimer.singleShot(0, window.close))
    try:
        yield
    finally:
        signal.set_wakeup_fd(old_fd)
        for number, handler in before.items():
            signal.signal(number, handler)
        notifier.setEnabled(False)
        for end in (awake, asleep):
            end.close()
