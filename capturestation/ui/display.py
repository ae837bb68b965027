"""Whether a window can be opened here, found out before Qt ends the process over it.

Owns what Qt needs of a Linux desktop. Other systems always have a screen.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Mapping

from capturestation.errors import RefusedError

_NEEDED = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
# What Qt's window for X11 loads, and the Debian package that holds it.


def need_display(environment: Mapping[str, str] = os.environ, platform: str = sys.platform) -> None:
    """Refuse where no window can be opened.

    Raises:
        RefusedError: If there is no screen, it doesn't answer, or a library for it is missing.
    """
    if not platform.startswith("linux") or environment.get("QT_QPA_PLATFORM"):
        return
    if environment.get("WAYLAND_DISPLAY"):
        return
    if not environment.get("DISPLAY"):
        raise _no_screen("There is no screen to open a window on.")
    missing = [package for name, package in _NEEDED.items() if not _loads(name)]
    if missing:
        raise RefusedError(
            f"The system lacks a part that windows need: {', '.join(missing)}.",
            try_next=f"Install it: on Debian, apt install {' '.join(missing)}.",
        )
    if not _answers():
        raise _no_screen(f"The screen {environment['DISPLAY']} doesn't answer.")


def _no_screen(what: str) -> RefusedError:
    hint = "Start it on the computer's own desktop; all other commands work without a screen."
    return RefusedError(what, try_next=hint, subject="DISPLAY")


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _answers() -> bool:
    """Whether the X server that DISPLAY names lets us in."""
    xcb = ctypes.CDLL("libxcb.so.1")
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connection_has_error.argtypes = [ctypes.c_void_p]
    xcb.xcb_disconnect.argtypes = [ctypes.c_void_p]
    connection = xcb.xcb_connect(None, None)
    answers: bool = xcb.xcb_connection_has_error(connection) == 0
    xcb.xcb_disconnect(connection)
    return answers
