"""Whether a camera was moved since the bay was measured, by the picture that was kept then.

Owns comparing what a camera sees now, or saw when a ball was struck, with the empty bay as it was.
A swing whose camera was moved carries that with it: the calibration doesn't count for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import cv2
import numpy as np

from calibration.bump import Bump, BumpVerdict, compare
from calibration.errors import CalibrationError
from capturestation.errors import NotFoundError, StationError
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import CalibrationKind, CalibrationRow, FrameArray, Recording, View
from capturestation.station.references import grey_of_reference
from capturestation.station.standpoints import camera_in

_SHAPE_SHARE = 0.02
# Of width per height: another shape is another setting of the camera, told elsewhere.
_DEG = "\N{DEGREE SIGN}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """Whether a camera stands as it was measured.

    Args:
        camera: Its name.
        verdict: still, moved or unsure.
        turn_deg: How far it was turned; None where it can't be told.
        u_turn_deg: Standard error of that.
        shift_px: How far the background moved.
        said: In words.
    """

    camera: str
    verdict: str
    turn_deg: float | None
    u_turn_deg: float | None
    shift_px: float | None
    said: str

    @property
    def is_moved(self) -> bool:
        """Whether it was moved."""
        return self.verdict == BumpVerdict.MOVED


def check(library: Library, camera: str, grey: FrameArray, when: datetime) -> Checked:
    """Say whether a camera was moved since it was measured.

    Raises:
        NotFoundError: If no calibration with a picture of the empty bay holds.
    """
    row = held_with_picture(library, camera, when)
    if row is None:
        raise NotFoundError(
            f"No picture of the empty bay is kept for {camera}.",
            try_next="Measure the bay with one, or compare by eye.",
            subject=camera,
        )
    bump = compared(row, grey)
    if bump is None or bump.verdict is BumpVerdict.UNSURE:
        said = f"Whether {camera} was moved can't be told from this picture."
        return Checked(
            camera=camera,
            verdict=str(BumpVerdict.UNSURE),
            turn_deg=None,
            u_turn_deg=None,
            shift_px=None,
            said=said,
        )
    turned = f"{bump.turn_deg:.2f}{_DEG} \N{PLUS-MINUS SIGN} {bump.u_deg:.2f}{_DEG}"
    stands = bump.verdict is BumpVerdict.STILL
    what = "stands as it was measured" if stands else "was moved since it was measured"
    return Checked(
        camera=camera,
        verdict=str(bump.verdict),
        turn_deg=bump.turn_deg,
        u_turn_deg=bump.u_deg,
        shift_px=bump.shift_px,
        said=f"{camera} {what}: turned by {turned}, {bump.shift_px:.1f} px.",
    )


def held_with_picture(library: Library, camera: str, when: datetime) -> CalibrationRow | None:
    """The calibration that holds for a camera, if a moved one can be told by its picture."""
    row = library.calibration_at(camera, when) if camera else None
    if row is None or not row.reference or row.kind is not CalibrationKind.FULL:
        return None
    return row


def compared(row: CalibrationRow, grey: FrameArray) -> Bump | None:
    """How a camera stands against its picture of then; None where they can't be compared.

    Args:
        row: With that picture.
        grey: What it sees now, upright, of any size.
    """
    then = grey_of_reference(row.reference)
    high, wide = then.shape
    if abs(grey.shape[1] / grey.shape[0] - wide / high) > _SHAPE_SHARE * wide / high:
        return None
    now = np.asarray(cv2.resize(grey, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)
    try:
        camera = camera_in(row)
        return compare(then, now, focal_px=camera.focal_px[0] * wide / camera.size_px[0])
    except CalibrationError:
        return None


def moved_views(
    library: Library, recordings: Iterable[Recording], files: Mapping[View, Path], when: datetime
) -> tuple[View, ...]:
    """The views of a swing whose camera no longer stood as its calibration says.

    What can't be read, or can't be told, is taken to stand: nothing is known against it.

    Args:
        library: Its calibrations.
        recordings: The swing's.
        files: Their files.
        when: When it was struck.
    """
    found = []
    for recording in recordings:
        row = held_with_picture(library, recording.camera, when)
        if row is None:
            continue
        try:
            with FrameReader(files[recording.view], cache_mb=0) as reader:
                grey = reader.frame_grey(0)
        except StationError:
            continue
        bump = compared(row, grey)
        if bump is not None and bump.verdict is BumpVerdict.MOVED:
            found.append(recording.view)
    return tuple(found)
