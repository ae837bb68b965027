"""From boards in front of a camera, by commands, to an earlier swing laid over today's.

The camera is moved between two lessons; the bay is measured again. Pictures are rendered by a
camera whose truth is known, commands run as processes of their own.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import cv2
import numpy as np

from calibration.boards import BAY_BOARD, LENS_BOARD, Board
from calibration.camera import Camera, project_points
from calibration.forecast import standing_pose
from calibration.poses import looking_at, pose_rows
from calibration.projection import FloatArray
from capturestation.library import Library
from capturestation.records import Spot, SpotMark, Swing, View
from capturestation.station.redrawing import redrawn
from capturestation.station.standpoints import standpoints
from tests.helpers.calibrated import share
from tests.helpers.filmed_boards import film
from tests.helpers.made_swings import made_swing
from tests.helpers.seen_boards import held_poses, seen
from tests.helpers.station_library import grown_up

NAME, SIZE_PX, VIEW = "bay camera", (640, 360), View.FACE_ON
BALL_M = (0.05, 0.0, 0.0214)
PLACES = (
    (0.0, 0.0, 0.0),
    (-0.4, 0.1, -20.0),
    (0.4, 0.2, 15.0),
    (0.1, 0.6, -25.0),
    (-0.3, 0.6, 20.0),
)
DAYS = ("2026-09-01", "2026-10-01")


def camera_at(at_m: tuple[float, float, float], aim_m: tuple[float, float, float]) -> Camera:
    where = np.array(at_m)
    return Camera(
        name=NAME,
        size_px=SIZE_PX,
        focal_px=(560.0, 560.0),
        centre_px=(321.0, 178.5),
        distortion=(-0.06, 0.02, 0.0, 0.0, 0.0),
        world_from_camera=pose_rows(looking_at(where, np.array(aim_m)), where),
    )


CAMERAS = (
    camera_at((-0.06, -3.6, 1.10), (-0.06, 0.6, 0.95)),
    camera_at((0.02, -3.5, 1.06), (0.12, 0.6, 0.98)),
)
"""On two days: moved by a hand's breadth, and turned by three degrees."""


def command(library: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "capturestation", "calibrations", *words, "--library", str(library)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def take(folder: Path, name: str, camera: Camera, board: Board, pose: FloatArray) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(sum(name.encode()))
    cv2.imwrite(str(folder / f"{name}.png"), film(camera, [(board, pose)], rng))


def film_lens(folder: Path) -> list[str]:
    """The board for the lens, held before the camera."""
    camera, rng = CAMERAS[0], np.random.default_rng(4)
    standing = np.asarray(camera.world_from_camera)
    taken = 0
    for held in held_poses(LENS_BOARD, 60, rng):
        if taken < 10 and seen(camera, LENS_BOARD, standing @ held, rng) is not None:
            taken += 1
            take(folder, f"{taken:02}", camera, LENS_BOARD, standing @ held)
    return sorted(str(file) for file in folder.iterdir())


def film_bay(folder: Path, camera: Camera) -> Path:
    """The large board at five places of the mat."""
    for number, (x, y, heading) in enumerate(PLACES):
        pose = standing_pose(BAY_BOARD, np.array([x, y, 0.0]), heading, 8.0)
        take(folder, f"place {number + 1}", camera, BAY_BOARD, pose)
    return folder


def struck(library: Library, camera: Camera, name: str, day: str) -> Swing:
    """A swing of that day, its ball pointed out."""
    made = made_swing(name, views=(VIEW,))
    recording = replace(
        made.facts.recordings[0], camera=NAME, width_px=SIZE_PX[0], height_px=SIZE_PX[1]
    )
    [student] = library.students() or (grown_up(library),)
    spot = SpotMark(view=VIEW, spot=Spot.BALL, at=share(camera, BALL_M))
    when = datetime.fromisoformat(f"{day}T12:00:00+00:00")
    return Swing(
        facts=replace(made.facts, recordings=(recording,), struck_at=when),
        book=replace(made.book, student_id=student.id, spots=(spot,)),
    )


def test_a_bay_measured_by_command_lays_an_earlier_swing_over_today_s(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    told = command(folder, "lens", NAME, *film_lens(tmp_path / "lens"), "--valid-from", DAYS[0])
    for camera, day in zip(CAMERAS, DAYS, strict=True):
        pictures = film_bay(tmp_path / day, camera)
        told += command(folder, "bay", "--camera", NAME, str(pictures), "--valid-from", day)
    listed = command(folder, "list", NAME)
    with Library.open(folder) as library:
        then = standpoints(library, struck(library, CAMERAS[0], "then", "2026-09-15"))
        now = standpoints(library, struck(library, CAMERAS[1], "now", "2026-10-15"))

    placing = redrawn(now, then, VIEW)

    assert "m from the mat mark" in told
    assert listed.count(" full ") == 2
    assert placing is not None
    assert "by ball and target line" in placing.said
    body = np.array([[x, BALL_M[1] + 0.75, z] for x in (-0.2, 0.2) for z in (0.2, 0.9, 1.6)])
    before, after = (project_points(camera, body) for camera in CAMERAS)
    redrawn_px = np.linalg.norm(placing.to_now(before) - after, axis=1)
    as_filmed_px = np.linalg.norm(before - after, axis=1)
    assert redrawn_px.max() < 3.0
    assert redrawn_px.max() < 0.2 * as_filmed_px.min()
