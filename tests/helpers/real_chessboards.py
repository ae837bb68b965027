"""Corners of published pictures of a chessboard, as facts, and the pictures themselves.

Thirteen pairs of a 9 x 6 board with squares of 30 mm (25 mm in the published one-camera result),
640 x 480, carried by the Debian package `opencv-doc` 4.6.0. The corners stand in a table beside the
tests: of all pictures as this project finds them, and of the left ones once more with a window of
11 px, with which the published one-camera result was made. Only the benchmark fetches the pictures.
"""

from __future__ import annotations

import csv
import functools
import hashlib
import shutil
import subprocess
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import platformdirs

from calibration.boards import Board, BoardKind
from calibration.chaining import board_ways
from calibration.corners import Corners
from calibration.lens import Lens, LensModel, Setting, View, calibrate_lens
from calibration.projection import FloatArray
from calibration.scene import BoardSeen, Evidence, Held, Scene, Solved, settle, spread

TABLE = Path(__file__).parents[1] / "external" / "chessboard_corners.csv"
ASK, FILE = "opencv-doc=4.6.0+dfsg-12", "opencv-doc_4.6.0+dfsg-12_all.deb"
SHA256 = "4b12681df35878207ac7097dc66184b2ae552e4bf4ddd2af04a0f03ed0b8682a"
INSIDE = "usr/share/doc/opencv-doc/examples/data"
BY_SIZE, WIDE = "by size", "11"
SIZE_PX = (640, 480)
STEREO_BOARD = Board(kind=BoardKind.CHESS, columns=10, rows=7, square_mm=30.0)
_WEAK = 1e4
# The same pictures found the lenses: their errors, made a hundred times wider, hold nothing here.


class CannotFetchError(RuntimeError):
    """The package is not in the cache and can't be fetched here."""


@functools.cache
def corner_facts(camera: str, window: str = BY_SIZE) -> dict[str, FloatArray]:
    """Corners (54, 2) of each picture of one camera, by the picture's number."""
    found: dict[str, list[tuple[float, float]]] = {}
    with TABLE.open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            if (row["camera"], row["window"]) == (camera, window):
                found.setdefault(row["picture"], []).append(
                    (float(row["x_px"]), float(row["y_px"]))
                )
    return {picture: np.array(corners) for picture, corners in found.items()}


def views(camera: str, window: str = BY_SIZE, board: Board = STEREO_BOARD) -> list[View]:
    """Every picture of one camera."""
    return [
        View(
            name=f"{camera}{picture}",
            corners=Corners(
                board=board, size_px=SIZE_PX, ids=np.arange(54), pixels=pixels, square_px=25.0,
                window_px=7,
            ),
        )
        for picture, pixels in corner_facts(camera, window).items()
    ]  # fmt: skip


@functools.cache
def lens(camera: str) -> Lens:
    """A camera's lens with the model of the published two-camera result."""
    setting = Setting(camera=camera, size_px=SIZE_PX)
    return calibrate_lens(views(camera), setting, models=[LensModel.SIDEWAYS]).lens


@functools.cache
def two_cameras() -> Solved:
    """Both cameras and all boards adjusted together, in the first board's axes."""
    lenses = [lens("left"), lens("right")]
    lenses = [replace(one, covariance=_WEAK * one.covariance) for one in lenses]
    sights = [views("left"), views("right")]
    first, boards = _rough(sights)
    spreads = tuple(spread(one) for one in lenses)
    scene = Scene(
        turns=np.array([pose[:3, :3] for pose in first]),
        lens_m=np.array([-pose[:3, :3].T @ pose[:3, 3] for pose in first]),
        lenses=tuple(lenses),
        spreads=spreads,
        shares=tuple(np.zeros(one.shape[1]) for one in spreads),
        board_turns=np.array([pose[:3, :3] for pose in boards]),
        board_m=np.array([pose[:3, 3] for pose in boards]),
        points_m=np.zeros((0, 3)),
    )
    seen = tuple(
        BoardSeen(camera=camera, board=number, local_m=view.corners.on_board_m,
                  pixels=view.corners.pixels)
        for camera in (0, 1) for number, view in enumerate(sights[camera])
    )  # fmt: skip
    return settle(scene, Evidence(boards=seen, held=_first_board_held()))


def _rough(sights: list[list[View]]) -> tuple[list[FloatArray], list[FloatArray]]:
    """`camera_from_world` of both, and `world_from_board`; the first board is the world."""
    left = [board_ways(lens("left"), view.corners)[0] for view in sights[0]]
    right = board_ways(lens("right"), sights[1][0].corners)[0]
    return [left[0], right], [np.linalg.inv(left[0]) @ pose for pose in left]


def _first_board_held() -> tuple[Held, ...]:
    """The first board is where the world is: six numbers, and none more."""
    x, y, z = np.eye(3)
    outline = STEREO_BOARD.outline_m
    return (
        Held(axis=z, value_m=0.0, u_m=1e-6, board=0, local_m=outline[:3]),
        Held(axis=y, value_m=0.0, u_m=1e-6, board=0, local_m=outline[:2]),
        Held(axis=x, value_m=0.0, u_m=1e-6, board=0, local_m=outline[:1]),
    )


def right_from_left(solved: Solved) -> tuple[FloatArray, FloatArray]:
    """Turn (3, 3) and shift in metres from the left camera's axes to the right one's."""
    scene = solved.scene
    turn = scene.turns[1] @ scene.turns[0].T
    return turn, scene.turns[1] @ (scene.lens_m[0] - scene.lens_m[1])


def pictures_folder() -> Path:
    """The folder of the published pictures, fetched once.

    Raises:
        CannotFetchError: If the package can't be had, or isn't the published one.
    """
    folder = platformdirs.user_cache_path("capturestation-tests") / "chessboards"
    if (folder / INSIDE).is_dir():
        return folder / INSIDE
    if shutil.which("apt-get") is None or shutil.which("dpkg-deb") is None:
        msg = f"{ASK} is a Debian package, and this is no Debian"
        raise CannotFetchError(msg)
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent) as partial:
        try:
            subprocess.run(["apt-get", "download", ASK], cwd=partial, check=True,
                           capture_output=True, timeout=300)  # fmt: skip
            package = Path(partial, FILE)
            if hashlib.sha256(package.read_bytes()).hexdigest() != SHA256:
                msg = f"{FILE} is not the published file"
                raise CannotFetchError(msg)
            subprocess.run(["dpkg-deb", "-x", FILE, "out"], cwd=partial, check=True, timeout=120)
        except (subprocess.SubprocessError, OSError) as error:
            msg = f"{ASK} could not be fetched: {error}"
            raise CannotFetchError(msg) from error
        Path(partial, "out").replace(folder)
    return folder / INSIDE
