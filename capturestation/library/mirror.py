"""One folder of files made the same as another, each file whole and read back before it counts.

Owns the sums that lie beside the files, in the form that `sha256sum -c` reads, and that a folder
of the copy is there whole or not at all. Refuses to know what the files mean. Called by `backup`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from capturestation.errors import NotReadableError, OutputError
from capturestation.folders import (
    PARTIAL,
    Hashed,
    atomic_write_text,
    copy_durably,
    flush_folder,
    make_folder,
    move_folder,
    remove_file,
    remove_folder,
    sha256_of,
)
from capturestation.folders.files import explained_reading, explained_writing
from capturestation.folders.patience import patiently
from capturestation.records import Quiet, Watch

SUMS_FILE = "SHA256SUMS"
"""The hash of each file of a folder, a line each: what coreutils' `sha256sum` writes and checks."""
_SMALL_BYTES = 256 << 10
# Up to here both files are read: what changes often is small, and a stamp alone may lie.
_STAMP_NS = 2_000_000_000
# Memory cards and sticks keep times in steps of two seconds.


@dataclass(slots=True)
class Copied:
    """What was done so far.

    Args:
        files: Files that were written.
        size_bytes: Their length.
        removed: Files that went.
    """

    files: int = 0
    size_bytes: int = 0
    removed: int = 0


@dataclass(slots=True)
class Mirror:
    """Makes folders the same, and counts what that took.

    Args:
        watch: Stops it; told by whoever knows how much there is in all.
    """

    watch: Watch = field(default_factory=Quiet)
    copied: Copied = field(default_factory=Copied)

    def whole(self, source: Path, target: Path) -> bool:
        """Copy a folder that must be there whole or not at all; one that is there is brought up.

        Args:
            source: Only read.
            target: Its copy.

        Returns:
            Whether it was new. A source that went meanwhile leaves the target as it was.

        Raises:
            NotReadableError: If a file can't be read though it is there.
            OutputError: If the copy can't be written, or reads back as something else.
            CancelledError: If the watch stops it.
        """
        if target.is_dir():
            self.same(source, target)
            return False
        partial = target.with_name(target.name + PARTIAL)
        remove_folder(partial)
        make_folder(partial)
        try:
            self.same(source, partial)
            if source.is_dir():
                move_folder(partial, target)
                return True
        except NotReadableError:
            if source.is_dir():
                raise
        finally:
            remove_folder(partial)
        return False

    def same(self, source: Path, target: Path) -> None:
        """Bring the files of one folder up to those of another; what the source lacks goes.

        Raises:
            As `whole`.
        """
        make_folder(target)
        names = [path.name for path in files_in(source)]
        found = self._brought_up(source, target, names)
        for name in names:
            if name not in found:
                found[name] = sha256_of(target / name, self.watch)
        self._write_sums(target, {name: found[name] for name in names})
        for path in files_in(target):
            if path.name not in names:
                remove_file(path)
                self.copied.removed += 1

    def add(self, source: Path, target: Path) -> None:
        """Bring files of a folder up to another's, and leave what only the copy has."""
        make_folder(target)
        names = [path.name for path in files_in(source)]
        self._write_sums(target, self._brought_up(source, target, names, may_go=True))

    def _brought_up(
        self, source: Path, target: Path, names: list[str], *, may_go: bool = False
    ) -> dict[str, str]:
        """Write what is not the same; the sums of all that is there by name.

        Between a file and its sum a kill may come: what is about to change has no sum meanwhile.
        """
        sums = read_sums(target)
        old = [n for n in names if not _is_brought_up(source / n, target / n, sums)]
        found = {name: digest for name, digest in sums.items() if name not in old}
        self._write_sums(target, found)
        for name in old:
            try:
                found[name] = self._put(source / name, target / name)
            except NotReadableError:
                if not may_go or (source / name).exists():
                    raise
        return found

    def put_alone(self, source: Path, target: Path) -> None:
        """Bring one file up that has no line among the sums; one that went meanwhile is left."""
        try:
            if not is_same(source, target, is_summed=True):
                self._put(source, target)
        except NotReadableError:
            if source.exists():
                raise

    def drop(self, target: Path, names: set[str]) -> None:
        """Remove files of a copy, and their lines of the sums before them."""
        sums = read_sums(target)
        self._write_sums(target, {n: s for n, s in sums.items() if n not in names})
        for name in names:
            if (target / name).exists():
                remove_file(target / name)
                self.copied.removed += 1

    def _write_sums(self, target: Path, now: dict[str, str]) -> None:
        if now != read_sums(target):
            lines = (f"{now[name]}  {name}\n" for name in sorted(now))
            atomic_write_text(target / SUMS_FILE, "".join(lines))

    def _put(self, source: Path, target: Path) -> str:
        """Write one file beside the old one, read it back from the disk, and give it the name."""
        partial = target.with_name(target.name + PARTIAL)
        remove_file(partial)
        with explained_reading(source):
            stamp_ns = source.stat().st_mtime_ns
        hashed = copy_durably(source, partial, self.watch)
        try:
            need_same(partial, hashed, self.watch)
            with explained_writing(target):
                os.utime(partial, ns=(stamp_ns, stamp_ns))
                patiently(lambda: partial.replace(target))
                flush_folder(target.parent)
        except BaseException:
            remove_file(partial)
            raise
        self.copied.files += 1
        self.copied.size_bytes += hashed.size_bytes
        return hashed.sha256


