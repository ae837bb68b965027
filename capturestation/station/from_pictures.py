"""Lenses, the bay and its check from pictures in files: what a person without a window does.

Owns reading the pictures, naming the ones that can't be used, and which of them belong together:
pictures with one name in two cameras' folders show one place of the board.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TypeVar

import cv2
import numpy as np

from calibration.bay import calibrate_bay
from calibration.boards import BAY_BOARD, LENS_BOARD, Board
from calibration.corners import Corners, find_corners
from calibration.errors import CalibrationError
from calibration.hearing import heard_by
from calibration.lens import (
    Lens,
    LensResult,
    Setting,
    View,
    calibrate_lens,
    lens_from_field_of_view,
)
from calibration.places import LineStick, Place, Stance, Surroundings
from calibration.standing import BayCalibration
from calibration.sticks import MarkedSticks, calibrate_sticks
from capturestation.errors import BadInputError, NotReadableError
from capturestation.records import FloatArray, FrameArray, Watch
from capturestation.station.references import reference_of

Found = TypeVar("Found")
PICTURES = (".png", ".jpg", ".jpeg", ".bmp", ".tif", ".tiff")


@dataclass(frozen=True, slots=True, kw_only=True)
class Unused:
    """A picture that gave nothing, and why."""

    file: Path
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LensFound:
    """A lens, and the pictures that were of no use."""

    result: LensResult
    unused: tuple[Unused, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BayFound:
    """Where cameras stand, and the pictures that were of no use."""

    bay: BayCalibration
    unused: tuple[Unused, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LensAsked:
    """What a lens is to be found from.

    Args:
        camera: The camera's name.
        pictures: Of the board.
        zoom: Zoom or lens in use.
        is_upright: Whether the camera stands on its side.
        square_mm: A square's side as measured on the print; None as printed.
    """

    camera: str
    pictures: tuple[Path, ...]
    zoom: str = ""
    is_upright: bool = False
    square_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BayAsked:
    """What a bay is to be found from.

    Args:
        folders: Each camera's pictures of the board.
        line: The name of the pictures whose board stands on the target line; empty for the first.
        heading_deg: Which way that board's foot points, against the clock from the target.
        lying: The names of those whose board lies.
        square_mm: A square's side as measured on the print; None as printed.
        stick_px: The ends of a stick on the mat as both cameras see it, by which the squares' size
            is checked: two cameras alone can't tell it, all would only become smaller or larger.
        stick_m: Its length.
    """

    folders: Mapping[str, Path]
    line: str = ""
    heading_deg: float = 0.0
    lying: tuple[str, ...] = ()
    square_mm: float | None = None
    stick_px: Mapping[str, FloatArray] = field(default_factory=dict)
    stick_m: float = 1.22


def read_grey(file: Path) -> FrameArray:
    """A picture's grey, (H, W) uint8.

    Raises:
        NotReadableError: If it is no picture.
    """
    try:
        packed = np.frombuffer(file.read_bytes(), np.uint8)
    except OSError as error:
        raise NotReadableError(
            f"{file} can't be read: {error.strerror or error}.",
            try_next="Check its name.",
            subject=str(file),
        ) from error
    grey = cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE) if len(packed) else None
    if grey is None:
        raise NotReadableError(
            f"{file} is no picture that can be read.",
            try_next="Save it as PNG or JPEG.",
            subject=str(file),
        )
    return np.asarray(grey, np.uint8)


def find_lens(asked: LensAsked, watch: Watch) -> LensFound:
    """Find a camera's lens.

    Raises:
        NotReadableError: If a picture can't be read.
        BadInputError: If the pictures don't give a lens; it says why.
        CancelledError: If the watch stops it.
    """
    board = _sized(LENS_BOARD, asked.square_mm)
    seen, unused = _search(asked.pictures, board, watch)
    if not seen:
        raise BadInputError(
            f"The board is seen in none of {len(asked.pictures)} pictures.",
            try_next="Film the printed board for the lens, held flat, all of it in the picture.",
        )
    first = next(iter(seen.values()))
    setting = Setting(
        camera=asked.camera,
        size_px=first.size_px,
        zoom=asked.zoom,
        mounting="upright" if asked.is_upright else "level",
    )
    views = [View(name=file.name, corners=corners) for file, corners in seen.items()]
    result = worked_out(lambda: calibrate_lens(views, setting), watch, _SEARCHED)
    return LensFound(result=result, unused=unused)


def find_bay(asked: BayAsked, lenses: Mapping[str, Lens], watch: Watch) -> BayFound:
    """Find where the cameras stand.

    Raises:
        NotReadableError: If a picture can't be read.
        BadInputError: If the pictures don't tell; it says why.
        CancelledError: If the watch stops it.
    """
    board = bay_board(asked.square_mm)
    files = {camera: pictures_in(folder) for camera, folder in asked.folders.items()}
    every = [file for of_camera in files.values() for file in of_camera]
    seen, unused = _search(every, board, watch)
    places: dict[str, dict[str, Corners]] = {}
    for camera, of_camera in files.items():
        for file in of_camera:
            if file in seen:
                places.setdefault(file.stem, {})[camera] = seen[file]
    line = asked.line or min(places, default="")
    if line not in places:
        raise BadInputError(
            f"No picture called {line or 'anything'} shows the board on the target line.",
            try_next="Name the pictures whose board stands with its foot on the line.",
        )
    made = [
        Place(
            name=name,
            stance=Stance.LYING if name in asked.lying else Stance.STANDING,
            sights=sights,
            heading_deg=asked.heading_deg if name == line else None,
        )
        for name, sights in sorted(places.items())
    ]
    stick = LineStick(ends_px=asked.stick_px, length_m=asked.stick_m) if asked.stick_px else None
    around = Surroundings(stick=stick)
    bay = worked_out(lambda: calibrate_bay(made, lenses, around), watch, _SEARCHED)
    return BayFound(bay=bay, unused=unused)


def find_by_sticks(
    ends_px: Mapping[str, FloatArray], lenses: Mapping[str, Lens], length_m: float, watch: Watch
) -> BayCalibration:
    """Find where the cameras stand from two sticks whose ends are marked.

    Raises:
        BadInputError: If they don't tell; it says why.
        CancelledError: If the watch stops it.
    """
    marked = MarkedSticks(ends_px=dict(ends_px), length_m=length_m)
    return worked_out(lambda: calibrate_sticks(marked, lenses), watch)


def lenses_by_view(
    views: Mapping[str, tuple[float, tuple[int, int]]],
) -> dict[str, Lens]:
    """Lenses of which only the field of view is known.

    Args:
        views: By the camera's name, degrees across and the picture's width and height.

    Raises:
        BadInputError: If a field of view is none of a camera of the bay.
    """
    settings = {name: Setting(camera=name, size_px=size) for name, (_, size) in views.items()}
    return {
        name: explained(partial(lens_from_field_of_view, settings[name], hfov_deg))
        for name, (hfov_deg, _) in views.items()
    }


def references_of(files: Mapping[str, Path]) -> dict[str, str]:
    """Pictures of the empty bay as they are kept, by the camera's name.

    Raises:
        NotReadableError: If one is no picture.
    """
    return {name: reference_of(read_grey(file)) for name, file in files.items()}


def pictures_in(folder: Path) -> tuple[Path, ...]:
    """A folder's pictures by name.

    Raises:
        NotReadableError: If there is no such folder, or none in it.
    """
    try:
        found = sorted(file for file in folder.iterdir() if file.suffix.lower() in PICTURES)
    except OSError as error:
        raise NotReadableError(
            f"{folder} can't be read: {error.strerror or error}.",
            try_next="Name a folder with one camera's pictures.",
            subject=str(folder),
        ) from error
    if not found:
        raise NotReadableError(
            f"There is no picture in {folder}.",
            try_next="Save pictures of the board there, one for each place, as PNG or JPEG.",
            subject=str(folder),
        )
    return tuple(found)


def explained(work: Callable[[], Found]) -> Found:
    """What geometry found.

    Raises:
        BadInputError: With what it refused.
    """
    try:
        return work()
    except CalibrationError as error:
        raise BadInputError(error.what, try_next=error.try_next) from error


def worked_out(work: Callable[[], Found], watch: Watch, begin: float = 0.0) -> Found:
    """What geometry found, unless it was stopped meanwhile.

    How many rounds it takes isn't known before: the share only comes nearer to all.

    Args:
        work: What is to be worked out.
        watch: Hears each round and may stop it there.
        begin: The share that was done before.

    Raises:
        BadInputError: With what it refused.
        CancelledError: If the watch stops it; nothing is found then.
    """
    left = 1.0 - begin

    def told() -> None:
        nonlocal left
        watch.report(1.0 - left, "working it out")
        left *= _LEFT_A_ROUND

    told()
    with heard_by(told):
        found = explained(work)
    watch.report(1.0, "working it out")
    return found


_LEFT_A_ROUND = 0.98
# A lens takes some hundred rounds, a bay some dozens.


_SEARCHED = 0.8
# Share of the time that looking for boards takes.


def _search(
    files: Sequence[Path], board: Board, watch: Watch
) -> tuple[dict[Path, Corners], tuple[Unused, ...]]:
    seen: dict[Path, Corners] = {}
    unused: list[Unused] = []
    for number, file in enumerate(files):
        watch.report(_SEARCHED * number / len(files), f"looking for the board in {file.name}")
        grey = read_grey(file)
        sight = explained(partial(find_corners, grey, board))
        if sight.corners is None:
            unused.append(Unused(file=file, why=str(sight.refused)))
        else:
            seen[file] = sight.corners
    return seen, tuple(unused)


def bay_board(square_mm: float | None) -> Board:
    """The large board as it was printed.

    Raises:
        BadInputError: If no board has such squares.
    """
    return _sized(BAY_BOARD, square_mm)


def _sized(board: Board, square_mm: float | None) -> Board:
    if square_mm is None:
        return board
    scale = square_mm / board.square_mm
    marker_mm = board.marker_mm * scale
    return explained(lambda: replace(board, square_mm=square_mm, marker_mm=marker_mm))
