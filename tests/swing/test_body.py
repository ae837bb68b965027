"""Cleaned tracks: sides put right, leaps left out, smoothed without delay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import FloatArray, Hand, View
from capturestation.swing.body import cleaned, mended, resampled, smoothed, tall_px
from capturestation.swing.tracks import JOINTS, BodyTrack, Joint
from tests.helpers.invented_tracks import projected


@pytest.fixture
def whole() -> BodyTrack:
    return projected(View.FACE_ON)


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("view", [View.FACE_ON, View.DOWN_THE_LINE])
def test_a_golfer_taken_for_his_own_back_is_put_right(view: View, hand: Hand) -> None:
    whole = projected(view, hand=hand)
    turned = _exchanged(whole, np.arange(len(whole.times_ns)) % 3 == 0, JOINTS)

    put_right = mended(turned, view=view, hand=hand)

    for joint in (Joint.LEAD_ANKLE, Joint.LEAD_HIP, Joint.TRAIL_SHOULDER, Joint.LEAD_WRIST):
        off = np.linalg.norm(put_right.at(joint) - whole.at(joint), axis=1)
        assert np.median(off) < 1.0, joint


def test_crossed_arms_are_put_right(whole: BodyTrack) -> None:
    arms = [j for j in JOINTS if j.endswith(("elbow", "wrist", "hand"))]
    wrong = np.zeros(len(whole.times_ns), dtype=np.bool_)
    wrong[20:26] = True

    put_right = mended(_exchanged(whole, wrong, arms), view=View.FACE_ON, hand=Hand.RIGHT)

    for joint in arms:
        assert put_right.at(joint) == pytest.approx(whole.at(joint)), joint


def test_a_leap_is_left_out_and_not_smeared(whole: BodyTrack) -> None:
    joints = whole.joints_px.copy()
    joints[30, Joint.LEAD_KNEE.place] += 200.0

    clean = cleaned(replace(whole, joints_px=joints), view=View.FACE_ON, hand=Hand.RIGHT)

    assert np.isnan(clean.at(Joint.LEAD_KNEE)[30]).all()
    near = np.linalg.norm(clean.at(Joint.LEAD_KNEE) - whole.at(Joint.LEAD_KNEE), axis=1)
    assert np.nanmax(near) < 5.0


def test_a_hidden_joint_stays_missing(whole: BodyTrack) -> None:
    seen = whole.seen.copy()
    seen[10:40, Joint.TRAIL_ELBOW.place] = 0.1

    clean = cleaned(replace(whole, seen=seen), view=View.FACE_ON, hand=Hand.RIGHT)

    assert np.isnan(clean.at(Joint.TRAIL_ELBOW)[10:40]).all()
    between = resampled(clean, clean.times_ns[20:21] + 1_000_000)
    assert np.isnan(between[0, Joint.TRAIL_ELBOW.place]).all()


def test_smoothing_takes_noise_away_and_adds_no_delay(whole: BodyTrack) -> None:
    noise = np.random.default_rng(3).normal(0.0, 3.0, whole.joints_px.shape)
    rough = replace(whole, joints_px=whole.joints_px + noise)

    calm = smoothed(rough)

    for joint, share in ((Joint.TRAIL_HIP, 0.6), (Joint.LEAD_WRIST, 0.9)):
        before, after = (_rms(one.at(joint) - whole.at(joint)) for one in (rough, calm))
        assert after < share * before, joint
    lag = _rms(smoothed(whole).at(Joint.LEAD_WRIST) - whole.at(Joint.LEAD_WRIST))
    assert lag < 0.01 * tall_px(whole)


def test_an_empty_track_stays_empty() -> None:
    nothing = BodyTrack(
        times_ns=np.zeros(0, dtype=np.int64),
        joints_px=np.zeros((0, len(JOINTS), 2)),
        seen=np.zeros((0, len(JOINTS))),
    )

    assert len(cleaned(nothing, view=View.FACE_ON, hand=Hand.RIGHT).times_ns) == 0


def _exchanged(
    track: BodyTrack, when: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], joints: object
) -> BodyTrack:
    at, seen = track.joints_px.copy(), track.seen.copy()
    for joint in joints if isinstance(joints, (list, tuple)) else []:
        at[when, joint.place] = track.joints_px[when, joint.other.place]
        seen[when, joint.place] = track.seen[when, joint.other.place]
    return replace(track, joints_px=at, seen=seen)


def _rms(off: FloatArray) -> float:
    return float(np.sqrt(np.nanmean(off**2)))
