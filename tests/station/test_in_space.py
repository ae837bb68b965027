"""A golfer whose truth is known comes back in metres; bad geometry is refused with its reason."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import CalibrationKind, FloatArray, Hand, IntArray, Moment, View
from capturestation.station.in_space import BOTH, Clocks, InSpace, bay_of, in_space
from capturestation.station.standpoints import Standpoints
from capturestation.swing.body import points_at
from capturestation.swing.figure import HEAD, POINTS, Pictured
from capturestation.swing.measures import LENGTH, MEASURES
from sample_sessions.cameras import Camera, cameras_for
from sample_sessions.golfer import Golfer
from sample_sessions.moments import find_moments
from sample_sessions.parameters import SwingParameters
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed
from tests.helpers.invented_tracks import club_projected, projected
from tests.helpers.known_bays import known_bay, seen_in_space
from tests.helpers.true_figure import true_figure

STEP_NS = 8_333_333
EXACT = Clocks(u_ns={}, read_out_ns=dict.fromkeys(BOTH, 0))
CALIBRATED = {view: calibrated(camera) for view, camera in BY_VIEW.items()}


def views_of(
    golfer: Golfer, cameras: dict[View, Camera], times_ns: dict[View, IntArray]
) -> dict[View, Pictured]:
    """What a perfect network would see, each view at its own times."""
    return {
        view: Pictured(
            body=projected(view, golfer=golfer, camera=camera, times_ns=times_ns[view]),
            club=club_projected(view, golfer=golfer, camera=camera, times_ns=times_ns[view]),
            ball_px=camera.project(golfer.ball_at[None])[0],
        )
        for view, camera in cameras.items()
    }


def times_of(phase_ns: int = 0, rate_ns: int = STEP_NS) -> IntArray:
    """Stamps over a swing."""
    return np.arange(-1_500_000_000 + phase_ns, 900_000_000, rate_ns, dtype=np.int64)


def swung(hand: Hand = Hand.RIGHT, clocks: Clocks = EXACT) -> tuple[Golfer, InSpace, int]:
    """A golfer seen by two free-running cameras half a frame apart."""
    golfer = Golfer(SwingParameters(hand=hand))
    both = {camera.view: camera for camera in cameras_for(hand)}
    stamps = {view: times_of(phase) for view, phase in zip(BOTH, (0, STEP_NS // 2), strict=True)}
    set_s = find_moments(golfer)[Moment.SET]
    assert set_s is not None
    set_ns = round(set_s * 1e9)
    where = filmed("a", {view: calibrated(camera) for view, camera in both.items()})
    where = replace(where, side=1 if hand is Hand.RIGHT else -1)
    times_ns = times_of()[8:-8]
    views = views_of(golfer, both, stamps)
    found = in_space(views, where, clocks, set_ns=set_ns, times_ns=times_ns)
    return golfer, found, set_ns


@pytest.mark.parametrize("hand", Hand)
def test_measures_in_space_are_the_truth_for_both_hands(hand: Hand) -> None:
    golfer, found, set_ns = swung(hand)

    assert found.figure is not None, found.why
    moments = {m: round(s * 1e9) for m, s in find_moments(golfer).items() if s is not None}
    for moment in (Moment.SET, Moment.TOP, Moment.LEAD_ARM_LEVEL_BACK):
        stamps = np.array([set_ns, max(moments[moment], set_ns + 1)])
        true, tall_m = true_figure(golfer, stamps, set_ns)
        at = [(f.at(moments[moment]), f.at(set_ns)) for f in (found.figure, true)]
        for measure in (m for m in MEASURES if moment in m.moments):
            ours, theirs = (measure.value(*both) for both in at)
            is_length = measure.unit == LENGTH
            scale, within = (tall_m, 0.006) if is_length else (1.0, 1.2)
            assert ours == pytest.approx(scale * theirs, abs=within, nan_ok=True), measure.name


def test_each_row_counts_at_its_own_time() -> None:
    """A camera that reads its rows in 20 ms sees the hands where they are by then."""
    golfer = Golfer(SwingParameters())
    read_out_ns = 20_000_000
    both = {c.view: replace(c, read_out_s=read_out_ns / 1e9) for c in cameras_for(Hand.RIGHT)}
    stamps = times_of()
    whole = views_of(golfer, both, dict.fromkeys(BOTH, stamps))
    views = {view: _rolled(one, both[view], golfer, read_out_ns) for view, one in whole.items()}
    cameras = tuple(both.values())
    times_ns = np.arange(-250_000_000, 0, 25_000_000)

    off = []
    for knows in (cameras, tuple(replace(camera, read_out_s=0.0) for camera in cameras)):
        found = seen_in_space(
            views, knows, known_bay(cameras), hand=Hand.RIGHT, set_ns=-1_300_000_000,
            times_ns=times_ns,
        )  # fmt: skip
        assert found.figure is not None
        hands = found.figure.points[:, POINTS.index("grip")]
        off.append(float(np.abs(hands - golfer.pose(times_ns / 1e9).lead_hand).max()))

    assert off[0] < 0.008
    assert off[1] > 3.0 * off[0]


def _rolled(one: Pictured, camera: Camera, golfer: Golfer, read_out_ns: int) -> Pictured:
    """The same tracks as a camera has them that reads the middle row at the frame's time."""
    fine = np.arange(-1_540_000_000, 940_000_000, 1_000_000, dtype=np.int64)
    body = projected(camera.view, golfer=golfer, camera=camera, times_ns=fine)
    club = club_projected(camera.view, golfer=golfer, camera=camera, times_ns=fine)
    assert one.club is not None

    def late(at_px: FloatArray, stamps: IntArray) -> FloatArray:
        rows = at_px[:, 1] / camera.lens.height_px - 0.5
        return points_at(fine - np.round(read_out_ns * rows).astype(np.int64), at_px, stamps)

    joints = [late(body.joints_px[:, place], one.body.times_ns)
              for place in range(body.joints_px.shape[1])]  # fmt: skip
    grip, head = (late(at, one.club.times_ns) for at in (club.grip_px, club.head_px))
    return replace(
        one,
        body=replace(one.body, joints_px=np.stack(joints, axis=1)),
        club=replace(one.club, grip_px=grip, head_px=head),
    )


