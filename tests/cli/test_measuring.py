"""Boards, lens, bay, sticks and check by command, with pictures that invented cameras take."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from calibration.boards import BAY_BOARD, LENS_BOARD
from calibration.camera import Camera, project_points
from calibration.forecast import standing_pose
from capturestation.library import Library
from capturestation.records import CalibrationKind, FrameArray, Plain
from capturestation.station.from_pictures import read_grey
from capturestation.station.measured import lens_row
from tests.cli.conftest import Outcome, Typed
from tests.helpers.calibrated import BY_VIEW, WELL_BEFORE, calibrated
from tests.helpers.filmed_boards import film
from tests.helpers.made_bays import found_lens
from tests.helpers.seen_boards import held_poses, seen
from tests.helpers.station_library import Filled
from tests.helpers.walls import turned, wall

CAMERAS = {view: calibrated(camera) for view, camera in BY_VIEW.items()}
FACE, BEHIND = CAMERAS.values()
SMALL = Camera(
    name="small",
    size_px=(640, 360),
    focal_px=(500.0, 500.0),
    centre_px=(321.0, 178.0),
    world_from_camera=((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)),
)
"""To film the board for the lens quickly."""
PLACES = (
    (0.0, 0.0, 0.0),
    (-0.3, 0.1, -45.0),
    (0.3, 0.2, -35.0),
    (0.1, 0.5, -55.0),
    (-0.4, 0.5, -50.0),
)


def saved(folder: Path, name: str, grey: FrameArray) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{name}.png"
    cv2.imwrite(str(file), grey)
    return file


def told(done: Outcome, *way: str | int) -> Plain:
    """What a command said in JSON, at a place in it."""
    value = done.value
    for step in way:
        if isinstance(value, dict):
            value = value[str(step)]
        else:
            assert isinstance(value, list)
            value = value[int(step)]
    return value


def number(done: Outcome, *way: str | int) -> float:
    """A number there."""
    value = told(done, *way)
    assert isinstance(value, int | float)
    return float(value)


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Of both boards and of the empty bay, a folder for each camera."""
    root, rng = tmp_path_factory.mktemp("pictures"), np.random.default_rng(4)
    taken = 0
    for held in held_poses(LENS_BOARD, 40, rng):
        if taken < 7 and seen(SMALL, LENS_BOARD, held, rng) is not None:
            taken += 1
            saved(root / "lens", f"{taken:02}", film(SMALL, [(LENS_BOARD, held)], rng))
    for camera in (FACE, BEHIND):
        for number, (x, y, heading) in enumerate(PLACES):
            stood = standing_pose(BAY_BOARD, np.array([x, y, 0.0]), heading, 8.0)
            grey = film(camera, [(BAY_BOARD, stood)], rng)
            saved(root / "bay" / camera.name, f"place {number + 1}", grey)
        saved(root / "empty", camera.name, wall(seed=7))
    return root


def know_lenses(folder: Path) -> None:
    """As if they had been measured before."""
    rng = np.random.default_rng(1)
    with Library.open(folder) as library:
        for camera in (FACE, BEHIND):
            library.add_calibration(lens_row(found_lens(camera, rng), WELL_BEFORE))


def test_a_lens_is_measured_and_kept_with_the_pictures_that_were_of_no_use(
    typed: Typed, pictures: Path, filled: Filled
) -> None:
    files = sorted((pictures / "lens").iterdir())
    empty = pictures / "empty" / f"{FACE.name}.png"

    done = typed("calibrations", "lens", SMALL.name, *files, empty, "--json")

    assert done.code == 0, done.err
    assert (told(done, "format"), told(done, "version")) == ("lens report", 1)
    off_px = abs(number(done, "focal_px", 0) - SMALL.focal_px[0])
    assert off_px < 4 * number(done, "u_focal_px", 0) < 30
    unused = told(done, "unused")
    assert isinstance(unused, list)
    assert {"file": empty.name, "why": "not there"} in unused
    with Library.open(filled.folder) as library:
        [row] = library.calibrations(SMALL.name)
    assert row.kind is CalibrationKind.LENS


@pytest.mark.usefixtures("qapp")
def test_boards_are_written_as_pages(typed: Typed, tmp_path: Path) -> None:
    out = tmp_path / "our boards.pdf"

    done = typed("calibrations", "board", str(out), "--paper", "a4")
    one = typed("calibrations", "board", str(out), "--for", "lens", "--json")

    assert done.code == one.code == 0
    assert "Print at 100 %" in done.out
    assert out.read_bytes().startswith(b"%PDF")
    assert told(one, "pages") == 1


