"""One record in one JSON file, with its format and version beside it.

Owns the envelope. A file from a newer program is refused, not guessed at: writing it back would
lose what this program doesn't know.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TypeVar

from capturestation.errors import LibraryError
from capturestation.folders.files import atomic_write_text
from capturestation.records import Plain, from_plain, to_plain

Record = TypeVar("Record")

DOCUMENT_VERSION = 1
_PREFIX = "capturestation "
_LARGEST = 2**63 - 1
_KEYS = {"format", "version", "record"}


def write_document(path: Path, word: str, record: object) -> None:
    """Replace a file by a record as JSON, durably.

    Args:
        path: Where to.
        word: What it is, one word: swing, book, student ...
        record: Any record that `to_plain` knows.

    Raises:
        LibraryError: If the old file is from a newer program; it stands.
        OutputError: If it can't be written; the old file stands.
    """
    refuse_newer(path)
    body = {"format": _PREFIX + word, "version": DOCUMENT_VERSION, "record": to_plain(record)}
    text = json.dumps(body, ensure_ascii=False, indent=1, allow_nan=False)
    atomic_write_text(path, text + "\n")


def refuse_newer(path: Path) -> None:
    """Refuse to replace a file that holds what this program doesn't know; a damaged one may go.

    Raises:
        LibraryError: If a newer program wrote it.
    """
    if not path.is_file():
        return
    try:
        body = _loaded(path)
    except LibraryError:
        return
    version = body.get("version") if isinstance(body, dict) else None
    if isinstance(version, int) and version > DOCUMENT_VERSION:
        raise _newer(path, version)


def read_document(path: Path, word: str, kind: type[Record]) -> Record:
    """Read the record that `write_document` wrote.

    Raises:
        LibraryError: If the file is missing, damaged, of another format or newer; it is only read.
    """
    body = _loaded(path)
    if not isinstance(body, dict) or body.get("format") != _PREFIX + word:
        raise _damaged(path, f"it is not a {word} file")
    version = body.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise _damaged(path, "it has no version")
    if version > DOCUMENT_VERSION:
        raise _newer(path, version)
    if set(body) != _KEYS:
        raise _damaged(path, f"it holds {', '.join(sorted(body))}")
    try:
        return from_plain(kind, body["record"])
    except ValueError as error:
        raise _damaged(path, str(error)) from error


def _loaded(path: Path) -> Plain:
    try:
        text = path.read_text(encoding="utf-8")
        if "\\u" in text:
            # An escaped lone surrogate is valid JSON and yet no text that can be kept.
            json.dumps(json.loads(text), ensure_ascii=False).encode()
        loaded: Plain = json.loads(text, parse_int=_whole_number, parse_constant=_no_number)
    except FileNotFoundError as error:
        raise LibraryError(
            f"{path} is missing.",
            try_next="Bring it back from a back-up, or check the library.",
            subject=str(path),
        ) from error
    except OSError as error:
        raise _damaged(path, error.strerror or str(error)) from error
    except (ValueError, RecursionError) as error:
        raise _damaged(path, str(error)) from error
    return loaded


def _whole_number(text: str) -> int:
    number = int(text)
    if abs(number) > _LARGEST:
        msg = f"{text[:30]} is larger than any time or count"
        raise ValueError(msg)
    return number


def _no_number(text: str) -> float:
    msg = f"{text} is no number"
    raise ValueError(msg)


def _newer(path: Path, version: int) -> LibraryError:
    return LibraryError(
        f"{path} has version {version}; this program knows up to {DOCUMENT_VERSION}.",
        try_next="Install the newest program; the file was not touched.",
        subject=str(path),
    )


def _damaged(path: Path, why: str) -> LibraryError:
    return LibraryError(
        f"{path} can't be understood: {why}.",
        try_next="Bring this file back from a back-up; it was not touched.",
        subject=str(path),
    )
