"""Measures of an invented golfer in space against his own truth and against worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from capturestation.records import FloatArray, Hand, Moment, View
from capturestation.swing.body import points_at
from capturestation.swing.figure import BALL, GRIP, HEAD, POINTS, Figure, Pictured, upright
from capturestation.swing.formulas import (
    angle_between,
    bend_change,
    chest_turn,
    chest_turn_about_spine,
    forward_bend,
    lead_arm_to_level,
    off_plane,
    pelvis_turn,
    separation,
    shaft_lean,
    shaft_line_at_ground,
    side_tilt,
    stance,
    trail_foot_roll,
)
from capturestation.swing.measures import MEASURES, full_name
from capturestation.swing.tracks import JOINTS, Joint
from sample_sessions.golfer import Golfer
from sample_sessions.moments import find_moments
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.truth import swing_truth
from tests.helpers.invented_tracks import camera_of, club_projected, projected
from tests.helpers.true_figure import true_figure

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


def stands(**points: tuple[float, float, float]) -> dict[str, FloatArray]:
    """Points by name, with underscores for spaces; all others at the origin."""
    named = {name.replace("_", " "): np.array(at) for name, at in points.items()}
    whole = {str(joint): np.zeros(3) for joint in JOINTS} | {
        name: np.zeros(3) for name in (GRIP, HEAD, BALL)
    }
    return whole | named


@pytest.mark.parametrize("hand", Hand)
def test_turns_of_both_hands_are_what_the_renderer_says(hand: Hand) -> None:
    golfer = Golfer(SwingParameters(hand=hand, departures=Departures(pelvis_late_deg=12.0)))
    truth = swing_truth(golfer)

    for moment in truth.moments:
        if moment.at_ns is None:
            continue
        stamps = np.array([moment.at_ns, moment.at_ns + 1])
        figure, _ = true_figure(golfer, stamps, -1_300_000_000)
        at = figure.at(moment.at_ns)
        assert pelvis_turn(at, at) == pytest.approx(moment.pelvis_turn_deg, abs=1.5), moment
        assert off_plane(at, at) == pytest.approx(moment.off_plane_deg, abs=1.3), moment


def test_separation_of_ninety_and_forty_five_is_forty_five() -> None:
    """Worked example of P. Cheetham's explanation of Cheetham et al. 2001."""
    half = np.sqrt(0.5)
    at = stands(
        lead_shoulder=(0, -1, 1), trail_shoulder=(0, 1, 1), lead_hip=(half, -half, 0),
        trail_hip=(-half, half, 0),
    )  # fmt: skip

    assert chest_turn(at, at) == pytest.approx(90.0)
    assert pelvis_turn(at, at) == pytest.approx(45.0)
    assert separation(at, at) == pytest.approx(45.0)


@pytest.mark.parametrize("turn_deg", [-60.0, -15.0, 0.0, 40.0, 100.0])
def test_turn_is_the_first_angle_about_the_vertical_as_scipy_has_it(turn_deg: float) -> None:
    """Closed is to the right seen from above for a right-hander: negative about z."""
    turned = Rotation.from_euler("z", -turn_deg, degrees=True)
    lead, trail = turned.apply([[0.15, 0.0, 0.9], [-0.15, 0.0, 0.9]])
    at = stands(lead_hip=tuple(lead), trail_hip=tuple(trail))

    assert pelvis_turn(at, at) == pytest.approx(turn_deg)


@pytest.mark.parametrize("seed", range(6))
def test_turn_is_the_first_rotation_that_a_pelvis_frame_is_taken_apart_in(
    seed: int,
) -> None:
    """Frame by the hips' line and the trunk, as the ISB builds it from known points (Wu et al.).

    Taken apart about the vertical, then about the way ahead, then about the hips' own line: the
    line's turn doesn't depend on how the pelvis is tipped, and is scipy's first angle.
    """
    angles_deg = np.random.default_rng(seed).uniform((-100.0, -25.0, -40.0), (100.0, 25.0, 40.0))
    frame = Rotation.from_euler("ZYX", angles_deg, degrees=True)
    lead, trail = frame.apply([[0.15, 0.0, 0.0], [-0.15, 0.0, 0.0]])
    at = stands(lead_hip=tuple(lead), trail_hip=tuple(trail))
    along = (lead - trail) / np.linalg.norm(lead - trail)
    up = frame.apply([0.0, 0.0, 1.0])
    built = Rotation.from_matrix(np.stack([along, np.cross(up, along), up], axis=1))

    assert pelvis_turn(at, at) == pytest.approx(-built.as_euler("ZYX", degrees=True)[0])