@pytest.mark.usefixtures("qapp")
def test_a_bay_is_measured_kept_and_checked(
    typed: Typed, pictures: Path, tmp_path: Path, filled: Filled
) -> None:
    know_lenses(filled.folder)
    plan = tmp_path / "plan.png"
    words = ["calibrations", "bay", "--picture", str(plan)]
    for camera in (FACE, BEHIND):
        words += ["--camera", camera.name, str(pictures / "bay" / camera.name)]
        words += ["--empty", camera.name, str(pictures / "empty" / f"{camera.name}.png")]
    dry = typed(*words, "--dry-run")
    done = typed(*words, "--json")

    assert "m from the mat mark" in dry.out
    assert "looks across the line" in dry.out
    assert told(done, "cameras", 1, "looks") == "along the line, to the target"
    assert done.code == 0, done.err
    for place, camera in enumerate((FACE, BEHIND)):
        at_m = np.array([number(done, "cameras", place, "lens_m", axis) for axis in range(3)])
        off_mm = 1000 * np.linalg.norm(at_m - camera.lens_m)
        assert off_mm < 4 * number(done, "cameras", place, "u_place_mm") < 200
    assert cv2.imread(str(plan)) is not None
    with Library.open(filled.folder) as library:
        rows = [r for r in library.calibrations() if r.kind is CalibrationKind.FULL]
    assert {row.camera for row in rows} == {FACE.name, BEHIND.name}
    assert len({row.bay for row in rows}) == 1

    still = typed(
        "calibrations", "check", FACE.name, str(pictures / "empty" / f"{FACE.name}.png"), "--json"
    )
    picture = read_grey(pictures / "empty" / f"{FACE.name}.png")
    shifted = saved(tmp_path, "shifted", turned(picture, 14))
    moved = typed("calibrations", "check", FACE.name, str(shifted))

    assert (still.code, told(still, "verdict")) == (0, "still")
    assert moved.code == 7
    assert "was moved" in moved.out


def test_a_print_that_came_out_smaller_is_found_by_a_stick_and_by_no_board(
    typed: Typed, pictures: Path, filled: Filled
) -> None:
    know_lenses(filled.folder)
    laid = np.array([[-0.61, 0.5, 0.004], [0.61, 0.5, 0.004]])
    words = ["calibrations", "bay", "--dry-run", "--square-mm", "56"]
    sticks = []
    for camera in (FACE, BEHIND):
        seen_px = " ".join(f"{x:.2f},{y:.2f}" for x, y in project_points(camera, laid))
        words += ["--camera", camera.name, str(pictures / "bay" / camera.name)]
        sticks += ["--stick", camera.name, seen_px]
    alone = typed(*words)
    checked = typed(*words, *sticks)
    right = typed(*words[:3], *words[5:], *sticks, "--json")

    assert alone.code == 0
    assert checked.code == 3
    assert "Measure a square of the print" in checked.err
    assert number(right, "scale", "ratio") == pytest.approx(1.0, abs=0.01)


def ends(camera: Camera) -> str:
    half = 0.61
    laid = np.array([[-half, 0, 0.005], [half, 0, 0.005], [0, half, 0.005], [0, -half, 0.005]])
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in project_points(camera, laid))


@pytest.mark.usefixtures("qapp")
def test_sticks_place_the_cameras_and_say_that_metres_are_not_good(typed: Typed) -> None:
    words = ["calibrations", "sticks", "--json"]
    for camera in (FACE, BEHIND):
        hfov = 2 * np.degrees(np.arctan(640 / camera.focal_px[0]))
        words += ["--camera", camera.name, ends(camera)]
        words += ["--field-of-view", camera.name, f"{hfov:.1f}", "1280x720"]

    done = typed(*words)

    assert done.code == 0, done.err
    assert told(done, "by") == "sticks"
    assert told(done, "metres_good") is False


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(
    ("words", "code", "why"),
    [
        (("lens", "a", "PICTURES/empty/bay camera.png"), 3, "seen in none of 1 pictures"),
        (("lens", "a", "no such.png"), 3, "can't be read"),
        (("bay", "--camera", "a", "PICTURES/empty"), 4, "lens of a was not measured"),
        (("sticks", "--camera", "a", "1,2 3,4"), 3, "four places in pixels"),
        (
            ("sticks", "--camera", "a", "1,2 3,4 5,6 7,8", "--field-of-view", "a", "60", "wide"),
            3,
            "width x height",
        ),
        (("check", "a", "PICTURES/empty/bay camera.png"), 4, "No picture of the empty bay"),
    ],
)
def test_what_can_t_be_measured_says_why_and_keeps_nothing(
    typed: Typed, pictures: Path, words: tuple[str, ...], code: int, why: str
) -> None:
    done = typed("calibrations", *(word.replace("PICTURES", str(pictures)) for word in words))

    assert done.code == code
    assert why in done.err
    assert "Nothing yet." in typed("calibrations", "list").out
