"""Names that may stand in a path on any system: ids, and file names inside a swing's folder.

A library can be carried to another computer, and its JSON can be damaged or made up: a name from
there must not lead out of its folder.
"""

from __future__ import annotations

import re

from capturestation.records import View

_PLAIN_ID = re.compile(r"[0-9a-z](?:[0-9a-z-]{0,62}[0-9a-z])?")
_PLAIN_FILE = re.compile(r"[0-9A-Za-z][0-9A-Za-z._-]{0,98}[0-9A-Za-z]")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)
# Device names of Windows: not even with an ending.
_OURS = ("swing.json", "book.json")
_PLAIN_SUFFIX = re.compile(r"\.[0-9a-z]{1,8}")


def check_id(text: str) -> None:
    """Refuse an id that must not become a file's name.

    Raises:
        ValueError: If it is not 1..64 small letters, digits and inner dashes, or is reserved.
    """
    if not _PLAIN_ID.fullmatch(text) or _RESERVED.fullmatch(text):
        msg = f"an id is 1..64 of 0-9, a-z and inner dashes, got {text!r}"
        raise ValueError(msg)


def check_file_name(name: str) -> None:
    """Refuse a media file's name that could leave its folder or hide its JSON.

    Raises:
        ValueError: If it has a separator, other signs than letters, digits, dot, dash and line,
            is reserved, or is one of the folder's own files.
    """
    reserved = _RESERVED.fullmatch(name) or name.lower() in _OURS
    if not _PLAIN_FILE.fullmatch(name) or reserved:
        msg = f"not a plain file name for a swing's folder: {name!r}"
        raise ValueError(msg)


def recording_name(view: View, source_name: str) -> str:
    """The name of a recording in its swing's folder: the view, and the ending that it came with.

    Example:
        >>> recording_name(View.FACE_ON, "Clip 7.MOV")
        'face-on.mov'
    """
    dot = source_name.rfind(".")
    suffix = source_name[dot:].lower() if dot > 0 else ""
    return f"{view.value}{suffix if _PLAIN_SUFFIX.fullmatch(suffix) else ''}"
