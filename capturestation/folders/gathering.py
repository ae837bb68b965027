"""Files that come into a folder together, or not at all.

Owns the hidden place where they are made, and that a failure leaves the disk as it was: no half
set, no folder that was made for it. Errors name the folder that was asked for, which people know.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from capturestation.errors import OutputError
from capturestation.folders.files import explained_writing, make_folder

_HIDDEN = ".making-"


@contextmanager
def gathered(folder: Path) -> Iterator[Path]:
    """A place to make files in; at the block's end they come into the folder by one rename each.

    Args:
        folder: Where they are to be; made if it isn't there. What has their names is replaced.

    Yields:
        The place; all that lies in it at the end comes along.

    Raises:
        OutputError: If something can't be written. Whatever ends the block early, nothing of it is
            left, nor the folder if it was made here.
    """
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    place: Path | None = None
    try:
        make_folder(folder)
        with explained_writing(folder):
            place = Path(tempfile.mkdtemp(prefix=_HIDDEN, dir=folder))
        yield place
        with explained_writing(folder):
            for path in sorted(place.iterdir()):
                path.replace(folder / path.name)
            place.rmdir()
    except BaseException as error:
        if place is not None:
            shutil.rmtree(place, ignore_errors=True)
        for one in missing:
            # The innermost first; what somebody else put something into stays.
            with suppress(OSError):
                one.rmdir()
        if isinstance(error, OutputError) and place is not None:
            raise _of_folder(error, place, folder) from error
        raise


def _of_folder(error: OutputError, place: Path, folder: Path) -> OutputError:
    hidden, known = str(place), str(folder)
    return OutputError(
        error.what.replace(hidden, known),
        try_next=error.try_next,
        subject=error.subject.replace(hidden, known),
    )
