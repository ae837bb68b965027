"""A swing's folder: media, `swing.json` (written once) and `book.json` (replaced whole).

It is built as partial folder, media, hashes, `swing.json` last, flush, rename: a folder under its
own name is complete, and whatever stops the building leaves a name that says partial.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.errors import LibraryError, NotReadableError
from capturestation.folders.documents import read_document, write_document
from capturestation.folders.files import (
    PARTIAL,
    Hashed,
    copy_durably,
    explained_reading,
    explained_writing,
    flush_folder,
    make_folder,
    remove_folder,
    sha256_of,
    taken,
)
from capturestation.folders.names import check_file_name, check_id
from capturestation.folders.patience import patiently
from capturestation.records import SwingBook, SwingFacts, Watch

FACTS_FILE = "swing.json"
BOOK_FILE = "book.json"


class SwingFolder:
    """A swing's folder while it is built; leaving the block unfinished takes all of it away.

    Example:
        with SwingFolder(final) as building:
            building.add_copy(source, "face-on.mp4", watch)
            building.add_book(book)
            building.seal(facts)
            building.publish()
    """

    def __init__(self, final: Path) -> None:
        """Start a partial folder beside `final`.

        Raises:
            OutputError: If `final` or its partial is there already, or can't be made.
        """
        check_id(final.name)
        self.final = final
        self.path = final.with_name(final.name + PARTIAL)
        self.published = False
        self._hashed: dict[str, Hashed] = {}
        if final.exists() or self.path.exists():
            raise taken(final)
        make_folder(self.path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if error is not None or not self.published:
            self.withdraw()

    def add_copy(self, source: Path, name: str, watch: Watch) -> Hashed:
        """Copy a file in under `name`.

        Raises:
            NotReadableError: If the source can't be read.
            OutputError: If the copy can't be written.
            CancelledError: If the watch stops it.
        """
        check_file_name(name)
        self._hashed[name] = copy_durably(source, self.path / name, watch)
        return self._hashed[name]

    def add_made(self, name: str, watch: Watch) -> Hashed:
        """Take up a file that was written straight into `path`: flush and hash it.

        Raises:
            NotReadableError: If it is not there.
            OutputError: If it can't be flushed.
            CancelledError: If the watch stops it.
        """
        check_file_name(name)
        file = self.path / name
        with explained_reading(file):
            stream = file.open("r+b")
        with explained_writing(file), stream, ThreadPoolExecutor(1, "flush") as disk:
            # The disk has its own time to take, while the bytes are read.
            flushed = disk.submit(os.fsync, stream.fileno())
            sha256 = sha256_of(file, watch)
            flushed.result()
        self._hashed[name] = Hashed(sha256=sha256, size_bytes=file.stat().st_size)
        return self._hashed[name]

    def add_book(self, book: SwingBook) -> None:
        """Write `book.json` into the folder.

        Raises:
            OutputError: If it can't be written.
        """
        write_book(self.path, book)

    def seal(self, facts: SwingFacts) -> None:
        """Check every recording against the bytes that were added, then write `swing.json`.

        Raises:
            NotReadableError: If a recording has other bytes than the facts say.
            OutputError: If it can't be written.
        """
        if facts.id != self.final.name:
            msg = f"facts of {facts.id} for the folder {self.final.name}"
            raise ValueError(msg)
        for recording in facts.recordings:
            noted = Hashed(sha256=recording.sha256, size_bytes=recording.size_bytes)
            if self._hashed.get(recording.file) != noted:
                raise NotReadableError(
                    f"{recording.file} changed while it was taken in.",
                    try_next="Wait until it is copied from the camera or card, then try again.",
                    subject=recording.file,
                )
        write_swing_facts(self.path, facts)

    def publish(self) -> Path:
        """Give the sealed folder its own name.

        Raises:
            OutputError: If the name was taken meanwhile or the rename is refused.
        """
        if not (self.path / FACTS_FILE).exists():
            msg = f"{self.path} is not sealed"
            raise ValueError(msg)
        if self.final.exists():
            raise taken(self.final)
        with explained_writing(self.final):
            patiently(lambda: self.path.rename(self.final))
            self.published = True
            flush_folder(self.final.parent)
        return self.final

    def withdraw(self) -> None:
        """Take away whatever was built, published or not."""
        remove_folder(self.final if self.published else self.path)
        self.published = False


def write_swing_facts(folder: Path, facts: SwingFacts) -> None:
    """Write `swing.json` for the first and only time.

    Raises:
        OutputError: If there is one already, or it can't be written.
    """
    path = folder / FACTS_FILE
    _check_files(facts)
    if path.exists():
        raise taken(path)
    write_document(path, "swing", facts)


def read_swing_facts(folder: Path) -> SwingFacts:
    """Read `swing.json`.

    Raises:
        LibraryError: If it is missing, damaged, newer, or names files outside its folder.
    """
    path = folder / FACTS_FILE
    facts = read_document(path, "swing", SwingFacts)
    try:
        check_id(facts.id)
        _check_files(facts)
    except ValueError as error:
        hint = "Don't use this folder; bring it back from a back-up."
        raise LibraryError(f"{path}: {error}.", try_next=hint, subject=str(path)) from error
    return facts


def write_book(folder: Path, book: SwingBook) -> None:
    """Replace `book.json` whole.

    Raises:
        OutputError: If it can't be written; the old one stands.
    """
    write_document(folder / BOOK_FILE, "book", book)


def read_book(folder: Path) -> SwingBook:
    """Read `book.json`.

    Raises:
        LibraryError: If it is missing, damaged or newer.
    """
    return read_document(folder / BOOK_FILE, "book", SwingBook)


def _check_files(facts: SwingFacts) -> None:
    names = [recording.file for recording in facts.recordings]
    for name in names:
        check_file_name(name)
    if len({name.lower() for name in names}) != len(names):
        msg = f"two recordings share a file name: {names}"
        raise ValueError(msg)
