"""An entry among this account's programs that opens the window, and its taking back.

Owns three kinds of files below the account's data folder, named as freedesktop.org's standards
want it: the entry, and the icon in a few sizes. Nothing of the system's is touched.
"""

from __future__ import annotations

import os
import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

from capturestation.drawing.icon import icon_png
from capturestation.errors import RefusedError
from capturestation.folders import atomic_write_bytes, atomic_write_text, make_folder, remove_file
from capturestation.folders.files import explained_reading

NAME = "capturestation"
"""Also what the window tells the desktop that it belongs to."""
SIZES_PX = (48, 128, 256)
_MADE_BY = "X-Made-By=capturestation"
_SPECIAL = '"`$\\'
# What has to be escaped within the quotes of a command: Desktop Entry Specification, The Exec key.


@dataclass(frozen=True, slots=True, kw_only=True)
class DesktopEntry:
    """What was written or taken away.

    Args:
        path: The entry.
        command: What it starts; empty where it was taken away.
        icons: The icon's files.
    """

    path: Path
    command: str
    icons: tuple[Path, ...]


def data_home() -> Path:
    """Where this account keeps data, by the XDG Base Directory Specification."""
    told = os.environ.get("XDG_DATA_HOME", "")
    return Path(told) if Path(told).is_absolute() else Path.home() / ".local" / "share"


def add_entry(above: Path | None = None, *, system: str = sys.platform) -> DesktopEntry:
    """Put the entry among this account's programs; an older one of ours is replaced.

    Args:
        above: The account's data folder; None for the usual one.
        system: What the computer runs.

    Raises:
        RefusedError: If this is no system with such entries, or another program's lies there.
        NotReadableError: If what lies there can't be read.
        OutputError: If it can't be written.
    """
    entry, icons = _files(above or data_home(), system)
    command = _command()
    for px, path in icons.items():
        make_folder(path.parent)
        atomic_write_bytes(path, icon_png(px))
    make_folder(entry.parent)
    atomic_write_text(entry, entry_text(command))
    return DesktopEntry(path=entry, command=command, icons=tuple(icons.values()))


def remove_entry(above: Path | None = None, *, system: str = sys.platform) -> DesktopEntry:
    """Take away what `add_entry` wrote; nothing where nothing is.

    Raises:
        RefusedError: As `add_entry`.
    """
    entry, icons = _files(above or data_home(), system)
    there = tuple(path for path in icons.values() if path.exists())
    for path in (entry, *there):
        remove_file(path)
    return DesktopEntry(path=entry, command="", icons=there)


def entry_text(command: str) -> str:
    """The entry's words.

    Source:
        Desktop Entry Specification 1.4, freedesktop.org; categories of the Desktop Menu
        Specification.
    """
    return "\n".join(
        (
            "[Desktop Entry]",
            "Version=1.4",
            "Type=Application",
            f"Name={NAME}",
            "GenericName=Golf lessons from two angles",
            "Comment=Today's swing beside the student's own best",
            f"Exec={command} window",
            f"Icon={NAME}",
            "Terminal=false",
            "Categories=Education;Sports;",
            f"StartupWMClass={NAME}",
            _MADE_BY,
            "",
        )
    )


def quoted(word: str) -> str:
    r"""A word of the entry's command.

    Example:
        >>> quoted("/opt/it"), quoted("/my 100%/it")
        ('/opt/it', '"/my 100%%/it"')
        >>> print(quoted("a$b"))
        "a\\$b"
    """
    told = word.replace("%", "%%")
    if all(sign.isalnum() or sign in "/._-+" for sign in told):
        return told
    inside = "".join(f"\\{sign}" if sign in _SPECIAL else sign for sign in told)
    # The whole value is escaped once more, as any text of an entry is.
    return '"' + inside.replace("\\", "\\\\") + '"'


def _command() -> str:
    """What starts this very installation, wherever it lies."""
    beside = shutil.which(NAME, path=str(Path(sys.executable).parent))
    if beside is not None:
        return quoted(beside)
    return f"{quoted(sys.executable)} -m {NAME}"


def _files(above: Path, system: str) -> tuple[Path, dict[int, Path]]:
    if not system.startswith("linux"):
        raise RefusedError(
            "Entries of this kind are for Linux and its like.",
            try_next="On Windows make a shortcut to Scripts\\capturestation.exe with the word "
            "window behind it; on macOS keep a file capturestation.command that says "
            "bin/capturestation window.",
        )
    entry = above / "applications" / f"{NAME}.desktop"
    if entry.exists() and not _is_ours(entry):
        raise RefusedError(
            f"{entry} was made by something else.",
            try_next="Move it away first; it was left as it is.",
            subject=str(entry),
        )
    icons = above / "icons" / "hicolor"
    return entry, {px: icons / f"{px}x{px}" / "apps" / f"{NAME}.png" for px in SIZES_PX}


def _is_ours(entry: Path) -> bool:
    with explained_reading(entry):
        return _MADE_BY in entry.read_text(encoding="utf-8", errors="replace").splitlines()
