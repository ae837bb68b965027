"""Files and folders that are whole or not there: written beside, flushed, then renamed.

Owns the order of flush and rename and the words for a full disk or a missing right. Refuses to
know what the bytes mean. Called by everything that writes into a library.
"""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from capturestation.errors import NotReadableError, OutputError
from capturestation.folders.patience import is_held, patiently
from capturestation.records import Watch

_log = logging.getLogger(__name__)

PARTIAL = ".partial"
"""Ending of anything that is not finished; safe to remove once its writer is gone."""
CHUNK_BYTES = 1 << 20
# One MiB: large enough that the disk sets the pace, small enough to stop within a moment.
_PRIVATE_FILE = 0o600
_PRIVATE_FOLDER = 0o700
# Recordings of a person are for the coach's own account only.
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_NO_RIGHT = (errno.EACCES, errno.EPERM, errno.EROFS)
_TAKEN = (errno.EEXIST, errno.ENOTEMPTY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hashed:
    """What a file's bytes are known by.

    Args:
        sha256: Hex.
        size_bytes: Length.
    """

    sha256: str
    size_bytes: int


@contextmanager
def explained_writing(path: Path) -> Iterator[None]:
    """Turn an operating system's refusal to write into one that says what to try.

    Raises:
        OutputError: Disk full, no right, name taken, or any other failure to write.
    """
    try:
        yield
    except OSError as error:
        raise _output_error(path, error) from error


def _output_error(path: Path, error: OSError) -> OutputError:
    subject = str(path)
    if is_held(error):
        what = f"{path} is open in another program."
        hint = "Close what plays, scans or copies it, then try again."
        return OutputError(what, try_next=hint, subject=subject)
    if error.errno in _FULL:
        what = f"There is no room left to write {path}."
        return OutputError(what, try_next="Free some space and try again.", subject=subject)
    if error.errno in _NO_RIGHT:
        what = f"This account may not write {path}."
        return OutputError(what, try_next="Choose a folder of your own.", subject=subject)
    if error.errno in _TAKEN:
        return taken(path)
    what = f"{path} could not be written: {error.strerror or error}."
    return OutputError(what, try_next="Check that the disk is connected.", subject=subject)


def taken(path: Path) -> OutputError:
    """The error for a name that is already in use."""
    what = f"{path} is already there and is not overwritten."
    return OutputError(what, try_next="Choose another name or move it away.", subject=str(path))


@contextmanager
def explained_reading(path: Path) -> Iterator[None]:
    """Turn an operating system's refusal to read into one that says what to try.

    Raises:
        NotReadableError: If the file is missing, not a file, or may not be read.
    """
    try:
        yield
    except FileNotFoundError as error:
        what = f"{path} is not there."
        hint = "Check the name, and that the disk or card is connected."
        raise NotReadableError(what, try_next=hint, subject=str(path)) from error
    except OSError as error:
        what = f"{path} can't be read: {error.strerror or error}."
        hint = "Copy it to a disk of this computer and try again."
        raise NotReadableError(what, try_next=hint, subject=str(path)) from error


def atomic_write_text(path: Path, text: str) -> None:
    """Replace a file by `text` in UTF-8; see `atomic_write_bytes`."""
    atomic_write_bytes(path, text.encode())


def atomic_write_bytes(path: Path, data: bytes) -> None:
    """Replace a file so that a crash at any point leaves the old bytes or the new ones.

    Raises:
        OutputError: If it can't be written; the old file stands and nothing partial is left.
    """
    partial = _partial_beside(path)
    with explained_writing(path):
        try:
            with _opened_new(partial) as number:
                _write_all(number, data)
                os.fsync(number)
            patiently(lambda: partial.replace(path))
        except BaseException:
            remove_file(partial)
            raise
        flush_folder(path.parent)


def copy_durably(source: Path, target: Path, watch: Watch) -> Hashed:
    """Copy a file to a name that is free, hashing on the way; the source is only read.

    Args:
        source: File to copy.
        target: Where to; its folder is there already.
        watch: Told the share of bytes copied.

    Returns:
        Hash and length of what was copied.

    Raises:
        NotReadableError: If the source can't be read to its end.
        OutputError: If the target is taken or can't be written.
        CancelledError: If the watch stops it; no case leaves a target or a partial.
    """
    if target.exists():
        raise taken(target)
    partial = _partial_beside(target)
    try:
        with explained_writing(target), _opened_new(partial) as number:
            hashed = _copy_into(source, number, watch)
            os.fsync(number)
        with explained_writing(target):
            patiently(lambda: partial.replace(target))
            flush_folder(target.parent)
    except BaseException:
        remove_file(partial)
        raise
    return hashed


def _copy_into(source: Path, number: int, watch: Watch) -> Hashed:
    digest = hashlib.sha256()
    size_bytes = 0
    for chunk in _chunks(source, watch, "copying"):
        digest.update(chunk)
        size_bytes += len(chunk)
        _write_all(number, chunk)
    return Hashed(sha256=digest.hexdigest(), size_bytes=size_bytes)


def sha256_of(path: Path, watch: Watch) -> str:
    """The hash of a file's bytes, hex.

    Raises:
        NotReadableError: If it can't be read to its end.
        CancelledError: If the watch stops it.
    """
    digest = hashlib.sha256()
    for chunk in _chunks(path, watch, "reading"):
        digest.update(chunk)
    return digest.hexdigest()


def _chunks(path: Path, watch: Watch, words: str) -> Iterator[memoryview]:
    """A file's bytes piece by piece, each in the place of the one before.

    Room of its own for each would cost half of what reading does.
    """
    # The file is opened before the first report, so a missing one is said at once. An error that
    # the consumer raises between two chunks is not raised inside this frame: it stays its own.
    with explained_reading(path):
        stream = path.open("rb", buffering=0)
    with stream:
        whole_bytes = max(os.fstat(stream.fileno()).st_size, 1)
        done_bytes = 0
        watch.report(0.0, words)
        room = memoryview(bytearray(min(CHUNK_BYTES, whole_bytes)))
        while True:
            with explained_reading(path):
                size_bytes = stream.readinto(room)
            if not size_bytes:
                return
            yield room[:size_bytes]
            done_bytes += size_bytes
            watch.report(min(done_bytes / whole_bytes, 1.0), words)


def make_folder(path: Path) -> None:
    """Make a folder and those above it, private to this account where the system knows that.

    Raises:
        OutputError: If it can't be made.
    """
    missing = [folder for folder in (path, *path.parents) if not folder.exists()]
    with explained_writing(path):
        for folder in reversed(missing):
            folder.mkdir(mode=_PRIVATE_FOLDER, exist_ok=True)
            flush_folder(folder.parent)
        if not path.is_dir():
            raise taken(path)


def move_folder(source: Path, target: Path) -> None:
    """Rename a folder on one disk to a name that is free, for good.

    Raises:
        OutputError: If the name is taken or the move is refused; the source stands.
    """
    if target.exists():
        raise taken(target)
    make_folder(target.parent)
    with explained_writing(target):
        patiently(lambda: source.rename(target))
        flush_folder(target.parent)
        flush_folder(source.parent)


def remove_folder(path: Path) -> None:
    """Remove a folder and all in it if it is there.

    What resists is left and logged: this runs while undoing, and the first cause matters more.
    """
    try:
        patiently(lambda: shutil.rmtree(path))
    except FileNotFoundError:
        return
    except OSError as error:
        _log.warning("%s could not be removed: %s", path, error)


def remove_file(path: Path) -> None:
    """Remove a file if it is there; what resists is left and logged."""
    if not os.path.lexists(path):
        # A disk that can't be written refuses even to remove nothing.
        return
    try:
        patiently(lambda: path.unlink(missing_ok=True))
    except OSError as error:
        _log.warning("%s could not be removed: %s", path, error)


def flush_folder(path: Path) -> None:
    """Make names that were added to or taken from a folder survive a power cut.

    Windows has no such call for folders and keeps its own journal of names; some network disks
    answer that they don't do it, and then nothing more can be asked of them.
    """
    if os.name == "nt":
        return
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(number)


def _partial_beside(path: Path) -> Path:
    return path.with_name(f".{path.name}.{secrets.token_hex(4)}{PARTIAL}")


@contextmanager
def _opened_new(path: Path) -> Iterator[int]:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    number = os.open(path, flags, _PRIVATE_FILE)
    try:
        yield number
    finally:
        os.close(number)


def _write_all(number: int, data: bytes | memoryview) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(number, view) :]
