"""The one application object that text painting needs.

Owns when and how it is made. Called by entry points only: the painter refuses to work without
one, because Qt would end the process.
"""

from __future__ import annotations

import os
import sys
import threading
from pathlib import Path

from PyQt6.QtCore import QCoreApplication
from PyQt6.QtGui import QFontDatabase, QGuiApplication

from capturestation.errors import StationError

_SET_BY_CV2 = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR")
_kept: list[QCoreApplication] = []
# Qt's object dies with its last Python reference; nobody else holds the one that we make.


def forget_cv2_qt() -> None:
    """Take back the Qt settings that importing cv2 leaves in the environment.

    They point PyQt at plugins and fonts of another Qt. A user's own settings stay.
    """
    for name in _SET_BY_CV2:
        if "cv2" in Path(os.environ.get(name, "")).parts:
            del os.environ[name]


def ensure_app() -> QCoreApplication:
    """Return the running application, or make one that can paint text.

    Raises:
        StationError: If no font is installed.
        RuntimeError: If there is no application yet and this isn't the main thread.
    """
    running = QGuiApplication.instance()
    if running is None:
        if threading.current_thread() is not threading.main_thread():
            msg = "the application must be made in the main thread"
            raise RuntimeError(msg)
        forget_cv2_qt()
        if sys.platform.startswith("linux") and not _has_display():
            os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        running = QGuiApplication(["capturestation"])
        _kept.append(running)
    refuse_without_fonts(QFontDatabase.families())
    return running


def has_app() -> bool:
    """Whether there is an application that can paint text."""
    running: QCoreApplication | None = QGuiApplication.instance()
    return isinstance(running, QGuiApplication)


def _has_display() -> bool:
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def refuse_without_fonts(families: list[str]) -> None:
    """Explain a machine that has no letters, where Qt would paint nothing and say nothing.

    Raises:
        StationError: If `families` is empty.
    """
    if not families:
        raise StationError(
            "No font is installed, so nothing can be written on a picture.",
            try_next="Install one: on Debian, apt install fonts-dejavu-core.",
            subject="fonts",
        )
