"""Wide clothes: wider than the body, in folds that travel, and nothing of it without them."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FloatArray, Hand
from sample_sessions.cameras import Placement, cameras_for
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.golfer import Golfer
from sample_sessions.loose import rain_clothes
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from sample_sessions.rings import joined
from sample_sessions.surfaces import arms, slow_faces

SET_S, TOP_S = -1.3, -0.25


@pytest.fixture(scope="module")
def golfer() -> Golfer:
    return Golfer(SwingParameters())


def corners(golfer: Golfer, time_s: float, clothes: Clothes) -> FloatArray:
    at = Reader(golfer.pose(np.array([time_s])), 0, golfer.body)
    whole = [slow_faces(at, clothes).corners, joined(arms(at, clothes)).corners]
    return np.concatenate(whole)


def test_wide_clothes_stand_off_by_centimetres_and_hands_head_and_shoes_stay(
    golfer: Golfer,
) -> None:
    loose = rain_clothes(4)

    off = np.linalg.norm(
        corners(golfer, SET_S, Clothes(loose=loose)) - corners(golfer, SET_S, Clothes()), axis=1
    )

    assert 0.03 < off.max() < 0.12
    assert 0.2 < float(np.mean(off < 1e-9)) < 0.8


def test_folds_travel_as_the_golfer_turns(golfer: Golfer) -> None:
    loose = rain_clothes(4)

    off = [
        np.linalg.norm(
            corners(golfer, at_s, Clothes(loose=loose)) - corners(golfer, at_s, Clothes()), axis=1
        )
        for at_s in (SET_S, TOP_S)
    ]

    assert np.percentile(np.abs(off[0] - off[1]), 90) > 0.01


def test_a_golfer_in_them_fills_more_of_the_picture_and_is_where_he_was(golfer: Golfer) -> None:
    camera = cameras_for(Hand.RIGHT)[0].placed(Placement(size_share=0.25))
    pictures = [
        Renderer(golfer, camera, Clothes(loose=loose)).frame(SET_S).astype(np.int64)
        for loose in (None, rain_clothes(4))
    ]

    changed = np.abs(pictures[0] - pictures[1]).max(axis=2) > 40

    _, columns = np.nonzero(changed)
    chest = camera.project(golfer.pose(np.array([SET_S])).chest)[0]
    assert abs(float(np.median(columns)) - chest[0]) < 12
    assert 0.005 < float(np.mean(changed)) < 0.1


def test_the_same_seed_wears_the_same(golfer: Golfer) -> None:
    assert rain_clothes(7) == rain_clothes(7)
    assert rain_clothes(7) != rain_clothes(8)
