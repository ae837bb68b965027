"""Sides by both views: labels that don't fit the other view's are exchanged, and never guessed."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from capturestation.records import BoolArray, Hand, View
from capturestation.swing.body import cleaned, mended
from capturestation.swing.both_views import TwoViews, cleaned_together, mended_together, missed
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint
from sample_sessions.cameras import cameras_for
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from tests.helpers.invented_tracks import fundamental, projected, times

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)
ARMS = tuple(j for j in JOINTS if j.endswith(("elbow", "wrist", "hand")))
LEGS = tuple(j for j in JOINTS if j.endswith(("knee", "ankle", "heel", "toe")))
HALF_A_FRAME_NS = 8_333_333


def seen_by_both(hand: Hand = Hand.RIGHT, noise_px: float = 0.0) -> dict[View, BodyTrack]:
    """A golfer as both free-running cameras have him, found as badly as that."""
    golfer = Golfer(SwingParameters(hand=hand))
    random = np.random.default_rng(11)
    found = {}
    for view, late_ns in zip(BOTH, (0, HALF_A_FRAME_NS), strict=True):
        track = projected(view, golfer=golfer, times_ns=times() + late_ns)
        off = random.normal(0.0, noise_px, track.joints_px.shape)
        found[view] = replace(track, joints_px=track.joints_px + off)
    return found


def lying(tracks: dict[View, BodyTrack], hand: Hand = Hand.RIGHT) -> TwoViews:
    """How the usual cameras' pictures lie to each other; their lenses bend nothing."""
    cameras = {camera.view: camera for camera in cameras_for(hand)}
    return TwoViews(
        views=BOTH,
        second_from_first=fundamental(cameras[BOTH[0]], cameras[BOTH[1]]),
        straight_px={view: track.joints_px for view, track in tracks.items()},
    )


def with_exchanged(track: BodyTrack, when: BoolArray, joints: tuple[Joint, ...]) -> BodyTrack:
    at = track.joints_px.copy()
    for joint in joints:
        at[when, joint.place] = track.joints_px[when, joint.other.place]
    return replace(track, joints_px=at)


def between(track: BodyTrack, from_s: float, until_s: float) -> BoolArray:
    return np.asarray((track.times_ns >= from_s * 1e9) & (track.times_ns < until_s * 1e9))


def together(tracks: dict[View, BodyTrack], hand: Hand = Hand.RIGHT) -> dict[View, BodyTrack]:
    return mended_together(tracks, hand=hand, two=lying(tracks, hand))


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("view", BOTH)
def test_arms_taken_for_each_other_all_along_are_told_by_the_other_view(
    view: View, hand: Hand
) -> None:
    """Exchanged from the first picture on, nothing jumps; the view that hardly sees them errs."""
    whole = seen_by_both(hand, noise_px=1.0)
    wrong = with_exchanged(whole[view], between(whole[view], -9.0, 9.0), ARMS)
    wrong = replace(wrong, seen=np.full_like(wrong.seen, 0.5))

    alone = mended(wrong, view=view, hand=hand)
    both = together({**whole, view: wrong}, hand)

    assert wrong_share(alone, whole[view], ARMS) > 0.95
    for seen_by, right in whole.items():
        assert wrong_share(both[seen_by], right, ARMS) == 0.0, seen_by
        assert np.isfinite(both[seen_by].joints_px).all()


def test_where_either_view_may_be_wrong_the_limb_is_not_known() -> None:
    whole = seen_by_both(noise_px=1.0)
    track = whole[View.FACE_ON]
    wrong = {**whole, View.FACE_ON: with_exchanged(track, between(track, -9.0, 9.0), ARMS)}

    both = together(wrong)

    for view, right in whole.items():
        assert np.isnan(both[view].at(Joint.LEAD_WRIST)).all(axis=1).mean() > 0.98, view
        assert wrong_share(both[view], right, LEGS) == 0.0


@pytest.mark.parametrize("joints", [ARMS, LEGS, JOINTS[1:]])
def test_limbs_exchanged_for_some_pictures_are_put_right(joints: tuple[Joint, ...]) -> None:
    whole = seen_by_both(noise_px=4.0)
    track = whole[View.DOWN_THE_LINE]
    wrong = with_exchanged(track, between(track, -0.6, -0.2), joints)

    both = together({**whole, View.DOWN_THE_LINE: wrong})

    alone = mended(track, view=View.DOWN_THE_LINE, hand=Hand.RIGHT)
    assert wrong_share(both[View.DOWN_THE_LINE], alone, joints) == 0.0
    assert np.isfinite(both[View.DOWN_THE_LINE].joints_px).all()