def test_forty_five_degrees_about_a_spine_that_leans_is_thirty_eight_on_the_floor() -> None:
    """Worked example: the spine leans 38 degrees to the ball."""
    lean = np.radians(38.0)
    spine = np.array([0.0, -np.sin(lean), np.cos(lean)])
    turned = Rotation.from_rotvec(-np.radians(45.0) * spine)
    lead, trail = turned.apply([[0.2, 0.0, 0.0], [-0.2, 0.0, 0.0]])
    at = stands(lead_shoulder=tuple(lead), trail_shoulder=tuple(trail))

    assert chest_turn(at, at) == pytest.approx(38.0, abs=0.5)


@pytest.mark.parametrize("seed", range(6))
def test_turn_about_a_spine_is_how_far_scipy_turned_about_it(seed: int) -> None:
    """Shoulders square to the spine and to the line, then turned about the spine alone."""
    bend_deg, tilt_deg, turn_deg = np.random.default_rng(seed).uniform(
        (0.0, -25.0, -100.0), (50.0, 25.0, 110.0)
    )
    leant = Rotation.from_euler("YX", [tilt_deg, bend_deg], degrees=True)
    up = leant.apply([0.0, 0.0, 1.0])
    flat = np.array([1.0, 0.0, 0.0]) - up[0] * up
    turned = Rotation.from_rotvec(-np.radians(turn_deg) * up)
    half = turned.apply(0.2 * flat / np.linalg.norm(flat))
    at = stands(
        lead_shoulder=tuple(up + half), trail_shoulder=tuple(up - half),
        lead_hip=(0.1, 0.0, 0.0), trail_hip=(-0.1, 0.0, 0.0),
    )  # fmt: skip

    assert chest_turn_about_spine(at, at) == pytest.approx(turn_deg)


def test_where_the_hands_have_gone_is_said_by_both_of_them() -> None:
    moved = {m.name: m.value for m in MEASURES if m.name.startswith("hands ")}
    one_hides = (np.nan, np.nan, np.nan)
    at_set = stands(
        lead_hand=(0.0, 0.2, 0.5), lead_wrist=(0.0, 0.2, 0.5), trail_hand=(-0.1, 0.2, 0.5),
        trail_wrist=(-0.1, 0.2, 0.5),
    )  # fmt: skip
    at = stands(
        lead_hand=one_hides, lead_wrist=one_hides, trail_hand=(-0.2, 0.3, 1.0),
        trail_wrist=(-0.3, 0.5, 1.2),
    )  # fmt: skip

    told = {name: round(value(at, at_set), 6) for name, value in moved.items()}

    assert told == {"hands to the target": -0.2, "hands to the ball": -0.2, "hands up": 0.6}


def test_where_the_shaft_s_line_meets_the_ground_is_told_unless_it_is_nearly_level() -> None:
    outside = stands(ball=(0, 0, 0), grip=(0, 0.5, 0.8), club_head=(0, -0.4, -0.4))
    level = stands(ball=(0, 0, 0), grip=(0, 0.5, 0.8), club_head=(-0.9, 0.4, 0.7))

    assert shaft_line_at_ground(outside, outside) == pytest.approx(0.1)
    assert np.isnan(shaft_line_at_ground(level, level))


def test_feet_that_were_taken_for_one_another_tell_no_stance() -> None:
    feet = {
        f"{side}_{part}": (0.25 * sign, 0.5, 0.0)
        for side, sign in (("lead", 1), ("trail", -1))
        for part in ("ankle", "heel", "toe")
    }
    at = stands(**feet)
    mixed = stands(**{**feet, "lead_ankle": (-0.2, 0.5, 0.0)})

    assert stance(at, at) == pytest.approx(0.5)
    assert np.isnan(stance(mixed, mixed))


def test_bends_have_their_signs() -> None:
    ball_side, away = -0.5, -0.3
    at_set = stands(lead_shoulder=(0, 0, 1), trail_shoulder=(0, 0, 1))
    at = stands(lead_shoulder=(away, ball_side, 1), trail_shoulder=(away, ball_side, 1))

    assert forward_bend(at, at_set) == pytest.approx(np.degrees(np.arctan(0.5)))
    assert side_tilt(at, at_set) == pytest.approx(np.degrees(np.arctan(0.3)))
    assert bend_change(at, at_set) == pytest.approx(np.degrees(np.arctan(0.5)))


def test_arm_shaft_and_foot_have_their_signs() -> None:
    at = stands(
        lead_wrist=(-1, 0, 1), lead_hand=(-1, 0, 1), grip=(0.2, 0, 1), club_head=(0, 0, 0),
        trail_heel=(0, 0, 0.2), trail_toe=(0.0, -0.2, 0.0),
    )  # fmt: skip

    assert lead_arm_to_level(at, at) == pytest.approx(45.0)
    assert shaft_lean(at, at) == pytest.approx(np.degrees(np.arctan(0.2)))
    assert trail_foot_roll(at, at) == pytest.approx(45.0)