def test_the_club_head_near_contact_has_a_place_only_if_the_clocks_allow_it() -> None:
    loose = Clocks(u_ns=dict.fromkeys(BOTH, 1_000_000), read_out_ns=dict.fromkeys(BOTH, 0))
    (_, sure, _), (_, unsure, _) = swung(), swung(clocks=loose)

    assert sure.figure is not None
    assert unsure.figure is not None
    there = [np.isfinite(f.points[:, POINTS.index(HEAD), 0]) for f in (sure.figure, unsure.figure)]
    near = np.abs(sure.figure.times_ns) < 15_000_000
    early = sure.figure.times_ns < -600_000_000
    assert there[1][early].all()
    assert not there[1][near].any()
    assert there[0].sum() > there[1].sum()


def test_a_camera_that_was_moved_unseen_is_noticed_by_its_rays() -> None:
    golfer = Golfer(SwingParameters())
    bumped = {**BY_VIEW}
    x, y, z = bumped[View.DOWN_THE_LINE].look_at_m
    bumped[View.DOWN_THE_LINE] = replace(bumped[View.DOWN_THE_LINE], look_at_m=(x, y, z + 0.2))
    stamps = times_of()[:80]

    found = in_space(
        views_of(golfer, bumped, dict.fromkeys(BOTH, stamps)), filmed("a", CALIBRATED), EXACT,
        set_ns=int(stamps[30]), times_ns=stamps,
    )  # fmt: skip

    assert found.figure is None
    assert found.why.startswith("Measured by pictures, not in space:")
    assert "may have been moved" in found.why


def test_a_joint_that_is_mistaken_for_a_moment_is_no_camera_that_was_moved() -> None:
    golfer, stamps = Golfer(SwingParameters()), times_of()[:80]
    views = views_of(golfer, BY_VIEW, dict.fromkeys(BOTH, stamps))
    body = views[View.FACE_ON].body
    joints = body.joints_px.copy()
    joints[20:40, :6, 1] += 150.0
    views[View.FACE_ON] = replace(views[View.FACE_ON], body=replace(body, joints_px=joints))

    found = in_space(views, filmed("a", CALIBRATED), EXACT, set_ns=int(stamps[30]), times_ns=stamps)

    assert found.figure is not None, found.why
    assert np.isnan(found.figure.points[30, :6]).all()


def test_why_the_bay_does_not_count_is_said() -> None:
    known = filmed("a", CALIBRATED)
    side = known.by_view[View.FACE_ON]
    rough = replace(side, row=replace(side.row, kind=CalibrationKind.ANGLES))
    moved = Standpoints(
        swing=known.swing,
        by_view={View.FACE_ON: side},
        missing={View.DOWN_THE_LINE: "Its camera was moved after it was calibrated."},
    )

    whys = [
        bay_of(where)
        for where in (replace(known, by_view={**known.by_view, View.FACE_ON: rough}), moved)
    ]

    assert whys == [
        "Measured by pictures, not in space. The face-on view: "
        "its place is not known well enough for metres.",
        "Measured by pictures, not in space. The down-the-line view: "
        "Its camera was moved after it was calibrated.",
    ]


def test_cameras_measured_apart_share_no_error() -> None:
    bay = bay_of(filmed("a", CALIBRATED))

    assert not isinstance(bay, str)
    assert len(bay.cameras) == 2
    assert np.abs(bay.covariance[:15, 15:]).max() == 0.0
    assert bay.covariance[:15, :15].any()


def test_a_golfer_in_one_view_is_not_in_space() -> None:
    found = in_space({}, filmed("a", CALIBRATED), EXACT, set_ns=0, times_ns=times_of()[:5])

    assert found.figure is None
    assert "one view only" in found.why