def files_in(folder: Path) -> list[Path]:
    """The finished files of a folder in order, without sums; none where it is not there."""
    if not folder.is_dir():
        return []
    with explained_reading(folder):
        return sorted(
            path
            for path in folder.iterdir()
            if path.is_file() and path.name != SUMS_FILE and not path.name.endswith(PARTIAL)
        )


def is_same(source: Path, target: Path, is_summed: bool) -> bool:
    """Whether a copy need not be written again.

    Small files are compared by their bytes; of large ones length and time tell, once they are
    among the sums.
    """
    try:
        of_copy = target.stat()
    except FileNotFoundError:
        return False
    with explained_reading(source):
        of_source = source.stat()
    if of_copy.st_size != of_source.st_size:
        return False
    if of_source.st_size <= _SMALL_BYTES:
        with explained_reading(source):
            return source.read_bytes() == target.read_bytes()
    return is_summed and abs(of_copy.st_mtime_ns - of_source.st_mtime_ns) <= _STAMP_NS


def _is_brought_up(source: Path, target: Path, sums: dict[str, str]) -> bool:
    try:
        return is_same(source, target, source.name in sums)
    except NotReadableError:
        # It went meanwhile, or can't be read: copying it tells which.
        return False


def read_sums(folder: Path) -> dict[str, str]:
    """The hashes beside a folder's files by name; a line that can't be understood is left out."""
    path = folder / SUMS_FILE
    if not path.is_file():
        return {}
    with explained_reading(path):
        text = path.read_text(encoding="utf-8", errors="replace")
    found = {}
    for line in text.splitlines():
        digest, _, name = line.partition("  ")
        if len(digest) == 64 and name:
            found[name] = digest
    return found


def folders_below(above: Path, depth: int) -> Iterator[Path]:
    """Finished folders so many levels below another, in order."""
    pattern = "/".join("*" * depth)
    for path in sorted(above.glob(pattern)):
        if path.is_dir() and not path.name.endswith(PARTIAL):
            yield path


def need_same(path: Path, written: Hashed, watch: Watch) -> None:
    """Read a file back from its disk.

    Raises:
        OutputError: If it holds other bytes than were written.
    """
    _forget_cached(path)
    if sha256_of(path, watch) != written.sha256:
        raise OutputError(
            f"{path} reads back as something else than was written.",
            try_next="The disk is failing or its connection is: use another one.",
            subject=str(path),
        )


def _forget_cached(path: Path) -> None:
    """Let the next read come from the disk where the system can be asked for that."""
    forget = getattr(os, "posix_fadvise", None)
    if forget is None:
        return
    number = os.open(path, os.O_RDONLY)
    try:
        forget(number, 0, 0, os.POSIX_FADV_DONTNEED)
    finally:
        os.close(number)