def test_a_level_shaft_along_the_line_is_on_the_plane() -> None:
    at = stands(ball=(0, 0, 0), grip=(0, 0.5, 0.8), club_head=(-0.9, 0.5, 0.8))

    assert off_plane(at, at) == pytest.approx(0.0, abs=1e-9)


def test_a_shaft_that_points_at_the_ball_s_line_is_on_the_plane() -> None:
    at = stands(ball=(0, 0, 0), grip=(-0.3, 0.5, 0.8), club_head=(0.4, -0.0, 0.0))

    assert off_plane(at, at) == pytest.approx(0.0, abs=1e-9)


def test_a_shaft_over_the_plane_is_outside() -> None:
    over = stands(ball=(0, 0, 0), grip=(0, 0.5, 0.5), club_head=(-0.5, 0.5, 1.2))
    under = {**over, HEAD: np.array([-0.5, 1.0, 0.6])}

    assert off_plane(under, under) < 0.0 < off_plane(over, over)


def test_an_angle_leaves_out_what_is_not_known() -> None:
    assert angle_between(np.array([1.0, np.nan, 0.0]), np.array([0.0, 5.0, 1.0])) == 90.0
    assert np.isnan(angle_between(np.full(3, np.nan), np.ones(3)))


def test_a_figure_at_one_time_is_what_its_points_are_on_the_way() -> None:
    random = np.random.default_rng(7)
    stamps = np.cumsum(random.integers(4_000_000, 40_000_000, 60))
    points = random.normal(size=(60, len(POINTS), 3))
    points[random.uniform(size=points.shape) < 0.5] = np.nan
    figure = Figure(times_ns=stamps, points=points)
    asked = [*stamps[::7], *random.integers(stamps[0] - 10**8, stamps[-1] + 10**8, 20)]

    there = [figure.at(int(time_ns)) for time_ns in asked]

    for place, name in enumerate(POINTS):
        for axis in range(3):
            straight = points_at(stamps, points[:, place, axis : axis + 1], np.array(asked))[:, 0]
            ours = [at[name][axis] for at in there]
            assert ours == pytest.approx(straight, nan_ok=True), (name, axis)


@pytest.mark.parametrize("hand", Hand)
def test_two_pictures_square_to_one_another_make_nearly_the_truth(hand: Hand) -> None:
    golfer = Golfer(SwingParameters(hand=hand))
    moments = find_moments(golfer)
    down_s, set_s = moments[Moment.LEAD_ARM_LEVEL_DOWN], moments[Moment.SET]
    assert down_s is not None
    assert set_s is not None
    set_ns, down_ns = round(set_s * 1e9), round(down_s * 1e9)
    views = {
        view: Pictured(
            body=projected(view, golfer=golfer),
            club=club_projected(view, golfer=golfer),
            ball_px=camera_of(view, hand).project(golfer.ball_at[None])[0],
        )
        for view in BOTH
    }
    stamps = np.array([set_ns, set_ns + 1, down_ns, down_ns + 1])

    seen = upright(views, hand=hand, set_ns=set_ns, times_ns=stamps)

    true, _ = true_figure(golfer, stamps, set_ns)
    for measure in MEASURES:
        if Moment.LEAD_ARM_LEVEL_DOWN in measure.moments and not measure.only_in_space:
            ours, theirs = (
                measure.value(figure.at(down_ns), figure.at(set_ns)) for figure in (seen, true)
            )
            near = 12.0 if measure.unit == "deg" else 0.05
            assert ours == pytest.approx(theirs, abs=near), measure.name


def test_one_view_gives_only_what_it_can() -> None:
    golfer = Golfer(SwingParameters())
    stamps = np.array([-1_300_000_000, -1_299_000_000])

    alone = upright(
        {View.FACE_ON: Pictured(body=projected(View.FACE_ON, golfer=golfer))},
        hand=Hand.RIGHT, set_ns=-1_300_000_000, times_ns=stamps,
    ).at(-1_300_000_000)  # fmt: skip

    assert np.isfinite(side_tilt(alone, alone))
    assert np.isnan(pelvis_turn(alone, alone))
    assert np.isnan(forward_bend(alone, alone))


def test_names_of_measures_are_each_their_own() -> None:
    names = [full_name(measure, moment) for measure in MEASURES for moment in measure.moments]

    assert len(set(names)) == len(names)


def test_a_figure_s_shape_is_checked() -> None:
    with pytest.raises(ValueError, match="points"):
        Figure(times_ns=np.zeros(2, dtype=np.int64), points=np.zeros((2, len(JOINTS), 3)))


def test_every_joint_of_the_body_has_a_place() -> None:
    assert Joint.LEAD_TOE.place == len(JOINTS) - 2