def test_both_views_wrong_at_once_fit_and_only_movement_tells() -> None:
    whole = seen_by_both(noise_px=2.0)
    wrong = {view: with_exchanged(track, between(track, -0.5, -0.3), ARMS)
             for view, track in whole.items()}  # fmt: skip

    both = together(wrong)

    for view, right in whole.items():
        assert wrong_share(both[view], right, ARMS) == 0.0, view


def test_labels_that_fit_either_way_say_nothing() -> None:
    whole = seen_by_both()
    flat = {}
    for view, track in whole.items():
        joints = track.joints_px.copy()
        for joint in ARMS:
            joints[:, joint.place] = joints[:, Joint.NOSE.place]
        flat[view] = replace(track, joints_px=joints)

    both = together(flat)

    for view, track in flat.items():
        assert wrong_share(both[view], track, ARMS) == 0.0
        assert np.isfinite(both[view].joints_px).all()


def test_labels_that_fit_neither_way_are_left_as_they_are() -> None:
    whole = seen_by_both()
    track = whole[View.FACE_ON]
    joints = with_exchanged(track, between(track, -9.0, 9.0), ARMS).joints_px
    for joint in ARMS:
        joints[:, joint.place, 1] -= 250.0
    strange = {**whole, View.FACE_ON: replace(track, joints_px=joints)}

    both = together(strange)

    for view, left in strange.items():
        assert wrong_share(both[view], left, ARMS) == 0.0
        assert np.isfinite(both[view].joints_px).all()


def test_a_camera_that_was_moved_has_nothing_to_say() -> None:
    whole = seen_by_both()
    track = whole[View.DOWN_THE_LINE]
    wrong = with_exchanged(track, between(track, -9.0, 9.0), ARMS)
    tracks = {**whole, View.DOWN_THE_LINE: wrong}
    known = lying(tracks)
    lower = known.straight_px[View.FACE_ON] + np.array([0.0, 60.0])
    nodded = replace(known, straight_px={**known.straight_px, View.FACE_ON: lower})

    both = mended_together(tracks, hand=Hand.RIGHT, two=nodded)

    assert np.isnan(
        mended_together(tracks, hand=Hand.RIGHT, two=known)[View.FACE_ON].at(ARMS[0])
    ).all()
    assert np.array_equal(both[View.DOWN_THE_LINE].joints_px, wrong.joints_px)


def test_without_the_cameras_places_each_view_stands_by_itself() -> None:
    whole = seen_by_both(noise_px=2.0)

    alone = cleaned_together(whole, hand=Hand.RIGHT, two=None)

    for view, track in whole.items():
        by_itself = cleaned(track, view=view, hand=Hand.RIGHT)
        assert np.array_equal(alone[view].joints_px, by_itself.joints_px, equal_nan=True)


def test_what_time_says_already_is_not_changed_by_the_other_view() -> None:
    whole = seen_by_both(noise_px=4.0)

    both = together(whole)

    for view, track in whole.items():
        alone = mended(track, view=view, hand=Hand.RIGHT)
        assert np.array_equal(both[view].joints_px, alone.joints_px)


def test_the_miss_of_two_places_is_opencvs() -> None:
    cameras = cameras_for(Hand.RIGHT)
    matrix = fundamental(*cameras)
    random = np.random.default_rng(5)
    here, there = random.uniform(100.0, 900.0, (2, 20, 2))
    one = np.ones(20)

    ours = missed(here, there, matrix, u_px=(one, one))

    flat = [np.column_stack([at, one]) for at in (here, there)]
    theirs = [cv2.sampsonDistance(a[:, None], b[:, None], matrix)
              for a, b in zip(*flat, strict=True)]  # fmt: skip
    assert ours**2 == pytest.approx(theirs)


def wrong_share(track: BodyTrack, right: BodyTrack, joints: tuple[Joint, ...]) -> float:
    """In how many pictures a joint is known somewhere else than it is."""
    off = [np.linalg.norm(track.at(joint) - right.at(joint), axis=1) for joint in joints]
    return float(np.mean(np.stack(off) >= 1e-6))
