"""Keep a camera's calibration, checked before it is believed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from calibration.camera import read_camera
from calibration.errors import CalibrationError
from capturestation.errors import BadInputError, NotReadableError
from capturestation.library import Library
from capturestation.records import CalibrationRow, new_id


def keep(library: Library, file: Path, valid_from: datetime | None = None) -> CalibrationRow:
    """Keep the calibration in a file; the earlier ones stay for earlier swings.

    Raises:
        NotReadableError: If the file can't be read.
        BadInputError: If it holds no usable camera; nothing was kept.
    """
    try:
        document = file.read_text(encoding="utf-8")
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
    except CalibrationError as error:
        raise BadInputError(
            f"{file}: {error.what}", try_next=error.try_next, subject=str(file)
        ) from error
    row = CalibrationRow(
        id=new_id(),
        camera=camera.name,
        valid_from=valid_from or datetime.now().astimezone(),
        document=document,
    )
    return library.add_calibration(row)
