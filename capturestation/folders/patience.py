"""Waiting for a file that another program holds, and paths longer than Windows opens by itself.

Virus scanners, indexers and players hold a file for a moment. Windows then refuses to rename,
replace or remove it; trying again a little later is all that helps.
"""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Callable
from pathlib import Path, PureWindowsPath
from typing import TypeVar

Done = TypeVar("Done")

PAUSES_S = (0.01, 0.03, 0.1, 0.2, 0.4, 0.8)
"""A scanner lets go within a second; whatever holds longer is a program that a person closes."""
_HELD_WINDOWS = (5, 32, 33)
# ERROR_ACCESS_DENIED (also said of an open file), ERROR_SHARING_VIOLATION, ERROR_LOCK_VIOLATION.
_HELD = (errno.EBUSY, errno.ETXTBSY)
_LONGEST = 259
# MAX_PATH less the closing zero.
_ROOM_BELOW = 140
# swings/yyyy/mm/, an id of 64 signs, and a partial file's name below it.


def is_held(error: OSError) -> bool:
    """Whether the system says that somebody else has the file open."""
    windows = getattr(error, "winerror", None)
    return windows in _HELD_WINDOWS if windows is not None else error.errno in _HELD


def patiently(act: Callable[[], Done]) -> Done:
    """Do it, and where another program holds the file do it again, for a second and a half.

    Raises:
        OSError: What the last attempt raised, or at once what no waiting changes.
    """
    for pause_s in PAUSES_S:
        try:
            return act()
        except OSError as error:
            if not is_held(error):
                raise
        time.sleep(pause_s)
    return act()


def reachable(folder: Path) -> Path:
    """The same folder by a name under which everything below it can be opened.

    Windows opens paths over 259 signs only in their extended form, which has to be absolute.
    """
    if os.name != "nt":
        return folder
    whole = str(folder.absolute())
    return Path(extended(whole)) if len(whole) + _ROOM_BELOW > _LONGEST else folder


def extended(path: str) -> str:
    r"""The extended form of an absolute Windows path, which may be of any length.

    Source: Microsoft, "Maximum Path Length Limitation".

    Example:
        >>> print(extended(r"C:\films"), extended(r"\\nas\films\a"))
        \\?\C:\films \\?\UNC\nas\films\a
    """
    if path.startswith("\\\\?\\"):
        return path
    plain = str(PureWindowsPath(path))
    return f"\\\\?\\UNC\\{plain[2:]}" if plain.startswith("\\\\") else f"\\\\?\\{plain}"


def plain_form(path: str) -> str:
    r"""An extended path as people write it; any other as it is.

    Example:
        >>> print(plain_form(r"\\?\C:\films"), plain_form(r"\\?\UNC\nas\films"))
        C:\films \\nas\films
    """
    if path.startswith("\\\\?\\UNC\\"):
        return "\\\\" + path[8:]
    return path.removeprefix("\\\\?\\")
