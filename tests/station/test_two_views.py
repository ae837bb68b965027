"""What the cameras' places say of the pictures, as arrays: only where the bay counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from capturestation.records import CalibrationKind, FloatArray, Hand, View
from capturestation.station.figures import bodies_of, watched
from capturestation.station.in_space import BOTH
from capturestation.station.seeing import Looked
from capturestation.station.two_views import two_views
from capturestation.swing.both_views import TwoViews, missed
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint, MotionTrack
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed
from tests.helpers.invented_tracks import projected

BENT = (-0.21, 0.06, 0.001, -0.0007, 0.004)
CAMERAS = {
    view: replace(
        camera, lens=replace(camera.lens, bend=BENT)
    ) for view, camera in BY_VIEW.items()
}  # fmt: skip
WHERE = filmed("a", {view: calibrated(camera) for view, camera in CAMERAS.items()})
ARMS = tuple(joint for joint in JOINTS if joint.endswith(("elbow", "wrist", "hand")))


def tracks() -> dict[View, BodyTrack]:
    return {view: projected(view, camera=camera) for view, camera in CAMERAS.items()}


def looked(track: BodyTrack) -> Looked:
    motion = MotionTrack(times_ns=track.times_ns, energy=np.zeros(len(track.times_ns)))
    return Looked(motion=motion, body=track, club=None)


def test_rays_to_one_joint_meet_through_lenses_that_bend() -> None:
    seen = tracks()

    two = two_views(WHERE, seen)

    assert two is not None
    bent_px = {view: track.joints_px for view, track in seen.items()}
    off = [_furthest_off(two, at_px) for at_px in (two.straight_px, bent_px)]
    assert off[0] < 1e-3
    assert off[1] > 1.0


def _furthest_off(two: TwoViews, at_px: Mapping[View, FloatArray]) -> float:
    one = np.ones(len(JOINTS))
    here, there = (at_px[view][20] for view in BOTH)
    return float(missed(here, there, two.second_from_first, u_px=(one, one)).max())


def test_without_a_place_good_for_metres_nothing_is_handed_down() -> None:
    seen = tracks()
    side = WHERE.by_view[View.FACE_ON]
    rough = replace(side, row=replace(side.row, kind=CalibrationKind.ANGLES))

    assert two_views(replace(WHERE, by_view={**WHERE.by_view, View.FACE_ON: rough}), seen) is None
    assert two_views(replace(WHERE, by_view={View.FACE_ON: side}), seen) is None
    assert two_views(WHERE, {View.FACE_ON: seen[View.FACE_ON]}) is None


def test_arms_taken_for_each_other_are_put_right_where_the_bay_is_measured() -> None:
    seen = tracks()
    order = [joint.other.place if joint in ARMS else joint.place for joint in JOINTS]
    whole = seen[View.FACE_ON]
    wrong = replace(whole, joints_px=whole.joints_px[:, order], seen=np.full_like(whole.seen, 0.5))
    placed = {
        view: looked(wrong if view is View.FACE_ON else track) for view, track in seen.items()
    }

    measured, by_itself = (bodies_of(placed, Hand.RIGHT, where) for where in (WHERE, None))

    elbow = whole.at(Joint.LEAD_ELBOW)
    off = [
        np.nanmedian(np.linalg.norm(one[View.FACE_ON].at(Joint.LEAD_ELBOW) - elbow, axis=1))
        for one in (measured, by_itself)
    ]
    assert off[0] < 2.0
    assert off[1] > 20.0
    found = next(one for one in watched(placed, Hand.RIGHT, WHERE) if one.view is View.FACE_ON)
    assert found.body is not None
    assert np.array_equal(found.body.joints_px, measured[View.FACE_ON].joints_px, equal_nan=True)
