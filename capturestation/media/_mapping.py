"""What a media library's failures mean to a person: the only place where they are mapped.

Owns the table from PyAV's errors (and the system's, which it also raises) to `NotReadableError`
and `OutputError`. Refuses to catch anything else: another exception is our own bug.
"""

from __future__ import annotations

import builtins
import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import av
import av.error

from capturestation.errors import NotReadableError, OutputError

FOREIGN = (av.FFmpegError, builtins.OSError, builtins.EOFError)
"""Everything that PyAV raises about the world, and what the system raises beside it."""

_UNREADABLE: tuple[tuple[type[BaseException], str, str], ...] = (
    (builtins.FileNotFoundError, "is not there", "Check the name, or whether a drive is missing."),
    (builtins.PermissionError, "may not be read", "Give yourself the right to read it."),
    (builtins.IsADirectoryError, "is a folder", "Name a video file inside it."),
    (builtins.NotADirectoryError, "is not there", "Check the folders in its name."),
    (builtins.MemoryError, "needs more memory than there is", "Close other programs."),
    (
        av.error.DecoderNotFoundError,
        "holds pictures or sound of a kind that can't be decoded here",
        "Have the camera record H.264, or convert the file to it.",
    ),
    (
        av.error.PatchWelcomeError,
        "holds pictures or sound of a kind that can't be decoded here",
        "Have the camera record H.264, or convert the file to it.",
    ),
    (builtins.EOFError, "ends too early", "Copy it from the camera again; it may be cut."),
    (
        av.error.InvalidDataError,
        "is not a video, or is damaged or cut",
        "Play it elsewhere, and copy it from the camera again.",
    ),
    (builtins.OSError, "can't be read from its disk", "Check the drive and the cable."),
)

_UNWRITABLE: dict[int, tuple[str, str]] = {
    errno.ENOSPC: ("can't be written: the disk is full", "Free some space."),
    errno.EDQUOT: ("can't be written: your share of the disk is used up", "Free some space."),
    errno.EFBIG: ("can't be written: the file would grow too large", "Choose another disk."),
    errno.EACCES: ("can't be written: its folder refuses it", "Choose a folder of your own."),
    errno.EPERM: ("can't be written: its folder refuses it", "Choose a folder of your own."),
    errno.EROFS: ("can't be written: the disk is read-only", "Choose another disk."),
    errno.ENOENT: ("can't be written: its folder is not there", "Make the folder first."),
    errno.ENOTDIR: ("can't be written: its folder is a file", "Choose another folder."),
    errno.EISDIR: ("can't be written: a folder has that name", "Choose another name."),
    errno.EEXIST: ("is already there", "Choose another name, or ask for it to be replaced."),
}


def not_readable(path: Path, error: BaseException | None, *, where: str = "") -> NotReadableError:
    """The error for a person that a failure to read stands for.

    Args:
        path: The file that was read.
        error: What the library or the system raised; None if it just gave no picture.
        where: "frame 12 (0.400 s)" where one could not be decoded; empty if the file never opened.

    Example:
        >>> str(not_readable(Path("swing.mp4"), FileNotFoundError()))
        'swing.mp4 is not there. Check the name, or whether a drive is missing.'
    """
    if where:
        return NotReadableError(
            f"{path.name} is damaged: {where} can't be decoded.",
            try_next="Copy it from the camera again, or leave that stretch out.",
            subject=str(path),
        )
    for kind, what, try_next in _UNREADABLE:
        if isinstance(error, kind):
            return NotReadableError(f"{path.name} {what}.", try_next=try_next, subject=str(path))
    return NotReadableError(
        f"{path.name} can't be read as a video.",
        try_next="Play it elsewhere, and copy it from the camera again.",
        subject=str(path),
    )


def undecodable(path: Path) -> NotReadableError:
    """The error for a track of a kind that nothing here decodes."""
    return not_readable(path, av.error.DecoderNotFoundError(0, ""))


def not_writable(path: Path, error: BaseException) -> OutputError:
    """The error for a person that a failure to write stands for.

    Example:
        >>> str(not_writable(Path("clip.mp4"), OSError(errno.ENOSPC, "")))
        "clip.mp4 can't be written: the disk is full. Free some space."
    """
    number = error.errno if isinstance(error, OSError | av.FFmpegError) else None
    what, try_next = _UNWRITABLE.get(
        number or 0, ("can't be written", "Try another folder or another disk.")
    )
    return OutputError(f"{path.name} {what}.", try_next=try_next, subject=str(path))


@contextmanager
def reading(path: Path) -> Iterator[None]:
    """Map whatever fails inside to a `NotReadableError` about `path`."""
    try:
        yield
    except FOREIGN as error:
        raise not_readable(path, error) from error


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Map whatever fails inside to an `OutputError` about `path`."""
    try:
        yield
    except FOREIGN as error:
        raise not_writable(path, error) from error
