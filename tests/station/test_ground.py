"""Lines on the mat lie where they lie in the bay, seen by cameras whose truth is known."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from capturestation.drawing.ground_lines import Ground
from capturestation.records import FloatArray, Point, Spot, View
from capturestation.station.ground import ball_m, grounds
from sample_sessions.cameras import Camera as BayCamera
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed

CAMERAS = {view: calibrated(camera) for view, camera in BY_VIEW.items()}
BALL = (0.03, -0.02, 0.0214)
GRIP = (0.0, 0.55, 0.85)
FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE


def pixels(camera: BayCamera, points: tuple[Point, ...]) -> FloatArray:
    size = (camera.lens.width_px, camera.lens.height_px)
    return np.array([(p.x, p.y) for p in points]) * size - 0.5


def on_mat(camera: BayCamera, points: tuple[Point, ...]) -> FloatArray:
    """Where the rays of a picture's places meet the mat, by the renderer's own rays."""
    ways = camera.rays(pixels(camera, points))
    lens = np.asarray(camera.at_m)
    met: FloatArray = lens + ways * (-lens[2] / ways[:, 2])[:, None]
    return met


@pytest.mark.parametrize("view", BY_VIEW)
def test_the_target_line_goes_through_the_ball_along_x(view: View) -> None:
    known = filmed("a", CAMERAS, {Spot.BALL: BALL})

    [line] = grounds(known)[view].lines[Ground.TARGET_LINE]

    there = on_mat(BY_VIEW[view], line.points)
    assert there[:, 1] == pytest.approx(np.full(len(there), BALL[1]), abs=2e-3)
    assert np.all(np.diff(there[:, 0]) > 0)
    assert line.word == "target line"


@pytest.mark.parametrize("view", BY_VIEW)
def test_the_grid_s_lines_are_half_a_metre_apart_from_the_mat_mark(view: View) -> None:
    lines = grounds(filmed("a", CAMERAS))[view].lines[Ground.GRID]

    places = np.vstack([on_mat(BY_VIEW[view], line.points) for line in lines])
    off = np.abs(places[:, :2] / 0.5 - np.rint(places[:, :2] / 0.5)).min(axis=1)
    assert off.max() < 5e-3
    assert np.abs(places[:, :2]).max() < 1.51


def test_the_ball_is_where_both_views_say() -> None:
    known = filmed("a", CAMERAS, {Spot.BALL: BALL})

    assert ball_m(known) == pytest.approx(np.array(BALL), abs=1e-3)
    assert ball_m(filmed("a", CAMERAS)) is None


@pytest.mark.parametrize(
    ("open_deg", "side", "said"),
    [
        (6.0, 1, "toes 6\N{DEGREE SIGN} open"),
        (-5.0, 1, "toes 5\N{DEGREE SIGN} closed"),
        (0.2, 1, "toes square"),
        (6.0, -1, "toes 6\N{DEGREE SIGN} open"),
    ],
)
def test_the_toes_line_says_how_it_points_for_either_hand(
    open_deg: float, side: int, said: str
) -> None:
    half = 0.2 * math.tan(math.radians(open_deg))
    toes = {
        Spot.LEAD_FOOT: (0.2, side * (0.5 + half), 0.0),
        Spot.TRAIL_FOOT: (-0.2, side * (0.5 - half), 0.0),
    }
    cameras = {v: calibrated(c if side > 0 else c.mirrored()) for v, c in BY_VIEW.items()}

    seen = grounds(filmed("a", cameras, toes, side=side))[BEHIND]

    words = seen.lines[Ground.TOES][-1].word
    assert words.startswith(said)
    assert re.search(r"\N{PLUS-MINUS SIGN} \d+\N{DEGREE SIGN}$", words)


def test_the_club_s_plane_holds_ball_and_grip_and_says_its_angle() -> None:
    known = filmed("a", CAMERAS, {Spot.BALL: BALL, Spot.GRIP: GRIP})

    seen = grounds(known)

    area, shaft = seen[BEHIND].lines[Ground.PLANE]
    true_deg = math.degrees(math.atan2(GRIP[2] - BALL[2], GRIP[1] - BALL[1]))
    assert f"plane {true_deg:.0f}\N{DEGREE SIGN}" in area.word
    assert area.is_area
    truth = BY_VIEW[BEHIND].project(np.array([BALL, GRIP]))
    drawn = pixels(BY_VIEW[BEHIND], (shaft.points[0], shaft.points[-1]))
    assert drawn == pytest.approx(truth, abs=0.5)


def test_down_the_line_alone_the_grip_is_taken_to_be_above_the_ball() -> None:
    cameras = {BEHIND: CAMERAS[BEHIND]}
    known = filmed("a", cameras, {Spot.BALL: BALL, Spot.GRIP: (BALL[0], 0.55, 0.85)})

    [area, _shaft] = grounds(known)[BEHIND].lines[Ground.PLANE]

    assert "plane 55\N{DEGREE SIGN}" in area.word


@pytest.mark.parametrize(
    ("spots", "ground", "why"),
    [
        ({}, Ground.PLANE, "Point out the ball."),
        ({Spot.BALL: BALL}, Ground.PLANE, "Point out the grip down the line, at set."),
        ({Spot.BALL: BALL, Spot.GRIP: BALL}, Ground.PLANE, "point out each"),
        ({Spot.LEAD_FOOT: (0.2, 0.5, 0.0)}, Ground.TOES, "the toes of both feet"),
        (
            {Spot.LEAD_FOOT: (0.2, 0.5, 0.0), Spot.TRAIL_FOOT: (0.2, 0.5, 0.0)},
            Ground.TOES,
            "point out each foot",
        ),
    ],
)
def test_what_can_t_be_known_is_not_drawn_and_says_what_would_help(
    spots: dict[Spot, tuple[float, float, float]], ground: Ground, why: str
) -> None:
    seen = grounds(filmed("a", CAMERAS, spots))[BEHIND]

    assert ground not in seen.lines
    assert why in seen.why[ground]
