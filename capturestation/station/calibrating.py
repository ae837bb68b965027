"""Keep a camera's calibration, checked before it is believed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from stat import S_ISREG

from calibration.camera import read_camera
from calibration.errors import CalibrationError
from capturestation.errors import BadInputError, NotReadableError
from capturestation.library import Library
from capturestation.records import CalibrationRow, new_id

LARGEST_BYTES = 1 << 20
"""A camera's document has some hundred bytes."""


def keep(library: Library, file: Path, valid_from: datetime | None = None) -> CalibrationRow:
    """Keep the calibration in a file; the earlier ones stay for earlier swings.

    Raises:
        NotReadableError: As `read` does; nothing was kept.
        BadInputError: Likewise.
    """
    return library.add_calibration(read(file, valid_from))


def withdraw(library: Library, which: str, *, again: bool = False) -> CalibrationRow:
    """Use a calibration for no swing any more, or use it again.

    Args:
        library: Where it is kept.
        which: Its id, or a camera's name for the newest one of it that this changes.
        again: Use it again.

    Raises:
        NotFoundError: If there is no such calibration.
        OutputError: If it can't be written; the old stands.
    """
    of_camera = [row for row in library.calibrations(which) if (row.withdrawn_at is None) != again]
    key = of_camera[0].id if of_camera else which
    return library.withdraw_calibration(key, None if again else datetime.now().astimezone())


def read(file: Path, valid_from: datetime | None = None) -> CalibrationRow:
    """Read a calibration, checked before a library is opened or begun for it.

    Args:
        file: What the calibration wrote.
        valid_from: Since when it holds; else from now on.

    Raises:
        NotReadableError: If the file can't be read.
        BadInputError: If it holds no usable camera.
    """
    try:
        document = _text_of(file)
    except OSError as error:
        raise NotReadableError(
            f"{file} can't be read: {error.strerror or error}.",
            try_next="Check the name and choose the file that the calibration wrote.",
            subject=str(file),
        ) from error
    except UnicodeDecodeError as error:
        raise NotReadableError(
            f"{file} is not a calibration: it holds no text.",
            try_next="Choose the file that the calibration wrote.",
            subject=str(file),
        ) from error
    try:
        camera = read_camera(document)
    except RecursionError as error:
        raise BadInputError(
            f"{file} is not a calibration: it is nested too deep.",
            try_next="Choose the file that the calibration wrote.",
            subject=str(file),
        ) from error
    except CalibrationError as error:
        raise BadInputError(
            f"{file}: {error.what}", try_next=error.try_next, subject=str(file)
        ) from error
    return CalibrationRow(
        id=new_id(),
        camera=camera.name,
        valid_from=valid_from or datetime.now().astimezone(),
        document=document,
    )


def _text_of(file: Path) -> str:
    state = file.stat()
    # A pipe would be waited for, and so would the end of a file that has none.
    if not S_ISREG(state.st_mode) or state.st_size > LARGEST_BYTES:
        raise NotReadableError(
            f"{file} is not a calibration: it is no file of at most {LARGEST_BYTES >> 20} MiB.",
            try_next="Choose the file that the calibration wrote.",
            subject=str(file),
        )
    return file.read_text(encoding="utf-8")
