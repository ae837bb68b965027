"""Durable files: partial, flush, rename, hashes, and the two JSON files of a swing folder.

Owns how anything is written so that a crash leaves the old or the new, never a half. Refuses to
know a database, a video or a student's name. Called by capture, library and station.
"""

from capturestation.folders.documents import read_document, refuse_newer, write_document
from capturestation.folders.files import (
    PARTIAL,
    Hashed,
    atomic_write_bytes,
    atomic_write_text,
    copy_durably,
    flush_folder,
    make_folder,
    move_folder,
    remove_file,
    remove_folder,
    sha256_of,
)
from capturestation.folders.names import check_file_name, check_id, recording_name
from capturestation.folders.swing_folder import (
    BOOK_FILE,
    FACTS_FILE,
    SwingFolder,
    read_book,
    read_swing_facts,
    write_book,
    write_swing_facts,
)

__all__ = [
    "BOOK_FILE",
    "FACTS_FILE",
    "PARTIAL",
    "Hashed",
    "SwingFolder",
    "atomic_write_bytes",
    "atomic_write_text",
    "check_file_name",
    "check_id",
    "copy_durably",
    "flush_folder",
    "make_folder",
    "move_folder",
    "read_book",
    "read_document",
    "read_swing_facts",
    "recording_name",
    "refuse_newer",
    "remove_file",
    "remove_folder",
    "sha256_of",
    "write_book",
    "write_document",
    "write_swing_facts",
]
