"""What was measured of lenses and of the bay, kept in the library and found again.

Owns the way from a result to rows and back: each camera's row holds the whole bay's document, so
that errors which cameras share are not lost. Nothing that is kept is ever changed; what was wrong
is withdrawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from calibration.documents import bay_document, lens_document, read_lens
from calibration.errors import CalibrationError
from calibration.lens import Lens, Setting, check_setting
from calibration.standing import BayCalibration
from capturestation.errors import LibraryError, NotFoundError
from capturestation.library import Library
from capturestation.records import CalibrationKind, CalibrationRow, View, new_id
from capturestation.station.bay.aims import Aim
from capturestation.station.undo import Step


def known_lens(library: Library, setting: Setting, when: datetime) -> Lens | None:
    """The lens that was measured last for a camera, if it was set as it is now."""
    row = library.lens_at(setting.camera, when)
    if row is None:
        return None
    try:
        lens = read_lens(row.document)
        check_setting(lens, setting)
    except CalibrationError:
        return None
    return lens


def known_lenses(library: Library, aims: Iterable[Aim], when: datetime) -> dict[View, Lens]:
    """Those of a bay's cameras."""
    found = {aim.view: known_lens(library, aim.setting, when) for aim in aims}
    return {view: lens for view, lens in found.items() if lens is not None}


def lenses_of(library: Library, cameras: Iterable[str], when: datetime) -> dict[str, Lens]:
    """The lenses that were measured last for cameras, by their names.

    Raises:
        NotFoundError: If one was never measured.
        LibraryError: If one can't be read.
    """
    found = {}
    for camera in cameras:
        row = library.lens_at(camera, when)
        if row is None:
            raise NotFoundError(
                f"The lens of {camera} was not measured yet.",
                try_next=f'Measure it first: calibrations lens "{camera}" PICTURES.',
                subject=camera,
            )
        try:
            found[camera] = read_lens(row.document)
        except CalibrationError as error:
            raise LibraryError(error.what, try_next=error.try_next, subject=row.id) from error
    return found


def lens_row(lens: Lens, since: datetime) -> CalibrationRow:
    """A lens as the library keeps it."""
    return CalibrationRow(
        id=new_id(),
        camera=lens.setting.camera,
        valid_from=since,
        document=lens_document(lens),
        kind=CalibrationKind.LENS,
    )


def bay_rows(
    bay: BayCalibration,
    since: datetime,
    references: Mapping[str, str],
    *,
    angles_only: bool = False,
) -> tuple[CalibrationRow, ...]:
    """A bay as the library keeps it, a row for each camera.

    Args:
        bay: Where its cameras stand.
        since: From when on it holds.
        references: The empty bay as each camera sees it, JPEG in base64, by the camera's name.
        angles_only: As outdoors, where nothing stays by which a moved camera could be told.
    """
    together, document = new_id(), bay_document(bay)
    full = bay.metres_good and not angles_only
    return tuple(
        CalibrationRow(
            id=new_id(),
            camera=camera.name,
            valid_from=since,
            document=document,
            bay=together,
            kind=CalibrationKind.FULL if full else CalibrationKind.ANGLES,
            u_place_mm=bay.error(camera.name).mm,
            u_turn_deg=bay.error(camera.name).deg,
            reference=references.get(camera.name, ""),
        )
        for camera in bay.cameras
    )


def keep(library: Library, rows: Iterable[CalibrationRow]) -> tuple[CalibrationRow, ...]:
    """Keep all rows, or none.

    Raises:
        OutputError: If one can't be written; none is used then.
    """
    added: list[CalibrationRow] = []
    try:
        added.extend(library.add_calibration(row) for row in rows)
    except BaseException:
        for row in added:
            library.withdraw_calibration(row.id, datetime.now().astimezone())
        raise
    return tuple(added)


def keeping(library: Library, rows: tuple[CalibrationRow, ...], words: str) -> Step:
    """Keeping rows as a step: taken back, they are used for no swing."""

    def do() -> None:
        try:
            for row in rows:
                library.withdraw_calibration(row.id, None)
        except NotFoundError:
            keep(library, rows)

    def undo() -> None:
        for row in rows:
            library.withdraw_calibration(row.id, datetime.now().astimezone())

    return Step(words=words, do=do, undo=undo)
